//! Findings in words: every printed sum is reckoned again from what is printed, over all samples, suspects and readings.

#[path = "support/sums.rs"]
mod sums;

use std::path::PathBuf;

use pinchpoint::{
    diagnosis::{Findings, diagnose},
    explain::{
        self, Headline, WorkedSum, headline, reading_lines, sum::figures::Operator, telling,
        worked_sum, worked_sum_of,
    },
    notebook::{Job, read_job},
    reading::Entry,
};
use sums::{Checked, check_line};

/// Every sample with its findings.
fn samples() -> Vec<(String, Job, Findings)> {
    let folder = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("sample_circuits");
    let mut paths: Vec<PathBuf> = std::fs::read_dir(folder)
        .expect("the folder is there")
        .map(|entry| entry.expect("an entry").path())
        .collect();
    paths.sort();
    paths
        .into_iter()
        .map(|path| {
            let job = read_job(&path).expect("a sample opens").job;
            let findings = diagnose(&job.question());
            (path.display().to_string(), job, findings)
        })
        .collect()
}

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

/// The solve behind a sum stands where the meter stood: for every used reading of volts at the top suspect's best fit.
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

#[test]
fn a_headline_ends_with_its_place_and_is_never_certain() {
    for (name, job, findings) in samples() {
        let Headline {
            line,
            place,
            detail,
        } = headline(&job.question(), &findings);
        assert!(line.ends_with(&place), "{name}: {line} / {place}");
        assert!(!line.ends_with('.') && line.starts_with(char::is_uppercase));
        for text in [&line, &detail] {
            assert!(!text.contains("100 %") && !text.contains(" 0 %"), "{text}");
        }
        let top = findings.suspects.first();
        if top.is_some_and(|top| top.probability > findings.healthy) {
            assert!(detail.contains("likely"), "{name}: {detail}");
        }
    }
}

#[test]
fn every_reading_of_the_log_has_a_line() {
    for (name, job, findings) in samples() {
        let lines = reading_lines(&job.question(), &findings);
        let readings = job
            .log
            .iter()
            .filter(|entry| matches!(entry, Entry::Reading(_)))
            .count();
        assert_eq!(lines.len(), readings, "{name}");
        for line in lines {
            assert!(!line.point.is_empty() && !line.reads.is_empty());
            let used = findings.readings.iter().any(|f| f.entry == line.entry);
            assert_eq!(used, line.unused.is_none(), "{name} {}", line.entry);
            assert_eq!(used, line.speaks.ends_with(" bit"), "{name} {line:?}");
        }
    }
}

/// Common practice, no source: what every job is told, whatever is drawn.
#[test]
fn the_makers_procedure_lamps_and_ohms_are_always_named() {
    for (name, job, findings) in samples() {
        let cautions = explain::cautions(&job.question(), &findings);
        for needed in ["maker's procedure", "lamp", "Ohms only with the supply off"] {
            let told = cautions.iter().any(|caution| caution.text.contains(needed));
            assert!(told, "{name}: {needed}");
        }
    }
}
