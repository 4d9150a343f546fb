//! The worked sum, line by line.

use egui::Ui;

use crate::{
    diagnosis::Findings,
    explain::{WorkedSum, names},
    ui::{
        kit::{card_ui, text_ui},
        theme::Theme,
    },
};

/// The card; nothing where there is nothing to reckon.
pub fn sum_ui(ui: &mut Ui, theme: &Theme, findings: &Findings, sum: &WorkedSum) {
    if sum.lines.is_empty() {
        return;
    }
    let c = &theme.colour;
    let suspect = sum.suspect.and_then(|index| findings.suspects.get(index));
    let mut beside = suspect.map_or_else(
        || "nothing wrong".to_owned(),
        |suspect| names::accusation(&suspect.site, suspect.kind),
    );
    if let Some(entry) = sum.entry {
        beside.push_str(&format!(", line {}", entry + 1));
    }
    card_ui(ui, theme, "The sum behind it", &beside, |ui| {
        ui.spacing_mut().item_spacing.y = 3.0;
        for line in &sum.lines {
            let ink = if line.equation.is_some() {
                c.ink
            } else {
                c.muted
            };
            text_ui(ui, &line.text, theme.body(), ink);
        }
    });
}
