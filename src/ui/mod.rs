//! The window: the only room that draws. Draw functions end in `_ui`, take state by shared reference and push commands.

pub mod kit;
pub mod theme;
