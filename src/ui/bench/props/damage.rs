//! What happened to a part or its bundle: hit, wet, opened, worked on. It makes a fault there likelier.

use egui::Ui;

use super::fields::{Measure, Row};
use crate::{
    app::{
        Model, Sketch,
        zones::{HAPPENINGS, bundle_of, happened, is_marked, toggled},
    },
    ui::{
        act::Act,
        kit::{label_ui, tick_ui},
        theme::Theme,
    },
};

/// How many times likelier a fault can be said to be.
const FACTOR: (f64, f64) = (0.01, 1000.0);

/// A tick per happening, for the part and for its bundle.
pub fn damage_ui(ui: &mut Ui, theme: &Theme, model: &Model, id: &str, acts: &mut Vec<Act>) {
    let circuit = &model.job.circuit;
    let bundle = bundle_of(circuit, id).filter(|bundle| *bundle != id);
    for name in std::iter::once(id).chain(bundle) {
        let label = if name == id {
            "What happened here".to_owned()
        } else {
            format!("What happened to all of {name}")
        };
        label_ui(ui, &label, theme.label(), theme.colour.muted);
        ui.horizontal_wrapped(|ui| {
            for (what, _) in HAPPENINGS {
                let text = if name == id {
                    what.to_owned()
                } else {
                    format!("{what} (bundle)")
                };
                if tick_ui(ui, theme, &text, is_marked(circuit, name, what)).clicked() {
                    let zones = toggled(circuit, &[name.to_owned()], what);
                    acts.push(Sketch::SetZones(zones).into());
                    acts.push(Act::Do(crate::app::Command::EndGesture));
                }
            }
        });
    }
    factors_ui(ui, theme, model, id, acts);
}

/// How many times likelier a fault is where it happened: one number for all that was marked alike.
fn factors_ui(ui: &mut Ui, theme: &Theme, model: &Model, id: &str, acts: &mut Vec<Act>) {
    let zones = &model.job.circuit.damage_zones;
    let here = happened(&model.job.circuit, id);
    ui.horizontal_wrapped(|ui| {
        let mut row = Row::new(id);
        for (index, zone) in zones
            .iter()
            .enumerate()
            .filter(|(_, zone)| here.contains(&zone.note.as_str()))
        {
            let mut factor = zone.factor;
            let name = format!("{}: times likelier", zone.note);
            if row.number_ui(ui, theme, &name, Measure::Plain, &mut factor, FACTOR) {
                let mut zones = zones.clone();
                zones[index].factor = factor;
                acts.push(Sketch::SetZones(zones).into());
                acts.push(Act::Do(crate::app::Command::EndGesture));
            }
        }
    });
}
