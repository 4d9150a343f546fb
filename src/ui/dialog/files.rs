//! What to open and where to save; a path can always be typed.

use std::path::{Path, PathBuf};

use egui::Ui;

use super::paths::{absolute, path_box_ui};

use crate::{
    app::{FileCommand, Model, command::Leave, words},
    notebook::{Job, parse_job},
    ui::{
        act::Act,
        kit::{Tone, button_ui, label_ui, text_ui},
        samples::SAMPLES,
        theme::Theme,
    },
};

/// A file name from the job's title: letters, digits and dashes.
pub fn proposed_name(job: &Job) -> String {
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

/// What to open: a path, a file of late, a sample.
pub fn open_ui(ui: &mut Ui, theme: &Theme, model: &Model, path: &mut String, acts: &mut Vec<Act>) {
    let c = &theme.colour;
    text_ui(ui, "Open", theme.title(), c.ink);
    let name = "Path of a job file";
    let entered = path_box_ui(ui, theme, path, name, "type or paste a path");
    let leave = |path: PathBuf| FileCommand::Leave(Leave::Open(path)).into();
    ui.horizontal_wrapped(|ui| {
        let open = button_ui(ui, theme, Tone::Primary, "Open this path", None).clicked();
        if (open || entered) && !path.trim().is_empty() {
            acts.push(Act::Close);
            acts.push(leave(absolute(Path::new(path.trim()))));
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

/// Where to save.
pub fn save_ui(ui: &mut Ui, theme: &Theme, path: &mut String, acts: &mut Vec<Act>) {
    let c = &theme.colour;
    text_ui(ui, "Save the job", theme.title(), c.ink);
    let entered = path_box_ui(ui, theme, path, "Path to save at", "");
    ui.horizontal_wrapped(|ui| {
        let save = button_ui(ui, theme, Tone::Primary, "Save here", None).clicked();
        if (save || entered) && !path.trim().is_empty() {
            acts.push(Act::Close);
            acts.push(FileCommand::SaveAs(absolute(Path::new(path.trim()))).into());
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

#[cfg(test)]
mod tests {
    use super::*;

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
