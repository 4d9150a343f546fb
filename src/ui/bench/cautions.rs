//! What to be careful with here: what could hurt people above what to do next, the rest at the end.

use egui::{CornerRadius, Frame, Margin, Stroke, Ui};

use crate::{
    app::model::Answer,
    ui::{
        kit::{shortened, text_ui},
        theme::{RADIUS, STRONG, Theme},
    },
};

/// The cautions about people, which stand out.
pub fn grave_ui(ui: &mut Ui, theme: &Theme, answer: &Answer) {
    let cautions = answer.words.cautions.iter();
    for grave in cautions.filter(|caution| caution.grave) {
        let parts = grave.parts.join(" ");
        let text = match parts.as_str() {
            "" => grave.text.clone(),
            parts => format!("{} ({})", grave.text, shortened(parts, 24)),
        };
        Frame::new()
            .fill(theme.colour.attention_wash)
            .stroke(Stroke::new(STRONG, theme.colour.attention))
            .corner_radius(CornerRadius::same(RADIUS))
            .inner_margin(Margin::symmetric(10, 4))
            .show(ui, |ui| {
                ui.set_width(ui.available_width());
                let ink = theme.colour.attention_text;
                text_ui(ui, &text, theme.label_strong(), ink).on_hover_text(parts);
            });
    }
}

/// The other cautions, a line each.
pub fn cautions_ui(ui: &mut Ui, theme: &Theme, answer: &Answer) {
    let ink = theme.colour.attention_text;
    let cautions = answer.words.cautions.iter();
    for caution in cautions.filter(|caution| !caution.grave) {
        text_ui(ui, &caution.text, theme.label(), ink);
    }
}
