//! What draw functions ask for; carried out after the frame, in order.

use std::path::PathBuf;

use super::{
    bench::{Foot, Selected, Under, view::Chosen},
    dialog::{Dialog, PathAsk},
    picture::Picture,
};
use crate::{
    app::{Command, practice},
    circuit::Point,
};

/// One request of a draw function.
#[derive(Clone, Debug)]
pub enum Act {
    /// Something that the window's state does.
    Do(Command),
    /// Something that the practice page does.
    Practice(Box<practice::Command>),
    /// Show another piece of the practice drawing.
    PracticeLook(Chosen),
    /// Show another piece of the sheet.
    Look(Chosen),
    /// Show the sheet so many times as large, about what is chosen.
    Zoom(f32),
    /// Bring these in sight on the sheet, the first before all others; as large as it is where that can be.
    Show(Vec<Selected>),
    /// Put something else under the drawing.
    Under(Under),
    /// Put something else on the lower card.
    Foot(Foot),
    /// Show or hide how the circuit stands, beside the entry.
    Stand(bool),
    /// Show the other tests, or only the best one.
    Others(bool),
    /// Several, one after the other.
    All(Vec<Act>),
    /// Write pictures to a file: the part of the window, and the path.
    Export(Picture, PathBuf),
    /// Put the keyboard on a box.
    Focus(egui::Id),
    /// Choose a point and put the keyboard on the value box.
    ReadAt(Point),
    /// Put a question in front of everything.
    Ask(Dialog),
    /// Ask where to save; the free name that is proposed is looked for on the disk then and not while this is only offered.
    AskWhereToSave,
    /// Ask which picture to write, and where; likewise.
    AskForPicture,
    /// Take it away.
    Close,
    /// Let the desktop ask for something else that a path answers; the path as typed so far.
    Browse(PathAsk, String),
    /// Open a file: what practice keeps goes to its page, anything else is a job.
    Open(PathBuf),
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
