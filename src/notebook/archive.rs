//! A job with its attachments as one file: a ZIP archive without compression, the same bytes for the same job.

use std::{
    fs::File,
    io::{self, Read},
    path::Path,
};

use super::{
    Cause, FileError, Job, attach, format_job, read_job, unpack::is_archive, whole::write_whole,
};

/// Version needed to extract, 2.0; general purpose flag for UTF-8 names; 1980-01-01 (APPNOTE.TXT 4.4.3, 4.4.4, 4.4.6).
const VERSION: u16 = 20;
const UTF8: u16 = 1 << 11;
const FIRST_DAY: u16 = 1 << 5 | 1;

/// An archive, and the attachments that are not in it because they could not be read.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Archive {
    /// The file's bytes.
    pub bytes: Vec<u8>,
    /// What is missing, and why.
    pub missing: Vec<FileError>,
}

/// The archive of a job that was read from a file; `name` is what the job's file is called inside.
///
/// # Errors
/// The job cannot be written as a file, or everything together is larger than the format allows (4 GB).
pub fn archive(job: &Job, job_file: &Path, name: &str) -> Result<Archive, FileError> {
    let text = format_job(name, job)?;
    let mut files = vec![(format!("{}.ron", plain_name(name)), text.into_bytes())];
    let mut missing = Vec::new();
    for attachment in &job.record.attachments {
        let path = attach::path_of(job_file, attachment);
        let inside = path.as_ref().and_then(|path| path.file_name());
        let inside = inside.map(|name| format!("{}/{}", attach::FOLDER, name.to_string_lossy()));
        match (attach::read_attachment(job_file, attachment), inside) {
            (Ok(_), Some(inside)) if files.iter().any(|(name, _)| *name == inside) => {}
            (Ok(bytes), Some(inside)) => files.push((inside, bytes)),
            (Ok(_), None) => {}
            (Err(error), _) => missing.push(error),
        }
    }
    let bytes = zip(&files).ok_or_else(|| {
        let what = "the archive would be larger than 4 GB";
        FileError::new(name, Cause::Refused, what, "Take out some attachments")
    })?;
    Ok(Archive { bytes, missing })
}

/// Packs the job that a file holds; answers which attachments are missing.
///
/// # Errors
/// The job cannot be read, or the archive not be made or written; or something that is no packed job stands in its way,
/// such as the job itself.
pub fn pack(from: &Path, to: &Path) -> Result<Vec<FileError>, FileError> {
    may_replace(to)?;
    let name = from.file_name().unwrap_or_default().to_string_lossy();
    let packed = archive(&read_job(from)?.job, from, &plain_name(&name))?;
    write_whole(to, &packed.bytes)?;
    Ok(packed.missing)
}

/// Nothing but an earlier archive is written over.
fn may_replace(to: &Path) -> Result<(), FileError> {
    let mut start = [0; 4];
    let read = File::open(to).and_then(|mut file| file.read_exact(&mut start));
    match read {
        Err(error) if error.kind() == io::ErrorKind::NotFound => Ok(()),
        Ok(()) if is_archive(&start) => Ok(()),
        _ => Err(FileError::new(
            &to.display().to_string(),
            Cause::Refused,
            "there is something else of that name, and it would be lost",
            "Choose another name for the packed job, such as one that ends in .zip",
        )),
    }
}

/// A name without folders, drive letters and what some system forbids.
pub fn plain_name(name: &str) -> String {
    let stem = name.rsplit(['/', '\\']).next().unwrap_or(name);
    let stem = stem.strip_suffix(".ron").unwrap_or(stem);
    let plain: String = stem
        .chars()
        .take(80)
        .map(|sign| {
            if sign.is_alphanumeric() || "-_ ".contains(sign) {
                sign
            } else {
                '-'
            }
        })
        .collect();
    let plain = plain.trim_matches([' ', '-']).to_owned();
    let reserved = ["con", "prn", "aux", "nul"].contains(&plain.to_lowercase().as_str())
        || (plain.len() == 4
            && (plain.to_lowercase().starts_with("com")
                || plain.to_lowercase().starts_with("lpt")));
    if plain.is_empty() || reserved {
        format!("job{plain}")
    } else {
        plain
    }
}

/// Stored files, their directory and its end (APPNOTE.TXT 4.3.7, 4.3.12, 4.3.16).
fn zip(files: &[(String, Vec<u8>)]) -> Option<Vec<u8>> {
    let count = u16::try_from(files.len()).ok()?;
    let mut bytes = Vec::new();
    let mut directory = Vec::new();
    for (name, content) in files {
        let at = u32::try_from(bytes.len()).ok()?;
        let size = u32::try_from(content.len()).ok()?;
        let length = u16::try_from(name.len()).ok()?;
        let mut shared = Vec::new();
        for number in [VERSION, UTF8, 0, 0, FIRST_DAY] {
            shared.extend(number.to_le_bytes());
        }
        for number in [crc32fast::hash(content), size, size] {
            shared.extend(number.to_le_bytes());
        }
        shared.extend(length.to_le_bytes());
        shared.extend(0u16.to_le_bytes());
        bytes.extend(b"PK\x03\x04");
        bytes.extend(&shared);
        bytes.extend(name.as_bytes());
        bytes.extend(content);
        directory.extend(b"PK\x01\x02");
        directory.extend(VERSION.to_le_bytes());
        directory.extend(&shared);
        // No comment, first disk, no attributes inside, none outside.
        directory.extend([0; 10]);
        directory.extend(at.to_le_bytes());
        directory.extend(name.as_bytes());
    }
    let at = u32::try_from(bytes.len()).ok()?;
    let size = u32::try_from(directory.len()).ok()?;
    bytes.extend(directory);
    bytes.extend(b"PK\x05\x06");
    for number in [0, 0, count, count] {
        bytes.extend(number.to_le_bytes());
    }
    for number in [size, at] {
        bytes.extend(number.to_le_bytes());
    }
    bytes.extend(0u16.to_le_bytes());
    Some(bytes)
}
