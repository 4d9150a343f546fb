//! What to be careful with here, the gravest first.

use egui::Ui;

use crate::{
    app::model::Answer,
    explain::cautions,
    ui::{
        kit::{notice_ui, text_ui},
        theme::Theme,
    },
};

/// The lines; those about people stand out.
pub fn cautions_ui(ui: &mut Ui, theme: &Theme, answer: &Answer) {
    let c = &theme.colour;
    let cautions = cautions(&answer.job.question(), &answer.findings);
    for grave in cautions.iter().filter(|caution| caution.grave) {
        notice_ui(ui, theme, &grave.text, &grave.parts.join(" "));
    }
    let rest: Vec<&str> = cautions
        .iter()
        .filter(|caution| !caution.grave)
        .map(|caution| caution.text.as_str())
        .collect();
    for line in rest {
        text_ui(ui, line, theme.label(), c.attention_text);
    }
}
