//! The story of the log in plain words, one sentence per step.

use egui::{ScrollArea, Ui};

use crate::{
    app::words,
    explain::Step,
    ui::{
        kit::{label_ui, text_ui},
        theme::Theme,
    },
};

/// The sentences with the lines of the log on which each rests.
pub fn steps_ui(ui: &mut Ui, theme: &Theme, steps: &[Step]) {
    let c = &theme.colour;
    if steps.is_empty() {
        let none = "Nothing has been shown yet: log a reading, unplug something, read again.";
        text_ui(ui, none, theme.body(), c.muted);
        return;
    }
    ScrollArea::vertical().auto_shrink(false).show(ui, |ui| {
        for (number, step) in (1..).zip(steps) {
            ui.horizontal_top(|ui| {
                ui.spacing_mut().interact_size.y = 18.0;
                label_ui(ui, &format!("{number}"), theme.strong(), c.ink);
                let lines = step.entries.iter().map(|entry| (entry + 1).to_string());
                let rests = format!("{} (line {})", step.text, words::list(lines));
                text_ui(ui, &rests, theme.body(), c.ink);
            });
        }
    });
}
