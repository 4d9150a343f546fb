//! Writing a file that is no job whole or not at all: reports, packed jobs.

use std::{
    fs::{self, File},
    io::{self, Write},
    path::Path,
};

use super::{Cause, FileError, trouble::disk};

/// Writes a file beside its place first, so that an older report stays whole if this one cannot be written.
///
/// # Errors
/// What the disk says, or the path names no file. What was there before is untouched then.
pub fn write_whole(to: &Path, bytes: &[u8]) -> Result<(), FileError> {
    let name = to.display().to_string();
    if to.is_dir() {
        return Err(disk(&name, &io::ErrorKind::IsADirectory.into()));
    }
    let (Some(file), Some(folder)) = (to.file_name(), to.parent()) else {
        let remedy = "Add a file name to the path";
        return Err(FileError::new(
            &name,
            Cause::Disk,
            "this is no name for a file",
            remedy,
        ));
    };
    let helper = format!(".{}.{}.tmp", file.to_string_lossy(), std::process::id());
    let beside = folder.join(helper);
    let written = File::create(&beside).and_then(|mut file| {
        file.write_all(bytes)?;
        file.sync_all()?;
        fs::rename(&beside, to)
    });
    written.map_err(|error| {
        // The first error is the one to tell.
        let _ = fs::remove_file(&beside);
        disk(&name, &error)
    })
}
