//! What to open and where to save; a path can always be typed.

use std::path::{Path, PathBuf};

use egui::Ui;

use super::paths::{absolute, path_box_ui};

use crate::{
    app::{FileCommand, Model, command::Leave, words},
    notebook::{Job, import::free_name, parse_job},
    ui::{
        act::Act,
        kit::{Tone, button_ui, label_ui, notice_ui, text_ui},
        samples::SAMPLES,
        theme::Theme,
    },
};

/// A file in a folder that is not there yet, named after the job.
pub fn proposed_path(folder: &Path, job: &Job) -> PathBuf {
    let stem = proposed_stem(job);
    free_name(folder, &stem).unwrap_or_else(|_| folder.join(format!("{stem}.ron")))
}

/// A file name without ending from the job's title: letters, digits and dashes.
fn proposed_stem(job: &Job) -> String {
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
    match name.trim_end_matches('-') {
        "" => "job".to_owned(),
        name => name.to_owned(),
    }
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

/// Where to save. Another job's file is written over only once that was said and the button for it pressed.
pub fn save_ui(
    ui: &mut Ui,
    theme: &Theme,
    model: &Model,
    (path, taken): (&mut String, &mut bool),
    acts: &mut Vec<Act>,
) {
    let c = &theme.colour;
    text_ui(ui, "Save the job", theme.title(), c.ink);
    let before = path.clone();
    let entered = path_box_ui(ui, theme, path, "Path to save at", "");
    *taken &= *path == before;
    let to = job_file(path);
    if *taken {
        let what = format!("There is a file {} already.", words::file(&to));
        let remedy = "Take the free name, type another one, or write over it.";
        notice_ui(ui, theme, &what, remedy);
    }
    let free = taken.then(|| free_beside(&to)).flatten();
    ui.horizontal_wrapped(|ui| {
        let mut go = |to: PathBuf| {
            acts.push(Act::Close);
            acts.push(FileCommand::SaveAs(to).into());
        };
        if let Some(free) = free {
            let text = format!("Save as {}", words::file(&free));
            if button_ui(ui, theme, Tone::Primary, &text, None).clicked() {
                go(free);
            }
            if button_ui(ui, theme, Tone::Plain, "Write over it", None).clicked() {
                go(to);
            }
        } else {
            let save = button_ui(ui, theme, Tone::Primary, "Save here", None).clicked();
            if (save || entered) && !path.trim().is_empty() {
                let typed = absolute(Path::new(path.trim()));
                let own = model.path.as_ref() == Some(&to);
                *taken = !own && std::fs::symlink_metadata(&to).is_ok();
                if typed.is_dir() {
                    // Saving says that it is a folder.
                    *taken = false;
                    go(typed);
                } else if !*taken {
                    go(to);
                }
            }
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

/// The file that a typed path means: from the root on, and with the ending by which a notebook lists it.
fn job_file(typed: &str) -> PathBuf {
    let path = absolute(Path::new(typed.trim()));
    match path.extension() {
        Some(ending) if ending == "ron" => path,
        _ => {
            let mut name = path.into_os_string();
            name.push(".ron");
            name.into()
        }
    }
}

/// A file beside another one that is not there yet.
fn free_beside(path: &Path) -> Option<PathBuf> {
    let stem = path.file_stem()?.to_string_lossy();
    free_name(path.parent()?, &stem).ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_proposed_name_is_a_plain_file_name() {
        let name = |title: &str| {
            proposed_stem(&Job {
                title: title.to_owned(),
                ..Job::default()
            })
        };
        assert_eq!(
            name("CT-4471 · ride height, all low"),
            "ct-4471-ride-height-all-low"
        );
        assert_eq!(name("../../etc/passwd"), "etc-passwd");
        assert_eq!(name("\u{202E}///"), "job");
    }
}
