//! A job: one vehicle's circuit, what was read on it and in which state it stands.

use std::collections::BTreeSet;

use serde::{Deserialize, Serialize};

use super::Record;
use crate::{
    circuit::Circuit,
    diagnosis::Question,
    reading::{Entry, Meter, State},
};

/// One job as it is kept: facts only. Verdicts are computed anew each time it is opened.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Job {
    /// What the job is called, e.g. its number and the complaint.
    #[serde(default)]
    pub title: String,
    /// The vehicle, as the shop names it.
    #[serde(default)]
    pub vehicle: String,
    /// The shop that asked.
    #[serde(default)]
    pub shop: String,
    /// What was asked for, in the caller's words.
    #[serde(default)]
    pub request: String,
    /// Anything worth keeping.
    #[serde(default)]
    pub notes: String,
    /// The vehicle's particulars, codes, parts, minutes and what else belongs to the record.
    #[serde(default, skip_serializing_if = "Record::is_empty")]
    pub record: Record,
    /// The sketch.
    #[serde(default)]
    pub circuit: Circuit,
    /// The meter in use.
    #[serde(default)]
    pub meter: Meter,
    /// Readings and repairs, oldest first.
    #[serde(default)]
    pub log: Vec<Entry>,
    /// How the circuit stands on the bench now.
    #[serde(default)]
    pub now: State,
    /// Parts that cannot be reached in this job: no test there is proposed.
    #[serde(default, skip_serializing_if = "BTreeSet::is_empty")]
    pub out_of_reach: BTreeSet<String>,
}

impl Job {
    /// A new job on the circuit of this one: sketch, meter and vehicle, but no reading, no record and nothing unplugged.
    #[must_use]
    pub fn begin_from(&self) -> Self {
        let mut circuit = self.circuit.clone();
        // What was hit or wet on that vehicle is not so on the next one.
        circuit.damage_zones.clear();
        Self {
            vehicle: self.vehicle.clone(),
            meter: self.meter.clone(),
            circuit,
            ..Self::default()
        }
    }

    /// The question this job puts to the engine.
    pub fn question(&self) -> Question<'_> {
        Question {
            circuit: &self.circuit,
            meter: &self.meter,
            log: &self.log,
            now: &self.now,
            out_of_reach: &self.out_of_reach,
        }
    }
}
