//! What was read at one point, state by state.

use crate::{
    app::model::Model,
    circuit::Point,
    explain::names,
    quantity::{Unit, format::si},
    reading::{Entry, Kind, Value},
};

/// A reading of volts at the point, to battery negative.
#[derive(Clone, Debug, PartialEq)]
pub struct Past {
    /// Line of the log.
    pub entry: usize,
    /// How the circuit stood.
    pub state: String,
    /// What was read.
    pub reads: String,
    /// What it should have read; empty while that is not known.
    pub should_read: String,
    /// What it would have read under the top suspect; empty where there is none.
    pub suspected: String,
    /// What was read, volts; the middle of an unsteady display, none for an over-range one.
    pub volts: Option<f64>,
    /// What it should have read, volts.
    pub should: Option<f64>,
    /// Kept, not used.
    pub set_aside: bool,
}

/// Every reading at a point in the order of the log.
pub fn history(model: &Model, point: &Point) -> Vec<Past> {
    let findings = model.answer.as_ref().map(|answer| &answer.findings);
    let lines = model.job.log.iter().enumerate();
    lines
        .filter_map(|(entry, line)| {
            let Entry::Reading(reading) = line else {
                return None;
            };
            let here = reading.red == *point && reading.black.is_battery_negative();
            if !here || reading.kind != Kind::Volts {
                return None;
            }
            let found = findings.and_then(|f| f.readings.iter().find(|r| r.entry == entry));
            let should = found.map(|found| found.healthy.mean);
            let suspected = found.and_then(|found| found.suspected).map(|p| p.mean);
            let text = |volts: Option<f64>| volts.map_or_else(String::new, |v| si(v, Unit::Volts));
            Some(Past {
                entry,
                state: names::state(&reading.state),
                reads: names::shown(reading),
                should_read: found.map_or_else(String::new, |found| {
                    names::should(found.healthy.mean, found.hinges, Unit::Volts)
                }),
                suspected: text(suspected),
                volts: match reading.value {
                    Value::Exactly(volts) => Some(volts),
                    Value::Between(low, high) => Some(f64::midpoint(low, high)),
                    Value::OverRange { .. } | Value::Seen(_) => None,
                },
                should,
                set_aside: reading.set_aside,
            })
        })
        .collect()
}
