//! Saving: the old file or the new one, never a mixture, whatever happens on the way.

use std::{
    fs::{self, File},
    io::{self, Write},
    path::{Path, PathBuf},
};

use super::{Cause, FileError, Job, VERSION, format_job, parse_job, read_job, trouble::disk};

/// Writes a job over a file, or anew, keeping the previous save beside it as `name.bak.ron`.
///
/// The text goes to a temporary file in the same folder, is synced, read back and compared; then it takes the
/// file's place in one step.
///
/// # Errors
/// What the disk says (full, write-protected, not allowed, a folder in the way), a file of a newer version in
/// the way, or a job that does not read back as it was written. The old file is untouched in every case.
pub fn write_job(path: &Path, job: &Job) -> Result<(), FileError> {
    let name = path.display().to_string();
    let on_disk = |error: io::Error| disk(&name, &error);
    let text = format_job(&name, job)?;
    // Through a link, so that the link stays and the file behind it is replaced.
    let target = fs::canonicalize(path).unwrap_or_else(|_| path.to_path_buf());
    if target.is_dir() {
        return Err(on_disk(io::ErrorKind::IsADirectory.into()));
    }
    let old = old_file(&target, &name)?;
    let (Some(folder), Some(temporary), Some(spare)) = (
        folder_of(&target),
        beside(&target, "tmp"),
        beside(&target, "old"),
    ) else {
        return Err(FileError::new(
            &name,
            Cause::Disk,
            "this is no name for a file",
            "Add a file name to the path",
        ));
    };
    let result = write_and_compare(&temporary, &name, &text).and_then(|()| {
        match old {
            Old::None => Ok(()),
            Old::Job => keep(&target, &spare, &previous_name(&target)),
            Old::Unreadable => keep(&target, &spare, &target.with_extension("unreadable.ron")),
        }
        .and_then(|()| fs::rename(&temporary, &target))
        .map_err(on_disk)
    });
    if result.is_err() {
        // The first error is the one to tell; a helper file that cannot be removed either does no harm.
        let _ = fs::remove_file(&temporary);
        let _ = fs::remove_file(&spare);
        return result;
    }
    sync_folder(&folder).map_err(on_disk)
}

/// Name under which the previous save of a file is kept.
pub fn previous_name(path: &Path) -> PathBuf {
    path.with_extension("bak.ron")
}

fn folder_of(path: &Path) -> Option<PathBuf> {
    path.file_name()?;
    Some(match path.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder.to_path_buf(),
        _ => PathBuf::from("."),
    })
}

/// A hidden name in the file's folder for a helper file.
fn beside(path: &Path, ending: &str) -> Option<PathBuf> {
    let file = path.file_name()?.to_string_lossy();
    let helper = format!(".{file}.{}.{ending}", std::process::id());
    Some(folder_of(path)?.join(helper))
}

/// What stands where the job is to be saved.
enum Old {
    None,
    Job,
    Unreadable,
}

fn old_file(path: &Path, name: &str) -> Result<Old, FileError> {
    let Ok(metadata) = fs::metadata(path) else {
        return Ok(Old::None);
    };
    if metadata.permissions().readonly() {
        return Err(FileError::new(
            name,
            Cause::Disk,
            "the file is write-protected",
            "Save under another name, or change its rights",
        ));
    }
    let newer = match read_job(path) {
        Ok(opened) => opened.newer,
        Err(error) => match error.cause {
            Cause::Newer(version) => Some(version),
            _ => return Ok(Old::Unreadable),
        },
    };
    match newer {
        None => Ok(Old::Job),
        Some(version) => Err(FileError::new(
            name,
            Cause::Refused,
            format!(
                "the file there is of version {version}, newer than {VERSION}; saving over it could lose something"
            ),
            "Save under another name",
        )),
    }
}

/// Copies a file to another name, in one step as well.
fn keep(path: &Path, spare: &Path, kept: &Path) -> io::Result<()> {
    fs::copy(path, spare)?;
    File::open(spare)?.sync_all()?;
    fs::rename(spare, kept)
}

fn write_and_compare(temporary: &Path, name: &str, text: &str) -> Result<(), FileError> {
    let on_disk = |error: io::Error| disk(name, &error);
    let mut file = File::create(temporary).map_err(on_disk)?;
    file.write_all(text.as_bytes()).map_err(on_disk)?;
    file.sync_all().map_err(on_disk)?;
    drop(file);
    let back = fs::read(temporary).map_err(on_disk)?;
    let again = parse_job(name, &back).and_then(|opened| format_job(name, &opened.job))?;
    if again == text {
        Ok(())
    } else {
        Err(FileError::new(
            name,
            Cause::Refused,
            "the job does not read back as it was written",
            "The old file was kept; save a copy under another name and report this",
        ))
    }
}

/// Makes the renaming itself last; only Unix can open a folder for that.
fn sync_folder(folder: &Path) -> io::Result<()> {
    if cfg!(unix) {
        File::open(folder)?.sync_all()
    } else {
        Ok(())
    }
}
