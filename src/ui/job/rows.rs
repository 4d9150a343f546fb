//! Rows of a list on the page: small fields side by side, three-way choices, a button that takes the row out.

use egui::Ui;

use super::Draft;
use crate::{
    app::job::Piece,
    notebook::record::day,
    ui::{
        kit::{
            Field, Tone, button_ui, choice_ui, field_ui, job_id, label_ui, make_room,
            text_block_ui, text_ui,
        },
        theme::Theme,
    },
};

/// Room for a three-way choice.
const CHOICE: f32 = 240.0;

/// A field of one line; `name` is its accessible name and stands above it.
pub fn line_ui(
    ui: &mut Ui,
    theme: &Theme,
    draft: &mut Draft,
    piece: Piece,
    name: &str,
    width: f32,
    of: fn(&mut Draft) -> Option<&mut String>,
) {
    let Some(mut text) = of(draft).map(|text| text.clone()) else {
        return;
    };
    let field = Field {
        name,
        width,
        id: Some(job_id(ui, name)),
        ..Field::default()
    };
    let response = field_ui(ui, theme, &mut text, &field);
    if response.changed()
        && let Some(kept) = of(draft)
    {
        *kept = text;
    }
    draft.note(piece, &response);
}

/// From here on nothing can be changed; it stays as legible as before.
pub fn lock(ui: &mut Ui) {
    ui.visuals_mut().disabled_alpha = 1.0;
    ui.disable();
}

/// What is doubtful about a day that is typed, if anything is.
pub fn day_ui(ui: &mut Ui, theme: &Theme, text: &str) {
    if let Some(doubt) = day::read(text).doubt(text) {
        let words = format!("{doubt}. {}", day::REMEDY);
        text_ui(ui, &words, theme.label(), theme.colour.attention_text);
    }
}

/// A field of several lines, named by its card.
pub fn block_ui(
    ui: &mut Ui,
    theme: &Theme,
    draft: &mut Draft,
    piece: Piece,
    name: &str,
    rows: usize,
    of: fn(&mut Draft) -> &mut String,
) {
    let mut text = of(draft).clone();
    let field = Field {
        name,
        id: Some(job_id(ui, name)),
        ..Field::default()
    };
    let response = text_block_ui(ui, theme, &mut text, rows, &field);
    if response.changed() {
        *of(draft) = text;
    }
    draft.note(piece, &response);
}

/// A text of a row that is being drawn.
pub struct Cell<'a> {
    /// Accessible name, e.g. `Code 2`.
    pub name: String,
    /// What stands above it.
    pub text: &'a mut String,
    /// Width.
    pub width: f32,
}

/// Fields side by side. Answers whether one was changed, and whether one was left.
pub fn cells_ui(ui: &mut Ui, theme: &Theme, cells: Vec<Cell<'_>>) -> (bool, bool) {
    let (mut changed, mut left) = (false, false);
    for cell in cells {
        let field = Field {
            name: &cell.name,
            width: cell.width,
            id: Some(job_id(ui, &cell.name)),
            ..Field::default()
        };
        let response = field_ui(ui, theme, cell.text, &field);
        changed |= response.changed();
        left |= response.lost_focus();
    }
    (changed, left)
}

/// Yes, no or not known, with a word above that says when or of what.
pub fn three_ui(
    ui: &mut Ui,
    theme: &Theme,
    (above, name): (&str, &str),
    words: [&str; 3],
    now: &mut Option<bool>,
) -> bool {
    let names = words.map(|word| format!("{name}: {word}"));
    let options: Vec<(&str, &str)> = words
        .iter()
        .zip(&names)
        .map(|(w, n)| (*w, n.as_str()))
        .collect();
    let chosen = match now {
        Some(true) => 0,
        Some(false) => 1,
        None => 2,
    };
    make_room(ui, CHOICE);
    let answer = ui
        .vertical(|ui| {
            ui.set_width(CHOICE);
            ui.spacing_mut().item_spacing.y = 2.0;
            label_ui(ui, above, theme.label(), theme.colour.muted);
            choice_ui(ui, theme, &options, chosen)
        })
        .inner;
    if let Some(answer) = answer {
        *now = [Some(true), Some(false), None]
            .get(answer)
            .copied()
            .flatten();
    }
    answer.is_some()
}

/// Takes a row out.
pub fn remove_ui(ui: &mut Ui, theme: &Theme, name: &str) -> bool {
    button_ui(ui, theme, Tone::Quiet, "Remove", Some(name)).clicked()
}

/// Adds a row.
pub fn add_ui(ui: &mut Ui, theme: &Theme, text: &str) -> bool {
    button_ui(ui, theme, Tone::Plain, text, None).clicked()
}
