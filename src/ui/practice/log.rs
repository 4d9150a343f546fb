//! What was done at the vehicle, line by line, with its minutes.

use egui::{ScrollArea, Sense, Ui, pos2, vec2};

use crate::{
    app::{
        practice::{Go, step_words, stood},
        view::log_rows,
    },
    practice::{Move, Session},
    quantity::format::clock,
    ui::{
        kit::{card_ui, fitted, text_ui},
        theme::Theme,
    },
};

/// One row of a table of steps.
pub struct Row {
    /// Its number; empty for a way to a reading.
    pub number: String,
    /// What was done.
    pub what: String,
    /// How it stood.
    pub stood: String,
    /// What came of it.
    pub came: String,
    /// Minutes.
    pub minutes: String,
}

/// Left ends of the columns, as shares of the width.
const COLUMNS: [f32; 4] = [0.0, 0.05, 0.40, 0.64];
/// What is kept free at the right end, where the bar for scrolling comes up.
const BAR: f32 = 14.0;

/// The card.
pub fn log_ui(ui: &mut Ui, theme: &Theme, go: &Go) {
    let beside = "each with the minutes it took";
    card_ui(ui, theme, "What was done", beside, |ui| {
        let given = go.session.exercise().given.len();
        if go.session.steps().is_empty() && given == 0 {
            let text = "Nothing yet. Click a point on the drawing and press “Measure”.";
            text_ui(ui, text, theme.body(), theme.colour.muted);
        }
        ScrollArea::vertical()
            .id_salt(("steps", go.number))
            .auto_shrink([false, false])
            .stick_to_bottom(true)
            .show(ui, |ui| {
                ui.spacing_mut().item_spacing.y = 0.0;
                let left = log_rows(&go.bench).into_iter().take(given);
                let left = left.map(|row| Row {
                    number: format!("{}", row.entry + 1),
                    what: row.point,
                    stood: row.state,
                    came: row.reads,
                    minutes: "left to you".to_owned(),
                });
                for row in left.chain(rows(&go.session)) {
                    row_ui(ui, theme, &row);
                }
            });
    });
}

fn rows(session: &Session) -> impl Iterator<Item = Row> + '_ {
    let given = session.exercise().given.len();
    let mut number = given;
    session.steps().iter().map(move |step| {
        let (what, came) = step_words(session, step);
        let read = matches!(step.done, Move::Read { .. });
        number += usize::from(read);
        Row {
            number: if read {
                number.to_string()
            } else {
                String::new()
            },
            what,
            stood: if read {
                stood(&step.before)
            } else {
                String::new()
            },
            came,
            minutes: format!("+{}", clock(step.minutes)),
        }
    })
}

/// Draws a row; what does not fit ends in an ellipsis.
pub fn row_ui(ui: &mut Ui, theme: &Theme, row: &Row) {
    let c = &theme.colour;
    let size = vec2(ui.available_width(), theme.size.row.min(30.0));
    let (rect, response) = ui.allocate_exact_size(size, Sense::hover());
    let spoken = [&row.number, &row.what, &row.stood, &row.came, &row.minutes];
    response.widget_info(|| {
        let words: Vec<&str> = spoken
            .iter()
            .map(|s| s.as_str())
            .filter(|s| !s.is_empty())
            .collect();
        egui::WidgetInfo::labeled(egui::accesskit::Role::Label, true, words.join(", "))
    });
    if !ui.is_rect_visible(rect) {
        return;
    }
    let fonts = [
        theme.label(),
        theme.body(),
        theme.label(),
        theme.strong(),
        theme.label(),
    ];
    let inks = [c.muted, c.ink, c.muted, c.ink, c.muted];
    // The minutes are never cut: they end where the row does, and what came of it ends before them.
    let minutes = ui
        .painter()
        .layout_no_wrap(row.minutes.clone(), fonts[4].clone(), inks[4]);
    let right = rect.right() - BAR - minutes.size().x;
    let at = pos2(right, rect.center().y - minutes.size().y / 2.0);
    ui.painter().galley(at, minutes, inks[4]);
    // A hint or an outcome may run on where nothing says how it stood.
    let wide = row.stood.is_empty();
    for (column, text) in spoken.into_iter().enumerate().take(COLUMNS.len()) {
        if text.is_empty() {
            continue;
        }
        let start = if column == 3 && wide {
            COLUMNS[2]
        } else {
            COLUMNS[column]
        };
        let left = rect.left() + start * rect.width();
        let end = (COLUMNS.get(column + 1)).map_or(right, |end| rect.left() + end * rect.width());
        let width = end - left - 8.0;
        let (font, ink) = (fonts[column].clone(), inks[column]);
        let galley = fitted(ui, text, font, ink, width);
        let at = pos2(left, rect.center().y - galley.size().y / 2.0);
        ui.painter().galley(at, galley, ink);
    }
}
