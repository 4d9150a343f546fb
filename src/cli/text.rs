//! Findings as text for a terminal.

use std::fmt::Write as _;

use super::{table::table, words};
use crate::{
    advise::Best,
    diagnosis::{Findings, Problem},
    explain::{
        NOTHING, cautions, headline, looked_at, module, names, next_words, nothing_wrong,
        readings::mistake, steps, worked_sum,
    },
    notebook::{Job, trouble::visible},
    quantity::format::{percent, si},
    reading::Entry,
};

/// Suspects that are listed; the rest have next to no probability.
const LISTED: usize = 8;

/// Everything about one job.
pub fn findings(job: &Job, findings: &Findings) -> String {
    let mut text = String::new();
    for heading in [&job.title, &job.vehicle] {
        if !heading.is_empty() {
            text.push_str(&visible(heading));
            text.push('\n');
        }
    }
    paragraph(&mut text, "", &answer(job, findings));
    paragraph(&mut text, "Suspects", &suspects(findings));
    paragraph(&mut text, "Next", &next(job, findings));
    paragraph(&mut text, "Readings", &readings(job, findings));
    let question = job.question();
    let sum = worked_sum(&question, findings);
    let lines = sum.lines.iter().map(|line| line.text.as_str());
    paragraph(&mut text, "The sum behind it", &indented(lines));
    let steps = steps(&question, findings);
    let lines = steps.iter().map(|step| step.text.as_str());
    paragraph(&mut text, "Step by step", &indented(lines));
    let modules: String = findings
        .modules
        .iter()
        .map(|verdict| format!("  {}\n", module::verdict(verdict)))
        .collect();
    let supplies: String = (findings.supplies.iter())
        .filter_map(module::narrowed)
        .map(|line| format!("  {line}\n"))
        .collect();
    paragraph(&mut text, "Supply, as far as the readings tell", &supplies);
    paragraph(&mut text, "Module", &modules);
    let problems: String = findings
        .problems
        .iter()
        .map(|problem| format!("  {}\n", self::problem(problem)))
        .collect();
    paragraph(&mut text, "To mend or know", &problems);
    let cautions = cautions(&question, findings);
    let lines = cautions.iter().map(|caution| caution.text.as_str());
    paragraph(&mut text, "Careful", &indented(lines));
    text
}

fn indented<'a>(lines: impl Iterator<Item = &'a str>) -> String {
    lines.map(|line| format!("  {}\n", visible(line))).collect()
}

/// A problem in one line.
pub fn problem(problem: &Problem) -> String {
    visible(&format!(
        "{}: {}; {}.",
        problem.place,
        problem.what.trim_end_matches('.'),
        problem.remedy.trim_end_matches('.')
    ))
}

fn paragraph(text: &mut String, heading: &str, body: &str) {
    if body.is_empty() {
        return;
    }
    if !text.is_empty() {
        text.push('\n');
    }
    if !heading.is_empty() {
        text.push_str(heading);
        text.push('\n');
    }
    text.push_str(body);
}

/// The answer in one sentence, and what stands behind it.
fn answer(job: &Job, findings: &Findings) -> String {
    let headline = headline(&job.question(), findings);
    let mut text = format!("{}.\n", visible(&headline.line));
    if !headline.detail.is_empty() {
        let _ = writeln!(text, "{}", visible(&headline.detail));
    }
    text
}

/// What to do next, what it would show, and other tests.
fn next(job: &Job, findings: &Findings) -> String {
    /// Further tests that are named.
    const OTHERS: usize = 3;
    let words = next_words(&job.question(), findings);
    if words.line.is_empty() {
        return String::new();
    }
    let mut text = String::new();
    let minutes = match (findings.next.best, words.tests.first()) {
        (Best::Test, Some(test)) => format!(" ({})", test.minutes),
        _ => String::new(),
    };
    let _ = writeln!(text, "  {}{minutes}.", visible(&words.line));
    if findings.next.best == Best::Test
        && let Some(test) = words.tests.first()
    {
        for one in &test.outcomes {
            let line = format!("    {} ({}): {}", one.shows, one.chance, one.leaves);
            let _ = writeln!(text, "{}", visible(&line));
        }
        for caution in &test.cautions {
            let _ = writeln!(text, "    {caution}");
        }
    }
    if !words.reason.is_empty() {
        let _ = writeln!(text, "  {}", visible(&words.reason));
    }
    let skipped = usize::from(findings.next.best == Best::Test);
    for (place, test) in words.tests.iter().skip(skipped).take(OTHERS).enumerate() {
        let or = if place == 0 { "Or: " } else { "    " };
        let line = format!("  {or}{} ({}, {})", test.action, test.minutes, test.narrows);
        let _ = writeln!(text, "{}", visible(&line));
    }
    text
}

fn suspects(findings: &Findings) -> String {
    let listed = &findings.suspects[..findings.suspects.len().min(LISTED)];
    let rows: Vec<Vec<String>> = listed
        .iter()
        .map(|suspect| {
            vec![
                percent(suspect.probability),
                suspect.site.to_string(),
                words::kind(suspect.kind).to_owned(),
                words::ohms(suspect),
                words::position(suspect),
            ]
        })
        .collect();
    let mut text = table(&rows);
    for group in &findings.groups {
        let members: Vec<String> = group
            .members
            .iter()
            .filter(|&&member| member < LISTED)
            .filter_map(|&member| findings.suspects.get(member))
            .map(|suspect| format!("{} ({})", suspect.site, words::kind(suspect.kind)))
            .collect();
        if members.len() > 1 {
            let _ = writeln!(
                text,
                "  No reading against battery negative tells these apart: {}.",
                members.join(", ")
            );
        }
    }
    for combination in &findings.combinations {
        if combination.faults.len() > 1 && combination.probability > 0.1 {
            let faults: Vec<String> = combination
                .faults
                .iter()
                .map(|(site, kind)| format!("{} at {site}", words::kind(*kind)))
                .collect();
            let _ = writeln!(
                text,
                "  Together ({}): {}.",
                percent(combination.probability),
                faults.join(" and ")
            );
        }
    }
    if !text.is_empty() {
        let _ = writeln!(
            text,
            "  {}; {}",
            words::chance(findings.healthy, nothing_wrong(findings)),
            words::chance(findings.unexplained, "nothing on this sketch explains it")
        );
    }
    text
}

fn readings(job: &Job, findings: &Findings) -> String {
    let mut rows = vec![
        [
            "line",
            "point",
            "state",
            "reads",
            "should read",
            "under the top suspect",
        ]
        .map(str::to_owned)
        .to_vec(),
    ];
    let mut flags = String::new();
    for (index, entry) in job.log.iter().enumerate() {
        let line = (index + 1).to_string();
        let reading = match entry {
            Entry::Reading(reading) => reading,
            Entry::Inspection(look) => {
                let at = visible(&looked_at(&job.circuit, look));
                let aside = if look.set_aside { ", set aside" } else { "" };
                rows.push(vec![line, at, String::new(), format!("{NOTHING}{aside}")]);
                continue;
            }
            Entry::Repair(repair) => {
                let done = if repair.replaced {
                    "replaced"
                } else {
                    "repaired"
                };
                rows.push(vec![line, format!("{} {done}", visible(&repair.part))]);
                continue;
            }
        };
        let unit = reading.kind.unit();
        let finding = findings.readings.iter().find(|f| f.entry == index);
        let mut row = vec![
            line,
            words::leads(reading),
            visible(&words::stood(reading)),
            names::shown(reading),
        ];
        match finding {
            Some(finding) => {
                row.push(match finding.hinges {
                    Some(hinges) => names::should(finding.healthy.mean, Some(hinges), unit),
                    None => si(finding.healthy.mean, unit),
                });
                row.push(
                    finding
                        .suspected
                        .map_or_else(String::new, |value| si(value.mean, unit)),
                );
                if let Some(sentence) = mistake(index, reading, finding) {
                    let _ = writeln!(flags, "  {}", visible(&sentence));
                }
            }
            None if reading.set_aside => row.push("set aside".to_owned()),
            None => row.push("not used".to_owned()),
        }
        rows.push(row);
    }
    if rows.len() == 1 {
        return String::new();
    }
    table(&rows) + &flags
}
