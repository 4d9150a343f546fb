//! The log: readings as typed, corrections, repairs.

use super::typed::{read, shown};
use crate::{
    app::{
        command::{Amended, Command, Log},
        model::{Entry as EntryBox, Model, Refusal},
    },
    explain,
    notebook::Job,
    quantity::typed_step,
    reading::{Entry, Kind, Reading, Repair},
};

/// Changes the log of a copy of the model's job.
pub(super) fn log(model: &Model, job: &mut Job, command: &Log) -> Result<(), Refusal> {
    match command {
        Log::Add(typing) => {
            let mut reading = read(model, typing)?;
            reading.state = job.now.clone();
            dead_for_ohms(&reading)?;
            if let Some(old) = model.entry.retaking
                && let Some(Entry::Reading(old)) = job.log.get_mut(old)
            {
                old.set_aside = true;
            }
            job.log.push(Entry::Reading(reading));
        }
        Log::Edit(index, typing) => {
            let new = read(model, typing)?;
            let old = reading_at(job, *index)?;
            let new = Reading {
                state: old.state.clone(),
                wiggled: old.wiggled.clone(),
                ..new
            };
            let note = traced(old, &new);
            let new = Reading {
                set_aside: old.set_aside,
                note,
                ..new
            };
            dead_for_ohms(&new)?;
            *old = new;
        }
        Log::Amend(index, amended) => {
            let old = reading_at(job, *index)?;
            let new = amend(old, amended)?;
            dead_for_ohms(&new)?;
            *old = new;
        }
        Log::SetState(index, state) => reading_at(job, *index)?.state = state.clone(),
        Log::SetNote(index, text) => match line(job, *index)? {
            Entry::Reading(reading) => reading.note = text.clone(),
            Entry::Repair(repair) => repair.note = text.clone(),
            Entry::Inspection(look) => look.note = text.clone(),
        },
        Log::Remove(index) => {
            line(job, *index)?;
            job.log.remove(*index);
        }
        Log::SetAside(index, aside) => match line(job, *index)? {
            Entry::Inspection(look) => look.set_aside = *aside,
            _ => reading_at(job, *index)?.set_aside = *aside,
        },
        Log::Retake(index) => job.now = reading_at(job, *index)?.state.clone(),
        Log::MarkRepaired {
            part,
            replaced,
            note,
        } => {
            if !model.has_part(part) {
                return Err(Refusal::new(
                    part,
                    format!("there is no part {part} on this sketch"),
                    "Choose the part on the drawing",
                ));
            }
            job.log.push(Entry::Repair(Repair {
                part: part.clone(),
                replaced: *replaced,
                note: note.clone(),
            }));
        }
        Log::MarkLooked(look) => {
            if let Some((what, remedy)) = look.trouble(&job.circuit) {
                return Err(Refusal::new(&look.part, what, remedy));
            }
            job.log.push(Entry::Inspection(look.clone()));
        }
    }
    Ok(())
}

/// A reading with everything that may be corrected in it, and what stood there before in its note.
fn amend(old: &Reading, amended: &Amended) -> Result<Reading, Refusal> {
    let mut new = Reading {
        state: amended.state.clone(),
        wiggled: amended.wiggled.clone(),
        set_aside: amended.set_aside,
        ..old.clone()
    };
    if let Some(text) = &amended.value {
        new.value = shown(old.kind, &old.red, text)?;
        new.step = typed_step(text, old.kind.unit());
    }
    let before = Reading {
        note: amended.note.clone(),
        ..old.clone()
    };
    new.note = traced(&before, &new);
    Ok(new)
}

/// Ohms are noted only where somebody said that the supply is off: the record must not say it for them.
fn dead_for_ohms(reading: &Reading) -> Result<(), Refusal> {
    if reading.kind == Kind::Ohms && !reading.state.supply_off {
        return Err(Refusal::new(
            reading.red.shown(),
            "ohms are read with the supply off, and the bench says that it is on",
            "Switch it off, press “The supply is off”, then log the reading",
        ));
    }
    Ok(())
}

/// Brings the entry box in line with a change of the log that succeeded.
pub(super) fn after(model: &mut Model, command: &Command) {
    let Command::Log(command) = command else {
        return;
    };
    let entry = &mut model.entry;
    match command {
        Log::Add(_) | Log::Edit(..) => {
            *entry = EntryBox {
                kind: entry.kind,
                black: entry.own_black_for(entry.kind),
                ..EntryBox::default()
            };
        }
        Log::Retake(index) => {
            if let Some(Entry::Reading(reading)) = model.job.log.get(*index) {
                *entry = EntryBox {
                    kind: reading.kind,
                    black_before: Some(entry.own_black_for(reading.kind)),
                    black: reading.black.clone(),
                    retaking: Some(*index),
                    ..EntryBox::default()
                };
                model.selection.point = Some(reading.red.clone());
            }
        }
        Log::Remove(removed) => {
            for line in [&mut entry.retaking, &mut entry.editing] {
                *line = match *line {
                    Some(index) if index == *removed => None,
                    Some(index) if index > *removed => Some(index - 1),
                    same => same,
                };
            }
        }
        Log::Amend(..)
        | Log::SetState(..)
        | Log::SetNote(..)
        | Log::SetAside(..)
        | Log::MarkRepaired { .. }
        | Log::MarkLooked(_) => {}
    }
}

/// The note of a corrected reading, with what stood there before: nothing that was noted is lost without a trace.
fn traced(old: &Reading, new: &Reading) -> String {
    let mut was = Vec::new();
    if (old.value, old.kind) != (new.value, new.kind) {
        was.push(explain::names::shown(old));
    }
    if (&old.red, &old.black) != (&new.red, &new.black) {
        was.push(format!("at {}", explain::names::leads(old)));
    }
    if !old.state.stands_alike(&new.state) {
        was.push(format!("with {}", explain::names::state(&old.state)));
    }
    if was.is_empty() {
        return old.note.clone();
    }
    let trace = format!("was {}", was.join(" "));
    match old.note.trim() {
        "" => trace,
        note => format!("{note}; {trace}"),
    }
}

fn line(job: &mut Job, index: usize) -> Result<&mut Entry, Refusal> {
    job.log.get_mut(index).ok_or_else(|| {
        Refusal::new(
            format!("line {}", index.saturating_add(1)),
            "there is no such line in the log",
            "Choose a line that is there",
        )
    })
}

fn reading_at(job: &mut Job, index: usize) -> Result<&mut Reading, Refusal> {
    match line(job, index)? {
        Entry::Reading(reading) => Ok(reading),
        Entry::Repair(Repair { part, .. }) => Err(no_reading(index, "the repair of", part)),
        Entry::Inspection(look) => Err(no_reading(index, "a look at", &look.part)),
    }
}

fn no_reading(index: usize, what: &str, part: &str) -> Refusal {
    Refusal::new(
        format!("line {}", index.saturating_add(1)),
        format!("this line is {what} {part}, not a reading"),
        "Choose a reading",
    )
}
