//! The answer: a place is opened and repaired, the repair proved, the vehicle handed over; or it is given up.

use egui::Ui;

use super::vehicle::Page;
use crate::{
    app::practice::Command,
    explain::names,
    practice::{Move, Outcome},
    ui::{
        act::Act,
        kit::{Field, Tone, button_ui, card_ui, field_ui, text_ui},
        theme::Theme,
    },
};

/// The card of the answer: part and place.
pub fn open_ui(ui: &mut Ui, theme: &Theme, page: &Page<'_>, acts: &mut Vec<Act>) {
    let c = &theme.colour;
    let go = page.go;
    let beside = "costs its minutes";
    card_ui(ui, theme, "Open it up and repair", beside, |ui| {
        let (mut place, mut metres) = (go.place.clone(), go.metres.clone());
        ui.horizontal(|ui| {
            let half = (ui.available_width() - theme.size.gap) / 2.0;
            let field = Field {
                name: "Part or pin",
                hint: "W3, or C1.2",
                width: half,
                ..Field::default()
            };
            let mut changed = field_ui(ui, theme, &mut place, &field).changed();
            let field = Field {
                name: "Metres along the wire",
                hint: "all of it",
                unit: "m",
                width: half,
                ..Field::default()
            };
            changed |= field_ui(ui, theme, &mut metres, &field).changed();
            if changed {
                acts.push(Command::Place(place.clone(), metres.clone()).into());
            }
        });
        if let Some(wire) = go.bench.job.circuit.wire(place.trim()) {
            let text = format!(
                "{} runs from {} at 0 m to {} at {:.2} m; half a metre is opened round a place.",
                wire.id,
                names::end(&wire.from),
                names::end(&wire.to),
                wire.length_or_assumed()
            );
            text_ui(ui, &text, theme.label(), c.muted);
        }
        let opened = go.session.steps().iter().rev().find_map(|step| {
            let Move::Open { site, .. } = &step.done else {
                return None;
            };
            Some((names::thing(site), step.outcome == Outcome::Repaired))
        });
        match opened {
            Some((place, true)) => {
                let text = format!(
                    "{place}: there it is, and it is repaired. With everything plugged, read where it had made the reading wrong."
                );
                text_ui(ui, &text, theme.strong(), c.healthy_text);
            }
            Some((place, false)) => {
                let text = format!("{place}: nothing wrong there.");
                text_ui(ui, &text, theme.strong(), c.suspect_text);
            }
            None => {}
        }
        ui.add_enabled_ui(page.is_free() && !place.trim().is_empty(), |ui| {
            if button_ui(ui, theme, Tone::Primary, "Open it up", None).clicked() {
                acts.push(Command::OpenUp.into());
            }
        });
    });
}

/// The end of it.
pub fn end_ui(ui: &mut Ui, theme: &Theme, page: &Page<'_>, acts: &mut Vec<Act>) {
    let over = page.go.session.is_over();
    ui.horizontal_wrapped(|ui| {
        if over {
            ui.add_enabled_ui(page.state.pending.is_none(), |ui| {
                if button_ui(ui, theme, Tone::Primary, "Look back", None).clicked() {
                    acts.push(Command::LookBack.into());
                }
                if button_ui(ui, theme, Tone::Plain, "The same vehicle again", None).clicked() {
                    acts.push(Command::Again.into());
                }
            });
            return;
        }
        ui.add_enabled_ui(page.is_free(), |ui| {
            if button_ui(ui, theme, Tone::Plain, "Hand the vehicle over", None).clicked() {
                acts.push(Command::Do(Move::HandOver).into());
            }
            let button = button_ui(ui, theme, Tone::Quiet, "Give up", None);
            if button
                .on_hover_text("See what it was; it counts nothing")
                .clicked()
            {
                acts.push(Command::Do(Move::GiveUp).into());
            }
        });
    });
    if !over {
        let text = "It is handed over with everything plugged, once what the fault made wrong reads right.";
        text_ui(ui, text, theme.label(), theme.colour.muted);
    }
}
