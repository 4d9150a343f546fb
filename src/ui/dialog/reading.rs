//! A line of the log, corrected: what it read, how the circuit stood, what was moved, whether it counts.

use egui::Ui;

use crate::{
    app::{Amended, Log, Model, words},
    circuit::Connector,
    explain::names,
    quantity::{Unit, format::as_read, units::as_ohms},
    reading::{Entry, Reading, State, Wiggled},
    ui::{
        act::Act,
        kit::{Field, Tone, button_ui, choice_ui, field_ui, label_ui, text_ui, tick_ui},
        theme::Theme,
    },
};

/// Connectors up to which all of them are shown, and the most that a search shows.
const FEW: usize = 8;

/// A line as it is being corrected.
#[derive(Clone, Debug, PartialEq)]
pub struct ReadingDraft {
    line: usize,
    value: String,
    state: State,
    wiggled: Vec<Wiggled>,
    set_aside: bool,
    note: String,
    place: String,
    looked_for: String,
}

impl ReadingDraft {
    /// A reading of the log, by its index.
    pub fn of(line: usize, reading: &Reading) -> Self {
        Self {
            line,
            value: String::new(),
            state: reading.state.clone(),
            wiggled: reading.wiggled.clone(),
            set_aside: reading.set_aside,
            note: reading.note.clone(),
            place: String::new(),
            looked_for: String::new(),
        }
    }

    fn amended(&self) -> Amended {
        let typed = self.value.trim();
        Amended {
            value: (!typed.is_empty()).then(|| typed.to_owned()),
            state: self.state.clone(),
            wiggled: self.wiggled.clone(),
            set_aside: self.set_aside,
            note: self.note.clone(),
        }
    }
}

/// The question.
pub fn reading_ui(
    ui: &mut Ui,
    theme: &Theme,
    model: &Model,
    draft: &mut ReadingDraft,
    acts: &mut Vec<Act>,
) {
    let c = &theme.colour;
    let Some(Entry::Reading(reading)) = model.job.log.get(draft.line) else {
        acts.push(Act::Close);
        return;
    };
    let title = format!("Line {}: {}", draft.line + 1, names::leads(reading));
    text_ui(ui, &title, theme.title(), c.ink);
    let hint = "What stood there before stays in the note.";
    text_ui(ui, hint, theme.label(), c.muted);
    let shown = names::shown(reading);
    let field = Field {
        name: "What it read, if not as noted",
        hint: &shown,
        width: 240.0,
        ..Field::default()
    };
    field_ui(ui, theme, &mut draft.value, &field);
    plugs_ui(ui, theme, model, reading, draft);
    stand_ui(ui, theme, &mut draft.state);
    moved_ui(ui, theme, model, draft);
    if tick_ui(ui, theme, "Set aside: kept, not used", draft.set_aside).clicked() {
        draft.set_aside = !draft.set_aside;
    }
    let field = Field {
        name: "Note of the line",
        ..Field::default()
    };
    field_ui(ui, theme, &mut draft.note, &field);
    ui.horizontal(|ui| {
        if button_ui(ui, theme, Tone::Primary, "Correct the line", None).clicked() {
            acts.push(Log::Amend(draft.line, Box::new(draft.amended())).into());
            acts.push(Act::Close);
        }
        if button_ui(ui, theme, Tone::Plain, "Cancel", None).clicked() {
            acts.push(Act::Close);
        }
    });
}

/// The connectors, a button each that goes from plugged to unplugged to not known. Of many, those that were ever
/// parted in this job are shown, and those that are looked for.
fn plugs_ui(
    ui: &mut Ui,
    theme: &Theme,
    model: &Model,
    reading: &Reading,
    draft: &mut ReadingDraft,
) {
    let connectors = &model.job.circuit.connectors;
    let hint = "Press a connector until it says how it stood.";
    label_ui(ui, hint, theme.label(), theme.colour.muted);
    let many = connectors.len() > FEW;
    if many {
        let field = Field {
            name: "Look for a connector",
            hint: "e.g. C2, or its name or place",
            width: 240.0,
            ..Field::default()
        };
        field_ui(ui, theme, &mut draft.looked_for, &field);
    }
    let asked = draft.looked_for.trim().to_lowercase();
    let states = model.job.log.iter().filter_map(|entry| match entry {
        Entry::Reading(other) => Some(&other.state),
        Entry::Repair(_) | Entry::Inspection(_) => None,
    });
    let loose =
        |state: &State, id: &str| state.unplugged.contains(id) || state.unknown.contains(id);
    let mut found = 0;
    let mut shown: Vec<&Connector> = Vec::new();
    for connector in connectors {
        let id = &connector.id;
        let now = [&reading.state, &draft.state, &model.job.now];
        let parted = now.into_iter().any(|state| loose(state, id));
        let ever = asked.is_empty() && states.clone().any(|state| loose(state, id));
        let names = [id, &connector.name, &connector.place];
        let sought = !asked.is_empty()
            && found < FEW
            && names
                .iter()
                .any(|name| name.to_lowercase().contains(&asked));
        found += usize::from(sought);
        if !many || parted || ever || sought {
            shown.push(connector);
        }
    }
    let state = &mut draft.state;
    ui.horizontal_wrapped(|ui| {
        for connector in &shown {
            let id = &connector.id;
            let (unplugged, unknown) = (state.unplugged.contains(id), state.unknown.contains(id));
            let (how, tone) = match (unplugged, unknown) {
                (_, true) => ("is not known", Tone::Primary),
                (true, false) => ("was unplugged", Tone::Plain),
                (false, false) => ("was plugged", Tone::Quiet),
            };
            if button_ui(ui, theme, tone, &format!("{id} {how}"), None).clicked() {
                state.unplugged.remove(id);
                state.unknown.remove(id);
                if unplugged && !unknown {
                    state.unknown.insert(id.clone());
                } else if !unknown {
                    state.unplugged.insert(id.clone());
                }
            }
        }
    });
    let others = connectors.len() - shown.len();
    if others > 0 {
        let text = format!("{others} others were plugged; look for one to change that");
        label_ui(ui, &text, theme.label(), theme.colour.muted);
    }
}

/// Supply, key, clipped-on loads.
fn stand_ui(ui: &mut Ui, theme: &Theme, state: &mut State) {
    if tick_ui(ui, theme, "The supply was off", state.supply_off).clicked() {
        state.supply_off = !state.supply_off;
    }
    label_ui(
        ui,
        "Key cycled and waited before it",
        theme.label(),
        theme.colour.muted,
    );
    let keys = [
        ("not noted", "Key before it not noted"),
        ("yes", "Key was cycled before it"),
        ("no", "Key was not cycled before it"),
    ];
    let chosen = match state.key_cycled {
        None => 0,
        Some(true) => 1,
        Some(false) => 2,
    };
    if let Some(index) = choice_ui(ui, theme, &keys, chosen) {
        state.key_cycled = [None, Some(true), Some(false)][index];
    }
    let mut taken_off = None;
    for (index, load) in state.attached.iter().enumerate() {
        ui.horizontal(|ui| {
            let ohms = as_read(as_ohms(load.resistance), Unit::Ohms);
            let from = words::point(&load.from);
            let name = format!("{ohms} was not on {from}");
            if button_ui(ui, theme, Tone::Quiet, "It was not on", Some(&name)).clicked() {
                taken_off = Some(index);
            }
            let text = format!("{ohms} clipped on, {from} to {}", words::point(&load.to));
            text_ui(ui, &text, theme.body(), theme.colour.ink);
        });
    }
    if let Some(index) = taken_off {
        state.attached.remove(index);
    }
}

/// Places that were moved while the meter was watched.
fn moved_ui(ui: &mut Ui, theme: &Theme, model: &Model, draft: &mut ReadingDraft) {
    let mut taken_off = None;
    for (index, moved) in draft.wiggled.iter().enumerate() {
        ui.horizontal(|ui| {
            let how = if moved.changed {
                "changed it"
            } else {
                "did not change it"
            };
            let text = format!("Moving {} {how}", moved.place);
            let name = format!("{} was not moved", moved.place);
            if button_ui(ui, theme, Tone::Quiet, "Not so", Some(&name)).clicked() {
                taken_off = Some(index);
            }
            text_ui(ui, &text, theme.body(), theme.colour.ink);
        });
    }
    if let Some(index) = taken_off {
        draft.wiggled.remove(index);
    }
    let field = Field {
        name: "Moved: connector, wire or bundle",
        hint: "e.g. C1",
        width: 240.0,
        ..Field::default()
    };
    field_ui(ui, theme, &mut draft.place, &field);
    let known = place_of(model, draft.place.trim());
    if known.is_none() && !draft.place.trim().is_empty() {
        let text = "no such connector, wire or bundle on this sketch";
        label_ui(ui, text, theme.label(), theme.colour.attention_text);
    }
    ui.horizontal(|ui| {
        for (text, changed) in [("It changed", true), ("It did not change", false)] {
            let button = ui.add_enabled_ui(known.is_some(), |ui| {
                button_ui(ui, theme, Tone::Plain, text, None).clicked()
            });
            if let (true, Some(place)) = (button.inner, &known) {
                draft.wiggled.retain(|moved| moved.place != *place);
                draft.wiggled.push(Wiggled {
                    place: place.clone(),
                    changed,
                });
                draft.place.clear();
            }
        }
    });
}

/// A part or bundle by its name, however its letters are typed.
fn place_of(model: &Model, typed: &str) -> Option<String> {
    let circuit = &model.job.circuit;
    let bundles = circuit.wires.iter().map(|wire| wire.bundle.as_str());
    let mut all = circuit.ids().chain(bundles).filter(|id| !id.is_empty());
    all.find(|id| id.eq_ignore_ascii_case(typed))
        .map(str::to_owned)
}
