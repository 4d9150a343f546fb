//! Advice where little is left or something is off: nothing within reach, minutes of nothing, plug states and readings
//! that cannot be, fuel nearby. Common practice, no source.

mod support;

use std::{cell::RefCell, collections::BTreeSet};

use pinchpoint::{
    advise::{Advice, Asked, Best, Move, price},
    circuit::Circuit,
    diagnosis::{Findings, Question, diagnose, diagnose_in_steps},
    explain::next::next_words,
    quantity::units::{as_minutes, minutes},
    reading::{Entry, Meter, Reading, State},
};
use support::circuits::tender;

struct Bench {
    circuit: Circuit,
    log: Vec<Entry>,
    now: State,
    out_of_reach: BTreeSet<String>,
    meter: Meter,
}

fn read(point: &str, volts: f64) -> Entry {
    Entry::Reading(Reading::volts(point.parse().expect("a point"), volts))
}

impl Bench {
    fn new() -> Self {
        Self {
            circuit: tender(),
            log: vec![read("M1.feed", 0.66)],
            now: State::default(),
            out_of_reach: BTreeSet::new(),
            meter: Meter::default(),
        }
    }

    fn question(&self) -> Question<'_> {
        Question {
            circuit: &self.circuit,
            meter: &self.meter,
            log: &self.log,
            now: &self.now,
            out_of_reach: &self.out_of_reach,
        }
    }

    fn findings(&self) -> Findings {
        diagnose(&self.question())
    }

    /// What the card says; every number in the advice is one.
    fn said(&self) -> (Advice, String, String) {
        let findings = self.findings();
        let words = next_words(&self.question(), &findings);
        for test in &findings.next.tests {
            assert!(test.minutes.is_finite() && test.minutes >= 0.0);
            assert!(test.bits_per_minute.is_finite());
        }
        (findings.next, words.line, words.reason)
    }
}

#[test]
fn with_every_connector_out_of_reach_the_module_is_read_and_that_is_said() {
    let mut bench = Bench::new();
    bench.out_of_reach = (bench.circuit.connectors.iter())
        .map(|c| c.id.clone())
        .collect();
    let (advice, line, reason) = bench.said();
    for test in &advice.tests {
        assert!(
            !(test.moves.iter()).any(|m| matches!(m, Move::Unplug(_) | Move::Plug(_))),
            "{test:?}"
        );
    }
    assert!(!line.is_empty());
    assert!(reason.contains("Out of reach: C1"), "{reason}");
}

#[test]
fn with_everything_out_of_reach_a_plain_sentence_says_so() {
    let mut bench = Bench::new();
    let circuit = &bench.circuit;
    bench.out_of_reach = (circuit.connectors.iter().map(|c| &c.id))
        .chain(circuit.supplies.iter().map(|s| &s.id))
        .chain(circuit.loads.iter().map(|l| &l.id))
        .chain(circuit.wires.iter().map(|w| &w.id))
        .chain(circuit.splices.iter().map(|s| &s.id))
        .chain(circuit.grounds.iter().map(|g| &g.id))
        .cloned()
        .collect();
    let (advice, line, _) = bench.said();
    assert!(advice.tests.is_empty() && advice.opening.is_empty());
    assert_eq!(line, "No test within reach tells more");
}

#[test]
fn connectors_that_take_no_time_are_tested_first_and_nothing_breaks() {
    let mut bench = Bench::new();
    for connector in &mut bench.circuit.connectors {
        connector.access = minutes(0.0);
    }
    let (advice, ..) = bench.said();
    assert_eq!(advice.best, Best::Test);
    assert!(advice.tests[0].minutes <= 0.25, "{:?}", advice.tests[0]);
}

#[test]
fn a_state_that_names_what_is_gone_still_leaves_advice() {
    let mut bench = Bench::new();
    bench.now.unplugged.insert("C9".to_owned());
    let (advice, line, _) = bench.said();
    assert!(!line.is_empty());
    assert!(!advice.tests.is_empty());
}

#[test]
fn readings_that_contradict_one_another_are_said_to() {
    let mut bench = Bench::new();
    for volts in [8.99, 3.1] {
        bench.log.push(read("M1.feed", volts));
    }
    let (_, line, reason) = bench.said();
    assert_eq!(line, "The readings contradict one another");
    assert!(reason.starts_with("Repeat the one that is doubted"));
    // One by itself contradicts nothing; and nothing is opened for it.
    bench.log.clear();
    bench.log.push(read("M1.feed", 5000.0));
    let (_, line, _) = bench.said();
    assert_eq!(line, "The reading fits nothing on this sketch");
}

#[test]
fn who_may_have_forgotten_a_branch_is_asked_to_look_for_minutes() {
    let mut bench = Bench::new();
    for splice in &mut bench.circuit.splices {
        splice.more_members = true;
    }
    let (advice, ..) = bench.said();
    let sought: Vec<_> = (advice.tests.iter())
        .filter(|test| matches!(test.asked, Asked::LookFor { .. }))
        .collect();
    assert!(!sought.is_empty());
    for test in sought {
        assert!((test.minutes - price::LOOK_AROUND).abs() < 1e-9);
    }
}

#[test]
fn beside_fuel_the_care_is_part_of_the_price() {
    let plain = Bench::new();
    let mut bench = Bench::new();
    let wet = "X3";
    let mut access = 0.0;
    for connector in &mut bench.circuit.connectors {
        if connector.id == wet {
            connector.place = "on the fuel tank".to_owned();
            access = as_minutes(connector.access);
        }
    }
    let touches = |advice: &Advice| {
        (advice.tests.iter())
            .filter(|test| matches!(&test.asked, Asked::Read { red, .. } if red.part == wet))
            .map(|test| test.minutes)
            .fold(f64::INFINITY, f64::min)
    };
    let (before, after) = (touches(&plain.said().0), touches(&bench.said().0));
    assert!(before >= 0.5 * access - 1e-9, "{before}");
    assert!(
        after >= before + price::VENTILATE - 1e-9,
        "{before} {after}"
    );
}

#[test]
fn findings_come_before_the_advice() {
    let bench = Bench::new();
    let early = RefCell::new(Vec::new());
    let whole = diagnose_in_steps(&bench.question(), &|| true, &|findings| {
        early.borrow_mut().push(findings.clone());
    });
    let mut early = early.into_inner();
    assert_eq!(early.len(), 1);
    let mut first = early.remove(0);
    assert_eq!(first.next.best, Best::Pending);
    assert!(first.next.tests.is_empty());
    let line = next_words(&bench.question(), &first).line;
    assert_eq!(line, "The next test is being worked out");
    first.next = whole.next.clone();
    assert_eq!(first, whole);
    assert_eq!(whole, bench.findings());
}
