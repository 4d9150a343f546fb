//! The calls to the file system that saving makes, behind one small trait, so that each of them can be made to fail.

use std::{
    fs::{self, File},
    io::{self, Read, Write},
    path::{Path, PathBuf},
};

/// What is known of a file or folder.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct About {
    /// Whether it is a folder.
    pub folder: bool,
    /// Whether it is write-protected.
    pub protected: bool,
}

/// Calls to the file system. Each either does all of what it says or answers an error; a process that dies in the
/// middle of one may leave a piece of what it was to write.
pub trait FileCalls {
    /// The file behind links.
    ///
    /// # Errors
    /// What the system says, here and below.
    fn behind_links(&self, path: &Path) -> io::Result<PathBuf>;
    /// What is there.
    ///
    /// # Errors
    /// As above.
    fn about(&self, path: &Path) -> io::Result<About>;
    /// The first bytes of a file, at most so many.
    ///
    /// # Errors
    /// As above.
    fn read(&self, path: &Path, most: u64) -> io::Result<Vec<u8>>;
    /// A new file with these bytes, on the disk when the call returns.
    ///
    /// # Errors
    /// As above.
    fn write(&self, path: &Path, bytes: &[u8]) -> io::Result<()>;
    /// A copy of a file, on the disk when the call returns.
    ///
    /// # Errors
    /// As above.
    fn copy(&self, from: &Path, to: &Path) -> io::Result<()>;
    /// Another name for a file, in one step; what had that name is gone.
    ///
    /// # Errors
    /// As above.
    fn rename(&self, from: &Path, to: &Path) -> io::Result<()>;
    /// Takes a file away.
    ///
    /// # Errors
    /// As above.
    fn remove(&self, path: &Path) -> io::Result<()>;
    /// Makes the names in a folder last.
    ///
    /// # Errors
    /// As above.
    fn sync_folder(&self, folder: &Path) -> io::Result<()>;
}

/// The system's own calls.
#[derive(Clone, Copy, Debug, Default)]
pub struct System;

impl FileCalls for System {
    fn behind_links(&self, path: &Path) -> io::Result<PathBuf> {
        fs::canonicalize(path)
    }

    fn about(&self, path: &Path) -> io::Result<About> {
        let about = fs::metadata(path)?;
        Ok(About {
            folder: about.is_dir(),
            protected: about.permissions().readonly(),
        })
    }

    fn read(&self, path: &Path, most: u64) -> io::Result<Vec<u8>> {
        let mut bytes = Vec::new();
        File::open(path)?.take(most).read_to_end(&mut bytes)?;
        Ok(bytes)
    }

    fn write(&self, path: &Path, bytes: &[u8]) -> io::Result<()> {
        let mut file = File::create(path)?;
        file.write_all(bytes)?;
        file.sync_all()
    }

    fn copy(&self, from: &Path, to: &Path) -> io::Result<()> {
        fs::copy(from, to)?;
        File::open(to)?.sync_all()
    }

    fn rename(&self, from: &Path, to: &Path) -> io::Result<()> {
        fs::rename(from, to)
    }

    fn remove(&self, path: &Path) -> io::Result<()> {
        fs::remove_file(path)
    }

    /// Only Unix can open a folder for that.
    fn sync_folder(&self, folder: &Path) -> io::Result<()> {
        if cfg!(unix) {
            File::open(folder)?.sync_all()
        } else {
            Ok(())
        }
    }
}
