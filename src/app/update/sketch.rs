//! Changes of the sketch, and what follows from them in the log and on the bench.

use std::collections::HashSet;

use crate::{
    app::{
        clip::{self, paste},
        model::Refusal,
        parts_list,
        sketch::{PartData, Sketch},
        words,
    },
    circuit::{
        Circuit, Point, check,
        edit::{self, EditError},
        outline::{OutlineError, revise},
        remove::remove,
    },
    notebook::Job,
    quantity::units::{metres, volts},
    reading::{Entry, Reading, State},
};

/// What a change of the sketch leaves to do on the screen.
#[derive(Default)]
pub(super) struct Follow {
    /// A part to choose.
    pub choose: Option<String>,
    /// A designation and the one that took its place.
    pub renamed: Option<(String, String)>,
    /// Lines of the log (from 1) that were set aside because what they name is gone.
    pub set_aside: Vec<usize>,
}

/// Changes the sketch of a job. What would leave more faults in the sketch than before is refused.
pub(super) fn sketch(job: &mut Job, command: &Sketch) -> Result<Follow, Refusal> {
    let free = is_free(command).then(|| job.circuit.clone());
    let mut follow = carry_out(job, command)?;
    if let Some(before) = free {
        let after = fatal(&job.circuit);
        if !after.is_empty() {
            let before = fatal(&before);
            let worse = after.into_iter().find(|c| !before.contains(c));
            if let Some(worse) = worse {
                return Err(Refusal::new(worse.part, worse.what, worse.remedy));
            }
        }
    }
    if is_free(command) || matches!(command, Sketch::Remove(_) | Sketch::RemoveAll(_)) {
        follow.set_aside = retire(job);
    }
    Ok(follow)
}

/// Changes the sketch as the command says.
fn carry_out(job: &mut Job, command: &Sketch) -> Result<Follow, Refusal> {
    let mut follow = Follow::default();
    let circuit = &mut job.circuit;
    let refused = |place: &str, error: EditError| {
        let text = error.to_string();
        let (what, remedy) = text.split_once(": ").unwrap_or((&text, ""));
        Refusal::new(place, what, remedy)
    };
    match command {
        Sketch::Add(after, addition) => {
            let added =
                edit::add(circuit, after, addition).map_err(|e| refused(&after.to_string(), e))?;
            follow.choose = Some(added.part);
        }
        Sketch::AddSensors(after, rows) => {
            let at = after.shown();
            follow.choose = parts_list::hang(circuit, after, rows).map_err(|e| refused(&at, e))?;
        }
        Sketch::Connect(from, to) => {
            let wire = edit::connect(circuit, from, to).map_err(|e| refused(&from.shown(), e))?;
            follow.choose = Some(wire);
        }
        Sketch::AddRail(v) => follow.choose = Some(edit::add_rail(circuit, volts(*v))),
        Sketch::AddSupply(v) => follow.choose = Some(edit::add_supply(circuit, volts(*v))),
        Sketch::AddPin(id) => {
            edit::add_pin(circuit, id).map_err(|e| refused(id, e))?;
        }
        Sketch::Insert(wire, fraction, inline) => {
            let added =
                edit::insert(circuit, wire, *fraction, *inline).map_err(|e| refused(wire, e))?;
            follow.choose = Some(added.part);
        }
        Sketch::Remove(id) => {
            remove(circuit, id).map_err(|e| refused(id, e))?;
        }
        Sketch::RemoveAll(ids) => {
            for id in ids {
                // What hung from a part that was removed before it may be gone already.
                match remove(circuit, id) {
                    Ok(_) | Err(EditError::NoSuchPart(_)) => {}
                    Err(error) => return Err(refused(id, error)),
                }
            }
        }
        Sketch::Move(ids, to) => {
            let names = ids.iter().cloned().collect();
            clip::rehang(circuit, &names, to)
                .map_err(|(what, remedy)| Refusal::new(to.shown(), what, remedy))?;
        }
        Sketch::SetBundle(ids, bundle) => {
            for wire in circuit
                .wires
                .iter_mut()
                .filter(|wire| ids.contains(&wire.id))
            {
                wire.bundle.clone_from(bundle);
            }
        }
        Sketch::Rename { old, new, called } => {
            edit::rename(circuit, old, new).map_err(|e| refused(old, e))?;
            if let (Some(called), Some(mut part)) = (called, PartData::of(circuit, new)) {
                part.call(called);
                part.replace_in(circuit);
            }
            rename_in_log(job, old, new);
            follow.renamed = Some((old.clone(), new.clone()));
        }
        Sketch::SetLength(wire, length) => {
            edit::set_length(circuit, wire, length.map(metres)).map_err(|e| refused(wire, e))?;
        }
        Sketch::Paste(at, clip) => {
            if at.is_battery_negative() || !circuit.has_point(at) {
                return Err(Refusal::new(
                    at.to_string(),
                    "nothing can hang from there",
                    "Choose a point of the feed first",
                ));
            }
            follow.choose = paste(circuit, at, clip);
        }
        Sketch::Replace(part) => {
            if !part.replace_in(circuit) {
                return Err(Refusal::new(
                    part.id(),
                    format!("there is no such part {} on this sketch", part.id()),
                    "Choose the part on the drawing",
                ));
            }
        }
        Sketch::SetZones(zones) => circuit.damage_zones.clone_from(zones),
        Sketch::SetOutline(text) => set_outline(job, text)?,
    }
    Ok(follow)
}

/// Whether a command can put anything into the sketch; the others are edits that keep a sound sketch sound.
fn is_free(command: &Sketch) -> bool {
    matches!(
        command,
        Sketch::Paste(..)
            | Sketch::Move(..)
            | Sketch::SetBundle(..)
            | Sketch::Replace(_)
            | Sketch::Rename { .. }
            | Sketch::SetZones(_)
            | Sketch::SetOutline(_)
    )
}

fn fatal(circuit: &Circuit) -> Vec<check::Complaint> {
    let mut complaints = check::check(circuit);
    complaints.retain(|complaint| complaint.fatal);
    complaints
}

fn set_outline(job: &mut Job, text: &str) -> Result<(), Refusal> {
    let refused = |error: OutlineError| {
        Refusal::new(format!("line {}", error.line), error.what, error.remedy)
    };
    let new = revise(&job.circuit, text).map_err(refused)?;
    let ids = |circuit: &Circuit| -> Vec<(String, &'static str)> {
        let parts = circuit.parts();
        parts.map(|p| (p.id().to_owned(), p.class())).collect()
    };
    let (before, after) = (ids(&job.circuit), ids(&new));
    let only_in =
        |a: &[(String, &'static str)], b: &[(String, &'static str)]| -> Vec<(String, &str)> {
            a.iter().filter(|id| !b.contains(id)).cloned().collect()
        };
    let (gone, fresh) = (only_in(&before, &after), only_in(&after, &before));
    // One designation less and one of the same class more is a part that was renamed: what is noted of it stays.
    if let ([(old, class)], [(name, same)]) = (&gone[..], &fresh[..])
        && class == same
        && edit::rename(&mut job.circuit, old, name).is_ok()
    {
        rename_in_log(job, old, name);
    }
    job.circuit = revise(&job.circuit, text).map_err(refused)?;
    Ok(())
}

fn rename_in_log(job: &mut Job, old: &str, new: &str) {
    let text = |text: &mut String| {
        if text == old {
            new.clone_into(text);
        }
    };
    let point = |point: &mut Point| text(&mut point.part);
    let state = |state: &mut State| {
        for set in [&mut state.unplugged, &mut state.unknown] {
            if set.remove(old) {
                set.insert(new.to_owned());
            }
        }
        for load in &mut state.attached {
            point(&mut load.from);
            point(&mut load.to);
        }
    };
    state(&mut job.now);
    if job.out_of_reach.remove(old) {
        job.out_of_reach.insert(new.to_owned());
    }
    for entry in &mut job.log {
        match entry {
            Entry::Reading(reading) => {
                point(&mut reading.red);
                point(&mut reading.black);
                state(&mut reading.state);
            }
            Entry::Repair(repair) => text(&mut repair.part),
            Entry::Inspection(look) => text(&mut look.part),
        }
    }
}

/// Sets readings and looks aside that name a point or part which is gone, and clears such connectors from the bench.
/// Answers the lines, from 1.
fn retire(job: &mut Job) -> Vec<usize> {
    let points: HashSet<Point> = job.circuit.points().into_iter().collect();
    let connectors: HashSet<&str> = job
        .circuit
        .connectors
        .iter()
        .map(|c| c.id.as_str())
        .collect();
    let there = |state: &State| {
        let mut named = state.unplugged.iter().chain(&state.unknown);
        let mut ends = state
            .attached
            .iter()
            .flat_map(|load| [&load.from, &load.to]);
        named.all(|id| connectors.contains(id.as_str())) && ends.all(|end| points.contains(end))
    };
    let whole = |reading: &Reading| {
        points.contains(&reading.red) && points.contains(&reading.black) && there(&reading.state)
    };
    let mut lines = Vec::new();
    for (index, entry) in job.log.iter_mut().enumerate() {
        let gone = match entry {
            Entry::Reading(reading) => (!whole(reading)).then_some(&mut reading.set_aside),
            Entry::Inspection(look) => (!look.is_on(&job.circuit)).then_some(&mut look.set_aside),
            Entry::Repair(_) => None,
        };
        if let Some(aside) = gone.filter(|aside| !**aside) {
            *aside = true;
            lines.push(index + 1);
        }
    }
    let circuit = &job.circuit;
    job.out_of_reach.retain(|id| circuit.part(id).is_some());
    let now = &mut job.now;
    now.unplugged.retain(|id| connectors.contains(id.as_str()));
    now.unknown.retain(|id| connectors.contains(id.as_str()));
    now.attached
        .retain(|load| points.contains(&load.from) && points.contains(&load.to));
    lines
}

/// The sentence about lines that were set aside.
pub(super) fn about_set_aside(lines: &[usize]) -> Refusal {
    let numbers = words::list(lines.iter().map(ToString::to_string));
    let (noun, verb) = if lines.len() == 1 {
        ("line", "was")
    } else {
        ("lines", "were")
    };
    Refusal::new(
        format!("{noun} {numbers}"),
        format!(
            "{noun} {numbers} of the log {verb} set aside: what they name is no longer on the sketch"
        ),
        "Take the step back if that was not meant",
    )
}
