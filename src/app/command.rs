//! Everything that can be asked of the window's state. Nothing else changes a job or a screen.

use std::{path::PathBuf, sync::Arc};

use super::{
    model::{Page, Theme},
    recovery::Recovered,
    settings::WindowPlace,
    sketch::{QuickStart, Sketch},
    words,
};
use crate::{
    circuit::Point,
    diagnosis::Findings,
    notebook::{FileError, Job, Opened, Saved},
    reading::{Attached, Kind, Meter, State},
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
}

/// Changes of the log. Indices count all lines, repairs included, from 0.
#[derive(Clone, Debug, PartialEq)]
pub enum Log {
    /// Adds a reading in the present state of the bench.
    Add(Typing),
    /// Replaces kind, points and value of a reading; its state stays.
    Edit(usize, Typing),
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
}

/// Leaving the job on the bench for another, or for good.
#[derive(Clone, Debug, PartialEq)]
pub enum Leave {
    /// An empty job.
    New,
    /// A tidy feed from a few answers.
    Quick(QuickStart),
    /// A job that is not on disk: a sample, a recovered one.
    Start(Box<Job>),
    /// A job that another window left behind without saving.
    Recover(Box<Recovered>),
    /// A job on disk.
    Open(PathBuf),
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
    /// Replaces the text in the entry box.
    TypeValue(String),
    /// Chooses the kind of reading.
    SetKind(Kind),
    /// Chooses where the black lead goes.
    SetBlack(Point),
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
    /// Notes where the window stands.
    SetWindow(WindowPlace),
    /// Takes a notice away.
    Dismiss(u64),
}

/// What the worker says.
#[derive(Clone, Debug)]
pub enum EngineReport {
    /// Findings for a job.
    Found(Arc<Job>, Arc<Findings>),
    /// Findings for the state that was to be compared.
    Compared(Arc<Job>, Arc<Findings>),
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
into_command!(Bench from Bench, Log from Log, Note from Note, Sketch from Sketch, File from FileCommand, Screen from Screen, Engine from EngineReport);

impl Command {
    /// What the command does in plain words; the name of the step in the list of what can be taken back.
    pub fn name(&self) -> String {
        match self {
            Self::Bench(bench) => bench.name(),
            Self::Log(log) => log.name(),
            Self::Note(note) => note.name(),
            Self::Sketch(sketch) => sketch.name(),
            Self::File(file) => file.name(),
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
            Self::Log(Log::SetNote(index, _)) => Some(format!("note {index}")),
            Self::Sketch(sketch) => sketch.gesture(),
            _ => None,
        }
    }
}

impl Bench {
    fn name(&self) -> String {
        match self {
            Self::Plug(id) => format!("Plug {id}"),
            Self::Unplug(id) => format!("Unplug {id}"),
            Self::TogglePlug(id) => format!("Unplug or plug {id}"),
            Self::MarkUnknown(id) => format!("Mark {id} as not known"),
            Self::PlugAll => "Plug everything".to_owned(),
            Self::SetState(state) => format!("Set the bench: {}", words::state(state)),
            Self::SupplyOff(true) => "Supply off".to_owned(),
            Self::SupplyOff(false) => "Supply on".to_owned(),
            Self::KeyCycled(Some(true)) => "Note the key as cycled".to_owned(),
            Self::KeyCycled(Some(false)) => "Note the key as not cycled".to_owned(),
            Self::KeyCycled(None) => "Clear the note on the key".to_owned(),
            Self::Attach(load) => format!("Clip a load on at {}", words::point(&load.from)),
            Self::Detach(index) => format!("Take load {} off", index + 1),
        }
    }
}

impl Log {
    fn name(&self) -> String {
        match self {
            Self::Add(typing) => {
                let text: String = typing.text.trim().chars().take(16).collect();
                format!("Log {text} at {}", words::point(&typing.red))
            }
            Self::Edit(index, _) => format!("Correct line {}", index + 1),
            Self::SetState(index, _) => format!("Correct the plug state of line {}", index + 1),
            Self::SetNote(index, _) => format!("Note on line {}", index + 1),
            Self::Remove(index) => format!("Remove line {}", index + 1),
            Self::SetAside(index, true) => format!("Set line {} aside", index + 1),
            Self::SetAside(index, false) => format!("Use line {} again", index + 1),
            Self::Retake(index) => format!("Re-take line {}", index + 1),
            Self::MarkRepaired {
                part,
                replaced: true,
                ..
            } => format!("Note {part} as replaced"),
            Self::MarkRepaired { part, .. } => format!("Note {part} as repaired"),
        }
    }
}

impl Note {
    fn name(&self) -> String {
        match self {
            Self::Set(field, _) => match field {
                Field::Title => "Edit the title",
                Field::Vehicle => "Edit the vehicle",
                Field::Shop => "Edit the shop",
                Field::Request => "Edit the request",
                Field::Notes => "Edit the notes",
            }
            .to_owned(),
            Self::SetMeter(_) => "Change the meter".to_owned(),
        }
    }
}

impl FileCommand {
    fn name(&self) -> String {
        match self {
            Self::Leave(Leave::New) => "New job".to_owned(),
            Self::Leave(Leave::Quick(_)) => "Quick start".to_owned(),
            Self::Leave(Leave::Start(job)) => format!("Start {}", job.title),
            Self::Leave(Leave::Recover(left)) => format!("Recover {}", left.job.title),
            Self::Leave(Leave::Open(path)) => format!("Open {}", words::file(path)),
            Self::Leave(Leave::Quit) => "Quit".to_owned(),
            Self::Answer(_) => "Answer".to_owned(),
            Self::Save => "Save".to_owned(),
            Self::SaveAs(path) => format!("Save as {}", words::file(path)),
            Self::Duplicate => "Duplicate the job".to_owned(),
            Self::Opened(path, _) => format!("Show {}", words::file(path)),
            Self::Saved(path, ..) => format!("Note {} as saved", words::file(path)),
            Self::Forget(left) => format!("Throw {} away", left.job.title),
            Self::SaveCancelled => "Do not save".to_owned(),
        }
    }
}

impl Screen {
    fn name(&self) -> String {
        match self {
            Self::SelectPoint(Some(point)) => format!("Choose {}", words::point(point)),
            Self::SelectPoint(None) => "Choose no point".to_owned(),
            Self::TypePoint(_) => "Choose a point by name".to_owned(),
            Self::SelectPart(Some(id)) => format!("Choose {id}"),
            Self::SelectPart(None) => "Choose no part".to_owned(),
            Self::TypeValue(_) => "Type a value".to_owned(),
            Self::SetKind(kind) => format!("Read {}", words::unit(*kind).word()),
            Self::SetBlack(point) => format!("Black lead at {}", words::point(point)),
            Self::Submit(_) => "Log the value".to_owned(),
            Self::EditReading(index) => format!("Correct line {}", index + 1),
            Self::ClearEntry => "Empty the entry box".to_owned(),
            Self::Show(page) => format!("Go to {}", page.name()),
            Self::SetTheme(Theme::Day) => "Day theme".to_owned(),
            Self::SetTheme(Theme::Dim) => "Dim theme".to_owned(),
            Self::SetScale(percent) => format!("Size {percent} %"),
            Self::SetGlove(true) => "Large targets".to_owned(),
            Self::SetGlove(false) => "Usual targets".to_owned(),
            Self::Copy(id) => format!("Copy {id}"),
            Self::Compare(Some(state)) => format!("Compare with {}", words::state(state)),
            Self::Compare(None) => "Compare no longer".to_owned(),
            Self::SetWindow(_) => "Move the window".to_owned(),
            Self::Dismiss(_) => "Take the notice away".to_owned(),
        }
    }
}
