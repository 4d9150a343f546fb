//! Attachments on disk: copied by content into the folder `attachments` beside the job file, and checked when read.
//!
//! A name from a job file is never used as a path: the file's name is its hash, and an ending from a short list.

use std::{
    fs::{self, File},
    io::Write,
    path::{Path, PathBuf},
};

use sha2::{Digest, Sha256};

use super::{
    Cause, FileError,
    record::{Attachment, doubts::is_hash},
    trouble::disk,
    whole::{Limits, read_plain},
};

/// Largest attachment, in bytes.
pub const LARGEST: u64 = 25 * 1024 * 1024;
/// How an attachment is read.
const PHOTO: Limits = Limits {
    most: LARGEST,
    larger: "it is larger than 25 MB",
    remedy: "Make the photo smaller, or keep the file elsewhere",
    choose: "Choose a photo or another file",
};
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
    let bytes = read_plain(source, &shown, true, &PHOTO)?;
    let name = source
        .file_name()
        .map_or_else(String::new, |name| name.to_string_lossy().into_owned());
    let attachment = Attachment {
        sha256: hash(&bytes),
        name,
        bytes: bytes.len() as u64,
        caption: caption.to_owned(),
    };
    put(job_file, &attachment, &bytes)?;
    Ok(attachment)
}

/// Writes the content of an attachment to where it belongs, unless it is there already.
///
/// # Errors
/// The content is not the one that the record names, or its copy cannot be written.
pub fn put(job_file: &Path, attachment: &Attachment, bytes: &[u8]) -> Result<(), FileError> {
    let target = path_of(job_file, attachment).filter(|_| fits(attachment, bytes));
    let Some(target) = target else {
        return Err(FileError::new(
            &attachment.name,
            Cause::Checksum,
            "its content is not the one that was attached",
            "Attach the original again",
        ));
    };
    if read_attachment(job_file, attachment).is_ok() {
        return Ok(());
    }
    let folder = job_file.with_file_name(FOLDER);
    let on_disk = |error: std::io::Error| disk(&target.display().to_string(), &error);
    fs::create_dir_all(&folder).map_err(on_disk)?;
    let beside = target.with_extension(format!("{}.new", std::process::id()));
    let written = File::create(&beside).and_then(|mut file| {
        file.write_all(bytes)?;
        file.sync_all()?;
        fs::rename(&beside, &target)
    });
    if written.is_err() {
        // The first error is the one to tell.
        let _ = fs::remove_file(&beside);
    }
    written.map_err(on_disk)
}

/// Copies what a job has attached from beside one file to beside another, where it is not there yet. Answers what could not
/// be taken along, and why.
pub fn take_along(attachments: &[Attachment], from: &Path, to: &Path) -> Vec<FileError> {
    if same_folder(from, to) {
        return Vec::new();
    }
    let wanted = (attachments.iter()).filter(|wanted| read_attachment(to, wanted).is_err());
    let taken = wanted.map(|one| {
        let bytes = read_attachment(from, one)?;
        put(to, one, &bytes)
    });
    taken.filter_map(Result::err).collect()
}

fn same_folder(a: &Path, b: &Path) -> bool {
    let folder = |file: &Path| {
        let folder = file
            .parent()
            .filter(|folder| !folder.as_os_str().is_empty());
        folder.unwrap_or(Path::new(".")).canonicalize().ok()
    };
    folder(a).is_some_and(|a| Some(a) == folder(b))
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
    let bytes = read_plain(&path, name, false, &PHOTO)?;
    if fits(attachment, &bytes) {
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

/// Whether this is the content that was attached.
pub fn fits(attachment: &Attachment, bytes: &[u8]) -> bool {
    hash(bytes) == attachment.sha256
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
