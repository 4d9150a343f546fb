//! The job file: RON text `(format: "pinchpoint", version: 1, body: (…))` and a checksum in a last comment line.
//!
//! A file without the checksum line is taken as edited by hand and accepted. With it, a single torn or flipped
//! bit is an error, because damaged text can still parse, to something else.

use std::path::Path;

use super::{
    Cause, FileError, Job,
    document::{Head, options, parse_document},
    generations, lexis,
    save::Stamp,
    whole::read_plain,
};
use crate::reading::{Clamp, Entry, Kind, Value};

/// Newest version of the shape that this program knows. Version 2 has `record`, version 3 more kinds of reading and
/// what is noted with them, version 4 places that were looked at. A job is written as the oldest version that says all of it, so that programs that know no
/// more can open it and save it.
pub const VERSION: u32 = 4;
/// Largest file that is read, in bytes; a job with thousands of readings needs a tenth of it.
pub const LARGEST: usize = 8 * 1024 * 1024;

const FORMAT: &str = "pinchpoint";
const CHECKSUM: &str = "// checksum ";

/// A job that was read, and what is to be known about its file.
#[derive(Clone, Debug, PartialEq)]
pub struct Opened {
    /// The job.
    pub job: Job,
    /// Version of the shape in which it is written.
    pub version: u32,
    /// The same, where it is newer than [`VERSION`]: such a file is to be left as it is.
    pub newer: Option<u32>,
    /// Whether a checksum was there (and fitted).
    pub sealed: bool,
    /// What the file held, for saving over it later.
    pub stamp: Stamp,
}

/// Reads a job from a file.
///
/// # Errors
/// The file cannot be read, is no plain file, is too large, or is no valid job; see [`parse_job`]. Where the file is torn
/// or altered, the newest earlier save beside it that is whole is named.
pub fn read_job(path: &Path) -> Result<Opened, FileError> {
    let name = path.display().to_string();
    let bytes = read_plain(path, &name, true, &generations::JOB)?;
    parse_job(&name, &bytes).map_err(|error| generations::with_earlier_save(path, error))
}

/// Reads a job from the bytes of a file called `name`.
///
/// # Errors
/// Too large, not UTF-8, a wrong checksum, not RON, unknown, duplicate or missing fields, numbers that are not
/// finite, or a newer version in a shape that is not known here. Each names its line, column and field.
pub fn parse_job(name: &str, bytes: &[u8]) -> Result<Opened, FileError> {
    let content = |what: &str, remedy: &str| FileError::new(name, Cause::Content, what, remedy);
    if bytes.len() > LARGEST {
        return Err(content(
            "the file is larger than 8 MB",
            "A job file is far smaller; choose another file",
        ));
    }
    let text = std::str::from_utf8(bytes).map_err(|error| {
        let before = String::from_utf8_lossy(&bytes[..error.valid_up_to()]);
        let (line, column) = end_of(&before);
        content(
            "the file is not UTF-8 text from here on",
            "It is damaged or no job file; open an earlier save, if there is one beside it",
        )
        .at(line, column)
    })?;
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    if text.trim().is_empty() {
        return Err(content(
            "the file is empty",
            "Open an earlier save, if there is one beside it",
        ));
    }
    if text.starts_with('\0') {
        return Err(content(
            "the file holds zero bytes instead of text",
            "It was not written to the end before the power went; open an earlier save, if there is one beside it",
        ));
    }
    let sealed = check_checksum(name, text)?;
    let open = lexis::check(text).map_err(|refusal| {
        content(&refusal.what, refusal.remedy).at(refusal.line, refusal.column)
    })?;
    let head = options().from_str::<Head>(text).ok();
    if head.as_ref().is_some_and(|head| head.format != FORMAT) {
        return Err(content(
            "the file says that it is of another format",
            "Choose a job file; it begins with (format: \"pinchpoint\"",
        ));
    }
    // Versions 2 to 4 only add what may be left out, so an older body is one of the newest version as it stands. A
    // change that is more than that turns the older body into the newer one here, one step per version.
    let version = head.map_or(VERSION, |head| head.version);
    if version == 0 {
        return Err(content("there is no version 0", "Write version: 1"));
    }
    let newer = (version > VERSION).then_some(version);
    match (parse_document(name, text), newer) {
        (Ok(job), newer) => Ok(Opened {
            job,
            version,
            newer,
            sealed,
            stamp: Stamp::of(bytes),
        }),
        (Err(_), Some(version)) => Err(FileError::new(
            name,
            Cause::Newer(version),
            format!(
                "the file is of version {version}; this program knows versions up to {VERSION}"
            ),
            "Open it with a newer Pinchpoint; it was left as it is",
        )),
        (Err(mut error), None) => {
            // Before its bracket, a job file has comments at most.
            if !text.trim_start().starts_with(['(', '/', '#']) {
                error.what = "this is no job file".into();
                error.remedy =
                    "Choose a job file (.ron); it begins with (format: \"pinchpoint\"".into();
                return Err(error);
            }
            let last = text.trim_end().lines().count();
            // Only what goes on to the very end without its brackets was cut off there; the parser trips on whatever
            // word it was in.
            if open > 0 && error.place.is_some_and(|(line, _)| line as usize >= last) {
                error.what = "the text ends too early: the file is torn".into();
                error.remedy = "If you edited it, close every bracket and quotation mark".into();
            }
            Err(error)
        }
    }
}

/// Line and column, from 1, behind a text.
fn end_of(text: &str) -> (usize, usize) {
    let line = text.matches('\n').count() + 1;
    let last = text.rsplit('\n').next().unwrap_or(text);
    (line, last.chars().count() + 1)
}

/// CRC-32 of a text, line ends counted alike on every system.
fn checksum(text: &str) -> u32 {
    let mut hasher = crc32fast::Hasher::new();
    for (index, piece) in text.split("\r\n").enumerate() {
        if index > 0 {
            hasher.update(b"\n");
        }
        hasher.update(piece.as_bytes());
    }
    hasher.finalize()
}

/// Whether the text ends in a checksum line, and an error if that does not fit.
fn check_checksum(name: &str, text: &str) -> Result<bool, FileError> {
    let body = text.trim_end();
    let last = body.rfind('\n').map_or(0, |at| at + 1);
    let Some(noted) = body[last..].strip_prefix(CHECKSUM) else {
        return Ok(false);
    };
    if noted == format!("{:08x}", checksum(&text[..last])) {
        return Ok(true);
    }
    Err(FileError::new(
        name,
        Cause::Checksum,
        "the checksum in the last line does not fit the text: the file is damaged, or was edited by hand",
        "If you edited it, delete the last line and open it again; if not, open an earlier save, if there is one beside it",
    )
    .at(end_of(&text[..last]).0, 1))
}

/// The oldest version that says all of a job.
fn oldest(job: &Job) -> u32 {
    let third = |entry: &Entry| match entry {
        Entry::Reading(reading) => {
            let old = matches!(reading.kind, Kind::Volts | Kind::Ohms | Kind::Amperes)
                && !matches!(reading.value, Value::Seen(_));
            reading.step.is_some() || !reading.wiggled.is_empty() || !old
        }
        Entry::Repair(_) | Entry::Inspection(_) => false,
    };
    let fourth = |entry: &Entry| matches!(entry, Entry::Inspection(_));
    if job.log.iter().any(fourth) {
        4
    } else if job.log.iter().any(third) || job.meter.clamp != Clamp::default() {
        3
    } else if job.record.is_empty() {
        1
    } else {
        2
    }
}

/// The text of a job's file: one part and one log line per line, ending in the checksum.
///
/// # Errors
/// Only if the job holds something that the file format cannot carry, such as a number that is not finite.
pub fn format_job(name: &str, job: &Job) -> Result<String, FileError> {
    let mut text =
        super::layout::lay_out(FORMAT, oldest(job), &options(), job).map_err(|error| {
            FileError::new(
                name,
                Cause::Content,
                error.to_string(),
                "Correct that value",
            )
        })?;
    let sum = checksum(&text);
    text.push_str(&format!("{CHECKSUM}{sum:08x}\n"));
    Ok(text)
}
