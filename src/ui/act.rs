//! What draw functions ask for; carried out after the frame, in order.

use crate::{app::Command, circuit::Point};

use super::{bench::view::Chosen, dialog::Dialog};

/// One request of a draw function.
#[derive(Clone, Debug)]
pub enum Act {
    /// Something that the window's state does.
    Do(Command),
    /// Show another piece of the sheet.
    Look(Chosen),
    /// Put the outline where the readings stand, or the readings back.
    Outline(bool),
    /// Choose a point and put the keyboard on the value box.
    ReadAt(Point),
    /// Put a question in front of everything.
    Ask(Dialog),
    /// Take it away.
    Close,
    /// Let the desktop ask for a file to open.
    BrowseOpen,
    /// Let the desktop ask where to save.
    BrowseSave,
}

impl<C: Into<Command>> From<C> for Act {
    fn from(command: C) -> Self {
        Self::Do(command.into())
    }
}
