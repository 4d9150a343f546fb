//! How the bench page is divided: the drawing and what hangs on its metres to the left, what to do to the right; all in
//! one column where the window is narrow.

use egui::{Rect, ScrollArea, Ui, UiBuilder, pos2, vec2};

use super::{
    answer::answer_ui,
    cautions::cautions_ui,
    chance::chance_ui,
    entry::entry_ui,
    harness_card::harness_card_ui,
    outline::outline_ui,
    props::props_ui,
    readings::readings_ui,
    sheet::Sheet,
    sum::sum_ui,
    view::{Chosen, View},
};
use crate::{
    app::{Model, cut_off, view::tags},
    drawing::{Harness, profile::profile},
    explain::WorkedSum,
    ui::{act::Act, theme::Theme},
};

/// Width under which everything stands in one column.
const NARROW: f32 = 900.0;
/// Height under which everything stands in one column.
const LOW: f32 = 420.0;
/// Height of the drawing where everything stands in one column.
const SHEET: f32 = 470.0;
/// Height of the readings where everything stands in one column.
const LOG: f32 = 260.0;

/// What the page shows.
#[derive(Clone, Copy)]
pub struct Bench<'a> {
    /// The state behind the window.
    pub model: &'a Model,
    /// The layout to draw.
    pub harness: &'a Harness,
    /// The person's own choices.
    pub looks: &'a Looks,
    /// The worked sum, once it is there.
    pub sum: Option<&'a WorkedSum>,
}

/// The page. Answers how the drawing lies on the screen.
pub fn bench_ui(ui: &mut Ui, theme: &Theme, bench: &Bench<'_>, acts: &mut Vec<Act>) -> View {
    let Bench { model, harness, .. } = *bench;
    let chosen = &bench.looks.chosen;
    let gone = cut_off(&model.job.circuit, &model.job.now.unplugged);
    let tags = tags(model);
    let sheet = Sheet::new(model, harness, &gone, &tags);
    let profile = profile(&model.job.question(), harness, sheet.findings);
    let room = ui.available_rect_before_wrap();
    let gap = theme.size.gap + 2.0;
    if room.width() < NARROW || room.height() < LOW {
        let scroll = ScrollArea::vertical().auto_shrink(false).show(ui, |ui| {
            ui.spacing_mut().item_spacing.y = gap;
            let width = ui.available_width();
            let (rect, _) = ui.allocate_exact_size(vec2(width, SHEET), egui::Sense::empty());
            let view = piece(ui, rect, "drawing", |ui| {
                harness_card_ui(ui, theme, &sheet, &profile, chosen, acts)
            });
            right_ui(ui, theme, bench, acts);
            let (rect, _) = ui.allocate_exact_size(vec2(width, LOG), egui::Sense::empty());
            piece(ui, rect, "log", |ui| log_ui(ui, theme, bench, acts));
            view
        });
        return scroll.inner;
    }
    let column = theme.size.column.min(room.width() * 0.42);
    let split = room.right() - column;
    let left = Rect::from_min_max(room.min, pos2(split - gap, room.bottom()));
    let log = (left.height() * 0.28).clamp(140.0, 320.0);
    let top = Rect::from_min_max(left.min, pos2(left.right(), left.bottom() - log - gap));
    let foot = Rect::from_min_max(pos2(left.left(), top.bottom() + gap), left.max);
    let view = piece(ui, top, "drawing", |ui| {
        harness_card_ui(ui, theme, &sheet, &profile, chosen, acts)
    });
    let right = Rect::from_min_max(pos2(split, room.top()), room.max);
    piece(ui, right, "to do", |ui| {
        ScrollArea::vertical().auto_shrink(false).show(ui, |ui| {
            ui.spacing_mut().item_spacing.y = gap;
            right_ui(ui, theme, bench, acts);
        });
    });
    piece(ui, foot, "log", |ui| log_ui(ui, theme, bench, acts));
    view
}

/// What of the page is the person's own choice and no part of the job.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Looks {
    /// Piece of the drawing in sight.
    pub chosen: Chosen,
    /// The outline stands where the readings stood.
    pub outline: bool,
}

fn log_ui(ui: &mut Ui, theme: &Theme, bench: &Bench<'_>, acts: &mut Vec<Act>) {
    if bench.looks.outline {
        outline_ui(ui, theme, bench.model, acts);
    } else {
        readings_ui(ui, theme, bench.model, acts);
    }
}

fn piece<R>(ui: &mut Ui, rect: Rect, id: &str, content: impl FnOnce(&mut Ui) -> R) -> R {
    let builder = UiBuilder::new().max_rect(rect).id_salt(id);
    ui.scope_builder(builder, |ui| {
        ui.set_clip_rect(ui.clip_rect().intersect(rect.expand(2.0)));
        content(ui)
    })
    .inner
}

fn right_ui(ui: &mut Ui, theme: &Theme, bench: &Bench<'_>, acts: &mut Vec<Act>) {
    let model = bench.model;
    ui.set_max_width(ui.available_width());
    entry_ui(ui, theme, model, acts);
    props_ui(ui, theme, model, acts);
    answer_ui(ui, theme, model, acts);
    if let Some(answer) = &model.answer {
        if let Some(sum) = bench.sum {
            sum_ui(ui, theme, &answer.findings, sum);
        }
        chance_ui(ui, theme, &answer.findings);
        ui.scope(|ui| {
            ui.spacing_mut().item_spacing.y = 3.0;
            cautions_ui(ui, theme, answer);
        });
    }
}
