//! Cards: a sheet with a hairline, a title, and what stands on it; notices beside their cause.

use egui::{CornerRadius, Frame, InnerResponse, Margin, Stroke, Ui, vec2};

use super::text::{label_ui, line_ui, text_ui};
use crate::ui::theme::{CARD_RADIUS, LINE, RADIUS, STRONG, Theme};

/// A card that fills the width it is given. `beside` stands muted to the right of the title.
pub fn card_ui<R>(
    ui: &mut Ui,
    theme: &Theme,
    title: &str,
    beside: &str,
    content: impl FnOnce(&mut Ui) -> R,
) -> InnerResponse<R> {
    let c = &theme.colour;
    Frame::new()
        .fill(c.sheet)
        .stroke(Stroke::new(LINE, c.edge))
        .corner_radius(CornerRadius::same(CARD_RADIUS))
        .inner_margin(Margin::same(theme.size.card as i8))
        .show(ui, |ui| {
            ui.set_width(ui.available_width());
            ui.spacing_mut().item_spacing = vec2(theme.size.gap, 6.0);
            let target = ui.spacing().interact_size.y;
            ui.spacing_mut().interact_size.y = 20.0;
            if !title.is_empty() {
                // A title is no target: its row is as low as its letters.
                ui.horizontal(|ui| {
                    label_ui(ui, title, theme.heading(), c.ink);
                    if !beside.is_empty() {
                        line_ui(ui, beside, theme.label(), c.muted);
                    }
                });
            }
            ui.spacing_mut().interact_size.y = target;
            content(ui)
        })
}

/// What went wrong or wants attention, and what to do about it, beside its cause.
pub fn notice_ui(ui: &mut Ui, theme: &Theme, what: &str, remedy: &str) {
    let c = &theme.colour;
    Frame::new()
        .fill(c.attention_wash)
        .stroke(Stroke::new(STRONG, c.attention))
        .corner_radius(CornerRadius::same(RADIUS))
        .inner_margin(Margin::symmetric(10, 6))
        .show(ui, |ui| {
            ui.set_width(ui.available_width());
            ui.spacing_mut().item_spacing.y = 2.0;
            text_ui(ui, what, theme.strong(), c.attention_text);
            if !remedy.is_empty() {
                text_ui(ui, remedy, theme.body(), c.attention_text);
            }
        });
}
