//! The log as a table: where, in which plug state, what it read, what it should have read, how it weighs.

use egui::{
    Align2, Color32, CornerRadius, Id, Layout, Rect, Response, ScrollArea, Sense, Stroke, Ui,
    WidgetInfo, accesskit::Role, pos2, vec2,
};

use crate::{
    app::{
        Command, Log, Model, Screen,
        view::{LogRow, Sort, log_rows},
    },
    reading::Entry,
    ui::{
        act::Act,
        dialog::{Dialog, ReadingDraft},
        kit::{Field, Tone, button_ui, field_ui, focus_ring, notice_ui, shortened, text_ui},
        theme::{LINE, Theme},
    },
};

/// Columns as parts of the width: number, point, plug state, reads, should read, weight. Figures end in line.
struct Columns {
    x: [f32; 6],
    right: f32,
}

/// Longest line that is told in full where the pointer rests on it, in characters.
const LONGEST: usize = 400;
/// Columns of figures, the first of them.
const FIGURES: usize = 3;
/// Width under which the heads of the last columns are a word shorter.
const TIGHT: f32 = 760.0;

/// Widths of the number and of the three columns of figures; what is left is for point and plug state.
const NUMBER: f32 = 28.0;
const WIDTHS: [f32; 3] = [82.0, 62.0, 72.0];
/// Share of what is left for the point.
const POINT: f32 = 0.58;
/// Width from which the figures stand as far apart as the rest, and under which words need the column of the weight.
const WIDE: f32 = 500.0;

impl Columns {
    fn new(rect: Rect) -> Self {
        let (left, right) = (rect.left() + 10.0, rect.right() - 10.0);
        let spread = (rect.width() / WIDE).clamp(1.0, 1.6);
        let [reads, should, bits] = WIDTHS.map(|width| width * spread);
        let bits = if weighs(rect) { bits } else { 0.0 };
        let figures = right - reads - should - bits;
        let point = left + NUMBER;
        let state = point + (figures - point) * POINT;
        let should_from = figures + reads;
        Self {
            x: [
                left,
                point,
                state,
                figures,
                should_from,
                should_from + should,
            ],
            right,
        }
    }

    fn width(&self, column: usize) -> f32 {
        self.x.get(column + 1).map_or(self.right, |next| next - 8.0) - self.x[column]
    }
}

/// Whether there is room for what each line weighs.
fn weighs(row: Rect) -> bool {
    row.width() >= WIDE
}

/// The table.
pub fn readings_ui(ui: &mut Ui, theme: &Theme, model: &Model, acts: &mut Vec<Act>) {
    if model.job.log.is_empty() {
        let text =
            "No reading yet. Click a point on the drawing, type what the meter shows, press Enter.";
        text_ui(ui, text, theme.body(), theme.colour.muted);
        return;
    }
    // Room for the bar is kept, so that heads and figures stand in line with and without it.
    let scroll = &ui.spacing().scroll;
    let bar = scroll.bar_width + scroll.bar_inner_margin + scroll.bar_outer_margin;
    let width = ui.available_width() - bar;
    head_ui(ui, theme, width);
    ScrollArea::vertical()
        .auto_shrink([false, true])
        .max_height(ui.available_height().max(3.0 * theme.size.row))
        .show(ui, |ui| {
            ui.spacing_mut().item_spacing.y = 0.0;
            ui.set_max_width(width);
            let rows = log_rows(model);
            for (index, row) in rows.iter().enumerate() {
                let top = ui.cursor().min;
                line_ui(ui, theme, model, row, acts);
                if index + 1 == rows.len() && is_new(ui, model, row) {
                    let size = vec2(ui.available_width(), theme.size.row);
                    ui.scroll_to_rect(Rect::from_min_size(top, size), Some(egui::Align::TOP));
                }
            }
        });
}

/// Whether the last line is another one than in the frame before, or what is said below it has come or gone: then it is
/// brought into sight itself, and not the end of what is said.
fn is_new(ui: &Ui, model: &Model, row: &LogRow) -> bool {
    let id = Id::unique("last line that was shown");
    let seen = (model.number, row.entry, row.flag.is_some());
    let before = ui.data_mut(|data| {
        let before = data.get_temp(id);
        data.insert_temp(id, seen);
        before
    });
    before != Some(seen)
}

fn open_id() -> Id {
    Id::unique("open line")
}

/// The line of the log that was pressed, whose actions and sum are shown.
pub fn open_line(ctx: &egui::Context) -> Option<usize> {
    ctx.data(|data| data.get_temp(open_id()))
}

fn head_ui(ui: &mut Ui, theme: &Theme, width: f32) {
    let c = &theme.colour;
    let (rect, _) = ui.allocate_exact_size(vec2(width, 22.0), Sense::empty());
    let columns = Columns::new(rect);
    let should = if rect.width() < TIGHT {
        "should"
    } else {
        "should read"
    };
    let heads = ["#", "point", "plug state", "reads", should, "weight"];
    let shown = if weighs(rect) { 6 } else { 5 };
    for (column, text) in heads.into_iter().take(shown).enumerate() {
        cell_ui(ui, rect, &columns, column, text, theme.label(), c.muted);
    }
}

/// Answers whether the words had to be cut.
fn cell_ui(
    ui: &Ui,
    row: Rect,
    columns: &Columns,
    column: usize,
    text: &str,
    font: egui::FontId,
    colour: Color32,
) -> bool {
    let width = columns.width(column);
    let clip = Rect::from_min_max(
        pos2(columns.x[column], row.top()),
        pos2(columns.x[column] + width, row.bottom()),
    );
    let mut text = shortened(text, 60);
    let painter = ui.painter().with_clip_rect(clip.intersect(ui.clip_rect()));
    let mut galley = painter.layout_no_wrap(text.clone(), font.clone(), colour);
    // Words that do not fit end in an ellipsis, so that nothing looks complete that is not.
    while galley.size().x > width && text.chars().count() > 2 {
        let keep = text.chars().count().saturating_sub(3);
        text = text.chars().take(keep).collect::<String>() + "…";
        galley = painter.layout_no_wrap(text.clone(), font.clone(), colour);
    }
    let cut = text.ends_with('…');
    let align = if column < FIGURES {
        Align2::LEFT_CENTER
    } else {
        Align2::RIGHT_CENTER
    };
    let at = align.align_size_within_rect(galley.size(), clip).min;
    painter.galley(at, galley, colour);
    cut
}

/// A line with what unfolds below it.
fn line_ui(ui: &mut Ui, theme: &Theme, model: &Model, row: &LogRow, acts: &mut Vec<Act>) {
    let size = vec2(ui.available_width(), theme.size.row);
    let (rect, response) = ui.allocate_exact_size(size, Sense::click());
    let open = open_line(ui.ctx()) == Some(row.entry);
    let doubtful = row.flag.is_some() && !row.set_aside;
    row_ui(ui, theme, row, (rect, &response), (open, doubtful));
    if response.clicked() {
        fold(ui, rect, row, open);
        if let Some(Entry::Reading(reading)) = model.job.log.get(row.entry) {
            acts.push(Screen::SelectPoint(Some(reading.red.clone())).into());
        }
    }
    if let Some(why) = row.flag.as_ref().filter(|_| doubtful) {
        notice_ui(ui, theme, why, "");
    }
    if !row.note.is_empty() && !open {
        note_ui(ui, theme, row, rect);
    }
    if open || doubtful {
        actions_ui(ui, theme, model, row, acts);
    }
}

/// The cells of a line.
fn row_ui(
    ui: &Ui,
    theme: &Theme,
    row: &LogRow,
    (rect, response): (Rect, &Response),
    (open, doubtful): (bool, bool),
) {
    let c = &theme.colour;
    let weight = if row.set_aside {
        "set aside"
    } else {
        &row.bits
    };
    let number = (row.entry + 1).to_string();
    let cells = [
        &number,
        &row.point,
        &row.state,
        &row.reads,
        &row.should_read,
        weight,
    ];
    let spoken = format!("Line {number}: {}", spoken(&cells[1..]));
    response.widget_info(|| WidgetInfo::selected(Role::Button, true, open, &spoken));
    let ground = if doubtful {
        Some(c.attention_wash)
    } else if open {
        Some(c.selected)
    } else if row.entry.is_multiple_of(2) {
        Some(c.band)
    } else {
        None
    };
    if let Some(ground) = ground {
        ui.painter()
            .rect_filled(rect, CornerRadius::same(3), ground);
    }
    let columns = Columns::new(rect);
    let mut cut = false;
    let mut shown = cells.to_vec();
    if !weighs(rect) {
        shown.pop();
        if row.set_aside {
            shown[4] = weight;
        }
    }
    for (column, text) in shown.into_iter().enumerate() {
        let font = if column == 3 {
            theme.strong()
        } else {
            theme.body()
        };
        let ink = match (row.set_aside, doubtful) {
            (true, _) => c.muted,
            (false, true) => c.attention_text,
            (false, false) => c.ink,
        };
        cut |= cell_ui(ui, rect, &columns, column, text, font, ink);
    }
    if cut {
        response.clone().on_hover_text(shortened(&spoken, LONGEST));
    }
    if row.set_aside {
        let y = rect.center().y;
        let from_to = columns.x[1]..=columns.x[4] - 8.0;
        ui.painter().hline(from_to, y, Stroke::new(LINE, c.muted));
    }
    focus_ring(ui, theme, response, rect.shrink(2.0));
}

/// Shows what can be done with a line, or no longer.
fn fold(ui: &Ui, rect: Rect, row: &LogRow, open: bool) {
    ui.data_mut(|data| {
        if open {
            data.remove::<usize>(open_id());
        } else {
            data.insert_temp(open_id(), row.entry);
        }
    });
    if !open {
        // What can be done with it unfolds below.
        ui.scroll_to_rect(rect, Some(egui::Align::TOP));
    }
}

/// The note of a line, under its point.
fn note_ui(ui: &mut Ui, theme: &Theme, row: &LogRow, rect: Rect) {
    let indent = Columns::new(rect).x[1] - rect.left();
    let line = vec2(rect.width() - indent, 18.0);
    ui.scope(|ui| {
        ui.spacing_mut().interact_size.y = line.y;
        ui.spacing_mut().item_spacing.x = 0.0;
        ui.horizontal_top(|ui| {
            ui.add_space(indent);
            ui.allocate_ui_with_layout(line, Layout::top_down(egui::Align::Min), |ui| {
                text_ui(ui, &row.note, theme.label(), theme.colour.muted);
            });
        });
    });
}

fn spoken(cells: &[&str]) -> String {
    let said: Vec<&str> = cells
        .iter()
        .copied()
        .filter(|cell| !cell.is_empty())
        .collect();
    said.join(", ")
}

fn actions_ui(ui: &mut Ui, theme: &Theme, model: &Model, row: &LogRow, acts: &mut Vec<Act>) {
    let (index, line) = (row.entry, row.entry + 1);
    ui.horizontal_wrapped(|ui| {
        ui.add_space(theme.size.card);
        let mut quiet = |text: &str, act: Act| {
            let name = format!("{text}, line {line}");
            if button_ui(ui, theme, Tone::Quiet, text, Some(&name)).clicked() {
                acts.push(act);
            }
        };
        if row.sort == Sort::Reading {
            quiet("Re-take", Log::Retake(index).into());
            quiet("Correct", Screen::EditReading(index).into());
            if let Some(Entry::Reading(reading)) = model.job.log.get(index) {
                let draft = ReadingDraft::of(index, reading);
                quiet("State, moved, note", Act::Ask(Dialog::Reading(draft)));
            }
            if let Some(Entry::Reading(reading)) = model.job.log.get(index)
                && reading.state != model.job.now
            {
                let now = Log::SetState(index, model.job.now.clone());
                quiet("It stood as now", now.into());
                if !reading.state.supply_off {
                    quiet(
                        "Compare",
                        Screen::Compare(Some(reading.state.clone())).into(),
                    );
                }
            }
        }
        if row.sort != Sort::Repair {
            let text = if row.set_aside {
                "Use again"
            } else {
                "Set aside"
            };
            quiet(text, Log::SetAside(index, !row.set_aside).into());
        }
        quiet("Remove", Log::Remove(index).into());
    });
    let name = format!("Note on line {line}");
    let field = Field {
        name: &name,
        hint: "note",
        bare: true,
        ..Field::default()
    };
    let mut note = row.note.clone();
    let response = field_ui(ui, theme, &mut note, &field);
    if response.changed() {
        acts.push(Log::SetNote(index, note).into());
    }
    if response.lost_focus() {
        acts.push(Act::Do(Command::EndGesture));
    }
}
