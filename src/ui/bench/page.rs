//! How the bench page is divided: the drawing and what hangs on its metres to the left, what to do to the right; all in
//! one column where the window is narrow.

use egui::{Rect, ScrollArea, Ui, UiBuilder, pos2, vec2};

use super::{
    answer::answer_ui, cautions::cautions_ui, chance::chance_ui, entry::entry_ui,
    harness_card::harness_card_ui, outline::outline_ui, props::props_ui, readings::readings_ui,
    sheet::Sheet, sum::sum_ui, view::Chosen,
};
use crate::{
    app::{Model, cut_off, profile::profile, view::tags},
    explain::WorkedSum,
    ui::{act::Act, theme::Theme},
};

/// Width under which everything stands in one column.
const NARROW: f32 = 900.0;
/// Height of the drawing where everything stands in one column.
const SHEET: f32 = 470.0;
/// Height of the readings where everything stands in one column.
const LOG: f32 = 260.0;

/// The page.
pub fn bench_ui(
    ui: &mut Ui,
    theme: &Theme,
    model: &Model,
    looks: &Looks,
    sum: Option<&WorkedSum>,
    acts: &mut Vec<Act>,
) {
    let chosen = &looks.chosen;
    let gone = cut_off(&model.job.circuit, &model.job.now.unplugged);
    let tags = tags(model);
    let sheet = Sheet::new(model, &gone, &tags);
    let profile = profile(&model.job, &model.harness, sheet.findings);
    let room = ui.available_rect_before_wrap();
    let gap = theme.size.gap + 2.0;
    if room.width() < NARROW || room.height() < 420.0 {
        ScrollArea::vertical().auto_shrink(false).show(ui, |ui| {
            ui.spacing_mut().item_spacing.y = gap;
            let width = ui.available_width();
            let (rect, _) = ui.allocate_exact_size(vec2(width, SHEET), egui::Sense::empty());
            piece(ui, rect, "drawing", |ui| {
                harness_card_ui(ui, theme, &sheet, &profile, chosen, acts);
            });
            right_ui(ui, theme, model, sum, acts);
            let (rect, _) = ui.allocate_exact_size(vec2(width, LOG), egui::Sense::empty());
            piece(ui, rect, "log", |ui| log_ui(ui, theme, model, looks, acts));
        });
        return;
    }
    let column = theme.size.column.min(room.width() * 0.42);
    let split = room.right() - column;
    let left = Rect::from_min_max(room.min, pos2(split - gap, room.bottom()));
    let log = (left.height() * 0.28).clamp(140.0, 320.0);
    let top = Rect::from_min_max(left.min, pos2(left.right(), left.bottom() - log - gap));
    let foot = Rect::from_min_max(pos2(left.left(), top.bottom() + gap), left.max);
    piece(ui, top, "drawing", |ui| {
        harness_card_ui(ui, theme, &sheet, &profile, chosen, acts);
    });
    let right = Rect::from_min_max(pos2(split, room.top()), room.max);
    piece(ui, right, "to do", |ui| {
        ScrollArea::vertical().auto_shrink(false).show(ui, |ui| {
            ui.spacing_mut().item_spacing.y = gap;
            right_ui(ui, theme, model, sum, acts);
        });
    });
    piece(ui, foot, "log", |ui| log_ui(ui, theme, model, looks, acts));
}

/// What of the page is the person's own choice and no part of the job.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Looks {
    /// Piece of the drawing in sight.
    pub chosen: Chosen,
    /// The outline stands where the readings stood.
    pub outline: bool,
}

fn log_ui(ui: &mut Ui, theme: &Theme, model: &Model, looks: &Looks, acts: &mut Vec<Act>) {
    if looks.outline {
        outline_ui(ui, theme, model, acts);
    } else {
        readings_ui(ui, theme, model, acts);
    }
}

fn piece(ui: &mut Ui, rect: Rect, id: &str, content: impl FnOnce(&mut Ui)) {
    let builder = UiBuilder::new().max_rect(rect).id_salt(id);
    ui.scope_builder(builder, |ui| {
        ui.set_clip_rect(ui.clip_rect().intersect(rect.expand(2.0)));
        content(ui);
    });
}

fn right_ui(
    ui: &mut Ui,
    theme: &Theme,
    model: &Model,
    sum: Option<&WorkedSum>,
    acts: &mut Vec<Act>,
) {
    ui.set_max_width(ui.available_width());
    entry_ui(ui, theme, model, acts);
    props_ui(ui, theme, model, acts);
    answer_ui(ui, theme, model, acts);
    if let Some(answer) = &model.answer {
        if let Some(sum) = sum {
            sum_ui(ui, theme, &answer.findings, sum);
        }
        chance_ui(ui, theme, &answer.findings);
        ui.scope(|ui| {
            ui.spacing_mut().item_spacing.y = 3.0;
            cautions_ui(ui, theme, answer);
        });
    }
}
