//! The window: the only room that draws. Draw functions end in `_ui`, take state by shared reference and push commands.

pub mod act;
pub mod bench;
mod boot;
pub mod kit;
mod shell;
pub mod theme;
mod words;

pub use boot::{BootError, Options, run};
