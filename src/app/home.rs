//! Where the program keeps what belongs to the person: settings, and unsaved changes for the next start.

use std::{
    fs, io,
    path::{Path, PathBuf},
};

use crate::notebook::whole::put;

/// A folder of the program's own.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Home {
    folder: PathBuf,
}

impl Home {
    /// The platform's place for settings of this program; none where the system names no home folder.
    pub fn find() -> Option<Self> {
        let dirs = directories::ProjectDirs::from("", "", "pinchpoint")?;
        Some(Self::at(dirs.config_dir()))
    }

    /// A given folder; it is made when something is first written.
    pub fn at(folder: impl Into<PathBuf>) -> Self {
        Self {
            folder: folder.into(),
        }
    }

    /// The settings file.
    pub fn settings(&self) -> PathBuf {
        self.folder.join("settings.ron")
    }

    /// The folder of trainees' records.
    pub fn trainees(&self) -> PathBuf {
        self.folder.join("trainees")
    }

    /// The folder of sessions of practice that are not finished.
    pub fn sessions(&self) -> PathBuf {
        self.folder.join("practice")
    }

    /// The folder of unsaved changes.
    pub fn recovery(&self) -> PathBuf {
        self.folder.join("recovery")
    }
}

/// Writes a file whole or not at all. The folder is made if need be.
pub(super) fn write_whole(path: &Path, text: &str) -> io::Result<()> {
    if let Some(folder) = path.parent() {
        fs::create_dir_all(folder)?;
    }
    put(&path.with_extension("new"), path, text.as_bytes())
}
