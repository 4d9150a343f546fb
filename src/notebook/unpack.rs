//! A packed job back into its files. Names in an archive are never used as paths: the job is called as its file was, and
//! an attachment goes where its hash says.

use super::{Cause, FileError, Job, attach, parse_job, record::Attachment, trouble::excerpt};

/// Largest archive that is read, in bytes.
pub const LARGEST: u64 = 512 * 1024 * 1024;
/// Most files in one.
const MOST: usize = 2_000;

/// A job from an archive.
#[derive(Clone, Debug, PartialEq)]
pub struct Unpacked {
    /// What its file was called.
    pub name: String,
    /// The job.
    pub job: Job,
    /// Its attachments with their content.
    pub files: Vec<(Attachment, Vec<u8>)>,
    /// Attachments that the record names and the archive does not have, or not as they were.
    pub missing: Vec<String>,
}

/// Whether a file begins as an archive does (APPNOTE.TXT 4.3.7, 4.3.16).
pub fn is_archive(bytes: &[u8]) -> bool {
    bytes.starts_with(b"PK\x03\x04") || bytes.starts_with(b"PK\x05\x06")
}

/// A file of the archive's directory.
struct Listed<'a> {
    name: String,
    packed: &'a [u8],
    deflated: bool,
    size: usize,
    sum: u32,
}

/// Unpacks a job. `name` is the archive, for messages.
///
/// # Errors
/// No archive, a damaged one, one with no job or with several, or a job that cannot be read.
pub fn unpack(name: &str, bytes: &[u8]) -> Result<Unpacked, FileError> {
    let refuse = |what: &str, remedy: &str| FileError::new(name, Cause::Content, what, remedy);
    let damaged = || {
        refuse(
            "the archive is torn or damaged",
            "Pack the job again, or copy the archive again",
        )
    };
    let listed = directory(bytes).ok_or_else(damaged)?;
    let is_job = |file: &&Listed<'_>| file.name.ends_with(".ron") && !file.name.contains('/');
    let mut jobs = listed.iter().filter(is_job);
    let (Some(found), None) = (jobs.next(), jobs.next()) else {
        return Err(refuse(
            "the archive does not hold exactly one job",
            "Choose an archive that Pinchpoint packed, or unpack it and import the job file",
        ));
    };
    let text = content(found, super::file::LARGEST).ok_or_else(damaged)?;
    let opened = parse_job(&format!("{name}, {}", excerpt(&found.name)), &text)?;
    if let Some(version) = opened.newer {
        return Err(FileError::new(
            name,
            Cause::Newer(version),
            format!("the job in it is of the newer version {version}"),
            "Import it with a newer Pinchpoint",
        ));
    }
    let (mut files, mut missing) = (Vec::new(), Vec::new());
    for attachment in &opened.job.record.attachments {
        let place = attach::path_of(found.name.as_ref(), attachment);
        let inside = place.map(|path| path.to_string_lossy().replace('\\', "/"));
        let file = listed
            .iter()
            .find(|file| inside.as_ref() == Some(&file.name));
        let bytes = file.and_then(|file| content(file, attach::LARGEST as usize));
        match bytes.filter(|bytes| attach::fits(attachment, bytes)) {
            Some(bytes) => files.push((attachment.clone(), bytes)),
            None => missing.push(excerpt(&attachment.name)),
        }
    }
    Ok(Unpacked {
        name: found.name.clone(),
        job: opened.job,
        files,
        missing,
    })
}

/// A little-endian number of up to four bytes.
fn number(bytes: &[u8], at: usize, size: usize) -> Option<usize> {
    let four = bytes.get(at..at.checked_add(size)?)?;
    Some(
        four.iter()
            .rev()
            .fold(0, |sum, &byte| sum << 8 | usize::from(byte)),
    )
}

/// The files that the directory at the archive's end lists (APPNOTE.TXT 4.3.7, 4.3.12, 4.3.16).
fn directory(bytes: &[u8]) -> Option<Vec<Listed<'_>>> {
    // A comment of up to 65,535 bytes may follow the end record.
    let from = bytes.len().saturating_sub(22 + 0xFFFF);
    let tail = bytes.get(from..)?;
    let end = from + tail.windows(4).rposition(|four| four == b"PK\x05\x06")?;
    if end + 22 + number(bytes, end + 20, 2)? != bytes.len() {
        return None;
    }
    let count = number(bytes, end + 10, 2)?;
    if count > MOST {
        return None;
    }
    let mut at = number(bytes, end + 16, 4)?;
    let mut listed = Vec::new();
    for _ in 0..count {
        let head = bytes.get(at..)?.strip_prefix(b"PK\x01\x02")?;
        let (flags, method) = (number(head, 4, 2)?, number(head, 6, 2)?);
        let (sum, packed) = (number(head, 12, 4)?, number(head, 16, 4)?);
        let size = number(head, 20, 4)?;
        let (name, extra, comment) = (
            number(head, 24, 2)?,
            number(head, 26, 2)?,
            number(head, 28, 2)?,
        );
        let local = number(head, 38, 4)?;
        let text = head.get(42..42 + name)?;
        at = at.checked_add(46 + name + extra + comment)?;
        // Bit 0: encrypted. Methods: 0 stored, 8 deflated.
        if flags & 1 == 1 || !matches!(method, 0 | 8) {
            return None;
        }
        let file = bytes.get(local..)?.strip_prefix(b"PK\x03\x04")?;
        let start = 26 + number(file, 22, 2)? + number(file, 24, 2)?;
        listed.push(Listed {
            name: String::from_utf8_lossy(text).replace('\\', "/"),
            packed: file.get(start..start.checked_add(packed)?)?,
            deflated: method == 8,
            size,
            sum: u32::try_from(sum).ok()?,
        });
    }
    Some(listed)
}

/// The content of a file, if it is as large and has the checksum that the directory says.
fn content(file: &Listed<'_>, most: usize) -> Option<Vec<u8>> {
    if file.size > most {
        return None;
    }
    let bytes = if file.deflated {
        miniz_oxide::inflate::decompress_to_vec_with_limit(file.packed, file.size).ok()?
    } else {
        file.packed.to_vec()
    };
    (bytes.len() == file.size && crc32fast::hash(&bytes) == file.sum).then_some(bytes)
}
