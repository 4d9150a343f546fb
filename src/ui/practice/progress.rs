//! Records: who did what and where they stand, one trainee by skill and over time, pages to print.

use std::path::PathBuf;

use egui::{CornerRadius, Rect, Sense, Ui, pos2, vec2};
use egui_plot::{GridMark, Line, MarkerShape, PlotPoints, Points};

use super::{choose::pick_ui, columns_ui, group::group_skills_ui};
use crate::{
    app::practice::{Command, Practice, name_of},
    practice::{Done, Record, progress::Skill},
    ui::{
        act::Act,
        kit::{Field, Tone, button_ui, card_ui, kept_ui, label_ui, notice_ui, still_plot, text_ui},
        theme::{STRONG, Theme},
    },
};

/// Width of the list of trainees, and the widest a record gets.
const LIST: f32 = 400.0;
const WIDEST: f32 = 860.0;
/// Exercises that are listed.
const LISTED: usize = 40;

/// The page.
pub fn progress_ui(ui: &mut Ui, theme: &Theme, state: &Practice, acts: &mut Vec<Act>) {
    columns_ui(
        ui,
        theme,
        "progress",
        (LIST, WIDEST),
        acts,
        |ui, acts| group_ui(ui, theme, state, acts),
        |ui, acts| {
            group_skills_ui(ui, theme, state);
            record_ui(ui, theme, state, acts);
        },
    );
}

/// The folder and everybody in it.
fn group_ui(ui: &mut Ui, theme: &Theme, state: &Practice, acts: &mut Vec<Act>) {
    let c = &theme.colour;
    card_ui(ui, theme, "The group", "a folder of records", |ui| {
        let field = Field {
            name: "Folder of records",
            hint: "where records are kept",
            ..Field::default()
        };
        let taken = |text: &str| Ok::<String, String>(text.to_owned());
        if let Some(folder) = kept_ui(ui, theme, "folder", &state.folder, &field, taken) {
            acts.push(Command::Folder(folder).into());
        }
        if state.trainees.is_empty() {
            let text = "No record yet. Name a trainee before the start; the first vehicle that is handed over makes one.";
            text_ui(ui, text, theme.body(), c.muted);
            return;
        }
        ui.spacing_mut().item_spacing.y = 2.0;
        for (index, trainee) in state.trainees.iter().enumerate() {
            let name = match &trainee.record {
                Ok(record) => name_of(record, &trainee.path),
                Err(_) => name_of(&Record::default(), &trainee.path)
                    .into_owned()
                    .into(),
            };
            let text = match &trainee.record {
                Ok(record) => format!("{name}   {}", stands(record)),
                Err(_) => format!("{name}   cannot be read"),
            };
            let spoken = format!("Trainee {text}");
            if pick_ui(ui, theme, &text, &spoken, index == state.trainee) {
                acts.push(Command::Trainee(index).into());
            }
        }
        ui.add_space(4.0);
        ui.horizontal_wrapped(|ui| {
            for (ending, text) in [("pdf", "Group page (PDF)"), ("html", "Group page (HTML)")] {
                if button_ui(ui, theme, Tone::Plain, text, None).clicked() {
                    let to = PathBuf::from(state.folder.trim()).join(format!("group.{ending}"));
                    acts.push(Command::Page { to, all: true }.into());
                }
            }
        });
    });
}

/// Where somebody stands, in a few words.
fn stands(record: &Record) -> String {
    format!(
        "{} done, {} of 8 skills, {:.0} lately",
        record.done.len(),
        record.skills().len(),
        record.lately()
    )
}

fn record_ui(ui: &mut Ui, theme: &Theme, state: &Practice, acts: &mut Vec<Act>) {
    let c = &theme.colour;
    let Some(trainee) = state.trainees.get(state.trainee) else {
        return;
    };
    let record = match &trainee.record {
        Ok(record) => record,
        Err(what) => {
            notice_ui(ui, theme, what, "The file is left as it is.");
            return;
        }
    };
    let skills = record.skills();
    card_ui(
        ui,
        theme,
        &name_of(record, &trainee.path),
        "by skill",
        |ui| {
            if skills.is_empty() {
                text_ui(ui, "No drill was handed over yet.", theme.body(), c.muted);
            }
            for skill in &skills {
                skill_ui(ui, theme, skill);
            }
            ui.horizontal_wrapped(|ui| {
                for (ending, text) in [
                    ("pdf", "Page to print (PDF)"),
                    ("html", "Page to print (HTML)"),
                ] {
                    if button_ui(ui, theme, Tone::Plain, text, None).clicked() {
                        let to = trainee.path.with_extension(ending);
                        acts.push(Command::Page { to, all: false }.into());
                    }
                }
            });
        },
    );
    if record.done.len() > 1 {
        scores_ui(ui, theme, &record.done);
    }
    card_ui(ui, theme, "Every exercise", "latest first", |ui| {
        ui.spacing_mut().item_spacing.y = 4.0;
        for done in record.done.iter().rev().take(LISTED) {
            let ink = if done.found { c.ink } else { c.suspect_text };
            text_ui(ui, &done.certificate(&record.name), theme.body(), ink);
        }
    });
}

/// A skill with its bar: lately, with a mark at the first few.
fn skill_ui(ui: &mut Ui, theme: &Theme, skill: &Skill) {
    let c = &theme.colour;
    let width = ui.available_width();
    let (rect, response) = ui.allocate_exact_size(vec2(width, 24.0), Sense::hover());
    let spoken = format!(
        "{}: {}, {:.0} of 100 lately, {:.0} at first; next level {}",
        skill.drill.name(),
        skill.times_words(),
        skill.score,
        skill.at_first,
        skill.next.number()
    );
    response.widget_info(|| egui::WidgetInfo::labeled(egui::accesskit::Role::Label, true, &spoken));
    let put = |x: f32, text: &str, font: egui::FontId, ink| {
        let galley = ui.painter().layout_no_wrap(text.to_owned(), font, ink);
        let at = pos2(rect.left() + x, rect.center().y - galley.size().y / 2.0);
        ui.painter().galley(at, galley, ink);
    };
    put(0.0, skill.drill.name(), theme.body(), c.ink);
    let start = (width * 0.40).max(230.0);
    let end = (width - 250.0).max(start + 40.0);
    let bar = |to: f64| start + (end - start) * (to / 100.0).clamp(0.0, 1.0) as f32;
    let trough = Rect::from_min_max(
        pos2(rect.left() + start, rect.center().y - 6.0),
        pos2(rect.left() + end, rect.center().y + 6.0),
    );
    let painter = ui.painter();
    painter.rect_filled(trough, CornerRadius::same(2), c.trough);
    let full = Rect::from_min_max(
        trough.min,
        pos2(rect.left() + bar(skill.score), trough.bottom()),
    );
    painter.rect_filled(full, CornerRadius::same(2), c.healthy);
    let first = rect.left() + bar(skill.at_first);
    painter.vline(
        first,
        trough.y_range().expand(3.0),
        egui::Stroke::new(STRONG, c.ink),
    );
    let times = format!(
        "{:.0}   {}, next: level {}",
        skill.score,
        skill.times_words(),
        skill.next.number()
    );
    put(end + 12.0, &times, theme.body(), c.ink);
}

/// Scores over time.
fn scores_ui(ui: &mut Ui, theme: &Theme, done: &[Done]) {
    let c = &theme.colour;
    card_ui(ui, theme, "Scores over time", "", |ui| {
        let points: Vec<[f64; 2]> = (1_u32..)
            .zip(done)
            .map(|(number, done)| [f64::from(number), f64::from(done.score)])
            .collect();
        let right = done.len() as f64 + 0.5;
        let plot = still_plot("scores", 110.0, theme)
            .show_axes([false, true])
            .y_grid_spacer(|_| {
                let mark = |value| GridMark {
                    value,
                    step_size: 50.0,
                };
                vec![mark(0.0), mark(50.0), mark(100.0)]
            })
            .y_axis_formatter(|mark: GridMark, _| format!("{:.0}", mark.value))
            .show(ui, |plot| {
                plot.set_plot_bounds_x(0.5..=right);
                plot.set_plot_bounds_y(-4.0..=104.0);
                plot.line(
                    Line::new("score", PlotPoints::from(points.clone()))
                        .color(c.connector)
                        .width(STRONG),
                );
                let marks = Points::new("score", PlotPoints::from(points))
                    .shape(MarkerShape::Circle)
                    .color(c.connector)
                    .radius(3.5);
                plot.points(marks);
            });
        let last = done.last().map_or(0, |done| done.score);
        let spoken = format!("Plot: scores of {} exercises, the last {last}", done.len());
        plot.response
            .widget_info(|| egui::WidgetInfo::labeled(egui::accesskit::Role::Image, true, &spoken));
        label_ui(
            ui,
            "the first exercise to the left, the latest to the right",
            theme.label(),
            c.muted,
        );
    });
}
