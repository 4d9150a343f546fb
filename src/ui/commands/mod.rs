//! Every command of the window in one place: its name, what it is for and its keys; [`act`] says what each does now.

mod act;

use egui::{Context, Event, Key, Modifiers};

use crate::app::model::Page;

const CTRL: Modifiers = Modifiers::COMMAND;
const SHIFT: Modifiers = Modifiers::COMMAND.plus(Modifiers::SHIFT);
const BARE: Modifiers = Modifiers::NONE;

/// Name, what for, keys.
type Told = (&'static str, &'static str, &'static [(Modifiers, Key)]);

/// One row per command: name, what it is for, keys.
macro_rules! commands {
    ($($what:ident: $name:literal, $hint:literal $(, $held:ident $key:ident)*;)*) => {
        /// A command.
        #[derive(Clone, Copy, Debug, PartialEq, Eq)]
        #[allow(missing_docs, reason = "the variants are named in the table")]
        pub enum Do {
            $($what,)*
        }

        impl Do {
            /// Every command, in the order in which they are listed.
            pub const ALL: [Self; [$($name),*].len()] = [$(Self::$what),*];

            fn told(self) -> Told {
                match self {
                    $(Self::$what => ($name, $hint, &[$(($held, Key::$key)),*]),)*
                }
            }
        }
    };
}

commands! {
    Commands: "Commands", "Everything the window can do, found by any word", CTRL K;
    Help: "Help", "The first minute, all keys, what to be careful with", BARE F1;
    Tour: "Tour of the bench", "What is where, in a few steps";
    NewFeed: "New feed", "Draw a feed in three answers", CTRL N;
    Open: "Open", "Open a job or a sample", CTRL O;
    Save: "Save", "Write the job to its file", CTRL S;
    SaveAs: "Save under another name", "Save as: write the job to another file", SHIFT S;
    DuplicateJob: "Duplicate the job", "Go on with a copy that has no file yet";
    Undo: "Undo", "Take the last step back", CTRL Z;
    Redo: "Redo", "Do the step taken back again", SHIFT Z, CTRL Y;
    ReadPoint: "Type a point", "Put the keyboard on the point box", CTRL P;
    ReadValue: "Type a value", "Put the keyboard on the value box", CTRL L;
    NextTest: "Do the next test", "Set the plugs as the next test wants them", CTRL T;
    PlugAll: "Everything is plugged", "Note every connector as plugged again", SHIFT P;
    Supply: "Supply off or on", "Note the supply as off, or on again";
    ClipOn: "Clip a resistor on", "A known load at the chosen point", BARE L;
    Meter: "Meter", "Which meter takes the readings", CTRL M;
    AddSensor: "Add a sensor", "With plug and wire, after what is chosen", BARE S;
    AddConnector: "Add a connector", "With its wire, after what is chosen", BARE C;
    AddSplice: "Add a splice", "With its wire, after what is chosen", BARE P;
    AddFuse: "Add a fuse", "With its wire, after what is chosen", BARE F;
    AddGround: "Add a ground point", "With its wire, after what is chosen", BARE G;
    AddWire: "Wire to another point", "Then click or type the point where it ends", BARE W;
    AddList: "Paste a list of sensors", "Rows copied from a spreadsheet become sensors", SHIFT V;
    AddRail: "Add another rail", "A rail that the feed could touch, such as battery";
    AddSupply: "Add another module", "Another output of 5 V";
    Everything: "Choose everything", "All parts and wires together; Shift and drag chooses some, Ctrl and click adds one", CTRL A;
    Copy: "Copy what is chosen", "A part with all that hangs from it, or what is chosen together";
    Paste: "Paste what was copied", "After what is chosen";
    DuplicatePart: "Duplicate what is chosen", "Beside itself, under new designations", CTRL D;
    HangElsewhere: "Hang what is chosen elsewhere", "Then click the point from which it is to hang", BARE M;
    Rename: "Rename what is chosen", "On the drawing itself; double click does the same", BARE F2;
    Remove: "Remove what is chosen", "And close the gap", BARE Delete;
    Readings: "Show the log", "Readings and repairs", CTRL R;
    Outline: "Edit the outline", "The circuit as indented lines", CTRL E;
    Steps: "Step by step", "The story of the log in words";
    ThisPoint: "What this point read", "Every reading at the chosen point";
    Doubt: "Suspects left", "In bits after every reading, against halving them";
    Listing: "Drawing as a list", "For screen readers and for reading aloud";
    Fit: "Fit the whole drawing", "Show all of the harness", CTRL Num9;
    ZoomIn: "Zoom in on the drawing", "Where the keyboard or the choice is", BARE Plus, BARE Equals;
    ZoomOut: "Zoom out of the drawing", "Until all of it is in sight", BARE Minus;
    Likely: "Probability along the harness", "Under the drawing in the place of the volts, or the volts again";
    CompareNone: "Compare no longer", "Only the volts of now";
    Export: "Export pictures", "Harness and plots as SVG or PNG", SHIFT E;
    Day: "Day or dim colours", "For daylight or for a dark bay", SHIFT D;
    Gloves: "Gloves or bare hands", "Large targets and a number pad, or the usual ones", SHIFT G;
    Larger: "Everything larger", "Up to 250 %", CTRL Plus, CTRL Equals;
    Smaller: "Everything smaller", "Down to 80 %", CTRL Minus;
    UsualSize: "Usual size", "100 %", CTRL Num0;
    PageBench: "Go to the bench", "Drawing, readings, answer", CTRL Num1;
    PageJob: "Go to the job", "What is written about the vehicle", CTRL Num2;
    PagePractice: "Go to practice", "Train on hidden faults", CTRL Num3;
    PageNotebook: "Go to the notebook", "Every job of the shop, found by any word", CTRL B;
    NextJob: "Go to the next open job", "Through all jobs that are open", CTRL Tab;
    CloseJob: "Close the job", "Asks first where something is unplugged or not saved", CTRL W;
    AddPhotos: "Add photos", "Keep photos and other files with the job";
    Import: "Import a job", "A copy of a job file or packed job goes into the notebook";
    Pack: "Pack the job as one file", "With its photos, to be sent or put away";
    Report: "Write the report", "As PDF beside the job's file";
    Quit: "Close the window", "Asks first where something is unplugged or not saved", CTRL Q;
}

impl Do {
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
            Self::Report => "Ctrl+E on the Job page",
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
        // The outline is on the bench; on the Job page the same keys write the report.
        let keys: &[(Modifiers, Key)] = match (self, page) {
            (Self::Outline, Page::Job) => &[],
            (Self::Report, Page::Job) => &[(CTRL, Key::E)],
            // Practice never touches the job, and nobody would see what they change.
            (
                Self::Undo | Self::Redo | Self::NextTest | Self::PlugAll | Self::DuplicatePart,
                Page::Practice,
            ) => &[],
            _ => self.told().2,
        };
        keys.iter().any(|(modifiers, key)| {
            // Ctrl+A belongs to a text while one is being typed.
            let letter = *modifiers == BARE && !matches!(key, Key::F1 | Key::F2);
            let bare = letter || self == Self::Everything;
            !(bare && typing) && ctx.input_mut(|input| take(&mut input.events, *modifiers, *key))
        })
    }
}

/// Takes a press of these keys out of what was struck; answers whether there was one. What counts is what was held down as
/// the key was struck: by the time the frame is drawn it may have been let go.
fn take(events: &mut Vec<Event>, wanted: Modifiers, wanted_key: Key) -> bool {
    let before = events.len();
    events.retain(|event| {
        let Event::Key {
            key,
            pressed: true,
            modifiers: held,
            ..
        } = event
        else {
            return true;
        };
        // A shorter shortcut would match the longer one too; a plus may need Shift on its keyboard.
        let exact =
            *key == Key::Plus || held.shift == wanted.shift && (wanted != BARE || held.is_none());
        !(*key == wanted_key && held.matches_logically(wanted) && exact)
    });
    events.len() < before
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
