//! Jobs that are put away: out of the everyday list and still found, in a folder of the notebook of their own.

use std::{
    fs,
    path::{Path, PathBuf},
};

use super::{
    Cause, FileError, attach,
    import::free_name,
    read_job,
    save::{GENERATIONS, previous_name},
    trouble::disk,
};

/// The folder in a notebook where they lie.
pub const FOLDER: &str = "put-away";

/// Whether a job is put away, by its path in the notebook.
pub fn is_away(path: &str) -> bool {
    path.split_once('/')
        .is_some_and(|(first, _)| first == FOLDER)
}

/// Puts a listed job away with its photos and earlier saves, or brings it back. Answers where it lies now.
///
/// # Errors
/// The job cannot be read, or it or a photo of it cannot be moved; it stays where it was then.
pub fn put_away_or_back(notebook: &Path, listed: &str) -> Result<PathBuf, FileError> {
    let from = notebook.join(listed);
    let name = from.display().to_string();
    let on_disk = |error: std::io::Error| disk(&name, &error);
    let attached = read_job(&from)?.job.record.attachments;
    let folder = if is_away(listed) {
        notebook.to_path_buf()
    } else {
        notebook.join(FOLDER)
    };
    fs::create_dir_all(&folder).map_err(on_disk)?;
    let stem = from.file_stem().unwrap_or_default().to_string_lossy();
    let to = free_name(&folder, &stem)?;
    // The photos first, and they stay where they were as well: another job may have the same.
    for error in attach::take_along(&attached, &from, &to) {
        let here = |one: &&_| attach::read_attachment(&from, one).is_ok();
        let there = |one: &_| attach::read_attachment(&to, one).is_ok();
        if !attached.iter().filter(here).all(there) {
            return Err(error);
        }
    }
    fs::rename(&from, &to).map_err(on_disk)?;
    for generation in 1..=GENERATIONS {
        let earlier = previous_name(&from, generation);
        if earlier.exists() {
            let moved = fs::rename(&earlier, previous_name(&to, generation));
            moved.map_err(|error| {
                FileError::new(
                    &earlier.display().to_string(),
                    Cause::Disk,
                    format!("the job was moved, and this earlier save of it was not: {error}"),
                    "Move it by hand",
                )
            })?;
        }
    }
    Ok(to)
}
