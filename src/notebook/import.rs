//! Taking a job that came from elsewhere into a notebook: a job file with the attachments beside it, or a packed job.

use std::path::{Path, PathBuf};

use super::{
    Cause, FileError,
    archive::plain_name,
    attach, parse_job, save_job,
    trouble::excerpt,
    unpack::{self, Unpacked, is_archive, unpack},
    whole::{Limits, read_plain},
};

/// How what is imported is read.
const LIMITS: Limits = Limits {
    most: unpack::LARGEST,
    larger: "it is larger than 512 MB",
    remedy: "A packed job is far smaller; choose another file",
    choose: "Choose a job file (.ron) or a packed job (.zip)",
};

/// What became of an import.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Imported {
    /// The job's file in the notebook.
    pub path: PathBuf,
    /// Attachments that could not be taken along.
    pub missing: Vec<String>,
}

/// Copies a job into a notebook's folder under a free name, with its attachments. What is there is left as it is.
///
/// # Errors
/// The file cannot be read, is no job and no packed job, is of a newer version, or cannot be written.
pub fn import(folder: &Path, source: &Path) -> Result<Imported, FileError> {
    let name = source.display().to_string();
    let bytes = read_plain(source, &name, true, &LIMITS)?;
    let unpacked = if is_archive(&bytes) {
        unpack(&name, &bytes)?
    } else {
        beside(source, &name, &bytes)?
    };
    let path = free_name(folder, &plain_name(&unpacked.name))?;
    let mut missing = unpacked.missing;
    // Attachments first: a job in the list has what it names.
    for (attachment, bytes) in &unpacked.files {
        if attach::put(&path, attachment, bytes).is_err() {
            missing.push(excerpt(&attachment.name));
        }
    }
    save_job(&path, &unpacked.job, None)?;
    Ok(Imported { path, missing })
}

/// A job file and what lies beside it.
fn beside(source: &Path, name: &str, bytes: &[u8]) -> Result<Unpacked, FileError> {
    let opened = parse_job(name, bytes)?;
    if let Some(version) = opened.newer {
        return Err(FileError::new(
            name,
            Cause::Newer(version),
            format!("this job is of the newer version {version}"),
            "Import it with a newer Pinchpoint, or copy the file into the folder yourself",
        ));
    }
    let (mut files, mut missing) = (Vec::new(), Vec::new());
    for attachment in &opened.job.record.attachments {
        match attach::read_attachment(source, attachment) {
            Ok(bytes) => files.push((attachment.clone(), bytes)),
            Err(_) => missing.push(excerpt(&attachment.name)),
        }
    }
    let file = source.file_name().unwrap_or_default();
    Ok(Unpacked {
        name: file.to_string_lossy().into_owned(),
        job: opened.job,
        files,
        missing,
    })
}

/// `name.ron`, or `name-2.ron` and so on where that is taken.
///
/// # Errors
/// Ten thousand of them are taken.
pub fn free_name(folder: &Path, stem: &str) -> Result<PathBuf, FileError> {
    // A link that leads nowhere has its name all the same.
    let free = |path: &Path| std::fs::symlink_metadata(path).is_err();
    first_free(folder, stem, "ron", &free)
}

/// The path with the ending by which a notebook lists a job; a name may have other dots in it.
///
/// ```
/// use pinchpoint::notebook::import::job_file;
/// assert_eq!(job_file("jobs/left.sill".into()).to_str(), Some("jobs/left.sill.ron"));
/// assert_eq!(job_file("job.ron".into()).to_str(), Some("job.ron"));
/// ```
pub fn job_file(path: PathBuf) -> PathBuf {
    match (path.extension(), path.file_name()) {
        (Some(ending), _) if ending == "ron" => path,
        (_, None) => path,
        (_, Some(name)) => {
            let mut name = name.to_owned();
            name.push(".ron");
            path.with_file_name(name)
        }
    }
}

/// The first of `name.ending`, `name-2.ending` and so on that is free.
///
/// # Errors
/// Ten thousand of them are not.
pub fn first_free(
    folder: &Path,
    stem: &str,
    ending: &str,
    free: &dyn Fn(&Path) -> bool,
) -> Result<PathBuf, FileError> {
    let mut names = (1..10_000).map(|count| {
        let number = if count == 1 {
            String::new()
        } else {
            format!("-{count}")
        };
        folder.join(format!("{stem}{number}.{ending}"))
    });
    names.find(|path| free(path)).ok_or_else(|| {
        FileError::new(
            &folder.display().to_string(),
            Cause::Refused,
            format!("there are ten thousand files called {stem} here"),
            "Give the file another name",
        )
    })
}
