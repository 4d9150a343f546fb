//! Photos and other files of a job, kept by their content.

use serde::{Deserialize, Serialize};

/// A file that belongs to a job. Its content lies in the folder `attachments` beside the job file, named by its hash.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Attachment {
    /// SHA-256 of the content, 64 hexadecimal digits.
    pub sha256: String,
    /// What the file was called; for people, never used as a path.
    pub name: String,
    /// Size in bytes.
    pub bytes: u64,
    /// What it shows.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub caption: String,
}
