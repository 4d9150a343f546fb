//! What to open and where to save; a path can always be typed.

use std::path::{Path, PathBuf};

use egui::Ui;

use super::paths::{absolute, path_box_ui};

use crate::{
    app::{FileCommand, Model, command::Leave, words},
    notebook::{
        Job,
        import::{free_name, job_file},
        parse_job,
    },
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

/// A typed name has a file already; what was found out about that, since a frame does not look at the disk.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Taken {
    /// A file beside it that was not there.
    free: Option<PathBuf>,
}

/// Where to save. Another job's file is written over only once that was said and the button for it pressed.
pub fn save_ui(
    ui: &mut Ui,
    theme: &Theme,
    model: &Model,
    (path, taken): (&mut String, &mut Option<Taken>),
    acts: &mut Vec<Act>,
) {
    let c = &theme.colour;
    text_ui(ui, "Save the job", theme.title(), c.ink);
    if let Some(photos) = model.waiting_photos.get(&model.number) {
        let what = match photos.len() {
            1 => {
                "The photo is kept beside the job\u{2019}s file, and added as soon as that is there."
            }
            _ => {
                "The photos are kept beside the job\u{2019}s file, and added as soon as that is there."
            }
        };
        text_ui(ui, what, theme.body(), c.ink);
    }
    if let Some((_, why)) = model.not_saved() {
        notice_ui(
            ui,
            theme,
            &format!("{}: {}", why.place, why.what),
            &why.remedy,
        );
    }
    let before = path.clone();
    let entered = path_box_ui(ui, theme, path, "Path to save at", "");
    if *path != before {
        *taken = None;
    }
    let to = job_file(absolute(Path::new(path.trim())));
    if taken.is_some() {
        let what = format!("There is a file {} already.", words::file(&to));
        let remedy = "Take the free name, type another one, or write over it.";
        notice_ui(ui, theme, &what, remedy);
    }
    ui.horizontal_wrapped(|ui| {
        let go = match taken.as_ref().and_then(|taken| taken.free.clone()) {
            Some(free) => choice_ui(ui, theme, &free, &to),
            None => {
                let save = button_ui(ui, theme, Tone::Primary, "Save here", None).clicked();
                let pressed = (save || entered) && !path.trim().is_empty();
                pressed.then_some(Go::Unless(job_or_folder(path, &to)))
            }
        };
        let own = |to: &Path| model.path.as_deref() == Some(to);
        let go = match go {
            Some(Go::Over(to)) => Some(to),
            // Looked at once more: it may have come since.
            Some(Go::Unless(to)) if to.is_dir() || own(&to) || is_free(&to) => Some(to),
            Some(Go::Unless(_)) => {
                let free = free_beside(&to);
                *taken = Some(Taken { free });
                None
            }
            None => None,
        };
        if let Some(to) = go {
            acts.push(Act::Close);
            acts.push(FileCommand::SaveAs(to).into());
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

/// Where it is to be saved, as it was pressed.
enum Go {
    /// Over whatever is there.
    Over(PathBuf),
    /// Unless something is there.
    Unless(PathBuf),
}

/// A free name, or over what is there.
fn choice_ui(ui: &mut Ui, theme: &Theme, free: &Path, to: &Path) -> Option<Go> {
    let text = format!("Save as {}", words::file(free));
    let beside = button_ui(ui, theme, Tone::Primary, &text, None).clicked();
    let over = button_ui(ui, theme, Tone::Plain, "Write over it", None).clicked();
    if beside {
        return Some(Go::Unless(free.to_path_buf()));
    }
    over.then(|| Go::Over(to.to_path_buf()))
}

fn is_free(path: &Path) -> bool {
    std::fs::symlink_metadata(path).is_err()
}

/// What a typed path means; a folder stays one, so that saving says that it is a folder.
fn job_or_folder(typed: &str, file: &Path) -> PathBuf {
    let typed = absolute(Path::new(typed.trim()));
    if typed.is_dir() {
        typed
    } else {
        file.to_path_buf()
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
