//! Fields: one line or several, in an own frame, with a name for people and for screen readers.

use egui::{
    CornerRadius, FontId, Frame, Id, Margin, Response, Stroke, StrokeKind, TextBuffer, TextEdit,
    Ui,
    text::{CCursor, CCursorRange, LayoutJob},
    text_edit::TextEditState,
};

use super::text::{label_ui, shown};
use crate::ui::theme::{LINE, RADIUS, STRONG, Theme};

/// Longest text a field takes, in characters.
const LIMIT: usize = 20_000;

/// How a field looks.
#[derive(Clone, Debug, Default)]
pub struct Field<'a> {
    /// Its accessible name, shown above it unless `bare`.
    pub name: &'a str,
    /// Shown while it is empty.
    pub hint: &'a str,
    /// Muted text at its right end, such as a unit.
    pub unit: &'a str,
    /// Do not show the name above it.
    pub bare: bool,
    /// Large bold figures.
    pub figure: bool,
    /// Width; the whole row when 0.
    pub width: f32,
    /// Outlined as wrong.
    pub wrong: bool,
    /// Its id, where something else moves the keyboard to it or comes and goes above it.
    pub id: Option<Id>,
}

/// A field of one line.
pub fn field_ui(ui: &mut Ui, theme: &Theme, text: &mut String, field: &Field<'_>) -> Response {
    let font = if field.figure {
        theme.figure()
    } else {
        theme.body()
    };
    labelled(ui, theme, field, |ui, width| {
        framed(ui, theme, field, width, |ui, inner| {
            let mut lay = layouter(font.clone(), theme);
            let mut edit = TextEdit::singleline(text)
                .frame(Frame::NONE)
                .margin(Margin::ZERO)
                .font(font.clone())
                .hint_text(field.hint)
                .char_limit(LIMIT)
                .min_size(egui::vec2(0.0, theme.size.target - 2.0))
                .align(egui::Align2::LEFT_CENTER)
                .desired_width(inner)
                .layouter(&mut lay);
            if let Some(id) = field.id {
                edit = edit.id(id);
            }
            ui.add(edit)
        })
    })
}

/// A field of several lines.
pub fn text_block_ui(
    ui: &mut Ui,
    theme: &Theme,
    text: &mut String,
    rows: usize,
    field: &Field<'_>,
) -> Response {
    labelled(ui, theme, field, |ui, width| {
        framed(ui, theme, field, width, |ui, inner| {
            let mut edit = TextEdit::multiline(text)
                .frame(Frame::NONE)
                .margin(Margin::symmetric(0, 6))
                .font(theme.body())
                .hint_text(field.hint)
                .char_limit(LIMIT)
                .desired_width(inner)
                .desired_rows(rows);
            if let Some(id) = field.id {
                edit = edit.id(id);
            }
            ui.add(edit)
        })
    })
}

/// In a row that wraps, begins the next one where less room than this is left: what stands in a column of its own does not
/// do so by itself.
pub fn make_room(ui: &mut Ui, width: f32) {
    let begun = ui.cursor().left() > ui.max_rect().left() + 1.0;
    if ui.layout().main_wrap && begun && ui.available_size_before_wrap().x < width {
        ui.end_row();
    }
}

/// Sends the keyboard to a field in the frame in which it comes up, and answers whether that is now.
pub fn begin_here(ui: &Ui, response: &Response) -> bool {
    let seen = response.id.with("seen");
    let frame = ui.ctx().cumulative_frame_nr();
    let before: Option<u64> = ui.data(|data| data.get_temp(seen));
    ui.data_mut(|data| data.insert_temp(seen, frame));
    let now = before.is_none_or(|before| before + 1 < frame);
    if now {
        response.request_focus();
    }
    now
}

/// Chooses all of a field's text, so that typing replaces it.
pub fn choose_all(ui: &Ui, response: &Response, text: &str) {
    if let Some(mut state) = TextEditState::load(ui.ctx(), response.id) {
        let end = CCursor::new(text.chars().count());
        let all = CCursorRange::two(CCursor::new(0), end);
        state.cursor.set_char_range(Some(all));
        state.store(ui.ctx(), response.id);
    }
}

fn labelled(
    ui: &mut Ui,
    theme: &Theme,
    field: &Field<'_>,
    content: impl FnOnce(&mut Ui, f32) -> Response,
) -> Response {
    let width = if field.width > 0.0 {
        let width = field.width.min(ui.max_rect().width());
        make_room(ui, width);
        width
    } else {
        ui.available_width()
    };
    if field.bare {
        return content(ui, width).accessible_name(field.name);
    }
    ui.vertical(|ui| {
        ui.set_width(width);
        ui.spacing_mut().item_spacing.y = 2.0;
        let name = label_ui(ui, field.name, theme.label(), theme.colour.muted);
        content(ui, width).labelled_by(name.id)
    })
    .inner
}

fn framed(
    ui: &mut Ui,
    theme: &Theme,
    field: &Field<'_>,
    width: f32,
    content: impl FnOnce(&mut Ui, f32) -> Response,
) -> Response {
    let c = &theme.colour;
    let line = theme.size.target;
    let enabled = ui.is_enabled();
    let mut frame = Frame::new()
        .fill(if enabled { c.sheet } else { c.band })
        .stroke(Stroke::new(LINE, c.edge))
        .corner_radius(CornerRadius::same(RADIUS))
        .inner_margin(Margin::symmetric(10, 0))
        .begin(ui);
    let inner = (width - 22.0).max(10.0);
    let response = {
        let ui = &mut frame.content_ui;
        ui.set_width(inner);
        let row = egui::vec2(inner, line - 2.0);
        let layout = egui::Layout::left_to_right(egui::Align::Center);
        ui.allocate_ui_with_layout(row, layout, |ui| {
            ui.set_min_height(line - 2.0);
            let unit = (!field.unit.is_empty()).then(|| {
                ui.painter()
                    .layout_no_wrap(field.unit.to_owned(), theme.label(), c.muted)
            });
            let room = unit.as_ref().map_or(0.0, |galley| galley.size().x + 8.0);
            let response = content(ui, (inner - room).max(10.0));
            if let Some(galley) = unit {
                let right = response.rect.left() + inner;
                let y = response.rect.center().y - galley.size().y / 2.0;
                let at = egui::pos2(right - galley.size().x, y);
                ui.painter().galley(at, galley, c.muted);
            }
            response
        })
        .inner
    };
    let (width, colour) = if !enabled {
        (LINE, c.grid)
    } else if field.wrong {
        (STRONG, c.attention)
    } else if response.has_focus() {
        (STRONG, c.focus)
    } else if response.hovered() {
        (LINE, c.ink)
    } else {
        (LINE, c.edge)
    };
    // A thicker line takes no more room, so that nothing moves when the keyboard comes or goes.
    frame.frame.stroke = Stroke::new(LINE, colour);
    let rect = frame.end(ui).rect;
    if width > LINE {
        let corner = CornerRadius::same(RADIUS);
        let stroke = Stroke::new(width, colour);
        let painter = ui.painter();
        painter.rect_stroke(rect, corner, stroke, StrokeKind::Inside);
    }
    response
}

fn layouter(
    font: FontId,
    theme: &Theme,
) -> impl FnMut(&Ui, &dyn TextBuffer, f32) -> std::sync::Arc<egui::Galley> {
    let ink = theme.colour.ink;
    move |ui, text, _wrap| {
        let text = shown(text.as_str()).into_owned();
        let mut job = LayoutJob::simple_singleline(text, font.clone(), ink);
        job.keep_trailing_whitespace = true;
        ui.fonts_mut(|fonts| fonts.layout_job(job))
    }
}
