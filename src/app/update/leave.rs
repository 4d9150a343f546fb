//! Leaving the job on the bench, for another or for good; nothing is lost or left unplugged without a question.

use std::{path::PathBuf, sync::Arc};

use super::{Effect, change, files::save};
use crate::{
    app::{
        command::{Bench, Command, GuardAnswer, Leave},
        model::{Ask, Guard, Model, Refusal, Weight},
        notebook::Errand,
        words,
    },
    notebook::Job,
};

/// Leaves, or raises the next question that stands in the way.
pub(super) fn depart(model: &mut Model, then: Leave, plugs_decided: bool) -> Vec<Effect> {
    let now = &model.job.now;
    let loose: Vec<String> = now.unplugged.iter().chain(&now.unknown).cloned().collect();
    let ask = if !loose.is_empty() && !plugs_decided {
        Some(Ask::Reconnect(loose))
    } else if model.is_dirty() && is_for_good(&then) {
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

/// Whether what is not saved would be gone: other departures leave the job open beside the next one.
fn is_for_good(then: &Leave) -> bool {
    matches!(then, Leave::Quit | Leave::Close)
}

fn go(model: &mut Model, then: Leave) -> Vec<Effect> {
    model.guard = None;
    match then {
        Leave::Start(job) => model.bring(*job, None),
        Leave::Open(path) => return open(model, path),
        Leave::Switch(number) => {
            model.switch_to(number);
        }
        Leave::Begin(path) => return vec![Effect::Run(Errand::Begin(path))],
        Leave::Copy(path) => return vec![Effect::Run(Errand::Copy(path))],
        Leave::Recover(left) => {
            model.bring(Job::clone(&left.job), left.origin.path.clone());
            model.stamp = left.origin.stamp;
            if model.photos_at.is_none() {
                model.photos_at.clone_from(&left.origin.photos_at);
            }
            // Nothing of it is known to be on disk.
            model.saved = Arc::default();
            model.recovered.retain(|other| *other != *left);
            return vec![Effect::Forget(*left)];
        }
        Leave::Close => model.close(),
        Leave::Quit => return quit(model),
    }
    Vec::new()
}

/// A file that is open already comes to the bench as it is; otherwise the job there stays until the file has been read.
fn open(model: &mut Model, path: PathBuf) -> Vec<Effect> {
    let here = model.path.as_ref() == Some(&path);
    if here && model.is_dirty() {
        let what = "this job is on the bench already, with changes that are not saved";
        let refusal = Refusal::new(words::file(&path), what, "Save it, or close it first");
        model.tell(Weight::News, refusal);
        return Vec::new();
    }
    let mut others = model.beside.iter();
    let open = others.find(|open| open.path.as_ref() == Some(&path));
    match open.map(|open| open.number) {
        Some(number) => {
            model.switch_to(number);
            Vec::new()
        }
        None => vec![Effect::Open(path)],
    }
}

/// Every job with changes is asked about before the window closes, each on the bench in its turn.
fn quit(model: &mut Model) -> Vec<Effect> {
    // Whatever was to be kept of this one has been decided.
    model.saved = Arc::clone(&model.job);
    let mut others = model.beside.iter();
    match others.find(|open| open.is_dirty()).map(|open| open.number) {
        Some(number) => {
            model.switch_to(number);
            // Its connectors were asked about when it was left.
            depart(model, Leave::Quit, true)
        }
        None => vec![Effect::Quit],
    }
}

pub(super) fn answered(model: &mut Model, answer: GuardAnswer) -> Vec<Effect> {
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
