//! What is said after a repair: never that nothing is wrong while a reading since is not what it must be, and what proves
//! the repair before anything else is opened.
//!
//! What a repair has to be proved by, and that a wrong reading is taken again before it is believed: common practice, no
//! source. 8.98 V of a sound 9 V feed: `tests/proof.rs` reckons its band.

mod support;

use std::{collections::BTreeSet, path::Path};

use pinchpoint::{
    advise::{Asked, Best},
    circuit::{Circuit, Point},
    diagnosis::{Findings, Mistake, Question, diagnose, proof::SinceRepair},
    explain::{headline, next_words, steps, worked_sum},
    notebook::read_job,
    reading::{Entry, Meter, Reading, Repair, State},
    report::open_points,
};
use support::circuits::tender;

fn point(text: &str) -> Point {
    text.parse().expect("a point of the fixture")
}

fn volts(red: &str, value: f64) -> Entry {
    Entry::Reading(Reading::volts(point(red), value))
}

/// The feed low at three places, W7 repaired, and what was read since.
fn repaired(since: &[Entry]) -> Vec<Entry> {
    let mut log = vec![
        volts("M1.feed", 0.669),
        volts("C2.1f", 0.646),
        volts("X3.1n", 0.630),
        Entry::Repair(Repair {
            part: "W7".to_owned(),
            replaced: false,
            note: String::new(),
        }),
    ];
    log.extend_from_slice(since);
    log
}

fn asked<T>(log: &[Entry], now: &State, tell: impl Fn(&Question<'_>, &Findings) -> T) -> T {
    let circuit: Circuit = tender();
    let question = Question {
        circuit: &circuit,
        meter: &Meter::default(),
        log,
        now,
        out_of_reach: &BTreeSet::new(),
    };
    tell(&question, &diagnose(&question))
}

#[test]
fn a_slip_before_the_repair_is_looked_for_with_the_fault_still_there() {
    let mut log = repaired(&[volts("M1.feed", 8.93), volts("X3.1n", 8.91)]);
    // Taken with C2 parted and noted with everything plugged; since the repair it would be right.
    log.insert(3, volts("M1.feed", 8.96));
    asked(&log, &State::default(), |_, findings| {
        let told = findings.readings.iter().find(|one| one.entry == 3);
        let mistake = told.and_then(|one| one.mistake.as_ref());
        assert!(
            matches!(mistake, Some(Mistake::PlugState { connectors }) if connectors.iter().all(|c| c == "C1" || c == "C2")),
            "{mistake:?}"
        );
    });
}

#[test]
fn of_two_faults_the_one_that_is_left_is_named_and_stands_open() {
    let sample = Path::new("sample_circuits/09-two-at-once.ron");
    let mut job = read_job(sample).expect("a sample").job;
    job.log.push(Entry::Repair(Repair {
        part: "W5".to_owned(),
        replaced: false,
        note: String::new(),
    }));
    let findings = diagnose(&job.question());
    let said = headline(&job.question(), &findings);
    let left = "S2 drawing too much (shorted inside)";
    assert_eq!(said.line, format!("Repaired; still to be repaired: {left}"));
    let open = open_points(&job, Some(&findings));
    let told = format!("{left} is most likely still there");
    assert!(open.contains(&told), "{open:?}");
}

#[test]
fn with_nothing_read_since_the_next_test_is_the_first_point_of_the_proof() {
    asked(&repaired(&[]), &State::default(), |question, findings| {
        assert_eq!(findings.since_repair(), Some(SinceRepair::NotRead));
        let said = headline(question, findings);
        assert_eq!(said.line, "Repaired, not read since: prove it");
        assert_eq!(findings.next.best, Best::Test);
        let first = &findings.proof.as_ref().expect("a repair").checks[0];
        assert!(
            matches!(&findings.next.tests[0].asked, Asked::Read { red, .. } if *red == first.red)
        );
        let next = next_words(question, findings);
        assert_eq!(next.line, "Read volts at M1 feed pin");
        assert!(next.reason.contains("must read"), "{}", next.reason);
        // The sum is that of the present state, not of what was read while the fault was there.
        assert_eq!(worked_sum(question, findings).entry, None);
    });
}

#[test]
fn a_reading_that_is_still_wrong_is_named_and_taken_again() {
    // From about 4 V on no suspect has half of the probability for sure: many faults explain that about as well as a mistake.
    for (value, again) in [
        (1.0, false),
        (2.0, false),
        (6.5, true),
        (8.0, true),
        (8.6, true),
    ] {
        let log = repaired(&[volts("X3.1f", value)]);
        asked(&log, &State::default(), |question, findings| {
            let said = headline(question, findings);
            assert!(!said.line.contains("Nothing wrong"), "{}", said.line);
            let proof = findings.proof.as_ref().expect("a repair");
            assert_eq!(proof.wrong.len(), 1);
            assert_eq!((proof.wrong[0].entry, proof.wrong[0].times), (4, 1));
            let told = steps(question, findings);
            let unread = told
                .iter()
                .any(|step| step.text.contains("nothing was read since"));
            assert!(!unread, "line 5 was");
            if again {
                assert!(matches!(
                    findings.since_repair(),
                    Some(SinceRepair::StillWrong(_))
                ));
                let beginning = "Still reads wrong since the repair of W7: X3 pin 1";
                assert!(said.line.starts_with(beginning), "{}", said.line);
                let next = next_words(question, findings);
                assert!(next.line.contains("X3 pin 1, far side"), "{}", next.line);
            } else {
                assert!(findings.accused().is_some(), "{}", said.line);
                assert_eq!(findings.since_repair(), None);
            }
        });
    }
}

#[test]
fn once_it_reads_right_the_wrong_reading_is_no_question_any_more() {
    let log = repaired(&[volts("X3.1f", 2.0), volts("X3.1f", 8.97)]);
    asked(&log, &State::default(), |_, findings| {
        assert_eq!(findings.proof.as_ref().expect("a repair").wrong, []);
    });
}

#[test]
fn plugs_that_are_off_are_proved_first_and_put_in_again_at_the_end() {
    let off = State {
        unplugged: BTreeSet::from(["X1".to_owned()]),
        ..State::default()
    };
    let at_x1 = |red: &str, value: f64| {
        Entry::Reading(Reading {
            state: off.clone(),
            ..Reading::volts(point(red), value)
        })
    };
    let mut log = repaired(&[]);
    log.insert(3, at_x1("M1.feed", 0.675));
    asked(&log, &off, |_, findings| {
        let proof = findings.proof.as_ref().expect("a repair");
        let plugged: Vec<bool> = proof.checks.iter().map(|c| c.state.is_usual()).collect();
        assert_eq!(plugged, [false, true, true, true]);
    });
    log.push(at_x1("M1.feed", 8.98));
    let ends = ["M1.feed", "C2.1f", "X3.1n"];
    log.extend(ends.map(|red| volts(red, 8.97)));
    asked(&log, &off, |question, findings| {
        assert_eq!(findings.since_repair(), Some(SinceRepair::Proved));
        let next = next_words(question, findings);
        assert_eq!(next.line, "Proved. Plug X1 in again");
    });
}
