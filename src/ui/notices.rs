//! What is to be said about files and refused changes, in a strip under the page, so that nothing moves away under the
//! pointer.

use std::sync::Arc;

use egui::{CornerRadius, Frame, Id, Margin, Panel, Stroke, Ui};

use super::{
    act::Act,
    kit::{Tone, button_ui, text_ui},
    practice::left_notices_ui,
    theme::{RADIUS, STRONG, Theme},
};
use crate::app::{
    FileCommand, Model, Screen,
    command::Leave,
    model::{Page, Weight},
    practice::Practice,
    recovery::Recovered,
};

/// Notices shown at once; older ones follow when these are taken away.
const SHOWN: usize = 3;

/// The strip; nothing where there is nothing to say. Answers its height.
pub fn notices_ui(
    ui: &mut Ui,
    theme: &Theme,
    (model, practice): (&Model, &Practice),
    acts: &mut Vec<Act>,
) -> f32 {
    // Where one chooses what to practise, what is not finished stands in a list.
    let unfinished = model.page != Page::Practice && practice.left.iter().any(|left| left.asks);
    if model.notices.is_empty() && model.recovered.is_empty() && !unfinished {
        return 0.0;
    }
    let room = ui.available_height();
    let c = &theme.colour;
    let frame = Frame::new().fill(c.desk).inner_margin(Margin {
        left: 14,
        right: 14,
        top: 6,
        bottom: 6,
    });
    Panel::bottom("notices")
        .show_separator_line(false)
        .frame(frame)
        .show(ui, |ui| {
            for left in model.recovered.iter().take(SHOWN) {
                recovered_ui(ui, theme, left, acts);
            }
            if unfinished {
                left_notices_ui(ui, theme, practice, acts);
            }
            for notice in model.notices.iter().rev().take(SHOWN) {
                let (ground, edge, ink) = match notice.weight {
                    Weight::Trouble => (c.attention_wash, c.attention, c.attention_text),
                    Weight::News => (c.healthy_wash, c.healthy, c.healthy_text),
                };
                Frame::new()
                    .fill(ground)
                    .stroke(Stroke::new(STRONG, edge))
                    .corner_radius(CornerRadius::same(RADIUS))
                    .inner_margin(Margin::symmetric(10, 4))
                    .show(ui, |ui| {
                        ui.horizontal(|ui| {
                            let name = format!("Dismiss: {}", notice.what);
                            if button_ui(ui, theme, Tone::Plain, "Dismiss", Some(&name)).clicked() {
                                acts.push(Screen::Dismiss(notice.id).into());
                            }
                            let place = if notice.place.is_empty() {
                                String::new()
                            } else {
                                format!("{}: ", notice.place)
                            };
                            let end = if notice.remedy.is_empty() { "" } else { ". " };
                            let text = format!("{place}{}{end}{}", notice.what, notice.remedy);
                            text_ui(ui, &text, theme.body(), ink);
                        });
                    });
            }
        });
    room - ui.available_height()
}

/// A job that a window left behind without saving.
fn recovered_ui(ui: &mut Ui, theme: &Theme, left: &Recovered, acts: &mut Vec<Act>) {
    let c = &theme.colour;
    let title = match left.job.title.trim() {
        "" => "a job without a title",
        title => title,
    };
    Frame::new()
        .fill(c.attention_wash)
        .stroke(Stroke::new(STRONG, c.attention))
        .corner_radius(CornerRadius::same(RADIUS))
        .inner_margin(Margin::symmetric(10, 4))
        .show(ui, |ui| {
            ui.horizontal(|ui| {
                let name = format!("Take up {title}");
                if button_ui(ui, theme, Tone::Primary, "Take it up", Some(&name)).clicked() {
                    let leave = Leave::Recover(Box::new(left.clone()));
                    acts.push(FileCommand::Leave(leave).into());
                }
                forget_ui(ui, theme, (left, title), acts);
                let text = format!("Changes were not saved when the window last closed: {title}");
                text_ui(ui, &text, theme.body(), c.attention_text);
            });
        });
}

/// Throws the changes away, which nothing brings back: so it asks once more, with the way out under the pointer.
fn forget_ui(ui: &mut Ui, theme: &Theme, (left, title): (&Recovered, &str), acts: &mut Vec<Act>) {
    let id = Id::unique(("forgetting", Arc::as_ptr(left.slot()).addr()));
    let asking: bool = ui.data(|data| data.get_temp(id).unwrap_or_default());
    let mut next = asking;
    if asking {
        let name = format!("Keep {title}");
        next &= !button_ui(ui, theme, Tone::Plain, "Keep it", Some(&name)).clicked();
        let name = format!("Forget {title} for good");
        if button_ui(ui, theme, Tone::Plain, "Forget for good", Some(&name)).clicked() {
            next = false;
            acts.push(FileCommand::Forget(Box::new(left.clone())).into());
        }
    } else {
        let name = format!("Forget {title}");
        next = button_ui(ui, theme, Tone::Plain, "Forget it", Some(&name)).clicked();
    }
    if next != asking {
        ui.data_mut(|data| data.insert_temp(id, next));
    }
}

/// Says what happens to a file that is held over the window.
pub fn drop_hint_ui(ctx: &egui::Context, theme: &Theme) {
    if ctx.input(|input| input.raw.hovered_files.is_empty()) {
        return;
    }
    let c = &theme.colour;
    let layer = egui::LayerId::new(egui::Order::Foreground, egui::Id::unique("drop"));
    let painter = ctx.layer_painter(layer);
    let room = ctx.content_rect().shrink(20.0);
    let radius = CornerRadius::same(RADIUS);
    painter.rect(
        room,
        radius,
        c.attention_wash.gamma_multiply(0.9),
        Stroke::new(STRONG, c.attention),
        egui::StrokeKind::Inside,
    );
    painter.text(
        room.center(),
        egui::Align2::CENTER_CENTER,
        "Let go to open this job",
        theme.title(),
        c.attention_text,
    );
}
