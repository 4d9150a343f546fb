//! The notebook page: the shop's folder of jobs, searched and opened; what past jobs teach.

mod chosen;
mod list;
mod search;
pub mod tabs;
mod taught;

pub use taught::{differs, from};

use egui::{Rect, ScrollArea, Ui, UiBuilder, pos2};

use super::{
    act::Act,
    dialog::{Dialog, PathAsk},
    kit::{Tone, button_ui, card_ui, text_ui},
    theme::Theme,
};
use crate::app::Model;

/// Width under which everything stands in one column.
const NARROW: f32 = 860.0;
/// Height of the list where everything stands in one column.
const LIST: f32 = 420.0;

/// The page.
pub fn notebook_ui(ui: &mut Ui, theme: &Theme, model: &Model, acts: &mut Vec<Act>) {
    if model.notebook.folder.is_none() {
        first_ui(ui, theme, acts);
        return;
    }
    let room = ui.available_rect_before_wrap();
    let gap = theme.size.gap + 2.0;
    if room.width() < NARROW {
        ScrollArea::vertical().auto_shrink(false).show(ui, |ui| {
            ui.spacing_mut().item_spacing.y = gap;
            right_ui(ui, theme, model, acts);
            let top = ui.available_rect_before_wrap().min;
            let rect = Rect::from_min_size(top, egui::vec2(ui.available_width(), LIST));
            piece(ui, rect, "jobs", |ui| left_ui(ui, theme, model, acts));
        });
        return;
    }
    let column = theme.size.column.min(room.width() * 0.42);
    let split = room.right() - column;
    let left = Rect::from_min_max(room.min, pos2(split - gap, room.bottom()));
    let right = Rect::from_min_max(pos2(split, room.top()), room.max);
    piece(ui, left, "jobs", |ui| left_ui(ui, theme, model, acts));
    piece(ui, right, "job", |ui| {
        ScrollArea::vertical().auto_shrink(false).show(ui, |ui| {
            ui.spacing_mut().item_spacing.y = gap;
            right_ui(ui, theme, model, acts);
        });
    });
}

fn piece<R>(ui: &mut Ui, rect: Rect, id: &str, content: impl FnOnce(&mut Ui) -> R) -> R {
    let builder = UiBuilder::new().max_rect(rect).id_salt(id);
    ui.scope_builder(builder, |ui| {
        ui.set_clip_rect(ui.clip_rect().intersect(rect.expand(2.0)));
        content(ui)
    })
    .inner
}

/// Before a folder is chosen.
fn first_ui(ui: &mut Ui, theme: &Theme, acts: &mut Vec<Act>) {
    ui.set_max_width(640.0);
    card_ui(ui, theme, "The shop's notebook", "", |ui| {
        let words = "A folder of jobs: every vehicle that was on the bench, found again by any word of its record. \
            It can lie on this machine, on a stick, or in a folder that the shop shares. Jobs that are saved in it are \
            listed here, start the next one on the same platform, and teach how long connectors take to reach.";
        text_ui(ui, words, theme.body(), theme.colour.ink);
        let choose = button_ui(ui, theme, Tone::Primary, "Choose the folder", None);
        if choose.clicked() {
            acts.push(Act::Ask(Dialog::path(PathAsk::Folder, String::new())));
        }
    });
}

fn left_ui(ui: &mut Ui, theme: &Theme, model: &Model, acts: &mut Vec<Act>) {
    card_ui(ui, theme, "Jobs", &search::counted(model), |ui| {
        search::search_ui(ui, theme, model, acts);
        list::list_ui(ui, theme, model, acts);
    });
}

fn right_ui(ui: &mut Ui, theme: &Theme, model: &Model, acts: &mut Vec<Act>) {
    ui.set_max_width(ui.available_width());
    chosen::chosen_ui(ui, theme, model, acts);
    taught::taught_ui(ui, theme, model, acts);
    folder_ui(ui, theme, model, acts);
}

/// Which folder, and what can be brought into it.
fn folder_ui(ui: &mut Ui, theme: &Theme, model: &Model, acts: &mut Vec<Act>) {
    let book = &model.notebook;
    let Some(folder) = &book.folder else {
        return;
    };
    let shown = folder.display().to_string();
    card_ui(ui, theme, "Folder", "", |ui| {
        text_ui(ui, &shown, theme.body(), theme.colour.ink);
        ui.horizontal_wrapped(|ui| {
            if button_ui(ui, theme, Tone::Plain, "Import a job", None)
                .on_hover_text("A job file, or a job packed as one file")
                .clicked()
            {
                acts.push(Act::Ask(Dialog::path(PathAsk::Import, String::new())));
            }
            if button_ui(ui, theme, Tone::Quiet, "Read anew", None).clicked() {
                acts.push(crate::app::NotebookCommand::Refresh.into());
            }
            if button_ui(ui, theme, Tone::Quiet, "Another folder", None).clicked() {
                acts.push(Act::Ask(Dialog::path(PathAsk::Folder, shown.clone())));
            }
        });
    });
}
