//! The log: readings as typed, corrections, repairs.

use crate::{
    app::{
        command::{Command, Log, Typing},
        model::{Entry as EntryBox, Model, Refusal},
        words,
    },
    explain,
    notebook::Job,
    quantity::{Typed, TypedError, Unit, typed, typed_number, typed_step},
    reading::{Entry, Kind, Reading, Repair, Value},
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
            let note = traced(old, &new);
            let new = Reading {
                state: old.state.clone(),
                set_aside: old.set_aside,
                note,
                ..new
            };
            dead_for_ohms(&new)?;
            *old = new;
        }
        Log::SetState(index, state) => reading_at(job, *index)?.state = state.clone(),
        Log::SetNote(index, text) => match line(job, *index)? {
            Entry::Reading(reading) => reading.note = text.clone(),
            Entry::Repair(repair) => repair.note = text.clone(),
        },
        Log::Remove(index) => {
            line(job, *index)?;
            job.log.remove(*index);
        }
        Log::SetAside(index, aside) => reading_at(job, *index)?.set_aside = *aside,
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
    }
    Ok(())
}

/// Ohms are noted only where somebody said that the supply is off: the record must not say it for them.
fn dead_for_ohms(reading: &Reading) -> Result<(), Refusal> {
    if reading.kind == Kind::Ohms && !reading.state.supply_off {
        return Err(Refusal::new(
            reading.red.to_string(),
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
                black: entry.black.clone(),
                ..EntryBox::default()
            };
        }
        Log::Retake(index) => {
            if let Some(Entry::Reading(reading)) = model.job.log.get(*index) {
                *entry = EntryBox {
                    kind: reading.kind,
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
        Log::SetState(..) | Log::SetNote(..) | Log::SetAside(..) | Log::MarkRepaired { .. } => {}
    }
}

fn read(model: &Model, typing: &Typing) -> Result<Reading, Refusal> {
    let place = words::point(&typing.red);
    for point in [&typing.red, &typing.black] {
        if !model.job.circuit.has_point(point) {
            return Err(Refusal::new(
                point.to_string(),
                format!("there is no point {point} on this sketch"),
                "Click the point on the drawing, or type its name as it stands there",
            ));
        }
    }
    if typing.red == typing.black {
        return Err(Refusal::new(
            place,
            "both leads are at the same point",
            "Choose another point for the red lead",
        ));
    }
    let value = value_of(&typing.text, words::unit(typing.kind))
        .map_err(|error| Refusal::new(&place, error.to_string(), ""))?;
    let lowest = match value {
        Value::Exactly(number) | Value::Between(number, _) => number,
        Value::OverRange { .. } => 0.0,
    };
    if typing.kind == Kind::Ohms && lowest < 0.0 {
        return Err(Refusal::new(
            place,
            "ohms below zero mean that the circuit is live",
            "Switch the supply off, wait until it is dead, and read again",
        ));
    }
    Ok(Reading {
        kind: typing.kind,
        black: typing.black.clone(),
        value,
        step: typed_step(&typing.text, words::unit(typing.kind)),
        ..Reading::volts(typing.red.clone(), 0.0)
    })
}

/// What was typed; `OL 6` and `>6` are over-range displays on a range up to 6.
fn value_of(text: &str, unit: Unit) -> Result<Value, TypedError> {
    let error = match typed(text, unit) {
        Ok(Typed::Number(number)) => return Ok(Value::Exactly(number)),
        Ok(Typed::OverRange) => return Ok(Value::OverRange { above: None }),
        Ok(Typed::Between(low, high)) => return Ok(Value::Between(low, high)),
        Err(error) => error,
    };
    let text = text.trim();
    let top = ["OL", "ol", "Ol", "0L", "0l", ">"]
        .iter()
        .find_map(|sign| text.strip_prefix(sign));
    match top.map(|top| typed_number(top, unit)) {
        Some(Ok(above)) if above > 0.0 => Ok(Value::OverRange { above: Some(above) }),
        _ => Err(error),
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
        Entry::Repair(repair) => Err(Refusal::new(
            format!("line {}", index.saturating_add(1)),
            format!("this line is the repair of {}, not a reading", repair.part),
            "Choose a reading",
        )),
    }
}
