//! Reading a plain file whole, up to a limit; writing a file that is no job whole or not at all: reports, packed jobs.

use std::{
    fs::{self, File},
    io::{self, Read, Write},
    path::{Path, PathBuf},
};

use super::{Cause, FileError, trouble::disk};

/// How much of a file is read, and what is said of one that is refused.
pub struct Limits {
    /// Most bytes.
    pub most: u64,
    /// What is wrong with a larger file.
    pub larger: &'static str,
    /// What to do about that.
    pub remedy: &'static str,
    /// What to choose instead of a folder, pipe or device.
    pub choose: &'static str,
}

/// A whole plain file, through links only where they are to be followed. Pipes and devices are refused before they are
/// opened, as opening a pipe would wait for ever.
///
/// # Errors
/// What the disk says, or the file is no plain one or too large.
pub fn read_plain(
    path: &Path,
    name: &str,
    follow: bool,
    limits: &Limits,
) -> Result<Vec<u8>, FileError> {
    let on_disk = |error: io::Error| disk(name, &error);
    let about = if follow {
        fs::metadata(path)
    } else {
        fs::symlink_metadata(path)
    };
    let about = about.map_err(on_disk)?;
    if about.is_dir() {
        let what = "this is a folder, not a file";
        return Err(FileError::new(name, Cause::Disk, what, limits.choose));
    }
    if !about.is_file() {
        let what = "this is no plain file but a pipe, a device or a link";
        return Err(FileError::new(name, Cause::Disk, what, limits.choose));
    }
    let mut bytes = Vec::new();
    let file = File::open(path).map_err(on_disk)?;
    // One byte more than is accepted, so that a larger file is seen to be larger without being read whole.
    file.take(limits.most + 1)
        .read_to_end(&mut bytes)
        .map_err(on_disk)?;
    if bytes.len() as u64 > limits.most {
        let (what, remedy) = (limits.larger, limits.remedy);
        return Err(FileError::new(name, Cause::Content, what, remedy));
    }
    Ok(bytes)
}

/// Writes a file beside its place first, so that an older report stays whole if this one cannot be written.
///
/// # Errors
/// What the disk says, or the path names no file. What was there before is untouched then.
pub fn write_whole(to: &Path, bytes: &[u8]) -> Result<(), FileError> {
    put(&beside(to)?, to, bytes).map_err(|error| disk(&to.display().to_string(), &error))
}

/// Whether a file could be written so.
///
/// # Errors
/// As [`write_whole`].
pub fn can_write(to: &Path) -> Result<(), FileError> {
    let helper = beside(to)?;
    let tried = File::create(&helper).and_then(|_| fs::remove_file(&helper));
    tried.map_err(|error| disk(&to.display().to_string(), &error))
}

/// The path of a helper beside a file.
fn beside(to: &Path) -> Result<PathBuf, FileError> {
    let name = to.display().to_string();
    if to.is_dir() {
        return Err(disk(&name, &io::ErrorKind::IsADirectory.into()));
    }
    let Some(file) = to.file_name() else {
        let remedy = "Add a file name to the path";
        return Err(FileError::new(
            &name,
            Cause::Disk,
            "this is no name for a file",
            remedy,
        ));
    };
    let helper = format!(".{}.{}.tmp", file.to_string_lossy(), std::process::id());
    Ok(to.with_file_name(helper))
}

/// Writes a file at a place beside its own, then moves it there.
///
/// # Errors
/// What the disk says; nothing is left beside it then.
pub fn put(beside: &Path, to: &Path, bytes: &[u8]) -> io::Result<()> {
    let written = File::create(beside).and_then(|mut file| {
        file.write_all(bytes)?;
        file.sync_all()?;
        fs::rename(beside, to)
    });
    // The first error is the one to tell.
    written.inspect_err(|_| drop(fs::remove_file(beside)))
}
