//! An invented feed with four sensors, and questions about it.

use std::collections::BTreeSet;

use pinchpoint::{
    circuit::{Circuit, LimitMode, LoadModel, Point, quick_feed},
    diagnosis::{Findings, Question, diagnose},
    fault::{FaultKind, Site},
    practice::{Hidden, World},
    quantity::units::{milliamperes, ohms, volts},
    reading::{Entry, Kind, Meter, Reading, State},
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

pub fn point(text: &str) -> Point {
    text.parse().expect("a point")
}

pub fn without(ids: &[&str]) -> State {
    State {
        unplugged: ids.iter().map(|&id| id.to_owned()).collect(),
        ..State::default()
    }
}

/// A vehicle with a fault.
pub fn world(circuit: &Circuit, fault: Hidden) -> World {
    World::exact(circuit, &[fault], &Meter::default()).expect("a fault that it can have")
}

/// What the meter shows of volts to battery negative.
pub fn volts_at(world: &mut World, red: &str, state: &State) -> Reading {
    let red = point(red);
    let black = Point::battery_negative();
    let value = world.measure(Kind::Volts, &red, &black, state);
    Reading {
        value: value.expect("measured"),
        state: state.clone(),
        ..Reading::volts(red, 0.0)
    }
}

pub fn log(readings: impl IntoIterator<Item = Reading>) -> Vec<Entry> {
    readings.into_iter().map(Entry::Reading).collect()
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
