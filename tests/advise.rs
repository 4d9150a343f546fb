//! The advice on real sketches: what is out of reach, near a restraint circuit or electrically off is respected.
//! Common practice, no source.

mod support;

use std::collections::BTreeSet;

use pinchpoint::{
    advise::{Advice, Asked, Best, Move},
    circuit::Circuit,
    diagnosis::{Question, diagnose},
    reading::{Entry, Kind, Meter, Reading, State},
};
use support::circuits::tender;

fn advice(circuit: &Circuit, log: &[Entry], now: &State, out_of_reach: &[&str]) -> Advice {
    let out_of_reach = out_of_reach.iter().map(|id| (*id).to_owned()).collect();
    diagnose(&Question {
        circuit,
        meter: &Meter::default(),
        log,
        now,
        out_of_reach: &out_of_reach,
    })
    .next
}

fn low_at_the_pin() -> Vec<Entry> {
    let pin = "M1.feed".parse().expect("a point");
    vec![Entry::Reading(Reading::volts(pin, 0.66))]
}

/// Designations of everything that the advice would touch.
fn touched(advice: &Advice) -> BTreeSet<String> {
    let mut parts = BTreeSet::new();
    for test in &advice.tests {
        for step in &test.moves {
            match step {
                Move::Unplug(id) | Move::Plug(id) => {
                    parts.insert(id.clone());
                }
                Move::ClipOn(load) => {
                    parts.insert(load.from.part.clone());
                }
                Move::SupplyOff | Move::SupplyOn | Move::InSeries => {}
            }
        }
        if let Asked::Read { red, .. } = &test.asked {
            parts.insert(red.part.clone());
        }
    }
    parts.extend(advice.opening.iter().map(|place| place.site.part.clone()));
    parts
}

#[test]
fn before_any_reading_nothing_is_opened() {
    let advice = advice(&tender(), &[], &State::default(), &[]);
    assert_eq!(advice.best, Best::Test);
    let first = advice.tests.first().expect("a test");
    assert!(matches!(
        first.asked,
        Asked::Read {
            kind: Kind::Volts,
            ..
        }
    ));
}

#[test]
fn what_is_out_of_reach_is_neither_tested_nor_opened() {
    let circuit = tender();
    let all = touched(&advice(&circuit, &low_at_the_pin(), &State::default(), &[]));
    let barred = all.iter().next().expect("something is proposed").clone();
    let left = touched(&advice(
        &circuit,
        &low_at_the_pin(),
        &State::default(),
        &[&barred],
    ));
    assert!(!left.contains(&barred), "{barred} in {left:?}");
    assert!(!left.is_empty());
    let every: Vec<&str> = circuit.ids().collect();
    let none = advice(&circuit, &low_at_the_pin(), &State::default(), &every);
    assert!(touched(&none).is_empty(), "{:?}", touched(&none));
    assert_ne!(none.best, Best::Test);
}

#[test]
fn a_loom_of_a_restraint_circuit_is_left_alone() {
    let mut circuit = tender();
    let wire = circuit.wires.last_mut().expect("a wire");
    wire.bundle = "airbag loom".to_owned();
    let (id, from, to) = (
        wire.id.clone(),
        wire.from.part.clone(),
        wire.to.part.clone(),
    );
    let parts = touched(&advice(&circuit, &low_at_the_pin(), &State::default(), &[]));
    for part in [id, from, to] {
        assert!(!parts.contains(&part), "{part} in {parts:?}");
    }
}

#[test]
fn volts_are_asked_for_with_the_supply_on_and_ohms_with_it_off() {
    let off = State {
        supply_off: true,
        ..State::default()
    };
    let mut seen = 0;
    for now in [State::default(), off] {
        for test in advice(&tender(), &low_at_the_pin(), &now, &[]).tests {
            let Asked::Read { kind, .. } = test.asked else {
                continue;
            };
            assert_eq!(test.state.supply_off, kind == Kind::Ohms);
            let switched = now.supply_off != test.state.supply_off;
            let says =
                test.moves.contains(&Move::SupplyOn) || test.moves.contains(&Move::SupplyOff);
            assert_eq!(says, switched, "{:?}", test.moves);
            seen += 1;
        }
    }
    assert!(seen > 4);
}
