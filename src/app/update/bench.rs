//! How the circuit stands: plugged, unplugged, not known, supply on or off.

use crate::{
    app::{command::Bench, model::Refusal, words},
    notebook::Job,
    quantity::units::as_ohms,
    reading::Entry,
};

/// Turns a toggle into what it means now, so that the step has the right name.
pub(super) fn resolve(job: &Job, command: Bench) -> Bench {
    match command {
        Bench::TogglePlug(id) => {
            let parted = job.now.unplugged.contains(&id) || job.now.unknown.contains(&id);
            if parted {
                Bench::Plug(id)
            } else {
                Bench::Unplug(id)
            }
        }
        other => other,
    }
}

/// Changes the state on the bench. A change of a plug makes the note on the key obsolete.
pub(super) fn bench(job: &mut Job, command: &Bench) -> Result<(), Refusal> {
    let before = (job.now.unplugged.clone(), job.now.unknown.clone());
    match command {
        Bench::Plug(id) => {
            // Also for a connector that was renamed away: plugging it clears the stale note.
            job.now.unplugged.remove(id);
            job.now.unknown.remove(id);
        }
        Bench::Unplug(id) | Bench::TogglePlug(id) => {
            known(job, id)?;
            job.now.unknown.remove(id);
            job.now.unplugged.insert(id.clone());
        }
        Bench::MarkUnknown(id) => {
            known(job, id)?;
            job.now.unplugged.remove(id);
            job.now.unknown.insert(id.clone());
        }
        Bench::Settle(id, unplugged) => {
            known(job, id)?;
            job.now.unknown.remove(id);
            if *unplugged {
                job.now.unplugged.insert(id.clone());
            }
            let readings = job.log.iter_mut().rev().filter_map(|entry| match entry {
                Entry::Reading(reading) => Some(&mut reading.state),
                Entry::Repair(_) | Entry::Inspection(_) => None,
            });
            for state in readings.take_while(|state| state.unknown.contains(id)) {
                state.unknown.remove(id);
                if *unplugged {
                    state.unplugged.insert(id.clone());
                }
            }
        }
        Bench::PlugAll => {
            job.now.unplugged.clear();
            job.now.unknown.clear();
        }
        Bench::SetState(state) => {
            for id in state.unplugged.iter().chain(&state.unknown) {
                known(job, id)?;
            }
            job.now = state.clone();
            return Ok(());
        }
        Bench::SupplyOff(off) => job.now.supply_off = *off,
        Bench::KeyCycled(cycled) => job.now.key_cycled = *cycled,
        Bench::Attach(load) => {
            let ohm = as_ohms(load.resistance);
            if !(ohm.is_finite() && ohm > 0.0) {
                return Err(Refusal::new(
                    words::point(&load.from),
                    "a clipped-on load needs a resistance above zero",
                    "Type its ohms, e.g. 220",
                ));
            }
            job.now.attached.push(load.clone());
        }
        Bench::OutOfReach(id, true) => {
            if job.circuit.part(id).is_none() {
                return Err(Refusal::new(
                    id,
                    format!("there is no part {id} on this sketch"),
                    "Choose the part on the drawing",
                ));
            }
            job.out_of_reach.insert(id.clone());
        }
        Bench::OutOfReach(id, false) => {
            job.out_of_reach.remove(id);
        }
        Bench::Detach(index) => {
            if *index < job.now.attached.len() {
                job.now.attached.remove(*index);
            }
        }
    }
    if (&job.now.unplugged, &job.now.unknown) != (&before.0, &before.1) {
        job.now.key_cycled = None;
    }
    Ok(())
}

fn known(job: &Job, id: &str) -> Result<(), Refusal> {
    if job.circuit.connectors.iter().any(|c| c.id == id) {
        return Ok(());
    }
    let names = words::list(job.circuit.connectors.iter().take(8).map(|c| &c.id));
    Err(Refusal::new(
        id,
        format!("there is no connector {id} on this sketch"),
        if names.is_empty() {
            "Add a connector to the sketch first".to_owned()
        } else {
            format!("Choose one that is there, such as {names}")
        },
    ))
}
