//! The command line: the same engine for scripts, without a display.

pub mod args;
mod json;
mod notebook;
mod notebook_args;
pub mod practice;
mod practice_args;
mod practice_back;
mod practice_words;
mod run;
mod table;
mod text;
mod words;

pub use args::{Request, Source, UsageError, parse};
pub use notebook_args::NotebookTask;
pub use run::{absent, fail, refuse, run};
