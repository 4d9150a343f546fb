//! Everything that can be asked of the practice page.

use std::{path::PathBuf, sync::Arc};

use super::{
    diary::Left,
    state::{Draft, Source, Stage, Wish},
};
use crate::{advise::Test, circuit::Point, notebook::Job, practice::Move, reading::Kind};

/// One thing asked for.
#[derive(Clone, Debug)]
pub enum Command {
    /// Puts a stage in front.
    Show(Stage),
    /// Replaces what is wished for.
    Wish(Wish),
    /// Chooses what is practised on.
    Use(Source),
    /// Opens a file: an exercise, a trainee's record, or a job whose sketch is then drilled.
    Open(PathBuf),
    /// Starts what is wished for.
    Start,
    /// Starts what was practised last once more.
    Again,
    /// Goes on with a session that is not finished.
    TakeUp(Left),
    /// Forgets such a session.
    Forget(Left),
    /// Asks no more about what a window left; it stays among what is not finished.
    Later,
    /// Does something at the vehicle.
    Do(Move),
    /// Does a test as it was hinted at.
    Follow(Box<Test>),
    /// Chooses where the red lead goes.
    Point(Option<Point>),
    /// Chooses a part; it becomes the place to open.
    Part(Option<String>),
    /// Chooses what is read.
    Kind(Kind),
    /// Chooses where the black lead goes.
    Black(Point),
    /// Replaces what is typed for the place to open: place and metres.
    Place(String, String),
    /// Opens the place that is typed.
    OpenUp,
    /// Looks back on the session.
    LookBack,
    /// Calls off what is being worked on.
    CallOff,
    /// Puts a step of the look back in sight.
    Replay(usize),
    /// Chooses the folder of records and reads it.
    Folder(String),
    /// Puts a trainee in sight.
    Trainee(usize),
    /// Writes the page of the trainee in sight, or of all.
    Page {
        /// Where to; the ending says the form.
        to: PathBuf,
        /// All trainees of the folder.
        all: bool,
    },
    /// Replaces the exercise that is being made.
    Draft(Draft),
    /// Writes the exercise on the sketch of this job.
    Write(Arc<Job>),
}
