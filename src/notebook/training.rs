//! Files of practice: an exercise that a trainer made, a trainee's record, and a session that is not finished. RON text
//! `(format: "pinchpoint exercise", version: 1, body: (…))`, or `version: 2` of `"pinchpoint trainee"`, or `version: 1` of
//! `"pinchpoint session"`.

use std::path::Path;

use serde::{Serialize, de::DeserializeOwned};

use super::{
    Cause, FileError,
    document::{Document, Head, options, parse_document},
    file::LARGEST,
    lexis,
    whole::{Limits, can_write, read_plain, write_whole},
};
use crate::practice::{Exercise, Record, Unfinished};

/// A format of file with the version that is written. A change of shape turns an older body into the newer one where it
/// is read, one step per version.
#[derive(Clone, Copy)]
struct Format {
    name: &'static str,
    version: u32,
    /// What such a file is, for who has chosen an empty one.
    holds: &'static str,
}

const FILE: Limits = Limits {
    most: LARGEST as u64,
    larger: "the file is larger than 8 MB",
    remedy: "Choose another file",
    choose: "Choose a file of practice",
};

const EXERCISE: Format = Format {
    name: "pinchpoint exercise",
    version: 1,
    holds: "an exercise",
};
/// Version 1 did not know that an exercise can be given up; everything else in it is as it was.
const TRAINEE: Format = Format {
    name: "pinchpoint trainee",
    version: 2,
    holds: "a trainee's record",
};

const SESSION: Format = Format {
    name: "pinchpoint session",
    version: 1,
    holds: "a session of practice",
};

/// Which file of practice a text is, by its head; none where it is no such file.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Held {
    /// An exercise.
    Exercise,
    /// A trainee's record.
    Trainee,
}

/// What a file holds, without reading all of it in detail; none for a job, anything else, and what cannot be read.
pub fn held(path: &Path) -> Option<Held> {
    let name = path.display().to_string();
    let bytes = read_plain(path, &name, true, &FILE).ok()?;
    let text = std::str::from_utf8(&bytes).ok()?;
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let named = || {
        lexis::check(text).ok()?;
        options()
            .from_str::<Head>(text)
            .ok()
            .map(|head| head.format)
    };
    // One that is cut off still says at its beginning what it was; reading it then says what is wrong.
    let begins = |format: &Format| {
        let bare = |text: &str| text.replace(char::is_whitespace, "");
        let start: String = text.chars().take(200).collect();
        bare(&start).starts_with(&bare(&format!("(format: \"{}\"", format.name)))
    };
    let named = named();
    [(EXERCISE, Held::Exercise), (TRAINEE, Held::Trainee)]
        .into_iter()
        .find(|(format, _)| match &named {
            Some(name) => name == format.name,
            None => begins(format),
        })
        .map(|(_, held)| held)
}

/// Reads an exercise. Whether it can be done is for [`Exercise::check`] to say.
///
/// # Errors
/// What the disk says, a file of another format or a newer version, or a mistake in it with line, column and field.
pub fn read_exercise(path: &Path) -> Result<Exercise, FileError> {
    read(path, EXERCISE)
}

/// Writes an exercise, whole or not at all.
///
/// # Errors
/// What the disk says; the old file is untouched then.
pub fn write_exercise(path: &Path, exercise: &Exercise) -> Result<(), FileError> {
    write(path, EXERCISE, exercise)
}

/// Whether a trainee's record can be kept in a file: it is one or is not there yet, and its folder takes files.
///
/// # Errors
/// As [`read_trainee`], and what the disk says to writing there; what was there is untouched.
pub fn can_keep(path: &Path) -> Result<(), FileError> {
    read_trainee(path)?;
    can_write(path)
}

/// Reads a trainee's record, of this version or an older one; an empty one where there is no file yet.
///
/// # Errors
/// As [`read_exercise`].
pub fn read_trainee(path: &Path) -> Result<Record, FileError> {
    if !path.exists() {
        return Ok(Record::default());
    }
    read(path, TRAINEE)
}

/// Writes a trainee's record, whole or not at all.
///
/// # Errors
/// As [`write_exercise`]; a file there that is no trainee's record is left alone.
pub fn write_trainee(path: &Path, record: &Record) -> Result<(), FileError> {
    read_trainee(path)?;
    write(path, TRAINEE, record)
}

/// Reads a session that is not finished.
///
/// # Errors
/// As [`read_exercise`].
pub fn read_session(path: &Path) -> Result<Unfinished, FileError> {
    read(path, SESSION)
}

/// Writes a session that is not finished, whole or not at all.
///
/// # Errors
/// As [`write_exercise`].
pub fn write_session(path: &Path, session: &Unfinished) -> Result<(), FileError> {
    write(path, SESSION, session)
}

fn read<T: DeserializeOwned>(path: &Path, format: Format) -> Result<T, FileError> {
    let name = path.display().to_string();
    let bytes = read_plain(path, &name, true, &FILE)?;
    let text = String::from_utf8(bytes).map_err(|_| {
        let (what, remedy) = ("the file is not UTF-8 text", "It is damaged; use a copy");
        FileError::new(&name, Cause::Content, what, remedy)
    })?;
    parse(&name, format, &text)
}

fn parse<T: DeserializeOwned>(name: &str, format: Format, text: &str) -> Result<T, FileError> {
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    if text.trim().is_empty() {
        return Err(FileError::new(
            name,
            Cause::Content,
            "the file is empty",
            format!("Choose a file that holds {}", format.holds),
        ));
    }
    lexis::check(text).map_err(|refusal| {
        FileError::new(name, Cause::Content, &refusal.what, refusal.remedy)
            .at(refusal.line, refusal.column)
    })?;
    if let Ok(head) = options().from_str::<Head>(text) {
        if head.format != format.name {
            return Err(FileError::new(
                name,
                Cause::Content,
                format!("the file says that it is of the format “{}”", head.format),
                format!(
                    "Choose a file that begins with (format: \"{}\"",
                    format.name
                ),
            ));
        }
        if !(1..=format.version).contains(&head.version) {
            return Err(FileError::new(
                name,
                Cause::Newer(head.version),
                format!(
                    "the file is of version {}; this program knows 1 to {}",
                    head.version, format.version
                ),
                "Open it with a newer Pinchpoint; it was left as it is",
            ));
        }
    }
    parse_document(name, text)
}

fn write<T: Serialize + DeserializeOwned>(
    path: &Path,
    format: Format,
    body: &T,
) -> Result<(), FileError> {
    let name = path.display().to_string();
    let refused =
        |what: String| FileError::new(&name, Cause::Refused, what, "The old file was kept");
    let document = Document {
        format: format.name.to_owned(),
        version: format.version,
        body,
    };
    let pretty = ron::ser::PrettyConfig::new().depth_limit(4);
    let text = (options().to_string_pretty(&document, pretty))
        .map_err(|error| refused(error.to_string()))?;
    // What is written must read back, before it takes the old file's place.
    parse::<T>(&name, format, &text)?;
    write_whole(path, text.as_bytes())
}
