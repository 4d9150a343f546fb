//! A tour of the bench in a strip under the page: a few steps, each with a frame round what it tells of. It can be left
//! at any step and does not come back by itself.

use egui::{
    Context, CornerRadius, Frame, Id, LayerId, Margin, Order, Panel, Rect, Stroke, StrokeKind, Ui,
};

use super::{
    act::Act,
    kit::{Tone, button_ui, label_ui, text_ui},
    theme::{CARD_RADIUS, RADIUS, STRONG, Theme},
};
use crate::app::{Model, Screen, model::Page};

/// A piece of the bench.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
#[allow(missing_docs, reason = "the variants are the pieces of the bench")]
pub enum Piece {
    Drawing,
    Entry,
    Answer,
    Next,
    Foot,
}

/// The steps: what each tells of, and what it says.
const STEPS: [(Piece, &str); 6] = [
    (
        Piece::Drawing,
        "The feed is drawn to scale, in metres from the module. Hatching shows where the fault most probably sits; the plot below shares the metres and shows where the voltage stops falling.",
    ),
    (
        Piece::Answer,
        "The answer follows every reading by itself: one sentence, the suspects, their ohms and places.",
    ),
    (
        Piece::Entry,
        "To log a reading, click a small ring on the drawing, type what the meter shows and press Enter: 0.8, 820m, 12,03, OL.",
    ),
    (
        Piece::Drawing,
        "Click a connector to part it. What hangs behind it greys, and the readings that follow keep that plug state.",
    ),
    (
        Piece::Next,
        "The yellow card names the test that tells most for its minutes. If you cannot get there, say so and it names another.",
    ),
    (
        Piece::Foot,
        "Readings, the outline and the story of the log stand here. New feed at the top draws your own. Help (F1) has this tour again.",
    ),
];

/// Width of the buttons beside the words, and least width of the words beside them.
const BUTTONS: f32 = 320.0;
const LEAST_TEXT: f32 = 420.0;

fn rect_id(piece: Piece) -> Id {
    Id::unique(("piece of the bench", piece))
}

/// Notes where a piece of the bench lies in this frame.
pub fn lies(ui: &Ui, piece: Piece, rect: Rect) {
    let rect = rect.intersect(ui.clip_rect());
    ui.data_mut(|data| data.insert_temp(rect_id(piece), rect));
}

/// The strip; nothing while no tour is under way.
pub fn tour_ui(ui: &mut Ui, theme: &Theme, model: &Model, acts: &mut Vec<Act>) {
    let c = &theme.colour;
    let Some(step) = model.tour.filter(|_| model.page == Page::Bench) else {
        return;
    };
    let step = step.min(STEPS.len() - 1);
    let frame = Frame::new().fill(c.desk).inner_margin(Margin {
        left: 14,
        right: 14,
        top: 0,
        bottom: 10,
    });
    Panel::bottom("tour")
        .show_separator_line(false)
        .frame(frame)
        .show(ui, |ui| {
            Frame::new()
                .fill(c.selected)
                .stroke(Stroke::new(STRONG, c.focus))
                .corner_radius(CornerRadius::same(RADIUS))
                .inner_margin(Margin::symmetric(12, 8))
                .show(ui, |ui| {
                    ui.set_width(ui.available_width());
                    let text = STEPS[step].1;
                    let room = ui.available_width() - BUTTONS;
                    if room < LEAST_TEXT {
                        text_ui(ui, text, theme.body(), c.ink);
                        ui.horizontal_wrapped(|ui| buttons_ui(ui, theme, step, acts));
                        return;
                    }
                    ui.horizontal(|ui| {
                        let size = egui::vec2(room, theme.size.target);
                        let layout = egui::Layout::top_down(egui::Align::Min);
                        ui.allocate_ui_with_layout(size, layout, |ui| {
                            ui.set_width(room);
                            text_ui(ui, text, theme.body(), c.ink);
                        });
                        buttons_ui(ui, theme, step, acts);
                    });
                });
        });
}

fn buttons_ui(ui: &mut Ui, theme: &Theme, step: usize, acts: &mut Vec<Act>) {
    let (text, next) = if step + 1 == STEPS.len() {
        ("Done", None)
    } else {
        ("Next", Some(step + 1))
    };
    let name = Some("Next step of the tour");
    if button_ui(ui, theme, Tone::Primary, text, name).clicked() {
        acts.push(Screen::Tour(next).into());
    }
    if let Some(before) = step.checked_sub(1) {
        let name = Some("Step of the tour before");
        if button_ui(ui, theme, Tone::Plain, "Back", name).clicked() {
            acts.push(Screen::Tour(Some(before)).into());
        }
    }
    if next.is_some() {
        let name = Some("End the tour");
        if button_ui(ui, theme, Tone::Quiet, "No tour", name).clicked() {
            acts.push(Screen::Tour(None).into());
        }
    }
    let count = format!("{} of {}", step + 1, STEPS.len());
    label_ui(ui, &count, theme.label(), theme.colour.muted);
}

/// A frame round what the present step tells of, over the page.
pub fn frame_ui(ctx: &Context, theme: &Theme, model: &Model) {
    let Some(step) = model.tour.filter(|_| model.page == Page::Bench) else {
        return;
    };
    let piece = STEPS[step.min(STEPS.len() - 1)].0;
    let rect: Option<Rect> = ctx.data(|data| data.get_temp(rect_id(piece)));
    if let Some(rect) = rect.filter(|rect| rect.is_positive()) {
        let painter = ctx.layer_painter(LayerId::new(Order::Middle, Id::unique("tour")));
        painter.rect_stroke(
            rect.expand(1.0),
            CornerRadius::same(CARD_RADIUS + 2),
            Stroke::new(STRONG + 1.0, theme.colour.focus),
            StrokeKind::Outside,
        );
    }
}
