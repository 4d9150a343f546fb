//! The chosen job: what it was, and what can be done with it.

use egui::Ui;

use super::list::{names, open, state};
use crate::{
    app::{FileCommand, Model, NotebookCommand, command::Leave},
    notebook::away::is_away,
    ui::{
        act::Act,
        dialog::{Dialog, PathAsk},
        kit::{Tone, button_ui, card_ui, text_ui},
        theme::Theme,
    },
};

/// The card.
pub fn chosen_ui(ui: &mut Ui, theme: &Theme, model: &Model, acts: &mut Vec<Act>) {
    let c = &theme.colour;
    let book = &model.notebook;
    let Some((card, file)) = book
        .chosen_card()
        .and_then(|card| Some((card, book.file_of(&card.path)?)))
    else {
        card_ui(ui, theme, "No job chosen", "", |ui| {
            let words = "Press a job in the list to open it, to begin the next one on its circuit, or to pack it.";
            text_ui(ui, words, theme.body(), c.muted);
        });
        return;
    };
    let (vehicle, title) = names(card);
    card_ui(ui, theme, &vehicle, "", |ui| {
        text_ui(ui, &title, theme.strong(), c.ink);
        let lines = if card.lines == 1 { "line" } else { "lines" };
        let facts = [
            card.date.clone(),
            card.shop.clone(),
            format!("{} {lines} in the log", card.lines),
            state(card).to_owned(),
        ];
        let facts: Vec<String> = facts.into_iter().filter(|fact| !fact.is_empty()).collect();
        text_ui(ui, &facts.join(" · "), theme.body(), c.muted);
        text_ui(ui, &card.path, theme.label(), c.muted);
        ui.horizontal_wrapped(|ui| {
            if button_ui(ui, theme, Tone::Primary, "Open", Some("Open the chosen job")).clicked() {
                acts.extend(open(model, &card.path));
            }
            let begin = button_ui(ui, theme, Tone::Plain, "New job on this circuit", None);
            if begin
                .on_hover_text("Its sketch and meter, with the minutes that past jobs took; no readings, no record")
                .clicked()
            {
                acts.push(FileCommand::Leave(Leave::Begin(file.clone())).into());
            }
            let copy = button_ui(ui, theme, Tone::Quiet, "Duplicate", Some("Duplicate the chosen job"));
            if copy.on_hover_text("All of it, as another job without a file yet").clicked() {
                acts.push(FileCommand::Leave(Leave::Copy(file.clone())).into());
            }
            let pack = button_ui(ui, theme, Tone::Quiet, "Pack as one file", Some("Pack the chosen job"));
            if pack.on_hover_text("The job with its photos, to be sent or put away").clicked() {
                let to = file.with_extension("zip").display().to_string();
                acts.push(Act::Ask(Dialog::path(PathAsk::Pack(file.clone()), to)));
            }
            let (words, hint) = if is_away(&card.path) {
                ("Bring back", "Into the list of every day again")
            } else {
                ("Put away", "Out of the list of every day; the filter “Put away” shows it, and it still teaches")
            };
            let away = button_ui(ui, theme, Tone::Quiet, words, Some(&format!("{words} the chosen job")));
            if away.on_hover_text(hint).clicked() {
                acts.push(NotebookCommand::PutAway(card.path.clone()).into());
            }
        });
    });
}
