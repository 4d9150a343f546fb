//! What was disturbed: places that were hit, wet, opened or worked on. A fault there is likelier, and the report says so.

use egui::Ui;

use super::rows::remove_ui;
use crate::{
    app::{
        Command, Model, PartData, Sketch,
        zones::{HAPPENINGS, toggled},
    },
    circuit::{Circuit, DamageZone},
    explain::names,
    ui::{
        act::Act,
        kit::{Field, Tone, button_ui, field_ui, job_id, kept_ui, make_room, text_ui},
        theme::Theme,
    },
};

/// Room for a button that marks what happened.
const MARK: f32 = 180.0;
/// Times likelier that a place may be marked as.
const FACTORS: std::ops::RangeInclusive<f64> = 1.0..=1000.0;

/// The places, each to be corrected, and a row for another one.
pub fn disturbed_ui(ui: &mut Ui, theme: &Theme, model: &Model, acts: &mut Vec<Act>) {
    let c = &theme.colour;
    let circuit = &model.job.circuit;
    let mut zones = circuit.damage_zones.clone();
    if zones.is_empty() {
        let words = "No part of the sketch is marked as hit, wet, opened or worked on.";
        text_ui(ui, words, theme.body(), c.muted);
    }
    let mut remove = None;
    for (index, zone) in zones.iter_mut().enumerate() {
        ui.horizontal_wrapped(|ui| {
            zone_ui(ui, theme, circuit, index + 1, zone);
            if remove_ui(ui, theme, &format!("Remove place {}", index + 1)) {
                remove = Some(index);
            }
        });
    }
    if let Some(index) = remove {
        zones.remove(index);
    }
    if let Some(marked) = add_ui(ui, theme, model) {
        zones = marked;
    }
    if zones != circuit.damage_zones {
        acts.push(Sketch::SetZones(zones).into());
        acts.push(Act::Do(Command::EndGesture));
    }
    for connector in &model.job.now.unplugged {
        let words = format!("{} is unplugged now.", names::called(circuit, connector));
        text_ui(ui, &words, theme.strong(), c.attention_text);
    }
}

/// What happened, where, and how much likelier it makes a fault there.
fn zone_ui(ui: &mut Ui, theme: &Theme, circuit: &Circuit, n: usize, zone: &mut DamageZone) {
    let name = format!("What happened, place {n}");
    let key = format!("zone {n}");
    let field = Field {
        name: &name,
        width: 250.0,
        ..Field::default()
    };
    let taken = |text: &str| match text.trim() {
        "" => Err("say what happened, or remove the place".to_owned()),
        text => Ok(text.to_owned()),
    };
    if let Some(note) = kept_ui(ui, theme, &key, &zone.note, &field, taken) {
        zone.note = note;
    }
    let name = format!("Parts of place {n}");
    let field = Field {
        name: &name,
        hint: "designations or bundles",
        width: 300.0,
        ..Field::default()
    };
    let now = zone.parts.join(", ");
    if let Some(parts) = kept_ui(ui, theme, &key, &now, &field, |text| parts(circuit, text)) {
        zone.parts = parts;
    }
    let name = format!("Times likelier, place {n}");
    let field = Field {
        name: &name,
        width: 150.0,
        ..Field::default()
    };
    let now = (zone.factor + 0.0).to_string();
    if let Some(factor) = kept_ui(ui, theme, &key, &now, &field, factor) {
        zone.factor = factor;
    }
}

/// `W7, C2, rear loom`, each of which is on the sketch.
fn parts(circuit: &Circuit, text: &str) -> Result<Vec<String>, String> {
    let mut parts: Vec<String> = Vec::new();
    for name in text
        .split(',')
        .map(str::trim)
        .filter(|name| !name.is_empty())
    {
        let bundle = circuit.wires.iter().any(|wire| wire.bundle == name);
        if !bundle && PartData::of(circuit, name).is_none() {
            let shown: String = name.chars().take(24).collect();
            return Err(format!("“{shown}” is no part and no bundle of this sketch"));
        }
        if !parts.iter().any(|part| part == name) {
            parts.push(name.to_owned());
        }
    }
    if parts.is_empty() {
        return Err("name a part, or remove the place".to_owned());
    }
    Ok(parts)
}

fn factor(text: &str) -> Result<f64, String> {
    let number: Option<f64> = text.trim().replace(',', ".").parse().ok();
    let sound = number.filter(|number| FACTORS.contains(number));
    sound.ok_or_else(|| "a number from 1 to 1000".to_owned())
}

/// A part, and what happened to it. Answers the places as they are then.
fn add_ui(ui: &mut Ui, theme: &Theme, model: &Model) -> Option<Vec<DamageZone>> {
    let circuit = &model.job.circuit;
    let id = job_id(ui, "another disturbed part");
    let chosen = model.selection.part.clone().unwrap_or_default();
    let draft: Option<String> = ui.data(|data| data.get_temp(id));
    let mut text = draft.unwrap_or(chosen);
    let mut marked = None;
    ui.horizontal_wrapped(|ui| {
        let field = Field {
            name: "Part or bundle that was disturbed",
            hint: "e.g. W7 or C2",
            width: 250.0,
            ..Field::default()
        };
        if field_ui(ui, theme, &mut text, &field).changed() {
            ui.data_mut(|data| data.insert_temp(id, text.clone()));
        }
        let named = parts(circuit, &text);
        for (what, _) in HAPPENINGS {
            let name = format!("Mark as {what}");
            // What is greyed stands in a piece of its own, which does not wrap by itself.
            make_room(ui, MARK);
            ui.add_enabled_ui(named.is_ok(), |ui| {
                let pressed = button_ui(ui, theme, Tone::Plain, &name, None).clicked();
                if let (true, Ok(parts)) = (pressed, &named) {
                    marked = Some(toggled(circuit, parts, what));
                    ui.data_mut(|data| data.remove::<String>(id));
                }
            });
        }
        if let (Err(why), false) = (&named, text.trim().is_empty()) {
            text_ui(ui, why, theme.label(), theme.colour.attention_text);
        }
    });
    marked
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{circuit::quick_feed, quantity::units::volts};

    #[test]
    fn places_are_of_this_sketch() {
        let mut circuit = quick_feed(volts(5.0), 2, true, false);
        circuit.wires[0].bundle = "front loom".to_owned();
        let named = |text: &str| parts(&circuit, text);
        assert_eq!(named("C1"), Ok(vec!["C1".to_owned()]));
        let two = vec!["front loom".to_owned(), "C1".to_owned()];
        assert_eq!(named(" front loom,C1,, C1 "), Ok(two));
        assert!(named("C99").is_err_and(|why| why.contains("C99")));
        assert!(named(" , ").is_err());
        for (text, ok) in [
            ("5", true),
            ("1", true),
            ("0.5", false),
            ("1e9", false),
            ("", false),
        ] {
            assert_eq!(factor(text).is_ok(), ok, "{text}");
        }
    }
}
