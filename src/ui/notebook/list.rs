//! The list itself: a row for each job, and before them the files that could not be read. Only what is in sight is drawn.

use egui::{
    Color32, CornerRadius, FontId, Key, Rect, ScrollArea, Sense, Stroke, Ui, WidgetInfo,
    accesskit::Role, pos2, vec2,
};

use crate::{
    app::{FileCommand, Model, NotebookCommand, command::Leave, notebook::Listing},
    notebook::{Shelf, shelf::Card},
    ui::{
        act::Act,
        kit::{fitted, focus_ring, named_link_ui, shortened},
        theme::{LINE, STRONG, Theme},
    },
};

/// Files that could not be read and are shown before the others are asked for.
const FIRST: usize = 3;

/// Room for a day and for the words of a state.
const DAY: f32 = 104.0;
const STATE: f32 = 118.0;
/// What the vehicle has of the rest of the width; the job has the other part.
const VEHICLE: f32 = 0.32;

/// Where the columns of a row begin: vehicle, job, day, state; and where the last one ends.
fn columns(row: Rect) -> [f32; 5] {
    let (left, right) = (row.left() + 10.0, row.right() - 10.0);
    let day = (right - DAY - STATE).max(left);
    let job = left + VEHICLE * (day - left);
    [left, job, day, day + DAY, right]
}

/// The list.
pub fn list_ui(ui: &mut Ui, theme: &Theme, model: &Model, acts: &mut Vec<Act>) {
    let Some(listing) = &model.notebook.listing else {
        return;
    };
    let Some(shelf) = &listing.shelf else {
        return;
    };
    let open_id = ui.scope_id().with("every unreadable file");
    let mut every: bool = ui.data(|data| data.get_temp(open_id).unwrap_or(false));
    let bad = shelf.unreadable.len();
    if bad > FIRST {
        let text = if every {
            format!("Show only {FIRST} of the {bad} files that cannot be read")
        } else {
            format!("Show all {bad} files that cannot be read")
        };
        if named_link_ui(ui, theme, &text, &text).clicked() {
            every = !every;
            ui.data_mut(|data| data.insert_temp(open_id, every));
        }
    }
    let bad = if every { bad } else { bad.min(FIRST) };
    head_ui(ui, theme);
    let row = theme.size.row.max(30.0);
    ScrollArea::vertical()
        .auto_shrink(false)
        .max_height((ui.available_height() - theme.size.card).max(4.0 * row))
        .show(ui, |ui| {
            ui.spacing_mut().item_spacing.y = 0.0;
            let total = bad + listing.found.len();
            let first = ui.cursor().min.y;
            // As many rows as there are take their room, and only those in sight are drawn.
            let (rect, _) = ui.allocate_exact_size(
                vec2(ui.available_width(), row * total as f32),
                Sense::empty(),
            );
            let sight = ui.clip_rect();
            let from = ((sight.top() - first) / row).floor().max(0.0) as usize;
            let to = ((sight.bottom() - first) / row).ceil().max(0.0) as usize;
            for number in from..to.min(total) {
                let top = rect.top() + row * number as f32;
                let line = Rect::from_min_size(pos2(rect.left(), top), vec2(rect.width(), row));
                if number < bad {
                    bad_ui(ui, theme, shelf, number, line);
                } else if let Some((card, note)) = listed(listing, shelf, number - bad) {
                    job_ui(ui, theme, model, (card, note, number), line, acts);
                }
            }
        });
    keys(ui, model, listing, shelf, acts);
}

/// A listed job, and by which near words it was found.
fn listed<'s>(
    listing: &Listing,
    shelf: &'s Shelf,
    number: usize,
) -> Option<(&'s Card, Option<String>)> {
    let found = listing.found.get(number)?;
    Some((shelf.cards.get(found.at)?, found.note()))
}

/// The arrows walk through the list, unless something else has the keyboard.
fn keys(ui: &Ui, model: &Model, listing: &Listing, shelf: &Shelf, acts: &mut Vec<Act>) {
    if ui.memory(|memory| memory.focused()).is_some() {
        return;
    }
    let step = ui.input(|input| {
        isize::from(input.key_pressed(Key::ArrowDown))
            - isize::from(input.key_pressed(Key::ArrowUp))
    });
    let chosen = model.notebook.chosen.as_ref();
    if step != 0 {
        let mut found = listing.found.iter();
        let at = found.position(|found| shelf.cards.get(found.at).map(|card| &card.path) == chosen);
        let next = at.map_or(0, |at| at.saturating_add_signed(step));
        if let Some((card, _)) = listed(listing, shelf, next) {
            acts.push(NotebookCommand::Choose(Some(card.path.clone())).into());
        }
    }
    if ui.input(|input| input.key_pressed(Key::Enter))
        && let Some(path) = chosen
    {
        acts.extend(open(model, path));
    }
}

/// Opens a listed job.
pub fn open(model: &Model, path: &str) -> Option<Act> {
    let file = model.notebook.file_of(path)?;
    Some(FileCommand::Leave(Leave::Open(file)).into())
}

fn head_ui(ui: &mut Ui, theme: &Theme) {
    let bar = ui.spacing().scroll.allocated_width();
    let size = vec2(ui.available_width() - bar, 22.0);
    let (rect, _) = ui.allocate_exact_size(size, Sense::empty());
    for (column, text) in ["vehicle", "job", "day", "state"].into_iter().enumerate() {
        cell_ui(ui, rect, column, text, theme.label(), theme.colour.muted);
    }
}

fn cell_ui(ui: &Ui, row: Rect, column: usize, text: &str, font: FontId, ink: Color32) {
    let x = columns(row);
    let (left, right) = (x[column], x[column + 1] - 8.0);
    let galley = fitted(ui, text, font, ink, right - left);
    let at = pos2(left, row.center().y - galley.size().y / 2.0);
    ui.painter().galley(at, galley, ink);
}

/// A file that could not be read, with the reason.
fn bad_ui(ui: &mut Ui, theme: &Theme, shelf: &Shelf, number: usize, rect: Rect) {
    let c = &theme.colour;
    let Some(file) = shelf.unreadable.get(number) else {
        return;
    };
    let spoken = format!("Cannot be read: {}: {}", file.path, file.why);
    let response = ui.interact(
        rect,
        ui.scope_id().with(("unreadable", number)),
        Sense::hover(),
    );
    response.widget_info(|| WidgetInfo::labeled(Role::Label, true, &spoken));
    let painter = ui.painter();
    painter.rect_filled(
        rect.shrink2(vec2(0.0, 1.0)),
        CornerRadius::ZERO,
        c.attention_wash,
    );
    painter.vline(
        rect.left() + 1.0,
        rect.y_range().shrink(1.0),
        Stroke::new(STRONG, c.attention),
    );
    cell_ui(ui, rect, 0, &file.path, theme.strong(), c.attention_text);
    let left = columns(rect)[1];
    let galley = fitted(
        ui,
        &file.why,
        theme.label(),
        c.attention_text,
        rect.right() - 10.0 - left,
    );
    let at = pos2(left, rect.center().y - galley.size().y / 2.0);
    ui.painter().galley(at, galley, c.attention_text);
    response.on_hover_text(shortened(&spoken, 400));
}

fn job_ui(
    ui: &mut Ui,
    theme: &Theme,
    model: &Model,
    (card, note, number): (&Card, Option<String>, usize),
    rect: Rect,
    acts: &mut Vec<Act>,
) {
    let c = &theme.colour;
    let chosen = model.notebook.chosen.as_ref() == Some(&card.path);
    let response = ui.interact(rect, ui.scope_id().with(("job", number)), Sense::click());
    let (vehicle, mut title) = names(card);
    let state = state(card);
    let mut spoken = format!("Job {title}, {vehicle}, {}, {state}", card.date);
    // Who asked for another word sees by which one this was found.
    if let Some(note) = note {
        spoken = format!("{spoken}, {note}");
        title = format!("{note} · {title}");
    }
    response.widget_info(|| WidgetInfo::selected(Role::Button, true, chosen, &spoken));
    let ground = match (chosen, response.hovered(), number % 2) {
        (true, ..) => c.selected,
        (false, true, _) => c.trough,
        (false, false, 1) => c.band,
        _ => c.sheet,
    };
    ui.painter().rect_filled(rect, CornerRadius::ZERO, ground);
    if chosen {
        let y = rect.y_range();
        ui.painter().vline(
            rect.left() + 1.0,
            y,
            Stroke::new(STRONG + LINE, c.connector),
        );
    }
    cell_ui(ui, rect, 0, &vehicle, theme.strong(), c.ink);
    cell_ui(ui, rect, 1, &title, theme.body(), c.ink);
    cell_ui(ui, rect, 2, &card.date, theme.body(), c.muted);
    let ink = match (card.unplugged, card.signed) {
        (true, _) => c.attention_text,
        (false, true) => c.healthy_text,
        _ => c.ink,
    };
    cell_ui(ui, rect, 3, state, theme.label_strong(), ink);
    focus_ring(ui, theme, &response, rect.shrink(2.0));
    if response.clicked() {
        acts.push(NotebookCommand::Choose(Some(card.path.clone())).into());
    }
    if response.double_clicked() {
        acts.extend(open(model, &card.path));
    }
}

/// Vehicle and title as they are shown.
pub fn names(card: &Card) -> (String, String) {
    let or = |text: &str, other: &str| match text.trim() {
        "" => other.to_owned(),
        text => text.to_owned(),
    };
    (
        or(&card.vehicle, "Vehicle not named"),
        or(&card.title, "Job without a title"),
    )
}

/// What has become of a job, in a word or two.
pub fn state(card: &Card) -> &'static str {
    match (card.unplugged, card.signed, card.repaired, card.lines) {
        (true, true, ..) => "signed, plug off!",
        (true, ..) => "plug off!",
        (_, true, ..) => "signed",
        (_, _, true, _) => "repaired",
        (.., 0) => "not begun",
        _ => "open",
    }
}
