//! Everything that can be asked of the window's state. Nothing else changes a job or a screen.

use std::{collections::BTreeSet, path::PathBuf, sync::Arc};

use super::{
    answer::Answer,
    job::Piece,
    model::{Page, Refusal, Theme, Weight},
    naming::Name,
    notebook::NotebookCommand,
    recovery::Recovered,
    settings::{Practised, WindowPlace},
    sketch::Sketch,
};
use crate::{
    circuit::Point,
    notebook::{FileError, Job, Opened, Record, Saved},
    reading::{Attached, Inspection, Kind, Meter, State, Wiggled},
    report::Form,
};

/// One thing asked for: by a click, a key, a finished computation or a file that was read.
#[derive(Clone, Debug)]
pub enum Command {
    /// Changes how the circuit stands on the bench.
    Bench(Bench),
    /// Changes the log.
    Log(Log),
    /// Changes the sketch.
    Sketch(Sketch),
    /// Changes what is written about the job.
    Note(Note),
    /// Opens, saves, leaves.
    File(FileCommand),
    /// Looks into the shop's notebook.
    Notebook(NotebookCommand),
    /// Changes what is seen, not the job.
    Screen(Screen),
    /// A computation has ended.
    Engine(EngineReport),
    /// Takes the last step back.
    Undo,
    /// Does the step taken back again.
    Redo,
    /// A drag or a piece of typing has ended; what follows is a step of its own.
    EndGesture,
}

/// Changes of the bench state.
#[derive(Clone, Debug, PartialEq)]
pub enum Bench {
    /// Notes a connector as plugged.
    Plug(String),
    /// Notes a connector as unplugged.
    Unplug(String),
    /// Parts a plugged connector, joins any other.
    TogglePlug(String),
    /// Nobody knows whether it is plugged.
    MarkUnknown(String),
    /// A connector of which nobody knew was seen to be unplugged, or plugged: so it stood for the readings since as well.
    Settle(String, bool),
    /// Everything is plugged again.
    PlugAll,
    /// Takes over a whole state, as when a proposed test is accepted.
    SetState(State),
    /// Notes the supply as off or on.
    SupplyOff(bool),
    /// Notes whether the key was cycled after the last change.
    KeyCycled(Option<bool>),
    /// A known load is clipped on.
    Attach(Attached),
    /// A known load is taken off, by index.
    Detach(usize),
    /// Notes for this job that a part cannot be reached, or can be after all.
    OutOfReach(String, bool),
}

/// Changes of the log. Indices count all lines, repairs included, from 0.
#[derive(Clone, Debug, PartialEq)]
pub enum Log {
    /// Adds a reading in the present state of the bench.
    Add(Typing),
    /// Replaces kind, points and value of a reading; its state stays.
    Edit(usize, Typing),
    /// Corrects everything that may be corrected in a reading; what stood there stays in its note.
    Amend(usize, Box<Amended>),
    /// Replaces the state in which a reading was taken.
    SetState(usize, State),
    /// Replaces the note of a reading or repair.
    SetNote(usize, String),
    /// Removes a line.
    Remove(usize),
    /// Keeps a reading without using it, or uses it again.
    SetAside(usize, bool),
    /// Puts the bench and the entry box as they were for a reading; logging the new value sets the old one aside.
    Retake(usize),
    /// A part was repaired or replaced.
    MarkRepaired {
        /// Designation.
        part: String,
        /// Replaced by another part rather than repaired.
        replaced: bool,
        /// What was done.
        note: String,
    },
    /// A place was looked at, and nothing was found there.
    MarkLooked(Inspection),
}

/// A reading as it was typed.
#[derive(Clone, Debug, PartialEq)]
pub struct Typing {
    /// Kind of quantity.
    pub kind: Kind,
    /// Where the red lead was.
    pub red: Point,
    /// Where the black lead was.
    pub black: Point,
    /// What the display showed, as typed: `0.64`, `820m`, `OL`, `0.4..0.6`.
    pub text: String,
}

/// A reading as it should have been noted.
#[derive(Clone, Debug, PartialEq)]
pub struct Amended {
    /// What the display showed, as typed; none where that stays.
    pub value: Option<String>,
    /// How the circuit stood.
    pub state: State,
    /// Places that were moved.
    pub wiggled: Vec<Wiggled>,
    /// Kept, not used.
    pub set_aside: bool,
    /// The note.
    pub note: String,
}

/// A text field of the job.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[allow(missing_docs, reason = "the variants are the fields of a job")]
pub enum Field {
    Title,
    Vehicle,
    Shop,
    Request,
    Notes,
}

/// Changes of what is written about the job.
#[derive(Clone, Debug, PartialEq)]
pub enum Note {
    /// Replaces a text.
    Set(Field, String),
    /// Another meter is in use.
    SetMeter(Meter),
    /// Takes over minutes to reach connectors, by designation.
    Access(Vec<(String, f64)>),
    /// Takes over the volts of a module's output, by designation.
    Nominal(String, f64),
    /// Replaces the record, of which one piece was changed.
    Record(Piece, Box<Record>),
}

/// Leaving the job on the bench for another, or for good.
#[derive(Clone, Debug, PartialEq)]
pub enum Leave {
    /// A job that is not on disk: a sample, a recovered one.
    Start(Box<Job>),
    /// A job that another window left behind without saving.
    Recover(Box<Recovered>),
    /// A job on disk.
    Open(PathBuf),
    /// Another open job, by its number.
    Switch(u64),
    /// A new job on the circuit of one on disk.
    Begin(PathBuf),
    /// A copy of a job on disk, without a file of its own yet.
    Copy(PathBuf),
    /// Close the job.
    Close,
    /// Close the window.
    Quit,
}

/// What the user says to the question that leaving has raised.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum GuardAnswer {
    /// Everything is plugged again, or will stay as it is, noted so.
    Reconnected,
    /// Leave the connectors as they are.
    LeaveUnplugged,
    /// Save first.
    Save,
    /// Throw the changes away.
    Discard,
    /// Do not leave.
    Stay,
}

/// Files.
#[derive(Clone, Debug)]
pub enum FileCommand {
    /// Leaves the job; asks first where something would be lost or left unplugged.
    Leave(Leave),
    /// Answers that question.
    Answer(GuardAnswer),
    /// Saves; asks for a place when there is none.
    Save,
    /// Saves under a name.
    SaveAs(PathBuf),
    /// The same job from here on as a new one without a file.
    Duplicate,
    /// A file was read.
    Opened(PathBuf, Box<Result<Opened, FileError>>),
    /// A file was written with this job.
    Saved(PathBuf, Arc<Job>, Box<Result<Saved, FileError>>),
    /// Throws away what another window left behind.
    Forget(Box<Recovered>),
    /// The place to save at was not chosen.
    SaveCancelled,
    /// Writes the report beside the job's file.
    Report(Form),
    /// A report was written, or not.
    Reported(PathBuf, Result<(), FileError>),
}

/// Changes of the screen.
#[derive(Clone, Debug, PartialEq)]
pub enum Screen {
    /// Chooses where the red lead goes.
    SelectPoint(Option<Point>),
    /// Chooses a point by its name as typed.
    TypePoint(String),
    /// Chooses a part.
    SelectPart(Option<String>),
    /// Chooses parts and wires together, or none.
    SelectMany(BTreeSet<String>),
    /// Adds a part or wire to those chosen together, or takes it out of them.
    SelectAlso(String),
    /// Lets what was chosen together hang from the point that is chosen next, or no longer.
    StartMove(bool),
    /// Copies what was chosen together.
    CopyMany,
    /// Goes a step in naming a part on the drawing.
    Name(Name),
    /// Replaces the text in the entry box.
    TypeValue(String),
    /// Chooses the kind of reading.
    SetKind(Kind),
    /// Chooses where the black lead goes.
    SetBlack(Point),
    /// Empties the entry box for a test: its kind of reading, and where the black lead goes for this one reading.
    BeginTest(Kind, Point),
    /// Chooses the top of the range on which an over-range display was seen; the meter's largest when none.
    SetRange(Option<f64>),
    /// Begins a wire at a point, which ends at the point that is chosen next; none gives it up.
    StartWire(Option<Point>),
    /// Logs what is in the entry box, or what is given here instead, e.g. `OL`.
    Submit(Option<String>),
    /// Puts a reading of the log into the entry box, to be replaced.
    EditReading(usize),
    /// Empties the entry box.
    ClearEntry,
    /// Goes to a page.
    Show(Page),
    /// Chooses a theme.
    SetTheme(Theme),
    /// Chooses the size of everything, percent.
    SetScale(u16),
    /// Chooses large targets.
    SetGlove(bool),
    /// Copies a part with what hangs from it.
    Copy(String),
    /// Wants the volts of another state beside those of now, or no longer.
    Compare(Option<State>),
    /// Shows a step of the tour, from 0, or ends it for good.
    Tour(Option<usize>),
    /// Notes where the window stands.
    SetWindow(WindowPlace),
    /// Notes who practises, and where records are kept.
    SetPractised(Practised),
    /// Says something in the strip over the page.
    Tell(Weight, Refusal),
    /// Takes a notice away.
    Dismiss(u64),
}

/// What the worker says.
#[derive(Clone, Debug)]
pub enum EngineReport {
    /// Findings for a job.
    Found(Answer),
    /// Findings for the state that was to be compared.
    Compared(Answer),
    /// The computation broke off.
    Failed(Arc<Job>, String),
}

macro_rules! into_command {
    ($($family:ident from $kind:ty),*) => {
        $(impl From<$kind> for Command {
            fn from(command: $kind) -> Self {
                Self::$family(command)
            }
        })*
    };
}
into_command!(Bench from Bench, Log from Log, Note from Note, Sketch from Sketch, File from FileCommand, Notebook from NotebookCommand, Screen from Screen, Engine from EngineReport);

impl Command {
    /// What the command does in plain words; the name of the step in the list of what can be taken back.
    pub fn name(&self) -> String {
        match self {
            Self::Bench(bench) => bench.name(),
            Self::Log(log) => log.name(),
            Self::Note(note) => note.name(),
            Self::Sketch(sketch) => sketch.name(),
            Self::File(file) => file.name(),
            Self::Notebook(notebook) => notebook.name(),
            Self::Screen(screen) => screen.name(),
            Self::Engine(_) => "Show findings".to_owned(),
            Self::Undo => "Undo".to_owned(),
            Self::Redo => "Redo".to_owned(),
            Self::EndGesture => "End of a gesture".to_owned(),
        }
    }

    /// Commands with the same key, one after the other, are one step: a drag, a piece of typing.
    pub fn gesture(&self) -> Option<String> {
        match self {
            Self::Note(Note::Set(field, _)) => Some(format!("text {field:?}")),
            Self::Note(Note::Record(piece, _)) => Some(format!("record {piece:?}")),
            Self::Log(Log::SetNote(index, _)) => Some(format!("note {index}")),
            Self::Sketch(sketch) => sketch.gesture(),
            _ => None,
        }
    }
}
