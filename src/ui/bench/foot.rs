//! The lower card: the readings, or the outline, the story of the log, what one point read, what every reading left, the
//! drawing as a list.

use egui::{ComboBox, ScrollArea, Stroke, Ui, UiBuilder};

use super::{
    doubt::doubt_ui, listing::listing_ui, outline::outline_ui, page::Bench, past::past_ui,
    readings::readings_ui, steps::steps_ui, sum::sum_beside_ui,
};
use crate::{
    app::{Model, view::log_rows},
    ui::{
        act::Act,
        kit::{card_ui, choice_ui, line_ui},
        theme::{LINE, Theme},
    },
};

/// Width under which the choices do not stand beside each other, and under which the columns of the log do not.
const NARROW: f32 = 484.0;
const NARROW_LOG: f32 = 420.0;
/// Share of the card for the worked sum, and its least and greatest width.
const SUM: f32 = 0.34;
const SUM_WIDTH: (f32, f32) = (284.0, 460.0);
/// Room on either side of the line between the two.
const BESIDE: f32 = 14.0;

/// What stands on the lower card.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[allow(missing_docs, reason = "the variants are named in FEET")]
pub enum Foot {
    #[default]
    Readings,
    Outline,
    Steps,
    Point,
    Doubt,
    Listing,
}

impl Foot {
    /// Share of the height of the page that it takes at least.
    pub fn share(self) -> f32 {
        match self {
            Self::Readings | Self::Point => 0.0,
            Self::Doubt => 0.34,
            Self::Steps | Self::Listing => 0.42,
            Self::Outline => 0.5,
        }
    }
}

/// Every choice: itself, its word, its accessible name.
pub const FEET: [(Foot, &str, &str); 6] = [
    (Foot::Readings, "Readings", "Show the readings"),
    (Foot::Outline, "Outline", "Show the outline"),
    (Foot::Steps, "Story", "Show the story of the log"),
    (Foot::Point, "This point", "Show what this point read"),
    (
        Foot::Doubt,
        "Suspects left",
        "Show how many suspects every reading left",
    ),
    (Foot::Listing, "As a list", "Show the drawing as a list"),
];

/// The card.
pub fn foot_ui(ui: &mut Ui, theme: &Theme, bench: &Bench<'_>, acts: &mut Vec<Act>) {
    card_ui(ui, theme, "", "", |ui| {
        ui.set_min_height(ui.available_height());
        ui.spacing_mut().item_spacing.y = 4.0;
        let sum = bench.sum.filter(|shown| !shown.sum.lines.is_empty());
        let Some(sum) = sum.filter(|_| bench.sum_at_log && bench.model.answer.is_some()) else {
            chosen_ui(ui, theme, bench, acts);
            return;
        };
        let room = ui.available_rect_before_wrap();
        let width = (room.width() * SUM).clamp(SUM_WIDTH.0, SUM_WIDTH.1);
        let (mut left, mut right) = room.split_left_right_at_x(room.right() - width);
        let between = left.right() - BESIDE;
        let line = Stroke::new(LINE, theme.colour.edge);
        ui.painter().vline(between, room.y_range(), line);
        left.max.x = between - BESIDE;
        right.min.x = between + BESIDE;
        ui.scope_builder(UiBuilder::new().max_rect(left).id_salt("log"), |ui| {
            chosen_ui(ui, theme, bench, acts);
        });
        ui.scope_builder(UiBuilder::new().max_rect(right).id_salt("sum"), |ui| {
            sum_beside_ui(ui, theme, sum);
        });
    });
}

/// What was chosen to stand on the card, under the choice.
fn chosen_ui(ui: &mut Ui, theme: &Theme, bench: &Bench<'_>, acts: &mut Vec<Act>) {
    let foot = bench.looks.foot;
    let narrow = ui.available_width() < NARROW;
    let low = ui.available_width() < NARROW_LOG;
    let chosen = FEET
        .iter()
        .position(|(which, ..)| *which == foot)
        .unwrap_or(0);
    let picked = if narrow {
        list_ui(ui, chosen)
    } else {
        let words = FEET.map(|(_, word, name)| (word, name));
        choice_ui(ui, theme, &words, chosen)
    };
    if let Some(index) = picked {
        acts.push(Act::Foot(FEET[index].0));
    }
    match foot {
        Foot::Readings if low => last_lines_ui(ui, theme, bench.model),
        Foot::Readings => readings_ui(ui, theme, bench.model, acts),
        Foot::Outline => outline_ui(ui, theme, bench.model, acts),
        Foot::Steps => steps_ui(ui, theme, bench.steps),
        Foot::Point => past_ui(ui, theme, bench.model),
        Foot::Doubt => doubt_ui(ui, theme, bench.left),
        Foot::Listing => listing_ui(ui, theme, bench.model, acts),
    }
}

/// The choice as a list, where the words have no room beside each other.
fn list_ui(ui: &mut Ui, chosen: usize) -> Option<usize> {
    let mut picked = None;
    ComboBox::from_id_salt("feet")
        .selected_text(FEET[chosen].1)
        .width(160.0)
        .show_ui(ui, |ui| {
            for (index, (_, word, _)) in FEET.iter().enumerate() {
                if ui.selectable_label(index == chosen, *word).clicked() {
                    picked = Some(index);
                }
            }
        })
        .response
        .accessible_name("What stands on the lower card");
    picked
}

/// The last lines of the log, the latest first, without what asks for columns.
fn last_lines_ui(ui: &mut Ui, theme: &Theme, model: &Model) {
    let rows = log_rows(model);
    ScrollArea::vertical().auto_shrink(false).show(ui, |ui| {
        ui.spacing_mut().item_spacing.y = 6.0;
        for row in rows.iter().rev() {
            let ink = if row.set_aside {
                theme.colour.muted
            } else {
                theme.colour.ink
            };
            let text = format!("{}. {}: {}", row.entry + 1, row.point, row.reads);
            line_ui(ui, &text, theme.strong(), ink).on_hover_text(&row.state);
        }
    });
}
