//! Attachments on disk: copied by content into the folder `attachments` beside the job file, and checked when read.
//!
//! A name from a job file is never used as a path: the file's name is its hash, and an ending from a short list.

use std::{
    fs::{self, File},
    io::{Read, Write},
    path::{Path, PathBuf},
};

use sha2::{Digest, Sha256};

use super::{
    Cause, FileError,
    record::{Attachment, doubts::is_hash},
    trouble::disk,
};

/// Largest attachment, in bytes.
pub const LARGEST: u64 = 25 * 1024 * 1024;
/// Folder beside the job file.
pub const FOLDER: &str = "attachments";
/// Endings that a file keeps; any other becomes `bin`.
const ENDINGS: [&str; 6] = ["jpg", "jpeg", "png", "pdf", "txt", "csv"];

/// Where the content of an attachment lies; none where its hash is none.
pub fn path_of(job_file: &Path, attachment: &Attachment) -> Option<PathBuf> {
    if !is_hash(attachment) {
        return None;
    }
    let ending = attachment
        .name
        .rsplit_once('.')
        .map(|(_, ending)| ending.to_ascii_lowercase());
    let known = ENDINGS
        .iter()
        .find(|known| ending.as_deref() == Some(**known));
    let name = format!("{}.{}", attachment.sha256, known.unwrap_or(&"bin"));
    Some(job_file.with_file_name(FOLDER).join(name))
}

/// Copies a file into the attachments of a job and answers what to note in the record.
///
/// # Errors
/// The file cannot be read, is no file, or is larger than 25 MB; or its copy cannot be written.
pub fn attach(job_file: &Path, source: &Path, caption: &str) -> Result<Attachment, FileError> {
    let shown = source.display().to_string();
    let bytes = read_whole(source, &shown, true)?;
    let name = source
        .file_name()
        .map_or_else(String::new, |name| name.to_string_lossy().into_owned());
    let attachment = Attachment {
        sha256: hash(&bytes),
        name,
        bytes: bytes.len() as u64,
        caption: caption.to_owned(),
    };
    let Some(target) = path_of(job_file, &attachment) else {
        return Err(FileError::new(
            &shown,
            Cause::Refused,
            "it has no hash",
            "Try again",
        ));
    };
    if read_attachment(job_file, &attachment).is_ok() {
        return Ok(attachment);
    }
    let folder = job_file.with_file_name(FOLDER);
    let on_disk = |error: std::io::Error| disk(&target.display().to_string(), &error);
    fs::create_dir_all(&folder).map_err(on_disk)?;
    let beside = target.with_extension(format!("{}.new", std::process::id()));
    let written = File::create(&beside).and_then(|mut file| {
        file.write_all(&bytes)?;
        file.sync_all()?;
        fs::rename(&beside, &target)
    });
    if written.is_err() {
        // The first error is the one to tell.
        let _ = fs::remove_file(&beside);
    }
    written.map_err(on_disk)?;
    Ok(attachment)
}

/// The content of an attachment.
///
/// # Errors
/// It is not there, is no plain file (a link could lead out of the folder), is too large, or its content is not the
/// one that was attached.
pub fn read_attachment(job_file: &Path, attachment: &Attachment) -> Result<Vec<u8>, FileError> {
    let name = &attachment.name;
    let Some(path) = path_of(job_file, attachment) else {
        let remedy = "Attach the file again";
        return Err(FileError::new(
            name,
            Cause::Content,
            "its hash in the record is none",
            remedy,
        ));
    };
    let bytes = read_whole(&path, name, false)?;
    if hash(&bytes) == attachment.sha256 {
        Ok(bytes)
    } else {
        Err(FileError::new(
            name,
            Cause::Checksum,
            "the attached file was changed or is damaged",
            "Attach the original again",
        ))
    }
}

/// A whole plain file. Pipes and devices are refused before they are opened, as opening a pipe would wait for ever.
fn read_whole(path: &Path, name: &str, follow: bool) -> Result<Vec<u8>, FileError> {
    let on_disk = |error: std::io::Error| disk(name, &error);
    let about = if follow {
        fs::metadata(path)
    } else {
        fs::symlink_metadata(path)
    };
    let about = about.map_err(on_disk)?;
    if !about.is_file() {
        let what = "this is no plain file";
        return Err(FileError::new(
            name,
            Cause::Disk,
            what,
            "Choose a photo or another file",
        ));
    }
    let mut bytes = Vec::new();
    let file = File::open(path).map_err(on_disk)?;
    // One byte more than is accepted, so that a larger file is seen to be larger without being read whole.
    file.take(LARGEST + 1)
        .read_to_end(&mut bytes)
        .map_err(on_disk)?;
    if bytes.len() as u64 > LARGEST {
        let remedy = "Make the photo smaller, or keep the file elsewhere";
        return Err(FileError::new(
            name,
            Cause::Content,
            "it is larger than 25 MB",
            remedy,
        ));
    }
    Ok(bytes)
}

/// SHA-256 in hexadecimal digits (FIPS 180-4).
fn hash(bytes: &[u8]) -> String {
    use std::fmt::Write as _;
    let mut text = String::with_capacity(64);
    for byte in Sha256::digest(bytes) {
        // Writing to a string cannot fail.
        let _ = write!(text, "{byte:02x}");
    }
    text
}
