//! Opening, saving and leaving; nothing is lost or left unplugged without a question.

use std::{
    path::{Path, PathBuf},
    sync::Arc,
};

use super::{Effect, change};
use crate::{
    app::{
        command::{Bench, Command, FileCommand, GuardAnswer, Leave},
        model::{Ask, Guard, Model, RECENT, Refusal, Weight},
        words,
    },
    notebook::{FileError, Job, Saved},
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
            let job = Arc::clone(&model.job);
            vec![Effect::Save { path, job, seen }]
        }
        FileCommand::Forget(left) => {
            model.recovered.retain(|other| *other != *left);
            vec![Effect::Forget(*left)]
        }
        FileCommand::SaveCancelled => {
            model.guard = None;
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
                    bring(model, opened.job, Some(path.clone()));
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

fn save(model: &mut Model) -> Vec<Effect> {
    match (&model.path, model.newer_file) {
        (Some(path), None) => vec![Effect::Save {
            path: path.clone(),
            job: Arc::clone(&model.job),
            seen: model.stamp,
        }],
        _ => vec![Effect::AskWhereToSave],
    }
}

fn saved(
    model: &mut Model,
    wanted: &Path,
    job: Arc<Job>,
    result: Result<Saved, FileError>,
) -> Vec<Effect> {
    let saved = match result {
        Ok(saved) => saved,
        Err(error) => {
            if model.guard.as_ref().is_some_and(|g| g.ask == Ask::Saving) {
                model.guard = None;
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
    model.saved = job;
    model.newer_file = None;
    model.stamp = Some(saved.stamp);
    model.path = Some(saved.path.clone());
    remember(model, saved.path);
    match model.guard.take() {
        Some(guard) if guard.ask == Ask::Saving => depart(model, guard.then, guard.plugs_decided),
        other => {
            model.guard = other;
            Vec::new()
        }
    }
}

/// Leaves, or raises the next question that stands in the way.
fn depart(model: &mut Model, then: Leave, plugs_decided: bool) -> Vec<Effect> {
    let now = &model.job.now;
    let loose: Vec<String> = now.unplugged.iter().chain(&now.unknown).cloned().collect();
    let ask = if !loose.is_empty() && !plugs_decided {
        Some(Ask::Reconnect(loose))
    } else if model.is_dirty() {
        Some(Ask::Unsaved)
    } else {
        None
    };
    if let Some(ask) = ask {
        model.guard = Some(Guard {
            ask,
            then,
            plugs_decided,
        });
        return Vec::new();
    }
    go(model, then)
}

fn go(model: &mut Model, then: Leave) -> Vec<Effect> {
    model.guard = None;
    match then {
        Leave::New => bring(model, Job::default(), None),
        Leave::Quick(answers) => bring(model, answers.job(), None),
        Leave::Start(job) => bring(model, *job, None),
        // The job on the bench stays until the file has been read.
        Leave::Open(path) => return vec![Effect::Open(path)],
        Leave::Recover(left) => {
            bring(model, Job::clone(&left.job), left.origin.path.clone());
            model.stamp = left.origin.stamp;
            // Nothing of it is known to be on disk.
            model.saved = Arc::default();
            model.recovered.retain(|other| *other != *left);
            return vec![Effect::Forget(*left)];
        }
        Leave::Quit => {
            // Whatever was to be kept has been decided.
            model.saved = Arc::clone(&model.job);
            return vec![Effect::Quit];
        }
    }
    Vec::new()
}

fn answered(model: &mut Model, answer: GuardAnswer) -> Vec<Effect> {
    let Some(guard) = model.guard.take() else {
        return Vec::new();
    };
    match answer {
        GuardAnswer::Stay => Vec::new(),
        GuardAnswer::Reconnected => {
            change(model, Command::Bench(Bench::PlugAll));
            depart(model, guard.then, true)
        }
        GuardAnswer::LeaveUnplugged => depart(model, guard.then, true),
        GuardAnswer::Discard => go(model, guard.then),
        GuardAnswer::Save => {
            model.guard = Some(Guard {
                ask: Ask::Saving,
                ..guard
            });
            save(model)
        }
    }
}

/// Puts a job on the bench in place of the one there.
fn bring(model: &mut Model, job: Job, path: Option<PathBuf>) {
    let fresh = Model::new(job);
    model.replace_job(Arc::clone(&fresh.job));
    model.saved = fresh.saved;
    model.history = fresh.history;
    model.selection = fresh.selection;
    model.entry = fresh.entry;
    model.answer = None;
    model.compare = None;
    model.comparison = None;
    model.notices.clear();
    model.path = path;
    model.stamp = None;
    model.newer_file = None;
}

fn remember(model: &mut Model, path: PathBuf) {
    model.recent.retain(|old| *old != path);
    model.recent.insert(0, path);
    model.recent.truncate(RECENT);
}

fn tell_file_error(model: &mut Model, error: &FileError) {
    let mut place = error.file.to_string();
    if let Some((line, column)) = error.place {
        place.push_str(&format!(", line {line}, column {column}"));
    }
    if !error.field.is_empty() {
        place.push_str(&format!(", {}", error.field));
    }
    model.tell(
        Weight::Trouble,
        Refusal::new(place, &*error.what, &*error.remedy),
    );
}
