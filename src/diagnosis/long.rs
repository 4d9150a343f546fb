//! Logs with more readings than can be weighed together in reasonable time.
//!
//! Readings that share unknowns are weighed by one covariance, whose work grows with the cube of their number. A log with
//! more than a person reads in a job is the record of an instrument, and most of its lines say the same again.

use std::collections::BTreeMap;

use super::Problem;
use crate::reading::{Entry, Reading};

/// Most readings that are weighed together.
pub const MOST_WEIGHED: usize = 300;

/// The log with no more readings than can be weighed, the others set aside: as many different places and states as
/// possible, of each the newest. `None` where all are weighed.
pub(super) fn shortened(log: &[Entry]) -> Option<Vec<Entry>> {
    if log.iter().filter_map(Entry::used).count() <= MOST_WEIGHED {
        return None;
    }
    let mut again: BTreeMap<String, usize> = BTreeMap::new();
    let mut repairs = 0;
    let mut ranked: Vec<(usize, usize)> = Vec::new();
    for entry in log.iter().rev() {
        match entry {
            Entry::Repair(_) => repairs += 1,
            Entry::Reading(reading) if !reading.set_aside => {
                let newer = again.entry(alike(reading, repairs)).or_default();
                ranked.push((*newer, ranked.len()));
                *newer += 1;
            }
            Entry::Reading(_) | Entry::Inspection(_) => {}
        }
    }
    // From the newest back, as they were met.
    let mut order: Vec<usize> = (0..ranked.len()).collect();
    order.sort_by_key(|&at| ranked[at]);
    let mut keep = vec![false; ranked.len()];
    for &at in &order[..MOST_WEIGHED] {
        keep[at] = true;
    }
    let mut shorter = log.to_vec();
    let readings = shorter.iter_mut().rev().filter_map(|entry| match entry {
        Entry::Reading(reading) if !reading.set_aside => Some(reading),
        _ => None,
    });
    for (reading, keep) in readings.zip(keep) {
        reading.set_aside = !keep;
    }
    Some(shorter)
}

/// What readings of one place in one state, between the same repairs, have in common.
fn alike(reading: &Reading, later_repairs: usize) -> String {
    let state = &reading.state;
    format!(
        "{later_repairs} {:?} {:?} {:?} {:?} {:?} {} {:?}",
        reading.kind,
        reading.red,
        reading.black,
        state.unplugged,
        state.unknown,
        state.supply_off,
        state.attached
    )
}

/// Says so.
pub(super) fn problem(log: &[Entry]) -> Problem {
    let readings = log
        .iter()
        .filter(|entry| matches!(entry, Entry::Reading(_)));
    Problem {
        place: "log".to_owned(),
        what: format!(
            "it has {} readings, more than are weighed together: the newest of each place and state are used, {MOST_WEIGHED} in all",
            readings.count()
        ),
        remedy: "set aside what says nothing new, so that you choose what counts".to_owned(),
        fatal: false,
    }
}
