//! For the technician: the full log with the wrong turns, what each step showed, the sum, the suspects.

use super::{Block, Source, heading, list, tables, text};
use crate::{
    explain::{steps, worked_sum},
    quantity::format::minutes,
    quantity::units::as_minutes,
    report::content::{Basis, Section},
};

/// The section.
pub fn section(source: &Source<'_>) -> Section {
    let (job, study) = (source.job, source.study);
    let mut blocks = vec![heading("The log")];
    match tables::log(source) {
        Some(table) => blocks.push(table),
        None => blocks.push(Block::Text {
            basis: None,
            text: "Nothing was read.".to_owned(),
        }),
    }
    let question = study.fault_question(job);
    let steps: Vec<String> = steps(&question, study.of_fault())
        .into_iter()
        .map(|step| step.text)
        .collect();
    if !steps.is_empty() {
        blocks.push(heading("Step by step"));
        blocks.extend(list(Basis::Inferred, steps));
    }
    let sum: Vec<String> = worked_sum(&question, study.of_fault())
        .lines
        .into_iter()
        .map(|line| line.text)
        .collect();
    if !sum.is_empty() {
        blocks.push(heading("The sum behind it"));
        blocks.extend(list(Basis::Inferred, sum));
    }
    if let Some(table) = tables::suspects(source) {
        blocks.push(heading("Suspects"));
        blocks.push(table);
    }
    let problems: Vec<String> = study
        .now
        .problems
        .iter()
        .map(|problem| format!("{}: {}; {}", problem.place, problem.what, problem.remedy))
        .collect();
    if !problems.is_empty() {
        blocks.push(heading("To mend or know"));
        blocks.extend(list(Basis::Inferred, problems));
    }
    let reached: Vec<String> = job
        .circuit
        .connectors
        .iter()
        .filter(|connector| !connector.place.is_empty())
        .map(|connector| {
            let name = if connector.name.is_empty() {
                String::new()
            } else {
                format!(" ({})", connector.name)
            };
            format!(
                "{}{name}: {}, {} to reach",
                connector.id,
                connector.place,
                minutes(as_minutes(connector.access))
            )
        })
        .collect();
    if !reached.is_empty() {
        blocks.push(heading("Where the connectors are"));
        blocks.extend(list(Basis::Stated, reached));
    }
    if !job.notes.trim().is_empty() {
        blocks.push(heading("Notes"));
        blocks.extend(text(Basis::Stated, &job.notes));
    }
    Section {
        heading: "For the technician".to_owned(),
        blocks,
    }
}
