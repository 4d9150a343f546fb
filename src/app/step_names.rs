//! What each command is called in plain words.

use super::{
    command::{Bench, Field, FileCommand, Leave, Log, Note, Screen},
    model::Theme,
    notebook::NotebookCommand,
    words,
};
use crate::reading::{Kind, Lamp};

impl Bench {
    pub(super) fn name(&self) -> String {
        match self {
            Self::Plug(id) => format!("Plug {id}"),
            Self::Unplug(id) => format!("Unplug {id}"),
            Self::TogglePlug(id) => format!("Unplug or plug {id}"),
            Self::MarkUnknown(id) => format!("Mark {id} as not known"),
            Self::Settle(id, true) => format!("Note {id} as seen unplugged"),
            Self::Settle(id, false) => format!("Note {id} as seen plugged"),
            Self::PlugAll => "Plug everything".to_owned(),
            Self::SetState(state) => format!("Set the bench: {}", words::state(state)),
            Self::SupplyOff(true) => "Supply off".to_owned(),
            Self::SupplyOff(false) => "Supply on".to_owned(),
            Self::KeyCycled(Some(true)) => "Note the key as cycled".to_owned(),
            Self::KeyCycled(Some(false)) => "Note the key as not cycled".to_owned(),
            Self::KeyCycled(None) => "Clear the note on the key".to_owned(),
            Self::Attach(load) => format!("Clip a load on at {}", words::point(&load.from)),
            Self::OutOfReach(id, true) => format!("Note {id} as out of reach"),
            Self::OutOfReach(id, false) => format!("Note {id} as within reach"),
            Self::Detach(index) => format!("Take load {} off", index + 1),
        }
    }
}

impl Log {
    pub(super) fn name(&self) -> String {
        match self {
            Self::Add(typing) => {
                let text: String = typing.text.trim().chars().take(16).collect();
                format!("Log {text} at {}", words::point(&typing.red))
            }
            Self::Edit(index, _) => format!("Correct line {}", index + 1),
            Self::Amend(index, _) => format!("Correct line {}", index + 1),
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
            Self::MarkLooked(look) => format!("Note {} as looked at", look.part),
        }
    }
}

impl Note {
    pub(super) fn name(&self) -> String {
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
            Self::Record(piece, _) => piece.step().to_owned(),
            Self::Access(_) => "Take over minutes from past jobs".to_owned(),
            Self::Nominal(id, _) => format!("Take over the volts of {id} from past jobs"),
        }
    }
}

impl FileCommand {
    pub(super) fn name(&self) -> String {
        match self {
            Self::Leave(Leave::Start(job)) => format!("Start {}", job.title),
            Self::Leave(Leave::Recover(left)) => format!("Recover {}", left.job.title),
            Self::Leave(Leave::Open(path)) => format!("Open {}", words::file(path)),
            Self::Leave(Leave::Switch(_)) => "Go to another open job".to_owned(),
            Self::Leave(Leave::Begin(path)) => format!("Begin from {}", words::file(path)),
            Self::Leave(Leave::Copy(path)) => format!("Copy {}", words::file(path)),
            Self::Leave(Leave::Close) => "Close the job".to_owned(),
            Self::Leave(Leave::Quit) => "Quit".to_owned(),
            Self::Answer(_) => "Answer".to_owned(),
            Self::Save => "Save".to_owned(),
            Self::SaveAs(path) => format!("Save as {}", words::file(path)),
            Self::Duplicate => "Duplicate the job".to_owned(),
            Self::Opened(path, _) => format!("Show {}", words::file(path)),
            Self::Saved(path, ..) => format!("Note {} as saved", words::file(path)),
            Self::Forget(left) => format!("Throw {} away", left.job.title),
            Self::SaveCancelled => "Do not save".to_owned(),
            Self::Report(form) => format!("Write the report as {}", form.ending().to_uppercase()),
            Self::Reported(path, _) => format!("Note {} as written", words::file(path)),
        }
    }
}

impl NotebookCommand {
    pub(super) fn name(&self) -> String {
        match self {
            Self::SetFolder(path) => format!("Notebook {}", words::file(path)),
            Self::Look => "Look into the notebook".to_owned(),
            Self::Refresh => "Read the notebook anew".to_owned(),
            Self::Stop => "Stop reading the notebook".to_owned(),
            Self::Ask(_) => "Search the notebook".to_owned(),
            Self::Toggle(filter) => format!("Filter: {}", filter.word()),
            Self::SetOrder(order) => format!("Order: {}", order.word()),
            Self::Choose(Some(path)) => format!("Choose {path}"),
            Self::Choose(None) => "Choose no job".to_owned(),
            Self::Listed(_) => "List jobs".to_owned(),
            Self::PutAway(job) => format!("Put {job} away, or bring it back"),
            Self::Pack(from, _) => format!("Pack {}", words::file(from)),
            Self::Import(path) => format!("Import {}", words::file(path)),
            Self::Attach(files) => format!("Attach {} files", files.len()),
            Self::Done(_) => "Note what was done".to_owned(),
        }
    }
}

impl Screen {
    pub(super) fn name(&self) -> String {
        match self {
            Self::SelectPoint(Some(point)) => format!("Choose {}", words::point(point)),
            Self::SelectPoint(None) => "Choose no point".to_owned(),
            Self::TypePoint(_) => "Choose a point by name".to_owned(),
            Self::SelectPart(Some(id)) => format!("Choose {id}"),
            Self::SelectPart(None) => "Choose no part".to_owned(),
            Self::SelectMany(ids) => format!("Choose {} parts", ids.len()),
            Self::SelectAlso(id) => format!("Choose {id} too"),
            Self::StartMove(true) => "Hang what is chosen elsewhere".to_owned(),
            Self::StartMove(false) => "Leave what is chosen where it is".to_owned(),
            Self::CopyMany => "Copy what is chosen".to_owned(),
            Self::Name(_) => "Name a part".to_owned(),
            Self::TypeValue(_) => "Type a value".to_owned(),
            Self::SetKind(kind) => match kind {
                Kind::Volts | Kind::Ohms | Kind::Amperes => {
                    format!("Read {}", kind.unit().word())
                }
                Kind::Clamp => "Read amperes by clamp".to_owned(),
                Kind::Lamp(Lamp::Filament) => "Watch a test lamp".to_owned(),
                Kind::Lamp(Lamp::Led) => "Watch an LED".to_owned(),
                Kind::Scan => "Ask a module on the scan".to_owned(),
            },
            Self::SetBlack(point) => format!("Black lead at {}", words::point(point)),
            Self::SetRange(Some(top)) => format!("Range up to {top}"),
            Self::SetRange(None) => "Largest range".to_owned(),
            Self::StartWire(Some(point)) => format!("Begin a wire at {}", words::point(point)),
            Self::StartWire(None) => "Give the wire up".to_owned(),
            Self::Submit(_) => "Log the value".to_owned(),
            Self::EditReading(index) => format!("Correct line {}", index + 1),
            Self::ClearEntry => "Empty the entry box".to_owned(),
            Self::BeginTest(..) => "Begin a test".to_owned(),
            Self::Show(page) => format!("Go to {}", page.name()),
            Self::SetTheme(Theme::Day) => "Day theme".to_owned(),
            Self::SetTheme(Theme::Dim) => "Dim theme".to_owned(),
            Self::SetScale(percent) => format!("Size {percent} %"),
            Self::SetGlove(true) => "Large targets".to_owned(),
            Self::SetGlove(false) => "Usual targets".to_owned(),
            Self::Copy(id) => format!("Copy {id}"),
            Self::Compare(Some(state)) => format!("Compare with {}", words::state(state)),
            Self::Compare(None) => "Compare no longer".to_owned(),
            Self::Tour(Some(step)) => format!("Step {} of the tour", step + 1),
            Self::Tour(None) => "End the tour".to_owned(),
            Self::SetWindow(_) => "Move the window".to_owned(),
            Self::SetPractised(_) => "Note who practises".to_owned(),
            Self::Tell(..) => "Say something".to_owned(),
            Self::Dismiss(_) => "Take the notice away".to_owned(),
        }
    }
}
