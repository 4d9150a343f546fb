//! The search box with its filters, what is being read, and the files that could not be.

use egui::Ui;

use crate::{
    app::{
        Model, NotebookCommand,
        notebook::{Filter, Order},
    },
    ui::{
        act::Act,
        kit::{Field, Tone, button_ui, choice_ui, field_ui, label_ui, notice_ui, text_ui, tick_ui},
        theme::Theme,
    },
};

/// Fields that a word can be looked for in, and what the box is given for each.
const FIELDS: [(&str, &str); 6] = [
    ("vehicle:", "Vehicle"),
    ("code:", "Code"),
    ("colour:", "Wire colour"),
    ("number:", "Circuit number"),
    ("part:", "Part"),
    ("shop:", "Shop or person"),
];

/// Width from which filters and order stand in one row.
const WIDE: f32 = 780.0;

/// How many jobs there are, or how far reading has come.
pub fn counted(model: &Model) -> String {
    let book = &model.notebook;
    let (done, all) = book.progress.seen();
    if all > 0 {
        return format!("reading, {done} of {all}");
    }
    match &book.listing {
        None => "reading the folder".to_owned(),
        Some(listing) => {
            let all = listing.shelf.as_ref().map_or(0, |shelf| shelf.cards.len());
            let jobs = if all == 1 { "job" } else { "jobs" };
            let more = if book.is_busy(&model.job.vehicle) {
                " …"
            } else {
                ""
            };
            match listing.found.len() {
                found if found == all => format!("{all} {jobs}{more}"),
                found => format!("{found} of {all} {jobs}{more}"),
            }
        }
    }
}

/// The box, the filters, and what stands in the way.
pub fn search_ui(ui: &mut Ui, theme: &Theme, model: &Model, acts: &mut Vec<Act>) {
    let book = &model.notebook;
    let mut words = book.words.clone();
    let field = Field {
        name: "Search the jobs",
        hint: "any words: vehicle, plate, code, wire colour, circuit number, note",
        bare: true,
        ..Field::default()
    };
    if field_ui(ui, theme, &mut words, &field).changed() {
        acts.push(NotebookCommand::Ask(words).into());
    }
    ui.horizontal_wrapped(|ui| {
        ui.spacing_mut().item_spacing.y = 2.0;
        label_ui(ui, "Look in", theme.label(), theme.colour.muted);
        for (asked, word) in FIELDS {
            let name = format!("Look in: {word}");
            let hint = format!("Puts “{asked}” before the next word");
            if button_ui(ui, theme, Tone::Quiet, word, Some(&name))
                .on_hover_text(hint)
                .clicked()
            {
                let space = if book.words.is_empty() || book.words.ends_with(' ') {
                    ""
                } else {
                    " "
                };
                let words = format!("{}{space}{asked}", book.words);
                acts.push(NotebookCommand::Ask(words).into());
            }
        }
    });
    // With words the best come first, and there is nothing to choose.
    let ordered = book.words.trim().is_empty();
    let wide = ui.available_width() > WIDE && theme.size.target < 40.0;
    ui.horizontal_wrapped(|ui| {
        for filter in Filter::ALL {
            let on = book.filters.contains(&filter);
            if tick_ui(ui, theme, filter.word(), on).clicked() {
                acts.push(NotebookCommand::Toggle(filter).into());
            }
        }
        if ordered && wide {
            order_ui(ui, theme, book.order, acts);
        }
    });
    if ordered && !wide {
        ui.horizontal(|ui| order_ui(ui, theme, book.order, acts));
    }
    if book.progress.seen().1 > 0
        && button_ui(ui, theme, Tone::Plain, "Stop reading", None).clicked()
    {
        acts.push(NotebookCommand::Stop.into());
    }
    let Some(listing) = &book.listing else {
        return;
    };
    if let Some(error) = &listing.trouble {
        notice_ui(ui, theme, &error.what, &error.remedy);
    }
    if let Some(refusal) = &listing.refusal {
        notice_ui(ui, theme, refusal, "");
    }
    let shelf = listing.shelf.as_ref();
    if listing.refusal.is_none()
        && listing.found.is_empty()
        && let Some(shelf) = shelf
    {
        let text = if shelf.cards.is_empty() {
            "No job lies in this folder yet. Save one here, or import one."
        } else {
            "No job has all of these words. Take one away, or look for another."
        };
        text_ui(ui, text, theme.body(), theme.colour.muted);
    }
}

fn order_ui(ui: &mut Ui, theme: &Theme, now: Order, acts: &mut Vec<Act>) {
    let names = Order::ALL.map(|order| format!("Order by {}", order.word().to_lowercase()));
    let options: Vec<(&str, &str)> = Order::ALL
        .iter()
        .zip(&names)
        .map(|(order, name)| (order.word(), name.as_str()))
        .collect();
    let now = Order::ALL.iter().position(|order| *order == now);
    label_ui(ui, "Order", theme.label(), theme.colour.muted);
    if let Some(order) =
        choice_ui(ui, theme, &options, now.unwrap_or(0)).and_then(|chosen| Order::ALL.get(chosen))
    {
        acts.push(NotebookCommand::SetOrder(*order).into());
    }
}
