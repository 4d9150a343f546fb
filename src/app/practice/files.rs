//! Records of trainees on disk, one file each, and the day that a result is given.

use std::{
    fs,
    path::{Path, PathBuf},
    time::{SystemTime, UNIX_EPOCH},
};

use super::state::Trainee;
use crate::{
    app::model::Refusal,
    notebook::{
        FileError,
        training::{Held, held, read_trainee, write_trainee},
    },
    practice::{Done, Record},
};

/// Files of a folder that are looked at, at most.
const MOST: usize = 2000;

/// The file of a trainee: letters and digits of the name.
///
/// ```
/// use pinchpoint::app::practice::file_of;
/// assert_eq!(file_of("Ada  Brandt, 2nd"), "ada-brandt-2nd.ron");
/// assert_eq!(file_of("../x"), "x.ron");
/// ```
pub fn file_of(name: &str) -> String {
    let mut file = String::new();
    for sign in name.chars().take(60) {
        match sign {
            sign if sign.is_alphanumeric() => file.extend(sign.to_lowercase()),
            _ if !file.ends_with('-') && !file.is_empty() => file.push('-'),
            _ => {}
        }
    }
    let file = file.trim_end_matches('-');
    format!("{}.ron", if file.is_empty() { "trainee" } else { file })
}

/// Seconds since 1970 by the system's clock; 0 before that.
pub(super) fn seconds() -> u64 {
    let now = SystemTime::now().duration_since(UNIX_EPOCH);
    now.map_or(0, |since| since.as_secs())
}

/// Adds a line to the record of a trainee, which is made if need be; answers its file.
pub(super) fn keep(folder: &Path, name: &str, done: Done) -> Result<PathBuf, Refusal> {
    let shown = folder.display().to_string();
    fs::create_dir_all(folder).map_err(|error| {
        let what = format!("the folder of records cannot be made: {error}");
        Refusal::new(shown, what, "Choose another folder under Progress")
    })?;
    let path = folder.join(file_of(name));
    let written = read_trainee(&path).and_then(|mut record| {
        record.name = name.to_owned();
        record.done.push(done);
        write_trainee(&path, &record)
    });
    written.map_err(|error| refusal(&error))?;
    Ok(path)
}

/// Every record in a folder, by name; files that are none are passed over.
pub(super) fn records(folder: &Path) -> Result<Vec<Trainee>, Refusal> {
    let entries = match fs::read_dir(folder) {
        Ok(entries) => entries,
        Err(error) if error.kind() == std::io::ErrorKind::NotFound => return Ok(Vec::new()),
        Err(error) => {
            let what = format!("the folder of records cannot be read: {error}");
            let shown = folder.display().to_string();
            return Err(Refusal::new(shown, what, "Choose another folder"));
        }
    };
    let mut trainees: Vec<Trainee> = (entries.take(MOST).flatten())
        .map(|entry| entry.path())
        .filter(|path| path.extension().is_some_and(|ending| ending == "ron"))
        .filter(|path| held(path) == Some(Held::Trainee))
        .map(|path| Trainee {
            record: read_trainee(&path).map_err(|error| error.to_string()),
            path,
        })
        .collect();
    trainees.sort_by_key(|trainee| {
        let name = trainee.record.as_ref().map_or("", |record| &record.name);
        (name.to_lowercase(), trainee.path.clone())
    });
    Ok(trainees)
}

/// The name by which a record goes; its file where it has none.
pub fn name_of<'r>(record: &'r Record, path: &'r Path) -> std::borrow::Cow<'r, str> {
    match record.name.trim() {
        "" => path.file_stem().unwrap_or_default().to_string_lossy(),
        name => name.into(),
    }
}

pub(super) fn refusal(error: &FileError) -> Refusal {
    Refusal::new(&*error.file, &*error.what, &*error.remedy)
}
