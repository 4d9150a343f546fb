//! The window's state without the window: commands, undo, worker, layout and everything the drawing code reads.

pub mod layout;
