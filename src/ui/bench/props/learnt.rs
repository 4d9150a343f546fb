//! What past jobs took to reach the chosen connector, with how many they are, and taking it over.

use egui::Ui;

use crate::{
    app::{Model, Note, NotebookCommand},
    circuit::Connector,
    quantity::format::minutes,
    ui::{
        act::Act,
        kit::{label_ui, named_link_ui},
        notebook::{differs, from},
        theme::Theme,
    },
};

/// The line; nothing where the notebook knows nothing of it.
pub fn learnt_ui(
    ui: &mut Ui,
    theme: &Theme,
    model: &Model,
    connector: &Connector,
    acts: &mut Vec<Act>,
) {
    let book = &model.notebook;
    if book.folder.is_some() && !book.asked {
        acts.push(NotebookCommand::Look.into());
    }
    let Some(known) = book.minutes_to(&connector.id) else {
        return;
    };
    ui.horizontal_wrapped(|ui| {
        let text = format!(
            "Past jobs took {} to reach it ({})",
            minutes(known.minutes),
            from(known.jobs)
        );
        label_ui(ui, &text, theme.label(), theme.colour.muted);
        if differs(&model.job.circuit, known) {
            let name = format!("Take over the minutes of {}", connector.id);
            if named_link_ui(ui, theme, "Take over", &name).clicked() {
                acts.push(Note::Access(vec![(connector.id.clone(), known.minutes)]).into());
            }
        }
    });
}
