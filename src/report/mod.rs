//! The report: one plain-data source for three readers, written as HTML, as PDF and, for the log alone, as CSV.
//!
//! Stages: compute what was found before the repair and what holds now ([`study()`]), compose sections of blocks
//! ([`compose`]), write them. Everything typed is text in every output: it can become no element, formula or script.

pub mod compose;
pub mod content;
pub mod csv;
pub mod face;
pub mod file;
pub mod html;
pub mod pdf;
pub mod photo;
pub mod picture;
pub mod study;
mod svg;
mod unfinished;

pub use compose::compose;
pub use content::{Basis, Block, Reader, Report, Section, Table};
pub use file::{Form, free_place, write_report};
pub use photo::Photo;
pub use study::{Study, study};
pub use unfinished::{is_blank, not_written, open_points};
