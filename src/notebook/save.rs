//! Saving: the old file or the new one, never a mixture, whatever happens on the way.

use std::{
    fs::{File, TryLockError},
    io,
    path::{Path, PathBuf},
    time::{Duration, Instant},
};

use serde::{Deserialize, Serialize};

use super::{
    Cause, FileError, Job, VERSION,
    calls::{FileCalls, System},
    file::LARGEST,
    format_job, parse_job,
    trouble::disk,
};

/// Saves before the last one that are kept beside a file.
pub(super) const GENERATIONS: usize = 3;

/// What a file held at a moment; two programs on one file are told apart by it, not by the clock.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Stamp {
    length: usize,
    checksum: u32,
}

impl Stamp {
    /// The stamp of a file's bytes.
    pub fn of(bytes: &[u8]) -> Self {
        Self {
            length: bytes.len(),
            checksum: crc32fast::hash(bytes),
        }
    }
}

/// Where a job went.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Saved {
    /// The file.
    pub path: PathBuf,
    /// What it holds now.
    pub stamp: Stamp,
    /// Whether it is a copy beside the wanted file, because that was changed by somebody else meanwhile.
    pub conflict: bool,
}

/// Writes a job over a file, or anew, whoever wrote it last; see [`save_job`].
///
/// # Errors
/// As [`save_job`].
pub fn write_job(path: &Path, job: &Job) -> Result<(), FileError> {
    save_job(path, job, None).map(|_| ())
}

/// Writes a job over a file, or anew, keeping the saves before it beside it as `name.bak.ron`, `name.bak2.ron` …
///
/// The text goes to a temporary file in the same folder, is synced, read back and compared; then it takes the
/// file's place in one step. Where the file no longer holds what was `seen` in it, it is left alone and the job
/// goes to `name.conflict.ron` beside it (or `conflict2` …).
///
/// # Errors
/// What the disk says (full, write-protected, not allowed, a folder in the way), a file of a newer version in
/// the way, or a job that does not read back as it was written. The old file is untouched in every case.
pub fn save_job(path: &Path, job: &Job, seen: Option<Stamp>) -> Result<Saved, FileError> {
    let _held = hold(path);
    save_job_with(&System, path, job, seen)
}

/// Longest wait for another program that is saving in the same folder.
const PATIENCE: Duration = Duration::from_secs(2);

/// Holds a folder while a job in it is looked at and replaced, so that two programs do so one after the other. Nothing
/// is held where the system or the disk has no such thing, or the other program hangs; what is there is still compared.
fn hold(path: &Path) -> Option<File> {
    let target = path.canonicalize().unwrap_or_else(|_| path.to_path_buf());
    let folder = File::open(folder_of(&target)?).ok()?;
    let begun = Instant::now();
    while matches!(folder.try_lock(), Err(TryLockError::WouldBlock)) {
        if begun.elapsed() > PATIENCE {
            return None;
        }
        std::thread::sleep(Duration::from_millis(5));
    }
    Some(folder)
}

/// The same with other calls to the file system, to see what happens when one of them fails.
///
/// # Errors
/// As [`save_job`].
pub fn save_job_with(
    calls: &dyn FileCalls,
    path: &Path,
    job: &Job,
    seen: Option<Stamp>,
) -> Result<Saved, FileError> {
    let name = path.display().to_string();
    let text = format_job(&name, job)?;
    // Through a link, so that the link stays and the file behind it is replaced.
    let target = calls
        .behind_links(path)
        .unwrap_or_else(|_| path.to_path_buf());
    if calls.about(&target).is_ok_and(|about| about.folder) {
        return Err(disk(&name, &io::ErrorKind::IsADirectory.into()));
    }
    let stamp = Stamp::of(text.as_bytes());
    // What cannot be read is not written over, since nobody knows what would be lost.
    let found = match whole(calls, &target) {
        Ok(bytes) => Some(Stamp::of(&bytes)),
        Err(error) if error.kind() == io::ErrorKind::NotFound => None,
        Err(error) => return Err(disk(&name, &error)),
    };
    let saved = |path, conflict| Saved {
        path,
        stamp,
        conflict,
    };
    if found == Some(stamp) {
        return Ok(saved(path.to_path_buf(), false));
    }
    if seen.is_some() && found.is_some() && found != seen {
        let copy = free_name(calls, &target).map_err(|error| disk(&name, &error))?;
        replace(calls, &copy, &copy.display().to_string(), &text)?;
        return Ok(saved(copy, true));
    }
    replace(calls, &target, &name, &text)?;
    Ok(saved(path.to_path_buf(), false))
}

fn replace(calls: &dyn FileCalls, target: &Path, name: &str, text: &str) -> Result<(), FileError> {
    let on_disk = |error: io::Error| disk(name, &error);
    let old = old_file(calls, target, name)?;
    let (Some(folder), Some(temporary), Some(spare)) = (
        folder_of(target),
        beside(target, "tmp"),
        beside(target, "old"),
    ) else {
        return Err(FileError::new(
            name,
            Cause::Disk,
            "this is no name for a file",
            "Add a file name to the path",
        ));
    };
    let result = write_and_compare(calls, &temporary, name, text).and_then(|()| {
        match old {
            Old::None => Ok(()),
            // The copy first: on a full disk the earlier saves stay where they are.
            Old::Job => calls
                .copy(target, &spare)
                .and_then(|()| make_room(calls, target))
                .and_then(|()| calls.rename(&spare, &previous_name(target, 1))),
            Old::Unreadable => keep(calls, target, &spare, &sibling(target, "unreadable")),
        }
        .and_then(|()| calls.rename(&temporary, target))
        .map_err(on_disk)
    });
    if result.is_err() {
        // The first error is the one to tell; a helper file that cannot be removed either does no harm.
        let _ = calls.remove(&temporary);
        let _ = calls.remove(&spare);
        return result;
    }
    calls.sync_folder(&folder).map_err(on_disk)
}

/// Name of a save before the last one: 1 is the newest of them.
pub fn previous_name(path: &Path, generation: usize) -> PathBuf {
    match generation {
        0 | 1 => sibling(path, "bak"),
        older => sibling(path, &format!("bak{older}")),
    }
}

/// Moves every kept save one generation back; the oldest goes.
fn make_room(calls: &dyn FileCalls, path: &Path) -> io::Result<()> {
    for generation in (1..GENERATIONS).rev() {
        let from = previous_name(path, generation);
        if exists(calls, &from)? {
            calls.rename(&from, &previous_name(path, generation + 1))?;
        }
    }
    Ok(())
}

/// The first name for a conflict copy that is not taken.
fn free_name(calls: &dyn FileCalls, path: &Path) -> io::Result<PathBuf> {
    let mut name = sibling(path, "conflict");
    let mut count = 1usize;
    while exists(calls, &name)? {
        count += 1;
        name = sibling(path, &format!("conflict{count}"));
    }
    Ok(name)
}

/// Whether something has a name. Trouble in finding out is no answer.
fn exists(calls: &dyn FileCalls, path: &Path) -> io::Result<bool> {
    match calls.about(path) {
        Ok(_) => Ok(true),
        Err(error) if error.kind() == io::ErrorKind::NotFound => Ok(false),
        Err(error) => Err(error),
    }
}

/// `name.word.ron` for `name.ron`.
fn sibling(path: &Path, word: &str) -> PathBuf {
    let file = path.file_name().unwrap_or_default().to_string_lossy();
    let stem = file.strip_suffix(".ron").unwrap_or(&file);
    path.with_file_name(format!("{stem}.{word}.ron"))
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

fn old_file(calls: &dyn FileCalls, path: &Path, name: &str) -> Result<Old, FileError> {
    let about = match calls.about(path) {
        Ok(about) => about,
        Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(Old::None),
        Err(error) => return Err(disk(name, &error)),
    };
    if about.protected {
        return Err(FileError::new(
            name,
            Cause::Disk,
            "the file is write-protected",
            "Save under another name, or change its rights",
        ));
    }
    let read = whole(calls, path).map_err(|error| disk(name, &error));
    let newer = match read.and_then(|bytes| parse_job(name, &bytes)) {
        Ok(opened) => opened.newer,
        Err(error) => match error.cause {
            Cause::Newer(version) => Some(version),
            Cause::Disk => return Err(error),
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
fn keep(calls: &dyn FileCalls, path: &Path, spare: &Path, kept: &Path) -> io::Result<()> {
    calls.copy(path, spare)?;
    calls.rename(spare, kept)
}

/// A file's bytes; one byte more than a job file may have, where it is larger.
fn whole(calls: &dyn FileCalls, path: &Path) -> io::Result<Vec<u8>> {
    calls.read(path, LARGEST as u64 + 1)
}

fn write_and_compare(
    calls: &dyn FileCalls,
    temporary: &Path,
    name: &str,
    text: &str,
) -> Result<(), FileError> {
    let on_disk = |error: io::Error| disk(name, &error);
    calls.write(temporary, text.as_bytes()).map_err(on_disk)?;
    let back = whole(calls, temporary).map_err(on_disk)?;
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
