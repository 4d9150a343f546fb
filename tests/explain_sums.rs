//! Worked sums: every printed sum is reckoned again from what is printed, over all samples, suspects and readings.

#[path = "support/samples.rs"]
mod samples;
#[path = "support/sums.rs"]
mod sums;

use pinchpoint::{
    circuit::{LimitMode, quick_feed, stock},
    diagnosis::{Findings, diagnose},
    explain::{
        self, WorkedSum, headline, sum::figures::Operator, telling, worked_sum, worked_sum_of,
    },
    notebook::Job,
    quantity::units::volts,
    reading::{Entry, Kind, Reading, Repair, Value},
};
use samples::{sample, samples};
use sums::{Checked, check_line};

/// Every sum of a job: each suspect and none, in the state of each reading and the present one.
fn all_sums(job: &Job, findings: &Findings) -> Vec<WorkedSum> {
    let suspects = (0..findings.suspects.len().min(6)).map(Some);
    let entries: Vec<Option<usize>> = (0..job.log.len()).map(Some).chain([None]).collect();
    suspects
        .chain([None])
        .flat_map(|suspect| {
            entries
                .iter()
                .map(move |&entry| worked_sum_of(&job.question(), findings, suspect, entry))
        })
        .collect()
}

/// Checks the printed and the unrounded sums of a worked sum; gives how many there were.
fn check_sum(place: &str, sum: &WorkedSum) -> usize {
    let mut count = 0;
    for line in &sum.lines {
        let checked = check_line(&line.text).unwrap_or_else(|why| panic!("{place}: {why}"));
        if checked == Checked::Sum {
            count += 1;
        }
        assert!(!line.text.contains("NaN"), "{place}: {}", line.text);
        if let Some(equation) = line.equation {
            assert_eq!(checked, Checked::Sum, "{place}: {}", line.text);
            let comes_out = match equation.operator {
                Operator::Plus => equation.left + equation.right,
                Operator::Minus => equation.left - equation.right,
                Operator::Times => equation.left * equation.right,
                Operator::Over => equation.left / equation.right,
            };
            let slack = 1e-9 * (equation.left.abs() + equation.result.abs());
            assert!(
                (comes_out - equation.result).abs() <= slack,
                "{place}: {equation:?}"
            );
        }
    }
    count
}

#[test]
fn every_printed_sum_comes_out_from_what_is_printed() {
    let mut count = 0;
    for (name, job, findings) in samples() {
        for sum in all_sums(&job, &findings) {
            let place = format!("{name} {:?} {:?}", sum.suspect, sum.entry);
            count += check_sum(&place, &sum);
            let is_repair = sum
                .entry
                .is_some_and(|entry| matches!(job.log[entry], Entry::Repair(_)));
            assert_eq!(sum.lines.is_empty(), is_repair, "{place}");
        }
    }
    assert!(count > 300, "{count} sums");
}

#[test]
fn the_sum_behind_a_single_short_ends_at_the_ohms_of_the_findings() {
    use pinchpoint::fault::FaultKind::{DrawsTooMuch, ShortToGround, ShortToRail, UndrawnShort};
    let mut count = 0;
    for (name, job, findings) in samples() {
        let Some(top) = findings.suspects.first() else {
            continue;
        };
        let short = matches!(
            top.kind,
            ShortToGround | ShortToRail | DrawsTooMuch | UndrawnShort
        );
        if !short || top.probability < findings.healthy {
            continue;
        }
        let sum = worked_sum(&job.question(), &findings);
        let last = sum.lines.last().and_then(|line| line.equation);
        let equation = last.unwrap_or_else(|| panic!("{name} ends with a sum"));
        assert_eq!(equation.operator, Operator::Over, "{name}");
        let ohms = top.resistance.expect("a short has ohms");
        assert!(
            equation.result > 0.85 * ohms.low && equation.result < 1.15 * ohms.high,
            "{name}: {} not in {ohms:?}",
            equation.result
        );
        count += 1;
    }
    assert!(count >= 6, "{count} shorts among the samples");
}

/// One fault, one figure: what the headline calls “about” is what the sum comes to, to the two digits that it has.
#[test]
fn the_sum_comes_to_the_ohms_of_the_headline() {
    let mut count = 0;
    for (name, job, findings) in samples() {
        let Some(ohms) = findings.accused().and_then(|top| top.resistance) else {
            continue;
        };
        let about = explain::names::about(ohms);
        let sum = worked_sum(&job.question(), &findings);
        let last = sum.lines.iter().rev().find_map(|line| line.equation);
        let Some(result) = last.filter(|_| about.starts_with("about")) else {
            continue;
        };
        let off = (result.result - ohms.median).abs() / ohms.median;
        assert!(off < 0.01, "{name}: {about} and {}", result.result);
        count += 1;
    }
    assert!(count >= 6, "{count} samples with ohms");
}

#[test]
fn the_solve_behind_a_sum_stands_where_the_meter_stood() {
    let mut count = 0;
    for (name, job, findings) in samples() {
        let top = findings.suspects.first();
        if top.is_none_or(|top| top.probability < findings.healthy) {
            continue;
        }
        for finding in findings.readings.iter().filter(|f| f.mistaken < 0.5) {
            let entry = finding.entry;
            let Entry::Reading(reading) = &job.log[entry] else {
                panic!("{name}: a finding about a reading");
            };
            let Value::Exactly(read) = reading.value else {
                continue;
            };
            let sum = worked_sum_of(&job.question(), &findings, Some(0), Some(entry));
            let way = sum.lines.iter().find(|line| line.text.starts_with("From "));
            let Some(equation) = way.and_then(|line| line.equation) else {
                continue;
            };
            assert!(
                (equation.left - read).abs() < 0.01 * read,
                "{name} {entry}: {} for {read}",
                equation.left
            );
            count += 1;
        }
    }
    assert!(count >= 10, "{count} readings away from the fault");
}

#[test]
fn the_sum_is_told_in_the_state_of_a_reading_that_shows_the_fault() {
    for (name, job, findings) in samples() {
        let top = findings.suspects.first();
        let suspect = top
            .filter(|top| top.probability > findings.healthy)
            .map(|_| 0);
        let Some(entry) = telling(&job.question(), &findings, suspect) else {
            panic!("{name}: no reading is told");
        };
        let finding = findings
            .readings
            .iter()
            .find(|finding| finding.entry == entry)
            .expect("a used reading");
        assert!(finding.mistaken < 0.5, "{name}");
        let sum = worked_sum(&job.question(), &findings);
        assert_eq!((sum.suspect, sum.entry), (suspect, Some(entry)), "{name}");
        let head = format!("Reading {}, ", entry + 1);
        assert!(sum.lines[0].text.starts_with(&head), "{name}");
    }
}

/// Calculated: the short of the first sample, mended; the readings before keep their sums.
#[test]
fn after_a_repair_the_old_readings_keep_their_sums() {
    let (mut job, _) = sample("01-ride-height");
    job.log.push(Entry::Repair(Repair {
        part: "W7".to_owned(),
        replaced: false,
        note: String::new(),
    }));
    for point in ["M1.feed", "X3.1n", "X5.1n"] {
        let volts = if point == "M1.feed" { 8.93 } else { 8.92 };
        job.log.push(Entry::Reading(Reading::volts(
            point.parse().expect("a point"),
            volts,
        )));
    }
    let findings = diagnose(&job.question());
    let line = headline(&job.question(), &findings).line;
    assert_eq!(
        line,
        "Reads right so far since the repair of W7: 3 of 4 read"
    );
    let steps = explain::steps(&job.question(), &findings);
    let after = "After W7 was repaired, M1 feed pin reads 8.93 V, as it should.";
    assert!(steps.iter().any(|step| step.text == after), "{steps:?}");
    for sum in all_sums(&job, &findings) {
        check_sum("after the repair", &sum);
    }
}

/// Whatever was read, in whatever state: the words hold together and every sum comes out.
#[test]
fn readings_that_make_no_sense_are_told_without_stumbling() {
    let mut seed = 7u64;
    let mut draw = |most: u64| {
        // Knuth's multiplicative congruential generator (The Art of Computer Programming 2, 3.3.4, line 26).
        seed = seed
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (seed >> 33) % most
    };
    for case in 0..24 {
        let mut circuit = quick_feed(volts(5.0), 3, case % 2 == 0, case % 3 == 0);
        circuit.supplies[0].limit = match case % 4 {
            0 => LimitMode::None,
            1 => LimitMode::Unknown,
            2 => LimitMode::Constant { limit: None },
            _ => LimitMode::Foldback {
                limit: None,
                short_circuit: None,
            },
        };
        circuit.supplies[0].sinks = case % 5 != 0;
        circuit.rails.push(stock::rail("B1", volts(12.6)));
        let points = circuit.points();
        let mut log = Vec::new();
        for _ in 0..5 {
            let point = points[draw(points.len() as u64) as usize].clone();
            let mut reading = Reading::volts(point, draw(1300) as f64 / 100.0);
            if draw(2) == 0 {
                reading.state.unplugged.insert(format!("X{}", 1 + draw(3)));
            }
            if draw(4) == 0 {
                reading.kind = Kind::Ohms;
                reading.value = Value::Exactly(draw(100_000) as f64 / 10.0);
            }
            if draw(6) == 0 {
                reading.value = Value::OverRange { above: None };
            }
            log.push(Entry::Reading(reading));
        }
        let job = Job {
            circuit,
            log,
            ..Job::default()
        };
        let findings = diagnose(&job.question());
        let said = headline(&job.question(), &findings);
        assert!(said.line.ends_with(&said.place), "{case}: {said:?}");
        for sum in all_sums(&job, &findings) {
            check_sum(&format!("case {case}"), &sum);
        }
        for step in explain::steps(&job.question(), &findings) {
            assert!(step.text.ends_with('.'), "{case}: {step:?}");
            assert!(step.entries.is_sorted(), "{case}: {step:?}");
        }
    }
}
