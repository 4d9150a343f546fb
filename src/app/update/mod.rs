//! The one place where commands take effect. Pure: no file, no clock, no thread; those are asked for as [`Effect`]s.

mod bench;
mod files;
mod leave;
mod log;
mod notebook;
mod screen;
mod sketch;
mod typed;

use std::{path::PathBuf, sync::Arc};

use super::{
    command::{Command, EngineReport, Field, Note},
    model::{Model, Refusal, Weight},
    naming,
    notebook::Errand,
    recovery::Recovered,
    signed,
    sketch::Sketch,
};
use crate::{
    notebook::{Job, Record, Stamp},
    quantity::units::{minutes, volts},
    report::Form,
};

/// What a command asks of the world outside.
#[derive(Clone, Debug, PartialEq)]
pub enum Effect {
    /// Read a job file and report it as `FileCommand::Opened`.
    Open(PathBuf),
    /// Write a job file and report it as `FileCommand::Saved`.
    Save {
        /// Where to.
        path: PathBuf,
        /// What.
        job: Arc<Job>,
        /// What the file held when this program saw it last; `None` to write over whatever is there.
        seen: Option<Stamp>,
        /// The file beside which its photos lie, to be taken along.
        photos_at: Option<PathBuf>,
    },
    /// Write the report of a job and report it as `FileCommand::Reported`.
    Report {
        /// The job's file, beside which its attachments lie.
        file: PathBuf,
        /// Where to, unless something else is there.
        to: PathBuf,
        /// The job.
        job: Arc<Job>,
        /// As what.
        form: Form,
    },
    /// Ask where to save; answered by `FileCommand::SaveAs` or `FileCommand::SaveCancelled`.
    AskWhereToSave,
    /// What another window left behind was taken over, or is not wanted.
    Forget(Recovered),
    /// Run an errand of the notebook and report it as `NotebookCommand::Done`.
    Run(Errand),
    /// Close the window.
    Quit,
}

/// Carries a command out and answers what the world outside has to do.
pub fn update(model: &mut Model, command: Command) -> Vec<Effect> {
    match command {
        Command::Bench(_) | Command::Log(_) | Command::Note(_) | Command::Sketch(_) => {
            change(model, command);
        }
        Command::Screen(screen) => return screen::screen(model, screen),
        Command::File(file) => return files::file(model, file),
        Command::Notebook(command) => return notebook::notebook(model, command),
        Command::Engine(report) => engine(model, report),
        Command::Undo => {
            if let Some((job, _)) = model.history.undo(Arc::clone(&model.job)) {
                model.replace_job(job);
            }
        }
        Command::Redo => {
            if let Some((job, _)) = model.history.redo(Arc::clone(&model.job)) {
                model.replace_job(job);
            }
        }
        Command::EndGesture => model.end_gesture(),
    }
    Vec::new()
}

/// Carries out a command that changes the job, as one step that can be taken back. A refused command changes
/// nothing and leaves a notice; one that changes nothing is no step.
fn change(model: &mut Model, command: Command) {
    let outline = matches!(command, Command::Sketch(Sketch::SetOutline(_)));
    match try_change(model, command) {
        Ok(()) => {}
        // It stands beside the text that is being typed, and goes as the typing goes on.
        Err(refusal) if outline => model.outline_error = Some(refusal),
        Err(refusal) => model.tell(Weight::Trouble, refusal),
    }
}

pub(super) fn try_change(model: &mut Model, command: Command) -> Result<(), Refusal> {
    let command = match command {
        Command::Bench(bench) => Command::Bench(bench::resolve(&model.job, bench)),
        other => other,
    };
    if let Some(refusal) = signed::refusal(model, &command) {
        return Err(refusal);
    }
    let (name, gesture) = (command.name(), command.gesture());
    let mut job = match &command {
        Command::Sketch(Sketch::SetOutline(_)) => Job::clone(model.outline_base()),
        _ => Job::clone(&model.job),
    };
    let mut follow = sketch::Follow::default();
    match &command {
        Command::Bench(bench) => bench::bench(&mut job, bench)?,
        Command::Log(log) => {
            log::log(model, &mut job, log)?;
            signed::trace_log(&model.job, &mut job);
        }
        Command::Sketch(command) => follow = sketch::sketch(&mut job, command)?,
        Command::Note(Note::Set(field, text)) => *text_of(&mut job, *field) = text.clone(),
        Command::Note(Note::SetMeter(meter)) => job.meter = meter.clone(),
        Command::Note(Note::Record(_, record)) => {
            job.record = Record::clone(record);
            signed::trace(&model.job.record, &mut job.record);
        }
        Command::Note(Note::Access(known)) => {
            for (id, took) in known {
                let mut connectors = job.circuit.connectors.iter_mut();
                if let Some(connector) = connectors.find(|connector| connector.id == *id) {
                    connector.access = minutes(*took);
                }
            }
        }
        Command::Note(Note::Nominal(id, known)) => {
            let mut supplies = job.circuit.supplies.iter_mut();
            if let Some(supply) = supplies.find(|supply| supply.id == *id) {
                supply.nominal = volts(*known);
            }
        }
        Command::Screen(_)
        | Command::File(_)
        | Command::Notebook(_)
        | Command::Engine(_)
        | Command::Undo
        | Command::Redo
        | Command::EndGesture => {}
    }
    model.outline_error = None;
    let before = Arc::clone(&model.job);
    if job != *before {
        model.history.record(name, gesture, before);
        if let Some((old, new)) = &follow.renamed {
            naming::follow(model, old, new);
        }
        model.replace_job(Arc::new(job));
    }
    log::after(model, &command);
    if follow.choose.is_some() {
        model.selection.part = follow.choose;
    }
    if !follow.set_aside.is_empty() {
        model.tell(Weight::News, sketch::about_set_aside(&follow.set_aside));
    }
    Ok(())
}

fn text_of(job: &mut Job, field: Field) -> &mut String {
    match field {
        Field::Title => &mut job.title,
        Field::Vehicle => &mut job.vehicle,
        Field::Shop => &mut job.shop,
        Field::Request => &mut job.request,
        Field::Notes => &mut job.notes,
    }
}

fn engine(model: &mut Model, report: EngineReport) {
    match report {
        EngineReport::Found(answer) => model.answer = Some(answer),
        EngineReport::Compared(answer) => model.comparison = Some(answer),
        EngineReport::Failed(job, reason) => {
            model.broke_off = Some(job);
            model.tell(
                Weight::Trouble,
                Refusal::new(
                    "",
                    format!("no answer could be computed: {reason}"),
                    "Save the job, take the last step back, and report this",
                ),
            );
        }
    }
}
