//! Every command of the window in one place: its name, what it is for, its keys, and what it does now.

use egui::{Context, Key, KeyboardShortcut, Modifiers};

use super::{
    act::Act,
    bench::{Foot, Looks, next::steps_of, point_box, props::end, value_box, view::Chosen},
    dialog::Dialog,
};
use crate::{
    advise::Best,
    app::{
        Bench, Command, FileCommand, Model, PartData, Screen, Sketch,
        command::Leave,
        model::{Page, Selection, Theme},
    },
    circuit::{Circuit, Point, edit::Addition},
};

/// A command.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[allow(missing_docs, reason = "the variants are named in `name`")]
pub enum Do {
    Commands,
    Help,
    NewFeed,
    Open,
    Save,
    SaveAs,
    DuplicateJob,
    Undo,
    Redo,
    ReadPoint,
    ReadValue,
    NextTest,
    PlugAll,
    Supply,
    ClipOn,
    Meter,
    AddSensor,
    AddConnector,
    AddSplice,
    AddFuse,
    AddGround,
    AddWire,
    AddList,
    AddRail,
    AddSupply,
    Copy,
    Paste,
    DuplicatePart,
    Remove,
    Readings,
    Outline,
    Steps,
    ThisPoint,
    Listing,
    Fit,
    CompareNone,
    Export,
    Day,
    Gloves,
    Larger,
    Smaller,
    UsualSize,
    PageBench,
    PageJob,
    PagePractice,
    Quit,
}

const CTRL: Modifiers = Modifiers::COMMAND;
const SHIFT: Modifiers = Modifiers::COMMAND.plus(Modifiers::SHIFT);
const BARE: Modifiers = Modifiers::NONE;

/// Name, what for, keys.
type Told = (&'static str, &'static str, &'static [(Modifiers, Key)]);

impl Do {
    /// Every command, in the order in which they are listed.
    pub const ALL: [Self; 46] = [
        Self::Commands,
        Self::Help,
        Self::NewFeed,
        Self::Open,
        Self::Save,
        Self::SaveAs,
        Self::DuplicateJob,
        Self::Undo,
        Self::Redo,
        Self::ReadPoint,
        Self::ReadValue,
        Self::NextTest,
        Self::PlugAll,
        Self::Supply,
        Self::ClipOn,
        Self::Meter,
        Self::AddSensor,
        Self::AddConnector,
        Self::AddSplice,
        Self::AddFuse,
        Self::AddGround,
        Self::AddWire,
        Self::AddList,
        Self::AddRail,
        Self::AddSupply,
        Self::Copy,
        Self::Paste,
        Self::DuplicatePart,
        Self::Remove,
        Self::Readings,
        Self::Outline,
        Self::Steps,
        Self::ThisPoint,
        Self::Listing,
        Self::Fit,
        Self::CompareNone,
        Self::Export,
        Self::Day,
        Self::Gloves,
        Self::Larger,
        Self::Smaller,
        Self::UsualSize,
        Self::PageBench,
        Self::PageJob,
        Self::PagePractice,
        Self::Quit,
    ];

    /// What can be added to the drawing.
    pub const ADDITIONS: [Self; 9] = [
        Self::AddSensor,
        Self::AddConnector,
        Self::AddSplice,
        Self::AddFuse,
        Self::AddGround,
        Self::AddWire,
        Self::AddList,
        Self::AddRail,
        Self::AddSupply,
    ];

    fn told(self) -> Told {
        match self {
            Self::Commands => (
                "Commands",
                "Everything the window can do, found by any word",
                &[(CTRL, Key::K)],
            ),
            Self::Help => (
                "Help",
                "The first minute, all keys, what to be careful with",
                &[(BARE, Key::F1)],
            ),
            Self::NewFeed => (
                "New feed",
                "Draw a feed in three answers",
                &[(CTRL, Key::N)],
            ),
            Self::Open => ("Open", "Open a job or a sample", &[(CTRL, Key::O)]),
            Self::SaveAs => (
                "Save under another name",
                "Write the job to another file",
                &[(SHIFT, Key::S)],
            ),
            Self::Save => ("Save", "Write the job to its file", &[(CTRL, Key::S)]),
            Self::DuplicateJob => (
                "Duplicate the job",
                "Go on with a copy that has no file yet",
                &[],
            ),
            Self::Redo => (
                "Redo",
                "Do the step taken back again",
                &[(SHIFT, Key::Z), (CTRL, Key::Y)],
            ),
            Self::Undo => ("Undo", "Take the last step back", &[(CTRL, Key::Z)]),
            Self::ReadPoint => (
                "Type a point",
                "Put the keyboard on the point box",
                &[(CTRL, Key::P)],
            ),
            Self::ReadValue => (
                "Type a value",
                "Put the keyboard on the value box",
                &[(CTRL, Key::L)],
            ),
            Self::NextTest => (
                "Do the next test",
                "Set the plugs as the next test wants them",
                &[(CTRL, Key::T)],
            ),
            Self::PlugAll => (
                "Everything is plugged",
                "Note every connector as plugged again",
                &[(SHIFT, Key::P)],
            ),
            Self::Supply => (
                "Supply off or on",
                "Note the supply as off, or on again",
                &[],
            ),
            Self::ClipOn => (
                "Clip a resistor on",
                "A known load at the chosen point",
                &[(BARE, Key::L)],
            ),
            Self::Meter => ("Meter", "Which meter takes the readings", &[(CTRL, Key::M)]),
            Self::AddSensor => (
                "Add a sensor",
                "With plug and wire, after what is chosen",
                &[(BARE, Key::S)],
            ),
            Self::AddConnector => (
                "Add a connector",
                "With its wire, after what is chosen",
                &[(BARE, Key::C)],
            ),
            Self::AddSplice => (
                "Add a splice",
                "With its wire, after what is chosen",
                &[(BARE, Key::P)],
            ),
            Self::AddFuse => (
                "Add a fuse",
                "With its wire, after what is chosen",
                &[(BARE, Key::F)],
            ),
            Self::AddGround => (
                "Add a ground point",
                "With its wire, after what is chosen",
                &[(BARE, Key::G)],
            ),
            Self::AddWire => (
                "Wire to another point",
                "Then click or type the point where it ends",
                &[(BARE, Key::W)],
            ),
            Self::AddList => (
                "Paste a list of sensors",
                "Rows copied from a spreadsheet become sensors",
                &[(SHIFT, Key::V)],
            ),
            Self::AddRail => (
                "Add another rail",
                "A rail that the feed could touch, such as battery",
                &[],
            ),
            Self::AddSupply => ("Add another module", "Another output of 5 V", &[]),
            Self::Copy => ("Copy the part", "With all that hangs from it", &[]),
            Self::Paste => ("Paste the part", "After what is chosen", &[]),
            Self::DuplicatePart => (
                "Duplicate the part",
                "Beside itself, under new designations",
                &[(CTRL, Key::D)],
            ),
            Self::Remove => (
                "Remove the part",
                "And close the gap",
                &[(BARE, Key::Delete)],
            ),
            Self::Readings => ("Show the log", "Readings and repairs", &[(CTRL, Key::R)]),
            Self::Outline => (
                "Edit the outline",
                "The circuit as indented lines",
                &[(CTRL, Key::E)],
            ),
            Self::Steps => ("Step by step", "The story of the log in words", &[]),
            Self::ThisPoint => (
                "What this point read",
                "Every reading at the chosen point",
                &[],
            ),
            Self::Listing => (
                "Drawing as a list",
                "For screen readers and for reading aloud",
                &[],
            ),
            Self::Fit => (
                "Fit the whole drawing",
                "Show all of the harness",
                &[(CTRL, Key::Num9)],
            ),
            Self::CompareNone => ("Compare no longer", "Only the volts of now", &[]),
            Self::Export => (
                "Export pictures",
                "Harness and plots as SVG or PNG",
                &[(SHIFT, Key::E)],
            ),
            Self::Day => (
                "Day or dim colours",
                "For daylight or for a dark bay",
                &[(SHIFT, Key::D)],
            ),
            Self::Gloves => (
                "Gloves or bare hands",
                "Large targets and a number pad, or the usual ones",
                &[(SHIFT, Key::G)],
            ),
            Self::Larger => (
                "Everything larger",
                "Up to 250 %",
                &[(CTRL, Key::Plus), (CTRL, Key::Equals)],
            ),
            Self::Smaller => ("Everything smaller", "Down to 80 %", &[(CTRL, Key::Minus)]),
            Self::UsualSize => ("Usual size", "100 %", &[(CTRL, Key::Num0)]),
            Self::PageBench => (
                "Go to the bench",
                "Drawing, readings, answer",
                &[(CTRL, Key::Num1)],
            ),
            Self::PageJob => (
                "Go to the job",
                "What is written about the vehicle",
                &[(CTRL, Key::Num2)],
            ),
            Self::PagePractice => (
                "Go to practice",
                "Train on hidden faults",
                &[(CTRL, Key::Num3)],
            ),
            Self::Quit => (
                "Close the window",
                "Asks first where something is unplugged or not saved",
                &[(CTRL, Key::Q)],
            ),
        }
    }

    /// Its name.
    pub fn name(self) -> &'static str {
        self.told().0
    }

    /// What it is for.
    pub fn hint(self) -> &'static str {
        self.told().1
    }

    /// Its keys in words: `Ctrl+K`; empty where it has none.
    pub fn keys(self) -> String {
        let special = match self {
            Self::Copy => "Ctrl+C",
            Self::Paste => "Ctrl+V",
            _ => "",
        };
        let mut keys: Vec<String> = vec![special.to_owned()];
        keys.extend(self.told().2.iter().map(|(modifiers, key)| {
            let ctrl = if modifiers.command { "Ctrl+" } else { "" };
            let shift = if modifiers.shift { "Shift+" } else { "" };
            format!("{ctrl}{shift}{}", key.symbol_or_name())
        }));
        keys.retain(|key| !key.is_empty());
        keys.join(" or ")
    }

    /// Hint and keys, for a tooltip.
    pub fn tooltip(self) -> String {
        match self.keys() {
            keys if keys.is_empty() => self.hint().to_owned(),
            keys => format!("{} ({keys})", self.hint()),
        }
    }

    /// Whether its keys were pressed; bare letters count only on the drawing's page and while nothing is being typed.
    pub fn is_pressed(self, ctx: &Context, page: Page) -> bool {
        let typing = ctx.text_edit_focused() || page != Page::Bench;
        self.told().2.iter().any(|(modifiers, key)| {
            let bare = *modifiers == BARE && *key != Key::F1;
            let shortcut = KeyboardShortcut::new(*modifiers, *key);
            // A shorter shortcut would match the longer one too; a plus may need Shift on its keyboard.
            let exact = |held: Modifiers| {
                *key == Key::Plus || held.shift == modifiers.shift && (!bare || held.is_none())
            };
            !(bare && typing)
                && ctx
                    .input_mut(|input| exact(input.modifiers) && input.consume_shortcut(&shortcut))
        })
    }

    /// What it does now; none where it cannot be done.
    pub fn act(self, model: &Model, looks: &Looks) -> Option<Act> {
        let circuit = &model.job.circuit;
        Some(match self {
            Self::Commands => Act::Ask(Dialog::commands()),
            Self::Help => Act::Ask(Dialog::Help),
            Self::NewFeed => Act::Ask(Dialog::quick_start()),
            Self::Open => Act::Ask(Dialog::open()),
            Self::Save => FileCommand::Save.into(),
            Self::SaveAs => Act::Ask(Dialog::save(model)),
            Self::DuplicateJob => FileCommand::Duplicate.into(),
            Self::Undo => model.history.undo_name().map(|_| Act::Do(Command::Undo))?,
            Self::Redo => model.history.redo_name().map(|_| Act::Do(Command::Redo))?,
            Self::ReadPoint => Act::Focus(point_box()),
            Self::ReadValue => Act::Focus(value_box()),
            Self::NextTest => {
                let next = &model.current_findings()?.next;
                let test = next.tests.first().filter(|_| next.best == Best::Test)?;
                Act::All(steps_of(test))
            }
            Self::PlugAll => Bench::PlugAll.into(),
            Self::Supply => Bench::SupplyOff(!model.job.now.supply_off).into(),
            Self::ClipOn => {
                let point = model.selection.point.as_ref();
                Act::Ask(Dialog::clip_on(
                    point.filter(|p| !p.is_battery_negative())?.clone(),
                ))
            }
            Self::Meter => Act::Ask(Dialog::meter(model)),
            Self::Copy => Screen::Copy(model.selection.part.clone()?).into(),
            Self::Paste => {
                let clip = model.clip.clone()?;
                Sketch::Paste(after(circuit, &model.selection)?, Box::new(clip)).into()
            }
            Self::DuplicatePart => {
                let id = model.selection.part.as_ref()?;
                let clip = crate::app::clip::copy(circuit, &model.harness, id)?;
                let hang = clip.hang()?.clone();
                Sketch::Paste(hang, Box::new(clip)).into()
            }
            Self::Remove => Sketch::Remove(model.selection.part.clone()?).into(),
            Self::Readings => Act::Foot(Foot::Readings),
            Self::Outline => Act::Foot(Foot::Outline),
            Self::Steps => Act::Foot(Foot::Steps),
            Self::ThisPoint => Act::Foot(Foot::Point),
            Self::Listing => Act::Foot(Foot::Listing),
            Self::Fit => {
                Some(Act::Look(Chosen::default())).filter(|_| looks.chosen != Chosen::default())?
            }
            Self::CompareNone => model
                .compare
                .as_ref()
                .map(|_| Screen::Compare(None).into())?,
            Self::Export => Act::Ask(Dialog::export(model)),
            Self::Day => Screen::SetTheme(match model.look.theme {
                Theme::Day => Theme::Dim,
                Theme::Dim => Theme::Day,
            })
            .into(),
            Self::Gloves => Screen::SetGlove(!model.look.glove).into(),
            Self::Larger => Screen::SetScale(model.look.scale.saturating_add(10)).into(),
            Self::Smaller => Screen::SetScale(model.look.scale.saturating_sub(10)).into(),
            Self::UsualSize => Screen::SetScale(100).into(),
            Self::PageBench => Screen::Show(Page::Bench).into(),
            Self::PageJob => Screen::Show(Page::Job).into(),
            Self::PagePractice => Screen::Show(Page::Practice).into(),
            Self::Quit => FileCommand::Leave(Leave::Quit).into(),
            addition => addition.act_on(circuit, &model.selection)?,
        })
    }

    /// The same for what adds to the drawing.
    pub fn act_on(self, circuit: &Circuit, selection: &Selection) -> Option<Act> {
        let add =
            |addition: Addition| Some(Sketch::Add(after(circuit, selection)?, addition).into());
        match self {
            Self::AddSensor => add(Addition::Sensor {
                plug: true,
                back: None,
            }),
            Self::AddConnector => add(Addition::Connector),
            Self::AddSplice => add(Addition::Splice),
            Self::AddFuse => add(Addition::Fuse),
            Self::AddGround => add(Addition::Ground { wire: true }),
            Self::AddWire => Some(Screen::StartWire(Some(after(circuit, selection)?)).into()),
            Self::AddList => {
                let after = after(circuit, selection)?;
                Some(Act::Ask(Dialog::list(after, String::new())))
            }
            Self::AddRail => Some(Act::Ask(Dialog::rail())),
            Self::AddSupply => Some(Sketch::AddSupply(5.0).into()),
            _ => None,
        }
    }
}

/// The point from which is drawn on: the end of the chosen part, else the chosen point, else the first module's pin.
fn after(circuit: &Circuit, selection: &Selection) -> Option<Point> {
    let part = selection
        .part
        .as_ref()
        .and_then(|id| PartData::of(circuit, id));
    if let Some(part) = part {
        return end(&part);
    }
    if let Some(point) = &selection.point {
        return Some(point.clone()).filter(|point| !point.is_battery_negative());
    }
    let supply = circuit.supplies.first()?;
    Some(Point::new(&supply.id, crate::circuit::Terminal::Feed(1)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;

    #[test]
    fn every_command_is_listed_once_and_no_keys_are_given_twice() {
        let names: BTreeSet<&str> = Do::ALL.iter().map(|command| command.name()).collect();
        assert_eq!(names.len(), Do::ALL.len());
        let mut keys = BTreeSet::new();
        for command in Do::ALL {
            assert!(!command.hint().is_empty());
            for key in command.keys().split(" or ").filter(|key| !key.is_empty()) {
                assert!(keys.insert(key.to_owned()), "{key} twice");
            }
        }
    }
}
