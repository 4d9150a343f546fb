//! The notebook: its folder, what is asked of it, and what its errands brought.

use std::path::{Path, PathBuf};

use super::{Effect, change, files::tell_file_error};
use crate::{
    app::{
        command::{Command, Field, Note},
        job::Piece,
        model::{Model, Refusal, Weight},
        notebook::{Errand, NotebookCommand, Outcome},
        words,
    },
    notebook::{FileError, record::Attachment},
};

pub(super) fn notebook(model: &mut Model, command: NotebookCommand) -> Vec<Effect> {
    let book = &mut model.notebook;
    match command {
        NotebookCommand::SetFolder(folder) => {
            book.listing = None;
            book.chosen = None;
            book.folder = Some(folder);
            book.readings += 1;
        }
        NotebookCommand::Look => book.asked = true,
        NotebookCommand::Refresh => book.readings += 1,
        NotebookCommand::Stop => book.progress.stop(),
        NotebookCommand::Ask(words) => book.words = words,
        NotebookCommand::Toggle(filter) => {
            let had = book.filters.len();
            book.filters.retain(|other| *other != filter);
            if book.filters.len() == had {
                book.filters.push(filter);
            }
        }
        NotebookCommand::SetOrder(order) => book.order = order,
        NotebookCommand::Choose(path) => book.chosen = path,
        NotebookCommand::Listed(listing) => {
            book.learnt = Some(listing.lesson.clone());
            book.listing = Some(listing);
            if book.chosen_card().is_none() {
                book.chosen = None;
            }
        }
        NotebookCommand::Pack(from, to) => return pack(model, from, to),
        NotebookCommand::PutAway(job) => return put_away(model, job),
        NotebookCommand::Import(file) => return import(model, file),
        NotebookCommand::Attach(files) => return attach(model, files),
        NotebookCommand::Done(outcome) => done(model, *outcome),
    }
    Vec::new()
}

/// What is packed is the file; changes that are not in it yet must not be missed by whoever gets it.
fn pack(model: &mut Model, from: PathBuf, to: PathBuf) -> Vec<Effect> {
    let mut others = model.beside.iter();
    let here = model.path.as_ref() == Some(&from) && model.is_dirty();
    if here || others.any(|open| open.path.as_ref() == Some(&from) && open.is_dirty()) {
        let what = "this job has changes that are not saved, and the packed job would lack them";
        let refusal = Refusal::new(words::file(&from), what, "Save it first, then pack it");
        model.tell(Weight::Trouble, refusal);
        return Vec::new();
    }
    vec![Effect::Run(Errand::Pack(from, to))]
}

/// A job that is open would be saved to where it no longer lies.
fn put_away(model: &mut Model, job: String) -> Vec<Effect> {
    let Some(file) = model.notebook.file_of(&job) else {
        return Vec::new();
    };
    let mut others = model.beside.iter();
    let open =
        model.path.as_ref() == Some(&file) || others.any(|open| open.path.as_ref() == Some(&file));
    if open {
        let refusal = Refusal::new(
            words::file(&file),
            "this job is open",
            "Close it first, then put it away",
        );
        model.tell(Weight::Trouble, refusal);
        return Vec::new();
    }
    let folder = model.notebook.folder.clone().unwrap_or_default();
    vec![Effect::Run(Errand::PutAway(folder, job))]
}

fn import(model: &mut Model, file: PathBuf) -> Vec<Effect> {
    match &model.notebook.folder {
        Some(folder) => vec![Effect::Run(Errand::Import(folder.clone(), file))],
        None => {
            let what = "no notebook is chosen, into which this job could go";
            let remedy = "Choose the notebook's folder first";
            model.tell(
                Weight::Trouble,
                Refusal::new(words::file(&file), what, remedy),
            );
            Vec::new()
        }
    }
}

/// Photos go beside the job's file; without a file they wait until the job is saved, which is asked for at once.
fn attach(model: &mut Model, files: Vec<PathBuf>) -> Vec<Effect> {
    if let Some(path) = &model.path {
        return vec![Effect::Run(Errand::Attach(path.clone(), files))];
    }
    let waiting = model.waiting_photos.entry(model.number).or_default();
    waiting.extend(files);
    vec![Effect::AskWhereToSave]
}

/// The photos that waited for this job to have a file.
pub(super) fn attach_waiting(model: &mut Model, number: u64, file: &Path) -> Option<Effect> {
    let waiting = model.waiting_photos.remove(&number);
    waiting.map(|files| Effect::Run(Errand::Attach(file.to_path_buf(), files)))
}

fn done(model: &mut Model, outcome: Outcome) {
    match outcome {
        Outcome::Begun(Ok(opened)) => {
            let mut job = opened.job.begin_from();
            let learnt = model
                .notebook
                .shelf()
                .map(|shelf| shelf.learnt(&job.vehicle));
            let taught = learnt
                .as_ref()
                .map_or(0, |learnt| learnt.teach(&mut job.circuit));
            model.bring(job, None);
            let connectors = match taught {
                1 => "one connector".to_owned(),
                more => format!("{more} connectors"),
            };
            let minutes = match learnt.map_or(0, |learnt| learnt.jobs) {
                _ if taught == 0 => String::new(),
                1 => format!(", with the minutes to {connectors} as one past job took them"),
                jobs => format!(", with the minutes to {connectors} as {jobs} past jobs took them"),
            };
            let what = format!("a new job stands on that circuit{minutes}");
            model.tell(
                Weight::News,
                Refusal::new("", what, "Name it and save it on the Job page"),
            );
        }
        Outcome::Copied(from, Ok(opened)) => {
            let title = format!("{} (copy)", opened.job.title);
            model.bring(opened.job, None);
            model.photos_at = Some(from);
            change(model, Note::Set(Field::Title, title).into());
        }
        Outcome::Packed(to, Ok(missing)) => {
            let what = format!("packed as {}", to.display());
            model.tell(Weight::News, Refusal::new("", what, ""));
            for error in missing {
                tell_file_error(model, &error);
            }
        }
        Outcome::Imported(Ok(imported)) => {
            let name = words::file(&imported.path);
            model.notebook.readings += 1;
            let inside = model.notebook.folder.as_ref();
            let inside = inside.and_then(|folder| imported.path.strip_prefix(folder).ok());
            model.notebook.chosen = inside.map(|path| path.display().to_string());
            model.tell(
                Weight::News,
                Refusal::new(name.clone(), "this job is in the notebook now", ""),
            );
            for missing in imported.missing {
                let what = format!("the attachment “{missing}” did not come with it");
                let remedy = "Ask for it, and attach it again";
                model.tell(Weight::Trouble, Refusal::new(name.clone(), what, remedy));
            }
        }
        Outcome::PutAway(Ok(path)) => {
            model.notebook.readings += 1;
            model.notebook.chosen = None;
            let folder = path.parent().map_or_else(String::new, words::file);
            let what = format!("this job lies in {folder} now");
            model.tell(Weight::News, Refusal::new(words::file(&path), what, ""));
        }
        Outcome::Attached(path, kept) => attached(model, &path, kept),
        Outcome::Begun(Err(error))
        | Outcome::PutAway(Err(error))
        | Outcome::Copied(_, Err(error))
        | Outcome::Packed(_, Err(error))
        | Outcome::Imported(Err(error)) => tell_file_error(model, &error),
    }
}

/// Notes what was kept in the record, one step for all of it.
fn attached(model: &mut Model, path: &Path, kept: Vec<Result<Attachment, FileError>>) {
    if model.path.as_deref() != Some(path) {
        let what = "another job came to the bench before its photos were noted";
        let remedy = "Go back to that job and add them again";
        model.tell(
            Weight::Trouble,
            Refusal::new(words::file(path), what, remedy),
        );
        return;
    }
    let mut record = model.job.record.clone();
    for kept in kept {
        match kept {
            Ok(new) => {
                let name = new.name.clone();
                if !record.attach(new) {
                    let what = "it is attached already";
                    model.tell(Weight::News, Refusal::new(name, what, ""));
                }
            }
            Err(error) => tell_file_error(model, &error),
        }
    }
    if record != model.job.record {
        change(
            model,
            Command::Note(Note::Record(Piece::Photos, Box::new(record))),
        );
        model.end_gesture();
    }
}
