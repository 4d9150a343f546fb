//! The worked sum, line by line.

use egui::Ui;

use super::answer::SURE;
use crate::{
    diagnosis::Findings,
    explain::{WorkedSum, names},
    quantity::format::percent,
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
    let told = suspect.map_or_else(
        || "nothing wrong".to_owned(),
        |suspect| names::accusation(&suspect.site, suspect.kind),
    );
    let mut beside = told.clone();
    if let Some(entry) = sum.entry {
        beside.push_str(&format!(", line {}", entry + 1));
    }
    card_ui(ui, theme, "The sum behind it", &beside, |ui| {
        ui.spacing_mut().item_spacing.y = 3.0;
        if let Some(suspect) = suspect.filter(|suspect| suspect.probability < SURE) {
            let share = percent(suspect.probability);
            let text = format!("Not settled yet. If it is {told} ({share} likely):");
            text_ui(ui, &text, theme.strong(), c.attention_text);
        }
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
