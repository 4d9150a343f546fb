//! What draw functions ask for; carried out after the frame, in order.

use crate::circuit::Point;

use super::bench::{sheet::Selected, view::Chosen};

/// One request of a draw function.
#[derive(Clone, Debug, PartialEq)]
pub enum Act {
    /// Select a thing, or nothing.
    Select(Option<Selected>),
    /// Part a connector or mate it.
    TogglePlug(String),
    /// Show another piece of the sheet.
    Look(Chosen),
    /// Put the keyboard on the value box, for a reading at this point.
    ReadAt(Point),
}
