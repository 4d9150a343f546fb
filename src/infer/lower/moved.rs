//! Places that were moved while the meter was watched: evidence on where a fault is, whatever the circuit reads.

use std::collections::BTreeSet;

use super::Model;
use crate::{
    circuit::Circuit,
    infer::candidate::Candidate,
    reading::{Reading, SIGNS},
};

/// A place that was moved, and what that says of a fault there.
#[derive(Clone, Debug, PartialEq)]
pub struct Moved {
    /// Parts of the place.
    pub parts: BTreeSet<String>,
    /// Natural logarithm of how much likelier a fault there became against one elsewhere.
    pub log_ratio: f64,
    /// Number of repairs made before.
    pub repairs: usize,
}

impl Model {
    /// Notes what was moved during a reading. A place counts once between two repairs, as it answered last: moving it
    /// again is no new evidence.
    pub(super) fn note_moved(&mut self, circuit: &Circuit, reading: &Reading) {
        let repairs = self.repairs.len();
        for moved in &reading.wiggled {
            let mut parts: BTreeSet<String> = circuit
                .wires
                .iter()
                .filter(|wire| !wire.bundle.is_empty() && wire.bundle == moved.place)
                .map(|wire| wire.id.clone())
                .collect();
            parts.insert(moved.place.clone());
            let log_ratio = if moved.changed {
                SIGNS.wiggle.changed.ln()
            } else {
                -SIGNS.wiggle.unchanged.ln()
            };
            self.moved
                .retain(|other| other.repairs != repairs || other.parts != parts);
            self.moved.push(Moved {
                parts,
                log_ratio,
                repairs,
            });
        }
    }

    /// Natural logarithm of how much likelier faults together are for what was moved.
    pub fn moved<'c>(&self, faults: impl Iterator<Item = &'c Candidate> + Clone) -> f64 {
        self.moved
            .iter()
            .filter(|moved| {
                faults.clone().any(|candidate| {
                    moved.parts.contains(&candidate.site.part)
                        && candidate.fault(0.0).present(moved.repairs)
                })
            })
            .map(|moved| moved.log_ratio)
            .sum()
    }
}
