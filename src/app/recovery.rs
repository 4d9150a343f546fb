//! Unsaved changes on disk: each open job with changes has a slot, and what a window left behind is offered at the next start.
//!
//! A slot is `window-N.ron` (the job, as in a job file), `window-N.origin.ron` (which file it came from), and
//! `window-N.lock`, held while the window lives, so that two programs never take each other's for left behind.

use std::{
    fs, io,
    path::{Path, PathBuf},
    sync::Arc,
};

use serde::{Deserialize, Serialize};

use super::{
    home::{Home, write_whole},
    lock::Lock,
};
use crate::notebook::{Cause, FileError, Job, Stamp, format_job, read_job};

/// Most windows at once, and most left-behind jobs that are looked for.
const SLOTS: usize = 64;

/// Where a job came from.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Origin {
    /// Its file.
    #[serde(default)]
    pub path: Option<PathBuf>,
    /// The file beside which its photos lie, while it has none of its own.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub photos_at: Option<PathBuf>,
    /// What the file held when it was read or written last.
    #[serde(default)]
    pub stamp: Option<Stamp>,
}

/// A window's slot.
#[derive(Debug)]
pub struct Slot {
    job: PathBuf,
    _lock: Lock,
}

/// A job that a window left behind without saving. Its slot stays locked until it is taken or forgotten.
#[derive(Clone, Debug)]
pub struct Recovered {
    /// The job.
    pub job: Arc<Job>,
    /// Where it came from.
    pub origin: Origin,
    slot: Arc<Slot>,
}

impl PartialEq for Recovered {
    fn eq(&self, other: &Self) -> bool {
        (&self.job, &self.origin, &self.slot.job) == (&other.job, &other.origin, &other.slot.job)
    }
}

impl Recovered {
    /// Its slot, to be cleared once the job is safe elsewhere or not wanted.
    pub fn slot(&self) -> &Arc<Slot> {
        &self.slot
    }
}

/// Takes a free slot and collects what others left behind. What cannot be read is told and
/// kept as `window-N.unreadable.ron`.
///
/// # Errors
/// The folder cannot be made or no slot is free; then nothing can be kept.
pub fn open(home: &Home) -> io::Result<(Slot, Vec<Recovered>, Vec<FileError>)> {
    let folder = home.recovery();
    fs::create_dir_all(&folder)?;
    let (mut own, mut left, mut troubles) = (None, Vec::new(), Vec::new());
    for number in 0..SLOTS {
        let job = folder.join(format!("window-{number}.ron"));
        if own.is_some() && !job.exists() {
            continue;
        }
        let Some(slot) = Slot::take(&folder, number, job)? else {
            continue;
        };
        if !slot.job.exists() {
            own = own.or(Some(slot));
            continue;
        }
        match read_job(&slot.job) {
            Ok(opened) => left.push(Recovered {
                job: Arc::new(opened.job),
                origin: slot.read_origin(),
                slot: Arc::new(slot),
            }),
            Err(error) => {
                // Told once; if it cannot be moved it is told again, which does no harm.
                let _ = fs::rename(&slot.job, slot.job.with_extension("unreadable.ron"));
                troubles.push(error);
            }
        }
    }
    let own = own.ok_or_else(|| io::Error::other("too many windows are open"))?;
    Ok((own, left, troubles))
}

/// One more slot for a window that has several jobs with changes.
///
/// # Errors
/// No slot is free, or the folder cannot be written to.
pub fn another(home: &Home) -> io::Result<Slot> {
    let folder = home.recovery();
    for number in 0..SLOTS {
        let job = folder.join(format!("window-{number}.ron"));
        if job.exists() {
            continue;
        }
        if let Some(slot) = Slot::take(&folder, number, job)? {
            return Ok(slot);
        }
    }
    Err(io::Error::other("too many jobs are open"))
}

impl Slot {
    fn take(folder: &Path, number: usize, job: PathBuf) -> io::Result<Option<Self>> {
        let lock = Lock::take(&folder.join(format!("window-{number}.lock")))?;
        Ok(lock.map(|lock| Self { job, _lock: lock }))
    }

    fn origin(&self) -> PathBuf {
        self.job.with_extension("origin.ron")
    }

    /// Where the job came from; an unreadable note means that it has to be saved under a new name.
    fn read_origin(&self) -> Origin {
        let text = fs::read_to_string(self.origin()).unwrap_or_default();
        ron::from_str(&text).unwrap_or_default()
    }

    /// Keeps a job.
    ///
    /// # Errors
    /// What the disk says, or a job that no file can carry.
    pub fn keep(&self, job: &Job, origin: &Origin) -> Result<(), FileError> {
        let name = self.job.display().to_string();
        let disk = |error: io::Error| {
            FileError::new(
                &name,
                Cause::Disk,
                format!("unsaved changes cannot be kept for a restart: {error}"),
                "Save the job now",
            )
        };
        let text = format_job(&name, job)?;
        // A path that is no Unicode cannot be noted; the job then has to be saved under a new name.
        let noted = ron::to_string(origin).unwrap_or_else(|_| "()".to_owned());
        write_whole(&self.origin(), &noted).map_err(disk)?;
        write_whole(&self.job, &text).map_err(disk)
    }

    /// Nothing is unsaved any more.
    pub fn clear(&self) {
        for path in [&self.job, &self.origin()] {
            // A file that cannot be removed is offered at the next start, which does no harm.
            let _ = fs::remove_file(path);
        }
    }
}
