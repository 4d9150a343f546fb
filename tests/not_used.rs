//! Readings that cannot be are left out of the answer, with the reason, and `check` says so; and a limit that nobody knows is
//! called assumed. The requirement is the reference: common practice, no source.

mod support;

use pinchpoint::{
    circuit::{LimitMode, Point},
    diagnosis::diagnose,
    explain::worked_sum,
    notebook::{Job, problems},
    reading::{Entry, Kind, Reading, Value},
};
use support::circuits::tender;

fn point(text: &str) -> Point {
    text.parse().expect("a point of the fixture")
}

#[test]
fn readings_that_cannot_be_are_not_used() {
    let volts = |value| Reading::volts(point("X1.1n"), value);
    let same = Reading {
        black: point("X1.1n"),
        ..volts(1.0)
    };
    let mut negative = Reading {
        kind: Kind::Ohms,
        value: Value::Exactly(-4.7),
        ..volts(0.0)
    };
    negative.state.supply_off = true;
    for (reading, why) in [
        (same, "both leads are at X1.1n"),
        (negative, "live"),
        (volts(1e300), "no meter shows such a value"),
    ] {
        let job = Job {
            circuit: tender(),
            log: vec![Entry::Reading(reading)],
            ..Job::default()
        };
        let findings = diagnose(&job.question());
        assert_eq!(findings.fit.readings, 0, "{why}");
        let said = |list: &[pinchpoint::diagnosis::Problem]| {
            let own: Vec<_> = list.iter().filter(|p| p.place == "log line 1").collect();
            assert_eq!(own.len(), 1, "{own:?}");
            assert!(
                own[0].what.contains(why) && own[0].what.contains("not used"),
                "{own:?}"
            );
        };
        said(&findings.problems);
        said(&problems(&job));
    }
}

#[test]
fn a_limit_that_nobody_knows_is_called_assumed() {
    let low = |red: &str, value: f64| Entry::Reading(Reading::volts(point(red), value));
    let mut job = Job {
        circuit: tender(),
        log: vec![
            low("M1.feed", 0.663),
            low("X3.1n", 0.629),
            low("C2.1f", 0.641),
        ],
        ..Job::default()
    };
    let sum = |job: &Job| {
        let sum = worked_sum(&job.question(), &diagnose(&job.question()));
        let lines: Vec<String> = sum.lines.into_iter().map(|line| line.text).collect();
        lines.join("\n")
    };
    let known = sum(&job);
    assert!(
        known.contains("at its limit") && !known.contains("assumed"),
        "{known}"
    );
    // The fall along the wires would tell the limit; one reading does not.
    job.log.truncate(1);
    job.circuit.supplies[0].limit = LimitMode::Constant { limit: None };
    let unknown = sum(&job);
    assert!(
        unknown.contains("With an assumed limit of about"),
        "{unknown}"
    );
}
