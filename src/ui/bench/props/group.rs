//! What can be done with parts that were chosen together.

use egui::Ui;

use super::fields::Row;
use crate::{
    app::{
        Command, Model, Screen, Sketch,
        clip::copy_many,
        words,
        zones::{HAPPENINGS, is_marked, toggled},
    },
    circuit::{PartRef, Point},
    ui::{
        act::Act,
        kit::{Tone, button_ui, card_ui, label_ui, text_ui, tick_ui},
        theme::Theme,
    },
};

/// Designations that are spelled out.
const SPELLED: usize = 12;

/// The card.
pub fn group_ui(ui: &mut Ui, theme: &Theme, model: &Model, acts: &mut Vec<Act>) {
    let c = &theme.colour;
    let many = &model.selection.many;
    let ids: Vec<String> = many.iter().cloned().collect();
    let title = format!("{} chosen together", ids.len());
    card_ui(ui, theme, &title, "", |ui| {
        let mut spelled: Vec<String> = ids.iter().take(SPELLED).cloned().collect();
        if ids.len() > SPELLED {
            spelled.push(format!("{} more", ids.len() - SPELLED));
        }
        text_ui(ui, &words::list(spelled), theme.body(), c.ink);
        if model.moving {
            let text =
                "Click the point from which they are to hang; Escape leaves them where they are.";
            text_ui(ui, text, theme.strong(), c.attention_text);
        }
        label_ui(ui, "What happened to all of them", theme.label(), c.muted);
        ui.horizontal_wrapped(|ui| {
            for (what, _) in HAPPENINGS {
                let marked = ids.iter().all(|id| is_marked(&model.job.circuit, id, what));
                if tick_ui(ui, theme, &format!("{what} (all)"), marked).clicked() {
                    let zones = toggled(&model.job.circuit, &ids, what);
                    acts.push(Sketch::SetZones(zones).into());
                    acts.push(Act::Do(Command::EndGesture));
                }
            }
        });
        bundle_ui(ui, theme, model, acts);
        buttons_ui(ui, theme, model, ids, acts);
    });
}

/// The bundle in which the chosen wires run, where they all run in the same.
fn bundle_ui(ui: &mut Ui, theme: &Theme, model: &Model, acts: &mut Vec<Act>) {
    let chosen = |id: &&String| matches!(model.job.circuit.part(id), Some(PartRef::Wire(_)));
    let wires: Vec<String> = model
        .selection
        .many
        .iter()
        .filter(chosen)
        .cloned()
        .collect();
    if wires.is_empty() {
        return;
    }
    let bundles = model
        .job
        .circuit
        .wires
        .iter()
        .filter(|wire| wires.contains(&wire.id));
    let mut bundles: Vec<&str> = bundles.map(|wire| wire.bundle.as_str()).collect();
    bundles.dedup();
    let now = match bundles[..] {
        [one] => one,
        _ => "",
    };
    let key = wires.join(" ");
    let mut row = Row::new(&key);
    let name = format!("Bundle of the {} wires", wires.len());
    let read = |text: &str| Ok(text.trim().to_owned());
    if let Some(bundle) = row.kept_ui(ui, theme, &name, "", now, read) {
        acts.push(Sketch::SetBundle(wires, bundle).into());
    }
}

fn buttons_ui(ui: &mut Ui, theme: &Theme, model: &Model, ids: Vec<String>, acts: &mut Vec<Act>) {
    ui.horizontal_wrapped(|ui| {
        if button_ui(ui, theme, Tone::Primary, "Done", Some("Choose nothing")).clicked() {
            acts.push(Screen::SelectMany(std::collections::BTreeSet::new()).into());
        }
        let clip = copy_many(&model.job.circuit, &model.harness, &model.selection.many);
        let hang: Option<Point> = clip.as_ref().and_then(|clip| clip.hang().cloned());
        if clip.is_some() {
            let copy = button_ui(ui, theme, Tone::Plain, "Copy", Some("Copy what is chosen"));
            let hint = "Then paste it after another point (Ctrl+V)";
            if copy.on_hover_text(hint).clicked() {
                acts.push(Screen::CopyMany.into());
            }
        }
        if let (Some(clip), Some(hang)) = (clip, hang) {
            let name = Some("Duplicate what is chosen");
            if button_ui(ui, theme, Tone::Plain, "Duplicate", name).clicked() {
                acts.push(Sketch::Paste(hang, Box::new(clip)).into());
            }
            let name = Some("Hang what is chosen from another point");
            let text = "Hang elsewhere \u{2026}";
            if button_ui(ui, theme, Tone::Plain, text, name).clicked() {
                acts.push(Screen::StartMove(true).into());
            }
        }
        let name = Some("Remove what is chosen");
        if button_ui(ui, theme, Tone::Quiet, "Remove", name).clicked() {
            acts.push(Sketch::RemoveAll(ids).into());
        }
    });
}
