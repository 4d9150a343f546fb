//! What a change of the sketch means for the log: new designations, and readings whose point is gone.

use std::collections::{BTreeSet, HashSet};

use super::{Entry, State};
use crate::circuit::{Circuit, Point};

/// A line of the log that refers to what is not on the sketch.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Missing {
    /// Index in the log.
    pub entry: usize,
    /// The point or designation that is not there, as it is written.
    pub what: String,
}

/// Gives a part another designation throughout a log.
///
/// ```
/// use pinchpoint::reading::{Entry, Reading, rename::rename_in_log};
/// let mut log = [Entry::Reading(Reading::volts("C1.1f".parse().unwrap(), 4.9))];
/// rename_in_log(&mut log, "C1", "C7");
/// assert_eq!(log, [Entry::Reading(Reading::volts("C7.1f".parse().unwrap(), 4.9))]);
/// ```
pub fn rename_in_log(log: &mut [Entry], old: &str, new: &str) {
    for entry in log {
        match entry {
            Entry::Reading(reading) => {
                rename_point(&mut reading.red, old, new);
                rename_point(&mut reading.black, old, new);
                rename_in_state(&mut reading.state, old, new);
                for moved in reading.wiggled.iter_mut().filter(|w| w.place == old) {
                    new.clone_into(&mut moved.place);
                }
            }
            Entry::Repair(repair) if repair.part == old => new.clone_into(&mut repair.part),
            Entry::Inspection(look) if look.part == old => new.clone_into(&mut look.part),
            Entry::Repair(_) | Entry::Inspection(_) => {}
        }
    }
}

/// Gives a part another designation in a state.
pub fn rename_in_state(state: &mut State, old: &str, new: &str) {
    for set in [&mut state.unplugged, &mut state.unknown] {
        if set.remove(old) {
            set.insert(new.to_owned());
        }
    }
    for attached in &mut state.attached {
        rename_point(&mut attached.from, old, new);
        rename_point(&mut attached.to, old, new);
    }
}

fn rename_point(point: &mut Point, old: &str, new: &str) {
    if point.part == old {
        new.clone_into(&mut point.part);
    }
}

/// Lists what the log refers to and the sketch does not have: points of readings and of clipped-on loads,
/// connectors whose plug state was noted, parts that were repaired or looked at. What was set aside is left out.
///
/// Each thing is named once per line, in the order of the log.
pub fn missing(circuit: &Circuit, log: &[Entry]) -> Vec<Missing> {
    let points: HashSet<Point> = circuit.points().into_iter().collect();
    let connectors: HashSet<&str> = circuit
        .connectors
        .iter()
        .map(|part| part.id.as_str())
        .collect();
    let parts: HashSet<&str> = circuit.ids().collect();
    let place = |id: &str| parts.contains(id) || circuit.wires.iter().any(|wire| wire.bundle == id);
    let mut missing = Vec::new();
    for (entry, line) in log.iter().enumerate() {
        let mut gone = BTreeSet::new();
        match line {
            Entry::Reading(reading) if reading.set_aside => {}
            Entry::Inspection(look) if look.set_aside => {}
            Entry::Reading(reading) => {
                let attached = reading.state.attached.iter().flat_map(|a| [&a.from, &a.to]);
                gone.extend(
                    ([&reading.red, &reading.black].into_iter().chain(attached))
                        .filter(|point| !points.contains(point))
                        .map(ToString::to_string),
                );
                gone.extend(
                    (reading.state.unplugged.union(&reading.state.unknown))
                        .filter(|id| !connectors.contains(id.as_str()))
                        .cloned(),
                );
                gone.extend(
                    (reading.wiggled.iter().map(|moved| &moved.place))
                        .filter(|id| !place(id))
                        .cloned(),
                );
            }
            Entry::Inspection(look) => {
                if !place(&look.part) {
                    gone.insert(look.part.clone());
                }
            }
            Entry::Repair(repair) => {
                if !parts.contains(repair.part.as_str()) {
                    gone.insert(repair.part.clone());
                }
            }
        }
        missing.extend(gone.into_iter().map(|what| Missing { entry, what }));
    }
    missing
}
