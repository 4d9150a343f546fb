//! How the bench page is divided: the drawing and what hangs on its metres to the left, what to do to the right; all in
//! one column where the window is narrow.

use egui::{Rect, ScrollArea, Ui, UiBuilder, pos2, vec2};

use super::{
    answer::answer_ui,
    cautions::cautions_ui,
    chance::chance_ui,
    entry::entry_ui,
    foot::{Foot, foot_ui},
    harness_card::{Volts, harness_card_ui},
    next::next_ui,
    proof::proof_ui,
    props::props_ui,
    sheet::Sheet,
    sum::sum_ui,
    view::{Chosen, View},
};
use crate::{
    app::{Model, compare::states_to_compare, cut_off, view::tags},
    drawing::{Harness, profile::profile},
    explain::{Step, WorkedSum},
    ui::{act::Act, picture::Picture, theme::Theme},
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
    /// The story of the log.
    pub steps: &'a [Step],
}

/// The page. Answers how the drawing lies on the screen.
pub fn bench_ui(ui: &mut Ui, theme: &Theme, bench: &Bench<'_>, acts: &mut Vec<Act>) -> View {
    let Bench { model, harness, .. } = *bench;
    let chosen = &bench.looks.chosen;
    let gone = cut_off(&model.job.circuit, &model.job.now.unplugged);
    let tags = tags(model);
    let sheet = Sheet::new(model, harness, &gone, &tags);
    let now = profile(&model.job.question(), harness, sheet.findings);
    let other = model
        .current_comparison()
        .map(|other| profile(&other.job.question(), harness, Some(&other.findings)));
    let states = states_to_compare(&model.job);
    let volts = Volts {
        now: &now,
        other: other.as_ref(),
        compare: model.compare.as_ref(),
        states: &states,
    };
    let room = ui.available_rect_before_wrap();
    let gap = theme.size.gap + 2.0;
    if room.width() < NARROW || room.height() < LOW {
        let scroll = ScrollArea::vertical().auto_shrink(false).show(ui, |ui| {
            ui.spacing_mut().item_spacing.y = gap;
            let width = ui.available_width();
            let (rect, _) = ui.allocate_exact_size(vec2(width, SHEET), egui::Sense::empty());
            let view = piece(ui, rect, "drawing", |ui| {
                harness_card_ui(ui, theme, &sheet, &volts, chosen, acts)
            });
            right_ui(ui, theme, bench, acts);
            let (rect, _) = ui.allocate_exact_size(vec2(width, LOG), egui::Sense::empty());
            piece(ui, rect, "log", |ui| foot_ui(ui, theme, bench, acts));
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
        harness_card_ui(ui, theme, &sheet, &volts, chosen, acts)
    });
    let right = Rect::from_min_max(pos2(split, room.top()), room.max);
    piece(ui, right, "to do", |ui| {
        ScrollArea::vertical().auto_shrink(false).show(ui, |ui| {
            ui.spacing_mut().item_spacing.y = gap;
            right_ui(ui, theme, bench, acts);
        });
    });
    piece(ui, foot, "log", |ui| foot_ui(ui, theme, bench, acts));
    view
}

/// What of the page is the person's own choice and no part of the job.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Looks {
    /// Piece of the drawing in sight.
    pub chosen: Chosen,
    /// What stands on the lower card.
    pub foot: Foot,
    /// How the circuit stands is shown beside the entry.
    pub stand: bool,
    /// The other tests are shown.
    pub others: bool,
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
    entry_ui(ui, theme, bench, acts);
    props_ui(ui, theme, model, acts);
    proof_ui(ui, theme, model, acts);
    answer_ui(ui, theme, model, acts);
    next_ui(ui, theme, bench, acts);
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

/// A part of the page for a picture, with nothing to press on it.
pub fn picture_ui(ui: &mut Ui, theme: &Theme, bench: &Bench<'_>, picture: Picture) {
    let Bench { model, harness, .. } = *bench;
    let mut acts = Vec::new();
    match picture {
        Picture::Harness => {
            let gone = cut_off(&model.job.circuit, &model.job.now.unplugged);
            let tags = tags(model);
            let mut sheet = Sheet::new(model, harness, &gone, &tags);
            sheet.wiring = None;
            let now = profile(&model.job.question(), harness, sheet.findings);
            let other = model
                .current_comparison()
                .map(|other| profile(&other.job.question(), harness, Some(&other.findings)));
            let volts = Volts {
                now: &now,
                other: other.as_ref(),
                compare: model.compare.as_ref(),
                states: &[],
            };
            harness_card_ui(ui, theme, &sheet, &volts, &bench.looks.chosen, &mut acts);
        }
        Picture::Ohms => {
            if let Some(answer) = &model.answer {
                chance_ui(ui, theme, &answer.findings);
            }
        }
    }
}
