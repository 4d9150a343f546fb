//! An invented feed with four sensors, its answer, and the probability of what a test names.

use std::collections::BTreeSet;

use pinchpoint::{
    circuit::{Circuit, LimitMode, LoadModel, quick_feed},
    diagnosis::{Findings, Question, diagnose},
    fault::{FaultKind, Site},
    quantity::units::{milliamperes, ohms, volts},
    reading::{Entry, Meter, State},
};

/// Four resistive sensors behind an inline connector, each with a connector of its own.
pub fn circuit(nominal: f64) -> Circuit {
    let mut circuit = quick_feed(volts(nominal), 4, true, false);
    for load in &mut circuit.loads {
        load.model = LoadModel::Resistive {
            resistance: ohms(4e3),
        };
    }
    let supply = &mut circuit.supplies[0];
    supply.source = Some(ohms(1.5));
    supply.limit = LimitMode::Constant {
        limit: Some(milliamperes(120.0)),
    };
    circuit
}

pub fn answer(circuit: &Circuit, log: &[Entry]) -> Findings {
    diagnose(&Question {
        circuit,
        meter: &Meter::default(),
        log,
        now: &State::default(),
        out_of_reach: &BTreeSet::new(),
    })
}

/// Probability of the suspects that a test names.
pub fn chance(findings: &Findings, which: impl Fn(&Site, FaultKind) -> bool) -> f64 {
    let own = |s: &&pinchpoint::diagnosis::Suspect| which(&s.site, s.kind);
    findings
        .suspects
        .iter()
        .filter(own)
        .map(|s| s.probability)
        .sum()
}
