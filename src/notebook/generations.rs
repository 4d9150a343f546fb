//! What to open instead of a file that cannot be read: the newest earlier save beside it that is whole.

use std::path::{Path, PathBuf};

use super::{
    Cause, FileError, parse_job,
    save::{GENERATIONS, previous_name},
    trouble::excerpt,
    whole::{Limits, read_plain},
};

/// How a job file is read.
pub(super) const JOB: Limits = Limits {
    most: super::file::LARGEST as u64,
    larger: "the file is larger than 8 MB",
    remedy: "A job file is far smaller; choose another file",
    choose: "Choose a job file (.ron); a pipe is read with “-” on standard input",
};

/// The newest earlier save of a job that can be read.
pub fn newest_whole(path: &Path) -> Option<PathBuf> {
    let names = (1..=GENERATIONS).map(|generation| previous_name(path, generation));
    names.into_iter().find(|name| {
        let bytes = read_plain(name, "", false, &JOB);
        bytes.is_ok_and(|bytes| parse_job("", &bytes).is_ok())
    })
}

/// The same error with the earlier save to go on with, where the file itself is torn, altered or mistaken.
pub(super) fn with_earlier_save(path: &Path, mut error: FileError) -> FileError {
    if !matches!(error.cause, Cause::Content | Cause::Checksum) {
        return error;
    }
    if let Some(whole) = newest_whole(path) {
        let name = whole.file_name().unwrap_or_default().to_string_lossy();
        let name = excerpt(&name);
        error.remedy = format!(
            "{}. The newest earlier save that is whole is {name}",
            error.remedy
        )
        .into();
    }
    error
}
