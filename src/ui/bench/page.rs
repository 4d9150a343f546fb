//! How the bench page is divided: the drawing and what hangs on its metres to the left, what to do to the right; all in
//! one column where the window is narrow.

use std::borrow::Cow;

use egui::{Rect, ScrollArea, Ui, UiBuilder, pos2, vec2};

use super::{
    answer::answer_ui,
    cautions::{cautions_ui, grave_ui},
    chance::chance_ui,
    doubt::doubt_ui,
    drawing::Drawing,
    entry::entry_ui,
    foot::{Foot, foot_ui},
    harness_card::{Volts, easy_height, harness_card_ui, least_height},
    next::next_ui,
    pad::pad_ui,
    proof::proof_ui,
    props::props_ui,
    readings::open_line,
    sheet::Sheet,
    sum::sum_ui,
    view::{Chosen, View},
};
use crate::{
    advise::Best,
    app::{Model, compare::states_to_compare, left::Left, sums::Shown, view::tags},
    drawing::profile::profile,
    explain::Step,
    ui::{
        act::Act,
        kit::{card_ui, line_ui},
        picture::Picture,
        theme::Theme,
        tour::{Piece, lies},
    },
};

/// Width under which everything stands in one column.
const NARROW: f32 = 900.0;
/// Height under which everything stands in one column.
const LOW: f32 = 420.0;
/// Height of the drawing where everything stands in one column.
const SHEET: f32 = 470.0;
/// Height of the readings where everything stands in one column.
const LOG: f32 = 260.0;
/// Share of the height for the lower card, and its least and greatest height.
const FOOT: f32 = 0.30;
const FOOT_HEIGHT: (f32, f32) = (186.0, 320.0);
/// Height down to which the lower card alone makes room for notices, so that the drawing stays where it is.
const SQUEEZED: f32 = 118.0;
/// Share of the height for the log while what can be done with one of its lines is shown.
const OPENED: f32 = 0.4;
/// Height of a window with room for entry, answer and next test in the glove setting.
pub const TALL: f32 = 900.0;
/// Width of the lower card from which the worked sum stands on it too.
const WITH_SUM: f32 = 760.0;
/// Width of the number pad beside the lower card.
const PAD: f32 = 336.0;

/// What the page shows.
#[derive(Clone, Copy)]
pub struct Bench<'a> {
    /// The state behind the window.
    pub model: &'a Model,
    /// The layout to draw.
    pub drawing: &'a Drawing,
    /// The person's own choices.
    pub looks: &'a Looks,
    /// The worked sum, once it is there.
    pub sum: Option<Shown<'a>>,
    /// The story of the log.
    pub steps: &'a [Step],
    /// What every line of the log left, once it is there.
    pub left: Option<&'a [Left]>,
    /// The worked sum stands beside the readings and not in the right-hand column.
    pub sum_at_log: bool,
    /// The number pad, where one is wanted, stands under the value box and not beside the readings.
    pub pad_at_value: bool,
    /// Height of the strip of notices under the page.
    pub notices: f32,
}

impl Bench<'_> {
    /// Whether a number pad is wanted: for gloved hands, once a point is chosen.
    pub fn wants_pad(&self) -> bool {
        self.model.look.glove && self.model.selection.point.is_some()
    }
}

/// The page. Answers how the drawing lies on the screen.
pub fn bench_ui(ui: &mut Ui, theme: &Theme, bench: &Bench<'_>, acts: &mut Vec<Act>) -> View {
    let Bench { model, drawing, .. } = *bench;
    let (harness, ready) = (drawing.harness().as_ref(), drawing.ready());
    let chosen = &bench.looks.chosen;
    let tags = tags(model);
    let known = (&ready.cut_off, Cow::Borrowed(&ready.chances));
    let sheet = Sheet::with(model, harness, known, &tags);
    let other = model
        .current_comparison()
        .map(|other| profile(&other.job.question(), harness, Some(&other.findings)));
    let states = states_to_compare(&model.job);
    let volts = Volts {
        now: &ready.volts,
        other: other.as_ref(),
        compare: model.compare.as_ref(),
        states: &states,
        under: bench.looks.under,
    };
    let room = ui.available_rect_before_wrap();
    let drawn =
        |ui: &mut Ui, acts: &mut Vec<Act>| harness_card_ui(ui, theme, &sheet, &volts, chosen, acts);
    if room.width() < NARROW || room.height() < LOW {
        return column_ui(ui, theme, bench, drawn, acts);
    }
    let gap = theme.size.gap + 2.0;
    let column = theme.size.column.min(room.width() * 0.42);
    let split = room.right() - column;
    let left = Rect::from_min_max(room.min, pos2(split - gap, room.bottom()));
    let pad = bench.wants_pad().then(|| {
        let keys = 3.0 * theme.size.target + 2.0 * theme.size.gap;
        vec2(PAD, keys + 2.0 * theme.size.card)
    });
    let log = foot_height(ui, theme, bench, left.height(), pad.map(|pad| pad.y));
    let top = Rect::from_min_max(left.min, pos2(left.right(), left.bottom() - log - gap));
    let mut foot = Rect::from_min_max(pos2(left.left(), top.bottom() + gap), left.max);
    let bench = &Bench {
        // The lines of an outline are long.
        sum_at_log: pad.is_none() && foot.width() >= WITH_SUM && bench.looks.foot != Foot::Outline,
        ..*bench
    };
    let view = piece(ui, top, "drawing", |ui| drawn(ui, acts));
    let right = Rect::from_min_max(pos2(split, room.top()), room.max);
    piece(ui, right, "to do", |ui| {
        ScrollArea::vertical().auto_shrink(false).show(ui, |ui| {
            ui.spacing_mut().item_spacing.y = gap;
            right_ui(ui, theme, bench, acts);
        });
    });
    if let Some(size) = pad {
        let mut keys = foot;
        keys.min.x = foot.right() - size.x;
        foot.max.x = keys.left() - gap;
        piece(ui, keys, "pad", |ui| {
            card_ui(ui, theme, "", "", |ui| pad_ui(ui, theme, model, acts));
        });
    }
    piece(ui, foot, "log", |ui| foot_ui(ui, theme, bench, acts));
    lies(ui, Piece::Drawing, top);
    lies(ui, Piece::Foot, foot);
    view
}

/// Everything in one column.
fn column_ui(
    ui: &mut Ui,
    theme: &Theme,
    bench: &Bench<'_>,
    drawn: impl FnOnce(&mut Ui, &mut Vec<Act>) -> View,
    acts: &mut Vec<Act>,
) -> View {
    let bench = &Bench {
        pad_at_value: true,
        ..*bench
    };
    let scroll = ScrollArea::vertical().auto_shrink(false).show(ui, |ui| {
        ui.spacing_mut().item_spacing.y = theme.size.gap + 2.0;
        let width = ui.available_width();
        brief_ui(ui, theme, bench.model);
        let (rect, _) = ui.allocate_exact_size(vec2(width, SHEET), egui::Sense::empty());
        let view = piece(ui, rect, "drawing", |ui| drawn(ui, acts));
        lies(ui, Piece::Drawing, rect);
        right_ui(ui, theme, bench, acts);
        let (rect, _) = ui.allocate_exact_size(vec2(width, LOG), egui::Sense::empty());
        piece(ui, rect, "log", |ui| foot_ui(ui, theme, bench, acts));
        lies(ui, Piece::Foot, rect);
        view
    });
    scroll.inner
}

/// Height of the lower card; `pad` is the height of the number pad beside it.
fn foot_height(ui: &Ui, theme: &Theme, bench: &Bench<'_>, room: f32, pad: Option<f32>) -> f32 {
    let two_lines = theme.size.target + 2.0 * theme.size.row + 2.0 * theme.size.card + 26.0;
    let least = FOOT_HEIGHT.0.max(two_lines);
    let least = pad.map_or(least, |pad| pad.max(least));
    // A harness of many lanes takes from the readings, down to what they need.
    let wanted = easy_height(theme, bench.drawing.harness()) + theme.size.gap + 2.0;
    let high = room + bench.notices;
    let usual = high * FOOT;
    let spare = high - wanted;
    // Where not all lanes fit in any case, the readings keep some of theirs.
    let floor = if spare < least { usual * 0.8 } else { least };
    let log = usual
        .min(spare)
        .clamp(floor.max(least), FOOT_HEIGHT.1.max(least));
    // Lanes of which only a few would be out of sight get what the last two lines of the log can do without.
    let short = high - least_height(theme, bench.drawing.harness()) - theme.size.gap - 2.0;
    let log = if pad.is_none() && short >= two_lines {
        log.min(short)
    } else {
        log
    };
    // What is written or read at length takes from the drawing.
    let opened = bench.looks.foot == Foot::Readings && open_line(ui.ctx()).is_some();
    let share = if opened {
        OPENED
    } else {
        bench.looks.foot.share()
    };
    let log = log.max(high * share);
    let squeezed = pad.unwrap_or(SQUEEZED);
    (log - bench.notices).max(squeezed.min(log))
}

/// Answer and next test in two lines, over a page that has to be scrolled to see them whole.
fn brief_ui(ui: &mut Ui, theme: &Theme, model: &Model) {
    let Some(answer) = &model.answer else {
        return;
    };
    let c = &theme.colour;
    let said = &answer.words.headline;
    let line = format!("{} {}", said.what, said.place);
    line_ui(ui, line.trim(), theme.heading(), c.ink).on_hover_text(&line);
    if let Some(torn) = &answer.words.torn {
        line_ui(ui, &torn.what, theme.strong(), c.attention_text).on_hover_text(torn.remedy);
    }
    if answer.findings.next.best != Best::Unasked {
        let next = &answer.words.next.line;
        line_ui(
            ui,
            &format!("Next: {next}"),
            theme.strong(),
            c.attention_text,
        )
        .on_hover_text(next);
    }
}

/// What stands under the drawing, on its metres.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Under {
    /// The volts.
    #[default]
    Volts,
    /// The probability.
    Likely,
}

/// What of the page is the person's own choice and no part of the job.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Looks {
    /// Piece of the drawing in sight.
    pub chosen: Chosen,
    /// What stands under the drawing.
    pub under: Under,
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

/// A card of which the tour tells.
fn told_ui(ui: &mut Ui, piece: Piece, content: impl FnOnce(&mut Ui)) {
    let top = ui.cursor().min;
    content(ui);
    let end = ui.min_rect().right_bottom();
    lies(ui, piece, Rect::from_min_max(top, end));
}

fn right_ui(ui: &mut Ui, theme: &Theme, bench: &Bench<'_>, acts: &mut Vec<Act>) {
    let model = bench.model;
    ui.set_max_width(ui.available_width());
    told_ui(ui, Piece::Entry, |ui| entry_ui(ui, theme, bench, acts));
    props_ui(ui, theme, model, acts);
    proof_ui(ui, theme, model, acts);
    // Where large targets leave no room for all of it, what to do comes before why.
    let next_first = model.look.glove && ui.ctx().content_rect().height() < TALL;
    if next_first {
        told_ui(ui, Piece::Next, |ui| next_ui(ui, theme, bench, acts));
    }
    told_ui(ui, Piece::Answer, |ui| answer_ui(ui, theme, bench, acts));
    if let Some(answer) = &model.answer {
        grave_ui(ui, theme, answer);
    }
    if !next_first {
        told_ui(ui, Piece::Next, |ui| next_ui(ui, theme, bench, acts));
    }
    if let Some(answer) = &model.answer {
        if let Some(sum) = bench.sum.filter(|_| !bench.sum_at_log) {
            sum_ui(ui, theme, sum);
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
    let Bench { model, drawing, .. } = *bench;
    let (harness, ready) = (drawing.harness().as_ref(), drawing.ready());
    let mut acts = Vec::new();
    match picture {
        Picture::Harness | Picture::Likely => {
            let tags = tags(model);
            let known = (&ready.cut_off, Cow::Borrowed(&ready.chances));
            let mut sheet = Sheet::with(model, harness, known, &tags);
            sheet.wiring = None;
            sheet.naming = None;
            let other = model
                .current_comparison()
                .map(|other| profile(&other.job.question(), harness, Some(&other.findings)));
            let volts = Volts {
                now: &ready.volts,
                other: other.as_ref(),
                compare: model.compare.as_ref(),
                states: &[],
                under: match picture {
                    Picture::Likely => Under::Likely,
                    _ => Under::Volts,
                },
            };
            harness_card_ui(ui, theme, &sheet, &volts, &bench.looks.chosen, &mut acts);
        }
        Picture::Ohms => {
            if let Some(answer) = &model.answer {
                chance_ui(ui, theme, &answer.findings);
            }
        }
        Picture::Doubt => {
            card_ui(ui, theme, "Suspects left after every reading", "", |ui| {
                doubt_ui(ui, theme, bench.left);
            });
        }
    }
}
