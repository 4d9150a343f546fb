//! Opening, saving, reports: what became of each file.

use std::{
    path::{Path, PathBuf},
    sync::Arc,
};

use super::{
    Effect, change,
    leave::{answered, depart},
    notebook::attach_waiting,
};
use crate::{
    app::{
        command::FileCommand,
        model::{Ask, Model, RECENT, Refusal, Weight},
        words,
    },
    notebook::{FileError, Job, Saved, Stamp},
    report::Form,
};

pub(super) fn file(model: &mut Model, command: FileCommand) -> Vec<Effect> {
    match command {
        FileCommand::Leave(then) => depart(model, then, false),
        FileCommand::Answer(answer) => answered(model, answer),
        FileCommand::Save => save(model),
        FileCommand::SaveAs(path) => {
            // Another file than the present one is written over on purpose; the dialog has asked.
            let seen = model.stamp.filter(|_| model.path.as_ref() == Some(&path));
            model.not_saved = None;
            vec![write(model, path, seen)]
        }
        FileCommand::Forget(left) => {
            model.recovered.retain(|other| *other != *left);
            vec![Effect::Forget(*left)]
        }
        FileCommand::SaveCancelled => {
            model.guard = None;
            model.not_saved = None;
            model.waiting_photos.remove(&model.number);
            Vec::new()
        }
        FileCommand::Duplicate => {
            model.path = None;
            model.stamp = None;
            model.newer_file = None;
            model.saved = Arc::new(Job::default());
            let title = format!("{} (copy)", model.job.title);
            let field = crate::app::command::Field::Title;
            change(model, crate::app::command::Note::Set(field, title).into());
            Vec::new()
        }
        FileCommand::Opened(path, result) => {
            match *result {
                Ok(opened) => {
                    if model.path.as_ref() == Some(&path) {
                        // It is read anew and need not stay open beside itself.
                        model.path = None;
                        model.saved = Arc::clone(&model.job);
                    }
                    model.bring(opened.job, Some(path.clone()));
                    model.stamp = Some(opened.stamp);
                    model.newer_file = opened.newer;
                    if let Some(version) = opened.newer {
                        model.tell(
                            Weight::Trouble,
                            Refusal::new(
                                words::file(&path),
                                format!("this file is of the newer version {version}"),
                                "It can be read here; save it under another name to go on with it",
                            ),
                        );
                    }
                    remember(model, path);
                }
                Err(error) => tell_file_error(model, &error),
            }
            Vec::new()
        }
        FileCommand::Saved(path, job, result) => saved(model, &path, job, *result),
        FileCommand::Report(form) => report(model, form),
        FileCommand::Reported(path, result) => {
            match result {
                Ok(()) => model.tell(
                    Weight::News,
                    Refusal::new(
                        words::file(&path),
                        "the report is written beside the job",
                        "",
                    ),
                ),
                Err(error) => tell_file_error(model, &error),
            }
            Vec::new()
        }
    }
}

/// The report goes beside the job's file, under its name; without a file there is no beside.
fn report(model: &mut Model, form: Form) -> Vec<Effect> {
    let Some(file) = model.path.clone() else {
        let what = "this job has no file yet, beside which its report could go";
        model.tell(
            Weight::Trouble,
            Refusal::new("", what, "Save the job first"),
        );
        return Vec::new();
    };
    vec![Effect::Report {
        to: file.with_extension(form.ending()),
        file,
        job: Arc::clone(&model.job),
        form,
    }]
}

pub(super) fn save(model: &mut Model) -> Vec<Effect> {
    match (&model.path, model.newer_file) {
        (Some(path), None) => {
            let path = path.clone();
            vec![write(model, path, model.stamp)]
        }
        _ => vec![Effect::AskWhereToSave],
    }
}

/// The job on the bench is to be written; the answer is about it even if another job is on the bench by then.
fn write(model: &mut Model, path: PathBuf, seen: Option<Stamp>) -> Effect {
    model.saving.push_back(model.number);
    Effect::Save {
        path,
        job: Arc::clone(&model.job),
        seen,
        photos_at: model.photos_at.clone(),
    }
}

fn saved(
    model: &mut Model,
    wanted: &Path,
    job: Arc<Job>,
    result: Result<Saved, FileError>,
) -> Vec<Effect> {
    let number = model.saving.pop_front().unwrap_or(model.number);
    let saved = match result {
        Ok(saved) => saved,
        Err(error) => {
            if model.guard.as_ref().is_some_and(|g| g.ask == Ask::Saving) {
                model.guard = None;
            }
            // A place that was asked for is asked for once more, with what was typed and why it cannot be.
            if number == model.number && model.path.as_deref() != Some(wanted) {
                model.not_saved = Some((number, wanted.to_path_buf(), refusal_of(&error)));
                return vec![Effect::AskWhereToSave];
            }
            tell_file_error(model, &error);
            return Vec::new();
        }
    };
    if saved.conflict {
        model.tell(
            Weight::Trouble,
            Refusal::new(
                words::file(wanted),
                format!(
                    "another program saved this file meanwhile; yours went to {}",
                    words::file(&saved.path)
                ),
                "Compare the two and keep what is right",
            ),
        );
    }
    let book = &mut model.notebook;
    if book
        .folder
        .as_ref()
        .is_some_and(|folder| saved.path.starts_with(folder))
    {
        book.readings += 1;
    }
    remember(model, saved.path.clone());
    let photos = attach_waiting(model, number, &saved.path);
    if number == model.number {
        model.saved = job;
        model.newer_file = None;
        model.stamp = Some(saved.stamp);
        model.photos_at = Some(saved.path.clone());
        model.path = Some(saved.path);
    } else {
        let mut others = model.beside.iter_mut();
        if let Some(open) = others.find(|open| open.number == number) {
            open.saved = job;
            open.newer_file = None;
            open.stamp = Some(saved.stamp);
            open.photos_at = Some(saved.path.clone());
            open.path = Some(saved.path);
        }
    }
    let mut effects: Vec<Effect> = photos.into_iter().collect();
    match model.guard.take() {
        Some(guard) if guard.ask == Ask::Saving => {
            effects.extend(depart(model, guard.then, guard.plugs_decided));
        }
        other => model.guard = other,
    }
    effects
}

fn remember(model: &mut Model, path: PathBuf) {
    model.recent.retain(|old| *old != path);
    model.recent.insert(0, path);
    model.recent.truncate(RECENT);
}

pub(super) fn tell_file_error(model: &mut Model, error: &FileError) {
    model.tell(Weight::Trouble, refusal_of(error));
}

/// What is wrong with a file, with its place and the remedy.
fn refusal_of(error: &FileError) -> Refusal {
    let mut place = error.file.to_string();
    if let Some((line, column)) = error.place {
        place.push_str(&format!(", line {line}, column {column}"));
    }
    if !error.field.is_empty() {
        place.push_str(&format!(", {}", error.field));
    }
    Refusal::new(place, &*error.what, &*error.remedy)
}
