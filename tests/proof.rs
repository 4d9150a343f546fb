//! The proof of a repair: what must read right, in which states, and what the readings since have shown.
//!
//! Which points a proof needs is common practice, no source: the supply's pin, the ends behind the repair, and what
//! showed the fault. That a shared feed counts only with everything plugged is so, too.

mod support;

use std::collections::BTreeSet;

use pinchpoint::{
    circuit::{Circuit, Point},
    diagnosis::{
        Proof, Question, diagnose,
        proof::{Verdict, Why, proof},
    },
    explain::proof_words,
    reading::{Entry, Kind, Meter, Reading, Repair, State, Value},
};
use support::circuits::{tender, with_returns};

fn point(text: &str) -> Point {
    text.parse().expect("a point of the fixture")
}

fn unplugged(ids: &[&str]) -> State {
    State {
        unplugged: ids.iter().map(|&id| id.to_owned()).collect::<BTreeSet<_>>(),
        ..State::default()
    }
}

fn volts(red: &str, value: f64, off: &[&str]) -> Entry {
    Entry::Reading(Reading {
        state: unplugged(off),
        ..Reading::volts(point(red), value)
    })
}

fn repair(part: &str) -> Entry {
    Entry::Repair(Repair {
        part: part.to_owned(),
        replaced: false,
        note: String::new(),
    })
}

fn proved(circuit: &Circuit, log: &[Entry]) -> Option<Proof> {
    proof(&Question {
        circuit,
        meter: &Meter::default(),
        log,
        now: &State::default(),
        out_of_reach: &BTreeSet::new(),
    })
}

/// Points and whether each is shown to be right.
fn listed(proof: &Proof) -> Vec<(String, Option<bool>)> {
    let row = |check: &pinchpoint::diagnosis::proof::Check| (check.red.to_string(), check.right);
    proof.checks.iter().map(row).collect()
}

fn rows(rows: &[(&str, Option<bool>)]) -> Vec<(String, Option<bool>)> {
    let owned = |&(name, right): &(&str, Option<bool>)| (name.to_owned(), right);
    rows.iter().map(owned).collect()
}

#[test]
fn a_repair_is_proved_point_by_point() {
    let circuit = tender();
    let mut log = vec![volts("M1.feed", 0.669, &[]), volts("C2.1f", 0.646, &[])];
    assert_eq!(proved(&circuit, &log), None, "nothing was repaired");
    log.push(repair("W7"));
    // W7 leads to the sensor at X3 only, whose own pins nobody reaches with the plug home.
    let list = [("M1.feed", None), ("X3.1n", None), ("C2.1f", None)];
    let found = proved(&circuit, &log).expect("a repair");
    assert_eq!(listed(&found), rows(&list));
    assert_eq!(found.verdict, Verdict::NotProved, "nothing was read yet");
    assert_eq!(found.checks[2].why, Why::ReadWrong { entry: 1 });

    log.push(volts("M1.feed", 8.98, &[]));
    let found = proved(&circuit, &log).expect("a repair");
    assert_eq!(found.verdict, Verdict::PartlyProved);

    log.push(volts("X3.1n", 7.2, &[]));
    log.push(volts("C2.1f", 8.97, &["X3"]));
    let found = proved(&circuit, &log).expect("a repair");
    let list = [
        ("M1.feed", Some(true)),
        ("X3.1n", Some(false)),
        ("C2.1f", None),
    ];
    assert_eq!(
        listed(&found),
        rows(&list),
        "a reading with something unplugged proves nothing"
    );
    assert_eq!(found.verdict, Verdict::NotProved, "one reads wrong");

    log.push(volts("X3.1f", 8.95, &[]));
    log.push(volts("C2.1f", 8.96, &[]));
    let found = proved(&circuit, &log).expect("a repair");
    assert_eq!(found.verdict, Verdict::Proved);
    assert_eq!(found.checks[1].read, Some(6), "the last reading counts");
}

/// Common practice, no source: behind an open the point that was dead proves the repair; the module's pin was right anyway.
#[test]
fn after_an_open_the_points_behind_it_come_before_the_pin_that_was_right_all_along() {
    let circuit = tender();
    let log = [
        volts("M1.feed", 8.97, &[]),
        volts("X3.1f", 0.0, &[]),
        repair("W7"),
    ];
    let found = proved(&circuit, &log).expect("a repair");
    assert_eq!(listed(&found), rows(&[("X3.1n", None), ("M1.feed", None)]));
    let first = found.first_unread().expect("something to read");
    assert_eq!(first.red, point("X3.1n"));
}

/// Common practice, no source: a plug is read at its wires; what a repaired pin feeds shows in the sensor's signal; what read
/// right with the fault there shows nothing of its being gone.
#[test]
fn only_what_a_probe_reaches_and_the_fault_had_spoilt_proves_a_repair() {
    let listed_after = |circuit: &Circuit, log: &[Entry]| -> Vec<String> {
        let found = proved(circuit, log).expect("a repair");
        listed(&found).into_iter().map(|row| row.0).collect()
    };
    let mut circuit = tender();
    let low = volts("M1.feed", 0.669, &[]);
    assert_eq!(
        listed_after(&circuit, &[low.clone(), repair("X3")]),
        ["M1.feed"]
    );
    circuit.loads[2].signal_fraction = Some(0.5);
    let pin = [low, repair("X3")];
    assert_eq!(listed_after(&circuit, &pin), ["M1.feed", "S3.signal"]);

    let trail = [
        volts("X4.1n", 0.0, &[]),
        volts("X5.1n", 8.97, &[]),
        repair("SP2"),
    ];
    // X3 is sealed: its signal is as near as one gets.
    circuit.connectors[4].sealed = true;
    let list = ["S3.signal", "X4.1n", "M1.feed"];
    assert_eq!(
        listed_after(&circuit, &trail),
        list,
        "X5 was right all along"
    );
}

#[test]
fn what_read_right_before_need_not_be_read_again_and_other_states_count_by_themselves() {
    let circuit = tender();
    let log = [
        volts("M1.feed", 0.669, &[]),
        volts("M1.feed", 8.96, &["C2"]),
        volts("M1.feed", 0.675, &["X1"]),
        repair("SP2"),
        volts("M1.feed", 8.97, &["X1"]),
    ];
    let found = proved(&circuit, &log).expect("a repair");
    // The pin again with X1 off, as it read wrong then, and not with C2 off; then, plugged, everything behind SP2.
    let list = [
        ("M1.feed", Some(true)),
        ("M1.feed", None),
        ("X3.1n", None),
        ("X4.1n", None),
        ("X5.1n", None),
    ];
    assert_eq!(listed(&found), rows(&list));
    assert_eq!(found.checks[0].state, unplugged(&["X1"]));
}

#[test]
fn the_band_is_the_supplys_tolerance_and_the_meters() {
    let circuit = tender();
    let log = [volts("M1.feed", 0.669, &[]), repair("W7")];
    let found = proved(&circuit, &log).expect("a repair");
    let band = found.checks[0].should.expect("a band");
    // 9 V ± 2 % less some millivolts in 0.5 Ω of source. A tolerance is a rectangular distribution with a standard
    // deviation of a/√3 (JCGM 100:2008, 4.3.7); the meter adds ± (0.5 % + 2 counts of 10 mV), by the definition of
    // percent plus counts.
    assert!((band.mean - 9.0).abs() < 0.03, "{band:?}");
    let high = band.high.expect("no OL");
    assert!(
        (high - band.mean - (1.96 * 0.18 / 3f64.sqrt() + 0.065)).abs() < 0.002,
        "{band:?}"
    );
    for (value, right) in [
        (Value::Exactly(8.9), true),
        (Value::Exactly(8.6), false),
        (Value::Between(8.9, 9.0), true),
        (Value::Between(8.0, 9.0), false),
        (Value::OverRange { above: None }, false),
    ] {
        assert_eq!(band.holds(value), right, "{value:?}");
    }
}

#[test]
fn ohms_to_ground_must_be_off_the_scale_again() {
    let mut circuit = tender();
    // Without sensors nothing joins the feed to ground, so an ohmmeter must show OL.
    circuit.loads.clear();
    let ohms = |value| {
        Entry::Reading(Reading {
            kind: Kind::Ohms,
            value,
            state: State {
                supply_off: true,
                ..unplugged(&["C1"])
            },
            ..Reading::volts(point("C1.1f"), 0.0)
        })
    };
    for (again, right) in [
        (Value::OverRange { above: None }, true),
        (Value::Exactly(38e6), true),
        (Value::Exactly(12e3), false),
    ] {
        let log = [ohms(Value::Exactly(4.7)), repair("W7"), ohms(again)];
        let found = proved(&circuit, &log).expect("a repair");
        let first = found.checks.first().expect("the ohms");
        assert_eq!((first.kind, first.right), (Kind::Ohms, Some(right)));
        assert_eq!(first.should.expect("a band").high, None);
    }
}

#[test]
fn a_repair_of_a_return_is_proved_at_the_returns_behind_it() {
    let circuit = with_returns();
    let log = [volts("X2.2f", 0.8, &[]), repair("W8")];
    let found = proved(&circuit, &log).expect("a repair");
    assert_eq!(
        listed(&found),
        rows(&[("X2.2n", None), ("M1.feed", None)]),
        "and what read wrong is not listed twice"
    );
    let log = [repair("C1")];
    let found = proved(&circuit, &log).expect("a repair");
    let points: Vec<String> = listed(&found).into_iter().map(|row| row.0).collect();
    assert_eq!(points, ["M1.feed", "X1.1n", "X2.1n", "X1.2n", "X2.2n"]);
}

#[test]
fn the_words_say_what_is_missing_and_a_broken_sketch_proves_nothing() {
    let circuit = tender();
    let meter = Meter::default();
    let now = State::default();
    let log = [
        volts("M1.feed", 0.669, &[]),
        repair("W7"),
        volts("M1.feed", 8.98, &[]),
    ];
    let everywhere = BTreeSet::new();
    let question = Question {
        circuit: &circuit,
        meter: &meter,
        log: &log,
        now: &now,
        out_of_reach: &everywhere,
    };
    let words = proof_words(&question, &diagnose(&question)).expect("a repair");
    assert_eq!(words.verdict, "Partly proved");
    assert_eq!(
        words.detail,
        "1 of 2 points read right since the repair, 1 not read yet."
    );
    assert_eq!(words.lines[0].point, "M1 feed pin");
    assert_eq!(words.lines[0].reads, "8.98 V");
    assert_eq!(words.lines[1].why, "hangs behind W7");
    assert!(words.lines[1].should_read.ends_with(" V"));

    let empty = Circuit::default();
    let question = Question {
        circuit: &empty,
        ..question
    };
    assert_eq!(diagnose(&question).proof, None);
}
