//! The window's state without the window: commands, undo, worker and everything the drawing code reads.

pub mod clip;
pub mod command;
pub mod compare;
mod cut_off;
pub mod history;
pub mod home;
pub mod job;
mod keeper;
pub mod latest;
pub mod left;
mod look;
pub mod model;
mod notice;
pub mod outline_help;
pub mod parts_list;
pub mod points;
pub mod practice;
pub mod recovery;
pub mod session;
pub mod settings;
pub mod sketch;
mod step_names;
pub mod sums;
pub mod update;
pub mod view;
pub mod words;
pub mod zones;

pub use command::{Amended, Bench, Command, FileCommand, Log, Note, Screen};
pub use cut_off::cut_off;
pub use model::Model;
pub use session::Session;
pub use sketch::{PartData, QuickStart, Sketch};
pub use update::{Effect, update};
