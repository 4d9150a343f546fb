//! The drawing as a list of sentences, for screen readers and for reading aloud.

use egui::{ScrollArea, Ui};

use crate::{
    app::{Model, Screen, view::listing},
    ui::{
        act::Act,
        kit::{Tone, button_ui, text_ui},
        theme::Theme,
    },
};

/// One row per part, wires included; the button chooses the part.
pub fn listing_ui(ui: &mut Ui, theme: &Theme, model: &Model, acts: &mut Vec<Act>) {
    let list = listing(model);
    ScrollArea::vertical().auto_shrink(false).show_rows(
        ui,
        theme.size.target,
        list.len(),
        |ui, rows| {
            for listed in &list[rows] {
                ui.horizontal(|ui| {
                    ui.add_space(18.0 * listed.depth as f32);
                    let name = format!("Choose {}", listed.part);
                    let part = button_ui(ui, theme, Tone::Quiet, &listed.part, Some(&name));
                    if part.clicked() {
                        acts.push(Screen::SelectPart(Some(listed.part.clone())).into());
                    }
                    text_ui(ui, &listed.text, theme.body(), theme.colour.ink);
                });
            }
        },
    );
}
