//! The vehicle with the hidden fault: drawing and log to the left, what can be done to the right.

use egui::{Rect, ScrollArea, Ui, UiBuilder, pos2, vec2};

use super::{
    drawn::drawn_ui,
    end::{end_ui, open_ui},
    log::log_ui,
    meter::{hint_ui, meter_ui},
    told_ui,
};
use crate::{
    app::{
        practice::{Command, Go, Practice},
        words,
    },
    drawing::Harness,
    practice::{Move, care},
    quantity::format::clock,
    ui::{
        act::Act,
        bench::view::{Chosen, View},
        kit::{Tone, button_ui, card_ui, label_ui, line_ui, text_ui},
        theme::Theme,
    },
};

/// Heights of the drawing and the log where everything stands in one column.
const SHEET: f32 = 470.0;
const LOG: f32 = 260.0;

/// What is drawn.
pub struct Page<'a> {
    /// The state of the page.
    pub state: &'a Practice,
    /// The vehicle.
    pub go: &'a Go,
    /// Its sketch, laid out.
    pub harness: &'a Harness,
    /// Piece of the drawing in sight.
    pub chosen: &'a Chosen,
}

impl Page<'_> {
    /// Whether something can be done now.
    pub fn is_free(&self) -> bool {
        self.state.pending.is_none() && !self.go.session.is_over()
    }
}

/// The page. Answers how the drawing lies on the screen.
pub fn vehicle_ui(ui: &mut Ui, theme: &Theme, page: &Page<'_>, acts: &mut Vec<Act>) -> View {
    let room = ui.available_rect_before_wrap();
    let gap = theme.size.gap + 2.0;
    let caption = "click a connector to part it, a point to read it, a wire to open it";
    let draw = |ui: &mut Ui, acts: &mut Vec<Act>| {
        let how = (page.chosen, caption, page.is_free());
        drawn_ui(ui, theme, &page.go.bench, page.harness, how, acts)
    };
    if room.width() < super::NARROW || room.height() < 420.0 {
        let all = ScrollArea::vertical().id_salt(("vehicle", page.go.number));
        let scroll = all.auto_shrink(false).show(ui, |ui| {
            ui.spacing_mut().item_spacing.y = gap;
            top_ui(ui, theme, page, acts);
            let size = vec2(ui.available_width(), SHEET);
            let (rect, _) = ui.allocate_exact_size(size, egui::Sense::empty());
            let view = piece(ui, rect, "vehicle", |ui| draw(ui, acts));
            hands_ui(ui, theme, page, acts);
            let size = vec2(ui.available_width(), LOG);
            let (rect, _) = ui.allocate_exact_size(size, egui::Sense::empty());
            piece(ui, rect, "steps", |ui| log_ui(ui, theme, page.go));
            view
        });
        return scroll.inner;
    }
    let column = theme.size.column.min(room.width() * 0.42);
    let split = room.right() - column;
    let left = Rect::from_min_max(room.min, pos2(split - gap, room.bottom()));
    let low = (left.height() * 0.28).clamp(140.0, 320.0);
    let top = Rect::from_min_max(left.min, pos2(left.right(), left.bottom() - low - gap));
    let foot = Rect::from_min_max(pos2(left.left(), top.bottom() + gap), left.max);
    let view = piece(ui, top, "vehicle", |ui| draw(ui, acts));
    let right = Rect::from_min_max(pos2(split, room.top()), room.max);
    piece(ui, right, "to do", |ui| {
        let all = ScrollArea::vertical().id_salt(("to do", page.go.number));
        all.auto_shrink(false).show(ui, |ui| {
            ui.spacing_mut().item_spacing.y = gap;
            top_ui(ui, theme, page, acts);
            hands_ui(ui, theme, page, acts);
        });
    });
    piece(ui, foot, "steps", |ui| log_ui(ui, theme, page.go));
    view
}

/// A piece of the page in its own room.
pub fn piece<R>(ui: &mut Ui, rect: Rect, id: &str, content: impl FnOnce(&mut Ui) -> R) -> R {
    let builder = UiBuilder::new().max_rect(rect).id_salt(id);
    ui.scope_builder(builder, |ui| {
        ui.set_clip_rect(ui.clip_rect().intersect(rect.expand(2.0)));
        content(ui)
    })
    .inner
}

/// What one begins with.
fn top_ui(ui: &mut Ui, theme: &Theme, page: &Page<'_>, acts: &mut Vec<Act>) {
    ui.set_max_width(ui.available_width());
    told_ui(ui, theme, page.state);
    story_ui(ui, theme, page, acts);
}

/// What can be done at the vehicle.
fn hands_ui(ui: &mut Ui, theme: &Theme, page: &Page<'_>, acts: &mut Vec<Act>) {
    meter_ui(ui, theme, page, acts);
    hint_ui(ui, theme, page, acts);
    open_ui(ui, theme, page, acts);
    end_ui(ui, theme, page, acts);
}

/// What the customer says, the clock, and what is unplugged.
fn story_ui(ui: &mut Ui, theme: &Theme, page: &Page<'_>, acts: &mut Vec<Act>) {
    let c = &theme.colour;
    let go = page.go;
    let exercise = go.session.exercise();
    let level = go.drill.map_or(String::new(), |(_, level)| {
        format!("level {}, ", level.number())
    });
    let beside = format!("{level}seed {}", go.seed);
    card_ui(ui, theme, &exercise.title, &beside, |ui| {
        if !exercise.story.is_empty() {
            text_ui(ui, &exercise.story, theme.body(), c.ink);
        }
        for caution in care::grave(&go.session.question()) {
            text_ui(ui, &caution, theme.strong(), c.suspect_text);
        }
        let off = &go.session.now().unplugged;
        ui.horizontal(|ui| {
            ui.spacing_mut().interact_size.y = 26.0;
            label_ui(ui, "Clock", theme.label(), c.muted);
            label_ui(ui, &clock(go.session.minutes()), theme.figure(), c.ink)
                .on_hover_text("Minutes at the vehicle, as each step costs them");
            ui.add_space(theme.size.gap);
            if off.is_empty() {
                line_ui(ui, "Unplugged now: nothing", theme.body(), c.muted);
            } else {
                let text = format!("Unplugged now: {}", words::list(off));
                line_ui(ui, &text, theme.strong(), c.attention_text);
            }
        });
        if off.is_empty() {
            return;
        }
        ui.horizontal_wrapped(|ui| {
            for id in off {
                ui.add_enabled_ui(page.is_free(), |ui| {
                    let text = format!("Plug {id} in");
                    if button_ui(ui, theme, Tone::Plain, &text, None).clicked() {
                        acts.push(Command::Do(Move::Plug(id.clone())).into());
                    }
                });
            }
        });
    });
}
