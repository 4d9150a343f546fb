//! The sketch as indented lines, to be written without the mouse; drawing and lines are two views of one thing.

use egui::{FontId, Id, ScrollArea, TextBuffer, TextEdit, Ui, text::LayoutJob};

use crate::{
    app::{Command, Model, Sketch},
    circuit::outline::outline,
    ui::{
        act::Act,
        kit::{notice_ui, shown},
        theme::Theme,
    },
};

/// The text, taken over as it is typed.
pub fn outline_ui(ui: &mut Ui, theme: &Theme, model: &Model, acts: &mut Vec<Act>) {
    if let Some(error) = &model.outline_error {
        notice_ui(
            ui,
            theme,
            &format!("{}: {}", error.place, error.what),
            &error.remedy,
        );
    }
    let id = Id::unique("outline draft");
    let draft: Option<String> = ui.data(|data| data.get_temp(id));
    let mut text = draft.unwrap_or_else(|| outline(&model.job.circuit));
    let font = theme.body();
    ScrollArea::both()
        .auto_shrink(false)
        .max_height((ui.available_height() - 4.0).max(3.0 * theme.size.row))
        .show(ui, |ui| {
            let mut lay = layouter(font, theme);
            let edit = TextEdit::multiline(&mut text)
                .frame(egui::Frame::NONE)
                .desired_width(f32::INFINITY)
                .lock_focus(false)
                .layouter(&mut lay);
            let response = ui.add(edit).accessible_name("Outline of the circuit");
            if response.changed() {
                acts.push(Sketch::SetOutline(text.clone()).into());
                ui.data_mut(|data| data.insert_temp(id, text));
            }
            if response.lost_focus() {
                ui.data_mut(|data| data.remove::<String>(id));
                acts.push(Act::Do(Command::EndGesture));
            }
        });
}

fn layouter(
    font: FontId,
    theme: &Theme,
) -> impl FnMut(&Ui, &dyn TextBuffer, f32) -> std::sync::Arc<egui::Galley> {
    let ink = theme.colour.ink;
    move |ui, text, _wrap| {
        // Line ends must stay; everything else that steers is shown as a mark.
        let lines: Vec<_> = text.as_str().split('\n').map(shown).collect();
        let job = LayoutJob::simple(lines.join("\n"), font.clone(), ink, f32::INFINITY);
        ui.fonts_mut(|fonts| fonts.layout_job(job))
    }
}
