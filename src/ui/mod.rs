//! The window: the only room that draws. Draw functions end in `_ui`, take state by shared reference and push commands.

pub mod act;
mod banner;
pub mod bench;
mod boot;
pub mod commands;
pub mod dialog;
mod dropped;
mod files;
mod held;
mod job;
pub mod kit;
mod notebook;
mod notices;
pub mod picture;
mod practice;
mod samples;
pub mod shell;
mod stead;
pub mod theme;
mod tour;
mod turn;
mod words;

pub use boot::{BootError, Options, run};
pub use shell::Shell;
