//! Tests beyond volts that are proposed: a clamp, a known load, the scan, a connector that nobody knows of. Minutes are the
//! price list's; common practice, no source.

mod support;

use std::collections::BTreeSet;

use pinchpoint::{
    advise::{Asked, Move, Test, price, sights::reachable},
    circuit::{Circuit, LimitMode},
    diagnosis::{Findings, Question, diagnose},
    explain::next_words,
    notebook::parse_job,
    quantity::units::ohms,
    reading::{Entry, Kind, Meter, Reading, State},
};
use support::circuits::tender;

fn read(point: &str, volts: f64, state: &State) -> Entry {
    Entry::Reading(Reading {
        state: state.clone(),
        ..Reading::volts(point.parse().expect("a point"), volts)
    })
}

fn findings(circuit: &Circuit, log: &[Entry], now: &State) -> Findings {
    diagnose(&Question {
        circuit,
        meter: &Meter::default(),
        log,
        now,
        out_of_reach: &BTreeSet::new(),
    })
}

fn words(circuit: &Circuit, log: &[Entry], now: &State, findings: &Findings) -> Vec<String> {
    let question = Question {
        circuit,
        meter: &Meter::default(),
        log,
        now,
        out_of_reach: &BTreeSet::new(),
    };
    let words = next_words(&question, findings);
    (words.tests.into_iter())
        .map(|test| format!("{} | {}", test.action, test.cautions.join(" ")))
        .collect()
}

fn sound(test: &Test) {
    let total: f64 = test.outcomes.iter().map(|o| o.probability).sum();
    assert!((total - 1.0).abs() < 1e-6, "{total} {test:?}");
    assert!(test.bits > 0.0 && test.minutes > 0.0);
}

/// Every kind is within reach at its price, on what is not barred; never a lamp.
#[test]
fn all_kinds_are_within_reach_and_no_lamp_is() {
    let circuit = tender();
    let now = State::default();
    let looks = |barred: &BTreeSet<String>| reachable(&circuit, &now, &[], barred).looks;
    let all = looks(&BTreeSet::new());
    let of = |kind: Kind| all.iter().filter(|look| look.kind == kind).count();
    assert_eq!(of(Kind::Scan), 1);
    assert!(of(Kind::Clamp) > 3 && of(Kind::Amperes) == 1 && of(Kind::Ohms) > 1);
    assert!(!all.iter().any(|look| matches!(look.kind, Kind::Lamp(_))));
    for look in all.iter().filter(|look| look.kind == Kind::Clamp) {
        let minutes = price::asked(&circuit, look.kind, &look.red, &look.black, &now);
        assert_eq!(Some(look.minutes), minutes, "{look:?}");
    }
    let barred: BTreeSet<String> = ["M1".to_owned()].into();
    assert!(looks(&barred).iter().all(|look| look.red.part != "M1"));
}

/// A feed without a limit and a short of an ohm: amperes flow, and a clamp tells in which wire without opening a plug.
#[test]
fn where_amperes_flow_a_clamp_is_proposed() {
    let mut circuit = tender();
    let supply = &mut circuit.supplies[0];
    supply.limit = LimitMode::None;
    supply.source = Some(ohms(0.5));
    let now = State::default();
    let log = [read("M1.feed", 6.2, &now)];
    let found = findings(&circuit, &log, &now);
    let is_clamp = |test: &&Test| {
        matches!(
            &test.asked,
            Asked::Read {
                kind: Kind::Clamp,
                ..
            }
        )
    };
    let clamp = found.next.tests.iter().find(is_clamp);
    sound(clamp.unwrap_or_else(|| panic!("{:#?}", found.next.tests)));
    let said = words(&circuit, &log, &now, &found);
    let said = said.iter().find(|w| w.contains("clamp")).expect("words");
    assert!(said.contains("one wire only"), "{said}");
}

/// Full volts with nothing drawn: only a load shows a last strand, and that load is a resistor.
#[test]
fn a_known_load_is_a_resistor_and_says_so() {
    let circuit = tender();
    let nominal = 9.0;
    let loads = |now: &State| {
        let looks = reachable(&circuit, now, &[], &BTreeSet::new());
        let clipped = looks.states.into_iter().filter(|s| !s.attached.is_empty());
        clipped.flat_map(|s| s.attached).collect::<Vec<_>>()
    };
    let plugged = loads(&State::default());
    assert_eq!(plugged.len(), circuit.loads.len());
    let connector = &circuit.connectors[0].id;
    let open = State {
        unplugged: [connector.clone()].into(),
        ..State::default()
    };
    assert!(loads(&open).iter().any(|load| load.from.part == *connector));
    for load in plugged {
        let amperes = nominal / pinchpoint::quantity::units::as_ohms(load.resistance);
        assert!((0.001..0.01).contains(&amperes), "{amperes}");
    }
    // Whatever test clips one on carries the caution.
    let now = State::default();
    let log = [read("M1.feed", 8.97, &now)];
    let found = findings(&circuit, &log, &now);
    let clips = |test: &Test| test.moves.iter().any(|m| matches!(m, Move::ClipOn(_)));
    let said = words(&circuit, &log, &now, &found);
    for (test, said) in found.next.tests.iter().zip(said) {
        assert_eq!(clips(test), said.contains("no battery voltage"), "{said}");
    }
}

/// Nobody knows whether C2 was plugged when the feed read right: to look is worth a bit, and costs half its minutes.
#[test]
fn a_connector_that_nobody_knows_of_is_looked_at() {
    let circuit = tender();
    let now = State {
        unknown: ["C2".to_owned()].into(),
        ..State::default()
    };
    let plugged = State::default();
    let log = [
        read("M1.feed", 0.66, &plugged),
        read("C2.1n", 0.64, &plugged),
        read("M1.feed", 8.96, &now),
    ];
    let found = findings(&circuit, &log, &now);
    let check = (found.next.tests.iter())
        .find(|test| matches!(&test.asked, Asked::Check { connector } if connector == "C2"));
    let said = words(&circuit, &log, &now, &found);
    match check {
        Some(test) => {
            sound(test);
            assert_eq!(Some(test.minutes), price::check(&circuit, "C2"));
            assert!(said.iter().any(|w| w.contains("whether C2 is plugged")));
        }
        None => panic!("{said:#?}"),
    }
    // Known, it is asked no more; nor where it was never unknown for a reading.
    for log in [&log[..2], &[]] {
        let found = findings(&circuit, log, &now);
        let asked = |test: &Test| matches!(test.asked, Asked::Check { .. });
        assert!(!found.next.tests.iter().any(asked));
    }
}

/// What the list of places to open leaves out is counted and weighed.
#[test]
fn places_that_are_left_out_are_counted() {
    let circuit = tender();
    let log = [read("M1.feed", 0.66, &State::default())];
    let now = State::default();
    let whole = findings(&circuit, &log, &now).next;
    let barred: BTreeSet<String> = circuit.loads.iter().map(|load| load.id.clone()).collect();
    let part = diagnose(&Question {
        circuit: &circuit,
        meter: &Meter::default(),
        log: &log,
        now: &now,
        out_of_reach: &barred,
    })
    .next;
    let listed = |advice: &pinchpoint::advise::Advice| -> f64 {
        advice.opening.iter().map(|o| o.probability).sum()
    };
    assert!(part.opening_rest.places >= circuit.loads.len());
    let (all, some) = (
        listed(&whole) + whole.opening_rest.probability,
        listed(&part) + part.opening_rest.probability,
    );
    assert!((all - some).abs() < 1e-9, "{all} {some}");
    assert!(all > 0.9 && all < 1.0 + 1e-9, "{all}");
}

/// Two faults together: each thing is opened once, with the probability of everything it is part of.
#[test]
fn faults_together_are_opened_each_once() {
    let text = include_str!("../sample_circuits/09-two-at-once.ron");
    let job = parse_job("sample", text.as_bytes()).expect("a sample").job;
    let found = diagnose(&job.question());
    let opening = &found.next.opening;
    let things: BTreeSet<String> = (opening.iter())
        .map(|one| format!("{:?} {:?} {:?}", one.site, one.kind, one.metres))
        .collect();
    assert_eq!(things.len(), opening.len(), "{opening:#?}");
    for suspect in &found.suspects[..2] {
        let listed = (opening[..2].iter()).find(|one| one.site == suspect.site);
        let listed = listed.expect("the two come first");
        assert!((listed.probability - suspect.probability).abs() < 0.02);
        let own = price::open(&job.circuit, &suspect.site, suspect.kind, 1.0);
        assert!((listed.minutes - own).abs() < 1e-9, "{listed:?}");
    }
}
