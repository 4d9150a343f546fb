//! Questions in front of everything: a new feed, what to open, where to save, what to do before leaving.

use std::path::PathBuf;

use egui::{Context, Frame, Id, Key, Margin, Modal, Stroke, Ui};

use super::{
    act::Act,
    kit::{Field, Tone, button_ui, choice_ui, field_ui, label_ui, notice_ui, text_ui, tick_ui},
    samples::SAMPLES,
    theme::{CARD_RADIUS, LINE, Theme},
};
use crate::{
    app::{
        FileCommand, Model,
        command::{GuardAnswer, Leave},
        model::{Ask, Guard},
        words,
    },
    circuit::{quick::MOST_SENSORS, quick_feed},
    notebook::{Job, parse_job},
    quantity::{Unit, format::as_read, typed_number, units::volts},
};

/// Nominal volts that a quick start offers.
const NOMINALS: [f64; 4] = [5.0, 8.0, 9.0, 12.0];

/// A question and what is typed into it so far.
#[derive(Clone, Debug, PartialEq)]
pub enum Dialog {
    /// A new feed from three answers.
    QuickStart {
        /// Which of the nominal volts; one more than the last for others.
        nominal: usize,
        /// Other nominal volts, as typed.
        other: String,
        /// How many sensors, as typed.
        sensors: String,
        /// Whether there are inline connectors.
        inline: bool,
        /// Whether each sensor has a return wire to the module.
        returns: bool,
    },
    /// What to open.
    Open {
        /// Path as typed.
        path: String,
    },
    /// Where to save.
    Save {
        /// Path as typed.
        path: String,
    },
}

impl Dialog {
    /// A new feed.
    pub fn quick_start() -> Self {
        Self::QuickStart {
            nominal: 0,
            other: String::new(),
            sensors: "6".to_owned(),
            inline: true,
            returns: false,
        }
    }

    /// What to open.
    pub fn open() -> Self {
        Self::Open {
            path: String::new(),
        }
    }

    /// Where to save; a name is proposed from the job.
    pub fn save(model: &Model) -> Self {
        let path = model.path.as_ref().map_or_else(
            || proposed_name(&model.job),
            |path| path.display().to_string(),
        );
        Self::Save { path }
    }
}

/// A file name from the job's title: letters, digits and dashes.
fn proposed_name(job: &Job) -> String {
    let title = if job.title.trim().is_empty() {
        "job"
    } else {
        &job.title
    };
    let mut name = String::new();
    for c in title.chars().take(60) {
        match c {
            c if c.is_alphanumeric() => name.extend(c.to_lowercase()),
            _ if !name.ends_with('-') && !name.is_empty() => name.push('-'),
            _ => {}
        }
    }
    let name = name.trim_end_matches('-');
    format!("{}.ron", if name.is_empty() { "job" } else { name })
}

/// Shows the question, if there is one.
pub fn dialog_ui(
    ctx: &Context,
    theme: &Theme,
    model: &Model,
    dialog: &mut Option<Dialog>,
    acts: &mut Vec<Act>,
) {
    if let Some(guard) = &model.guard {
        sheet_ui(ctx, theme, "before leaving", |ui| {
            guard_ui(ui, theme, guard, acts)
        });
        return;
    }
    let Some(open) = dialog else {
        return;
    };
    let shut = sheet_ui(ctx, theme, "question", |ui| match open {
        Dialog::QuickStart { .. } => quick_start_ui(ui, theme, open, acts),
        Dialog::Open { path } => open_ui(ui, theme, model, path, acts),
        Dialog::Save { path } => save_ui(ui, theme, path, acts),
    });
    if shut {
        acts.push(Act::Close);
    }
}

/// Answers whether Escape or a click beside asks to take the question away.
fn sheet_ui(ctx: &Context, theme: &Theme, id: &str, content: impl FnOnce(&mut Ui)) -> bool {
    let c = &theme.colour;
    let frame = Frame::new()
        .fill(c.sheet)
        .stroke(Stroke::new(LINE, c.edge))
        .corner_radius(egui::CornerRadius::same(CARD_RADIUS))
        .inner_margin(Margin::same(22));
    let room = ctx.content_rect();
    Modal::new(Id::unique(id))
        .frame(frame)
        .show(ctx, |ui| {
            ui.set_width((room.width() - 60.0).clamp(200.0, 480.0));
            ui.spacing_mut().item_spacing = egui::vec2(theme.size.gap, 10.0);
            egui::ScrollArea::vertical()
                .max_height((room.height() - 110.0).max(120.0))
                .min_scrolled_height((room.height() - 110.0).clamp(120.0, 560.0))
                .show(ui, content);
        })
        .should_close()
}

fn quick_start_ui(ui: &mut Ui, theme: &Theme, dialog: &mut Dialog, acts: &mut Vec<Act>) {
    let Dialog::QuickStart {
        nominal,
        other,
        sensors,
        inline,
        returns,
    } = dialog
    else {
        return;
    };
    let c = &theme.colour;
    text_ui(ui, "A new feed", theme.title(), c.ink);
    label_ui(ui, "Nominal volts", theme.label(), c.muted);
    let mut texts: Vec<String> = NOMINALS.iter().map(|v| as_read(*v, Unit::Volts)).collect();
    texts.push("other".to_owned());
    let options: Vec<(&str, &str)> = texts.iter().map(|t| (t.as_str(), t.as_str())).collect();
    if let Some(index) = choice_ui(ui, theme, &options, *nominal) {
        *nominal = index;
    }
    if *nominal == NOMINALS.len() {
        let field = Field {
            name: "Other nominal volts",
            unit: "V",
            width: 180.0,
            ..Field::default()
        };
        field_ui(ui, theme, other, &field);
    }
    let field = Field {
        name: "How many sensors",
        width: 180.0,
        ..Field::default()
    };
    field_ui(ui, theme, sensors, &field);
    if tick_ui(
        ui,
        theme,
        "Inline connector between module and sensors",
        *inline,
    )
    .clicked()
    {
        *inline = !*inline;
    }
    if tick_ui(
        ui,
        theme,
        "Each sensor has its return wire to the module",
        *returns,
    )
    .clicked()
    {
        *returns = !*returns;
    }
    let (inline, returns) = (*inline, *returns);
    let answers = quick_answers(*nominal, other, sensors);
    if let Err(trouble) = &answers {
        notice_ui(ui, theme, trouble, "");
    }
    ui.horizontal(|ui| {
        let ready = answers.is_ok();
        let entered = ready && ui.input(|input| input.key_pressed(Key::Enter));
        let draw = ui
            .add_enabled_ui(ready, |ui| {
                button_ui(ui, theme, Tone::Primary, "Draw it", None)
            })
            .inner
            .clicked();
        if let (true, Ok((nominal, count))) = (draw || entered, answers) {
            let job = Job {
                title: "New feed".to_owned(),
                circuit: quick_feed(volts(nominal), count, inline, returns),
                ..Job::default()
            };
            acts.push(Act::Close);
            acts.push(FileCommand::Leave(Leave::Start(Box::new(job))).into());
        }
        if button_ui(ui, theme, Tone::Plain, "Cancel", None).clicked() {
            acts.push(Act::Close);
        }
    });
    text_ui(
        ui,
        "Lengths, sizes and draws are plausible guesses: correct them on the drawing as you learn them.",
        theme.label(),
        c.muted,
    );
}

/// Volts and count, or what to type instead.
fn quick_answers(nominal: usize, other: &str, sensors: &str) -> Result<(f64, u8), String> {
    let nominal = match NOMINALS.get(nominal) {
        Some(volts) => *volts,
        None => typed_number(other, Unit::Volts).map_err(|error| error.to_string())?,
    };
    if !(0.5..=60.0).contains(&nominal) {
        return Err("A sensor feed has 0.5 to 60 V: type its nominal volts, e.g. 8".to_owned());
    }
    match sensors.trim().parse::<u8>() {
        Ok(count) if (1..=MOST_SENSORS).contains(&count) => Ok((nominal, count)),
        _ => Err(format!(
            "Type a whole number of sensors from 1 to {MOST_SENSORS}"
        )),
    }
}

fn open_ui(ui: &mut Ui, theme: &Theme, model: &Model, path: &mut String, acts: &mut Vec<Act>) {
    let c = &theme.colour;
    text_ui(ui, "Open", theme.title(), c.ink);
    let field = Field {
        name: "Path of a job file",
        hint: "type or paste a path",
        ..Field::default()
    };
    let response = field_ui(ui, theme, path, &field);
    let entered = response.lost_focus() && ui.input(|input| input.key_pressed(Key::Enter));
    let leave = |path: PathBuf| FileCommand::Leave(Leave::Open(path)).into();
    ui.horizontal_wrapped(|ui| {
        let open = button_ui(ui, theme, Tone::Primary, "Open this path", None).clicked();
        if (open || entered) && !path.trim().is_empty() {
            acts.push(Act::Close);
            acts.push(leave(PathBuf::from(path.trim())));
        }
        if button_ui(ui, theme, Tone::Plain, "Browse", None).clicked() {
            acts.push(Act::Close);
            acts.push(Act::BrowseOpen);
        }
        if button_ui(ui, theme, Tone::Plain, "Cancel", None).clicked() {
            acts.push(Act::Close);
        }
    });
    if !model.recent.is_empty() {
        label_ui(ui, "Open lately", theme.label(), c.muted);
        for recent in model.recent.iter().take(5) {
            let name = format!("Open {}", recent.display());
            let text = words::file(recent);
            if button_ui(ui, theme, Tone::Quiet, &text, Some(&name)).clicked() {
                acts.push(Act::Close);
                acts.push(leave(recent.clone()));
            }
        }
    }
    label_ui(ui, "Worked samples", theme.label(), c.muted);
    ui.horizontal_wrapped(|ui| {
        for (name, text) in SAMPLES {
            let spoken = format!("Sample {name}");
            if button_ui(ui, theme, Tone::Quiet, name, Some(&spoken)).clicked()
                && let Ok(opened) = parse_job(name, text.as_bytes())
            {
                acts.push(Act::Close);
                acts.push(FileCommand::Leave(Leave::Start(Box::new(opened.job))).into());
            }
        }
    });
}

fn save_ui(ui: &mut Ui, theme: &Theme, path: &mut String, acts: &mut Vec<Act>) {
    let c = &theme.colour;
    text_ui(ui, "Save the job", theme.title(), c.ink);
    let field = Field {
        name: "Path to save at",
        ..Field::default()
    };
    let response = field_ui(ui, theme, path, &field);
    let entered = response.lost_focus() && ui.input(|input| input.key_pressed(Key::Enter));
    ui.horizontal_wrapped(|ui| {
        let save = button_ui(ui, theme, Tone::Primary, "Save here", None).clicked();
        if (save || entered) && !path.trim().is_empty() {
            acts.push(Act::Close);
            acts.push(FileCommand::SaveAs(PathBuf::from(path.trim())).into());
        }
        if button_ui(ui, theme, Tone::Plain, "Browse", None).clicked() {
            acts.push(Act::Close);
            acts.push(Act::BrowseSave);
        }
        if button_ui(ui, theme, Tone::Plain, "Cancel", None).clicked() {
            acts.push(Act::Close);
            acts.push(FileCommand::SaveCancelled.into());
        }
    });
}

fn guard_ui(ui: &mut Ui, theme: &Theme, guard: &Guard, acts: &mut Vec<Act>) {
    let c = &theme.colour;
    let (title, text, answers): (&str, String, &[(&str, GuardAnswer, Tone)]) = match &guard.ask {
        Ask::Reconnect(loose) => (
            "Reconnect before you leave?",
            format!("Not plugged or not known: {}.", words::list(loose)),
            &[
                ("All plugged again", GuardAnswer::Reconnected, Tone::Primary),
                (
                    "Leave as they are",
                    GuardAnswer::LeaveUnplugged,
                    Tone::Plain,
                ),
                ("Stay here", GuardAnswer::Stay, Tone::Plain),
            ],
        ),
        Ask::Unsaved => (
            "Save the changes first?",
            "This job has changes that are not on disk.".to_owned(),
            &[
                ("Save", GuardAnswer::Save, Tone::Primary),
                ("Throw them away", GuardAnswer::Discard, Tone::Plain),
                ("Stay here", GuardAnswer::Stay, Tone::Plain),
            ],
        ),
        Ask::Saving => (
            "Saving …",
            "The job is being written to disk.".to_owned(),
            &[("Stay here", GuardAnswer::Stay, Tone::Plain)],
        ),
    };
    text_ui(ui, title, theme.title(), c.ink);
    text_ui(ui, &text, theme.body(), c.ink);
    ui.horizontal_wrapped(|ui| {
        for (text, answer, tone) in answers {
            if button_ui(ui, theme, *tone, text, None).clicked() {
                acts.push(FileCommand::Answer(*answer).into());
            }
        }
    });
    if ui.input(|input| input.key_pressed(Key::Escape)) {
        acts.push(FileCommand::Answer(GuardAnswer::Stay).into());
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn quick_answers_say_what_to_type() {
        assert_eq!(quick_answers(1, "", "6"), Ok((8.0, 6)));
        assert_eq!(quick_answers(4, "3V3", "40"), Ok((3.3, 40)));
        for (nominal, other, sensors) in [
            (0, "", "0"),
            (0, "", "41"),
            (0, "", "six"),
            (4, "", "6"),
            (4, "600", "6"),
        ] {
            assert!(
                quick_answers(nominal, other, sensors).is_err(),
                "{other:?} {sensors:?}"
            );
        }
    }

    #[test]
    fn a_proposed_name_is_a_plain_file_name() {
        let name = |title: &str| {
            proposed_name(&Job {
                title: title.to_owned(),
                ..Job::default()
            })
        };
        assert_eq!(
            name("CT-4471 · ride height, all low"),
            "ct-4471-ride-height-all-low.ron"
        );
        assert_eq!(name("../../etc/passwd"), "etc-passwd.ron");
        assert_eq!(name("\u{202E}///"), "job.ron");
    }
}
