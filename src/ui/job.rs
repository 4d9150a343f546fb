//! The job page: what is written about the vehicle and the request.

use egui::{ScrollArea, Ui};

use super::{
    act::Act,
    kit::{Field, card_ui, field_ui, text_block_ui},
    theme::Theme,
};
use crate::app::{Command, Model, Note, command::Field as Text};

/// Widest that a card of text gets, so that lines stay readable.
const WIDEST: f32 = 780.0;

/// The page.
pub fn job_ui(ui: &mut Ui, theme: &Theme, model: &Model, acts: &mut Vec<Act>) {
    ScrollArea::vertical().auto_shrink(false).show(ui, |ui| {
        ui.set_max_width(ui.available_width().min(WIDEST));
        card_ui(ui, theme, "The job", "", |ui| {
            line_ui(
                ui,
                theme,
                "Vehicle",
                Text::Vehicle,
                &model.job.vehicle,
                acts,
            );
            line_ui(ui, theme, "Job title", Text::Title, &model.job.title, acts);
            line_ui(ui, theme, "Shop", Text::Shop, &model.job.shop, acts);
        });
        ui.add_space(theme.size.gap);
        card_ui(ui, theme, "Request", "in the caller's words", |ui| {
            block_ui(
                ui,
                theme,
                "Request",
                Text::Request,
                &model.job.request,
                4,
                acts,
            );
        });
        ui.add_space(theme.size.gap);
        card_ui(ui, theme, "Notes", "", |ui| {
            block_ui(ui, theme, "Notes", Text::Notes, &model.job.notes, 8, acts);
        });
    });
}

fn line_ui(ui: &mut Ui, theme: &Theme, name: &str, which: Text, now: &str, acts: &mut Vec<Act>) {
    let mut text = now.to_owned();
    let field = Field {
        name,
        ..Field::default()
    };
    let response = field_ui(ui, theme, &mut text, &field);
    note(&response, which, text, now, acts);
}

fn block_ui(
    ui: &mut Ui,
    theme: &Theme,
    name: &str,
    which: Text,
    now: &str,
    rows: usize,
    acts: &mut Vec<Act>,
) {
    let mut text = now.to_owned();
    let field = Field {
        name,
        bare: true,
        ..Field::default()
    };
    let response = text_block_ui(ui, theme, &mut text, rows, &field);
    note(&response, which, text, now, acts);
}

/// Every keystroke is kept; one stay in the field is one step.
fn note(response: &egui::Response, which: Text, text: String, now: &str, acts: &mut Vec<Act>) {
    if response.changed() && text != now {
        acts.push(Note::Set(which, text).into());
    }
    if response.lost_focus() {
        acts.push(Act::Do(Command::EndGesture));
    }
}
