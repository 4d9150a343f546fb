//! The lower card: the readings, or the outline, the story of the log, what one point read, the drawing as a list.

use egui::Ui;

use super::{
    listing::listing_ui, outline::outline_ui, page::Bench, past::past_ui, readings::readings_ui,
    steps::steps_ui,
};
use crate::ui::{
    act::Act,
    kit::{card_ui, choice_ui},
    theme::Theme,
};

/// What stands on the lower card.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[allow(missing_docs, reason = "the variants are named in FEET")]
pub enum Foot {
    #[default]
    Readings,
    Outline,
    Steps,
    Point,
    Listing,
}

/// Every choice: itself, its word, its accessible name.
pub const FEET: [(Foot, &str, &str); 5] = [
    (Foot::Readings, "Readings", "Show the readings"),
    (Foot::Outline, "Outline", "Show the outline"),
    (Foot::Steps, "Step by step", "Show the story of the log"),
    (Foot::Point, "This point", "Show what this point read"),
    (Foot::Listing, "As a list", "Show the drawing as a list"),
];

/// The card.
pub fn foot_ui(ui: &mut Ui, theme: &Theme, bench: &Bench<'_>, acts: &mut Vec<Act>) {
    card_ui(ui, theme, "", "", |ui| {
        ui.set_min_height(ui.available_height());
        ui.spacing_mut().item_spacing.y = 4.0;
        let foot = bench.looks.foot;
        let words = FEET.map(|(_, word, name)| (word, name));
        let chosen = FEET.iter().position(|(which, ..)| *which == foot);
        if let Some(index) = choice_ui(ui, theme, &words, chosen.unwrap_or(0)) {
            acts.push(Act::Foot(FEET[index].0));
        }
        match foot {
            Foot::Readings => readings_ui(ui, theme, bench.model, acts),
            Foot::Outline => outline_ui(ui, theme, bench.model, acts),
            Foot::Steps => steps_ui(ui, theme, bench.steps),
            Foot::Point => past_ui(ui, theme, bench.model),
            Foot::Listing => listing_ui(ui, theme, bench.model, acts),
        }
    });
}
