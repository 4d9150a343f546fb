//! Jobs on disk: one file per job, facts only, read strictly and never half written.
//!
//! `file` reads one (`lexis` and `document` find what is wrong and where), `save` writes one with older `generations` beside it, `problems` says what in
//! it cannot be. `record` is the paper of a job, `attach` its photos, `archive` and `unpack` the packed job, `shelf` a folder of
//! jobs, `away` those that are put away, `training` the files of practice.

pub mod archive;
pub mod attach;
pub mod away;
pub mod calls;
mod document;
pub mod file;
pub mod generations;
pub mod import;
pub mod job;
mod layout;
pub mod lexis;
pub mod problems;
pub mod record;
pub mod save;
pub mod shelf;
pub mod training;
pub mod trouble;
pub mod unpack;
pub mod whole;

pub use file::{Opened, VERSION, format_job, parse_job, read_job};
pub use job::Job;
pub use problems::problems;
pub use record::{Record, TroubleCode};
pub use save::{Saved, Stamp, save_job, save_job_with, write_job};
pub use shelf::Shelf;
pub use trouble::{Cause, FileError};
