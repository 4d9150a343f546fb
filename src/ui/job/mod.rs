//! The job page: the vehicle's record from the request to the sign-off, the proof, the timeline, the report.

mod disturbed;
mod lists;
mod page;
mod photos;
mod rows;
mod sign;
mod thumbs;
mod work;

pub use thumbs::{Thumbs, start_thumbs};

use egui::{Align, Layout, ScrollArea, Ui};

use super::{act::Act, theme::Theme};
use crate::{
    app::{Command, Model, Note, job::Piece},
    notebook::Record,
};

/// Width from which the cards stand in two columns.
const WIDE: f32 = 1180.0;
/// Widest that a card of text gets, so that lines stay readable.
const WIDEST: f32 = 900.0;

/// The record while it is drawn: a copy to change, and what of it was changed.
struct Draft {
    record: Record,
    changed: Option<Piece>,
    ended: bool,
}

impl Draft {
    /// Notes what happened to a field: every keystroke is kept, one stay in the field is one step.
    fn note(&mut self, piece: Piece, response: &egui::Response) {
        if response.changed() {
            self.changed = Some(piece);
        }
        self.ended |= response.lost_focus();
    }

    /// Notes a change that is a step of its own.
    fn step(&mut self, piece: Piece) {
        self.changed = Some(piece);
        self.ended = true;
    }
}

/// The page.
pub fn job_ui(ui: &mut Ui, theme: &Theme, (model, thumbs): (&Model, &Thumbs), acts: &mut Vec<Act>) {
    let mut draft = Draft {
        record: model.job.record.clone(),
        changed: None,
        ended: false,
    };
    ScrollArea::vertical().auto_shrink(false).show(ui, |ui| {
        if ui.available_width() >= WIDE {
            ui.columns(2, |columns| {
                if let [left, right] = columns {
                    // Columns come justified, which pulls the words of a text apart.
                    let ragged = Layout::top_down(Align::Min);
                    left.with_layout(ragged, |ui| {
                        page::found_ui(ui, theme, model, &mut draft, acts);
                    });
                    right.with_layout(ragged, |ui| {
                        page::done_ui(ui, theme, (model, thumbs), &mut draft, acts);
                    });
                }
            });
        } else {
            ui.set_max_width(ui.available_width().min(WIDEST));
            page::found_ui(ui, theme, model, &mut draft, acts);
            page::done_ui(ui, theme, (model, thumbs), &mut draft, acts);
        }
    });
    if let Some(piece) = draft.changed
        && draft.record != model.job.record
    {
        acts.push(Note::Record(piece, Box::new(draft.record)).into());
    }
    if draft.ended {
        acts.push(Act::Do(Command::EndGesture));
    }
}
