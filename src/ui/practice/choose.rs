//! What to practise: a drill with its lesson, how hard, on which vehicle, and who.

use std::{path::PathBuf, sync::Arc};

use egui::{
    CornerRadius, Key, Sense, Stroke, StrokeKind, Ui, WidgetInfo, accesskit::Role, pos2, vec2,
};

use super::{columns_ui, left::left_ui};
use crate::{
    app::{
        Model,
        practice::{Command, Practice, Source, Wish},
    },
    notebook::parse_job,
    practice::{Drill, Level},
    ui::{
        act::Act,
        kit::{
            Field, Tone, button_ui, card_ui, choice_ui, field_ui, fitted, focus_ring, label_ui,
            text_ui,
        },
        samples::SAMPLES,
        theme::{RADIUS, STRONG, Theme},
    },
};

/// Widest that the lesson gets, so that its lines stay readable.
const WIDEST: f32 = 760.0;
/// Height of the longest lesson with its example.
const LESSON: f32 = 178.0;
/// Width of the list of drills.
const LIST: f32 = 330.0;

/// The page.
pub fn choose_ui(ui: &mut Ui, theme: &Theme, state: &Practice, model: &Model, acts: &mut Vec<Act>) {
    columns_ui(
        ui,
        theme,
        "choose",
        (LIST, WIDEST),
        acts,
        |ui, acts| drills_ui(ui, theme, state, acts),
        |ui, acts| {
            left_ui(ui, theme, state, acts);
            lesson_ui(ui, theme, state);
            vehicle_ui(ui, theme, state, model, acts);
        },
    );
}

fn drills_ui(ui: &mut Ui, theme: &Theme, state: &Practice, acts: &mut Vec<Act>) {
    let fixed = matches!(state.source, Source::Exercise(..));
    card_ui(ui, theme, "Drills", "best learned in this order", |ui| {
        ui.spacing_mut().item_spacing.y = 2.0;
        for (number, drill) in (1..).zip(Drill::ALL) {
            let here = !fixed && state.wish.drill == drill;
            let text = format!("{number}   {}", drill.name());
            let name = format!("Drill: {}", drill.name());
            if pick_ui(ui, theme, &text, &name, here) {
                let wish = Wish {
                    drill,
                    ..state.wish.clone()
                };
                acts.push(Command::Wish(wish).into());
                if fixed {
                    acts.push(Command::Use(Source::Invented).into());
                }
            }
        }
    });
}

/// A row of which one is chosen.
pub fn pick_ui(ui: &mut Ui, theme: &Theme, text: &str, name: &str, here: bool) -> bool {
    let c = &theme.colour;
    let size = vec2(ui.available_width(), theme.size.target);
    let (rect, response) = ui.allocate_exact_size(size, Sense::click());
    response.widget_info(|| WidgetInfo::selected(Role::RadioButton, true, here, name));
    let radius = CornerRadius::same(RADIUS);
    let ground = match (here, response.hovered()) {
        (true, _) => c.selected,
        (false, true) => c.band,
        (false, false) => c.sheet,
    };
    let edge = if here { c.connector } else { ground };
    let painter = ui.painter();
    painter.rect(
        rect,
        radius,
        ground,
        Stroke::new(STRONG, edge),
        StrokeKind::Inside,
    );
    let font = if here { theme.strong() } else { theme.body() };
    let galley = fitted(ui, text, font, c.ink, rect.width() - 20.0);
    let at = pos2(rect.left() + 10.0, rect.center().y - galley.size().y / 2.0);
    painter.galley(at, galley, c.ink);
    focus_ring(ui, theme, &response, rect);
    response.clicked()
}

fn lesson_ui(ui: &mut Ui, theme: &Theme, state: &Practice) {
    let c = &theme.colour;
    if let Source::Exercise(name, exercise) = &state.source {
        card_ui(ui, theme, &exercise.title, name, |ui| {
            let story = match exercise.story.as_str() {
                "" => "An exercise that a trainer has made.",
                story => story,
            };
            long_ui(ui, theme, story);
        });
        return;
    }
    let drill = state.wish.drill;
    card_ui(ui, theme, drill.name(), "the lesson", |ui| {
        // The button that starts stays where it is while lessons are leafed through.
        ui.set_min_height(LESSON);
        long_ui(ui, theme, drill.lesson());
        ui.add_space(4.0);
        label_ui(ui, "Worked example", theme.heading(), c.ink);
        long_ui(ui, theme, drill.example());
    });
}

/// A text that may be longer than what one label takes, sentence after sentence.
fn long_ui(ui: &mut Ui, theme: &Theme, text: &str) {
    let mut piece = String::new();
    for sentence in text.split_inclusive(". ") {
        if !piece.is_empty() && piece.chars().count() + sentence.chars().count() > 380 {
            text_ui(ui, piece.trim(), theme.body(), theme.colour.ink);
            piece.clear();
        }
        piece.push_str(sentence);
    }
    text_ui(ui, piece.trim(), theme.body(), theme.colour.ink);
}

fn vehicle_ui(ui: &mut Ui, theme: &Theme, state: &Practice, model: &Model, acts: &mut Vec<Act>) {
    let c = &theme.colour;
    card_ui(ui, theme, "The vehicle", "a fault is hidden in it", |ui| {
        label_ui(ui, "On which sketch", theme.label(), c.muted);
        source_ui(ui, theme, state, model, acts);
        if !matches!(state.source, Source::Exercise(..)) {
            label_ui(ui, "How hard", theme.label(), c.muted);
            let options = Level::ALL.map(|level| (level.name(), level.name()));
            if let Some(at) = choice_ui(ui, theme, &options, state.wish.level.number() - 1) {
                let wish = Wish {
                    level: Level::ALL[at],
                    ..state.wish.clone()
                };
                acts.push(Command::Wish(wish).into());
            }
        }
        ui.horizontal_wrapped(|ui| {
            let mut wish = state.wish.clone();
            let field = Field {
                name: "Trainee",
                hint: "a name, to keep the score",
                width: 260.0,
                ..Field::default()
            };
            let mut changed = field_ui(ui, theme, &mut wish.trainee, &field).changed();
            if !matches!(state.source, Source::Exercise(..)) {
                let field = Field {
                    name: "Seed",
                    hint: "a new vehicle",
                    width: 150.0,
                    ..Field::default()
                };
                let seed = field_ui(ui, theme, &mut wish.seed, &field);
                changed |= seed.changed();
                seed.on_hover_text("The same seed hides the same fault again, on every machine");
            }
            if changed {
                acts.push(Command::Wish(wish).into());
            }
        });
        ui.add_enabled_ui(state.pending.is_none(), |ui| {
            if button_ui(ui, theme, Tone::Primary, "Start", Some("Start practice")).clicked() {
                acts.push(Command::Start.into());
            }
        });
    });
}

/// Invented, the bench's, a sample's, or a file's.
fn source_ui(ui: &mut Ui, theme: &Theme, state: &Practice, model: &Model, acts: &mut Vec<Act>) {
    let name = match &state.source {
        Source::Invented => "An invented vehicle, a new one for each seed".to_owned(),
        Source::Job(name, _) => format!("The sketch of {name}, without names and notes"),
        Source::Exercise(name, _) => format!("The exercise {name}"),
    };
    text_ui(ui, &name, theme.strong(), theme.colour.ink);
    ui.horizontal_wrapped(|ui| {
        if button_ui(ui, theme, Tone::Plain, "Invented", None).clicked() {
            acts.push(Command::Use(Source::Invented).into());
        }
        let button = button_ui(ui, theme, Tone::Plain, "The one on the bench", None);
        if button.clicked() {
            let source = Source::Job("the job on the bench".to_owned(), Arc::clone(&model.job));
            acts.push(Command::Use(source).into());
        }
        egui::ComboBox::from_id_salt("samples")
            .selected_text(egui::RichText::new("A sample …").font(theme.strong()))
            .width(150.0)
            .show_ui(ui, |ui| {
                for (name, text) in SAMPLES {
                    if ui.selectable_label(false, name).clicked()
                        && let Ok(opened) = parse_job(name, text.as_bytes())
                    {
                        let source =
                            Source::Job(format!("the sample {name}"), Arc::new(opened.job));
                        acts.push(Command::Use(source).into());
                    }
                }
            })
            .response
            .accessible_name("A sample");
    });
    ui.horizontal(|ui| {
        let mut wish = state.wish.clone();
        let field = Field {
            name: "Exercise or job file",
            hint: "path of an exercise or job; or drop the file here",
            bare: true,
            width: (ui.available_width() - 140.0).clamp(160.0, 480.0),
            ..Field::default()
        };
        let response = field_ui(ui, theme, &mut wish.path, &field);
        let path = wish.path.trim().to_owned();
        let entered = response.lost_focus() && ui.input(|input| input.key_pressed(Key::Enter));
        if response.changed() {
            acts.push(Command::Wish(wish).into());
        }
        let open = button_ui(ui, theme, Tone::Plain, "Take this file", None).clicked();
        if (open || entered) && !path.is_empty() {
            acts.push(Command::Open(PathBuf::from(path)).into());
        }
    });
}
