//! What the disk's thread does for the notebook: packing, taking in, keeping photos, reading an earlier job to begin from.

use std::path::{Path, PathBuf};

use crate::notebook::{
    FileError, Opened,
    archive::pack,
    attach::attach,
    away::put_away_or_back,
    import::{Imported, import},
    read_job,
    record::Attachment,
};

/// What is to be done.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Errand {
    /// Read a job on whose circuit another one begins.
    Begin(PathBuf),
    /// Read a job of which a copy is to be made.
    Copy(PathBuf),
    /// Pack a job's file: from where, to where.
    Pack(PathBuf, PathBuf),
    /// Take a file into a folder.
    Import(PathBuf, PathBuf),
    /// Put a job of a notebook away, or bring it back.
    PutAway(PathBuf, String),
    /// Keep files with a job's file.
    Attach(PathBuf, Vec<PathBuf>),
}

/// What became of it.
#[derive(Clone, Debug)]
pub enum Outcome {
    /// An earlier job was read.
    Begun(Result<Opened, FileError>),
    /// A job was read from this file to be copied.
    Copied(PathBuf, Result<Opened, FileError>),
    /// A job was packed there; what is not in it, and why.
    Packed(PathBuf, Result<Vec<FileError>, FileError>),
    /// A job of the notebook lies elsewhere in it now.
    PutAway(Result<PathBuf, FileError>),
    /// A job was taken in.
    Imported(Result<Imported, FileError>),
    /// Files were kept with the job of this file, or not.
    Attached(PathBuf, Vec<Result<Attachment, FileError>>),
}

impl Errand {
    /// Does it.
    pub fn run(&self) -> Outcome {
        match self {
            Self::Begin(path) => Outcome::Begun(read_job(path)),
            Self::Copy(path) => Outcome::Copied(path.clone(), read_job(path)),
            Self::Pack(from, to) => Outcome::Packed(to.clone(), pack(from, to)),
            Self::Import(folder, file) => Outcome::Imported(import(folder, file)),
            Self::PutAway(folder, job) => Outcome::PutAway(put_away_or_back(folder, job)),
            Self::Attach(job, files) => {
                let kept = files.iter().map(|file| attach(job, file, ""));
                Outcome::Attached(job.clone(), kept.collect())
            }
        }
    }

    /// What is said where it broke off.
    pub fn broken(&self, error: impl Fn(&Path) -> FileError) -> Outcome {
        match self {
            Self::Begin(path) => Outcome::Begun(Err(error(path))),
            Self::Copy(path) => Outcome::Copied(path.clone(), Err(error(path))),
            Self::Pack(_, to) => Outcome::Packed(to.clone(), Err(error(to))),
            Self::Import(_, file) => Outcome::Imported(Err(error(file))),
            Self::PutAway(folder, job) => Outcome::PutAway(Err(error(&folder.join(job)))),
            Self::Attach(job, _) => Outcome::Attached(job.clone(), vec![Err(error(job))]),
        }
    }
}
