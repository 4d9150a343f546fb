//! For the shop: concern, cause, correction, what was disturbed, what remains.

use super::{Block, Source, heading, list, proof, tables, text};
use crate::{
    diagnosis::Suspect,
    explain::names,
    quantity::format::percent,
    reading::Entry,
    report::{
        content::{Basis, Section},
        open_points,
    },
};

/// Suspects that are listed.
const LISTED: usize = 4;

/// The section.
pub fn section(source: &Source<'_>) -> Section {
    let job = source.job;
    let record = &job.record;
    let mut blocks = vec![heading("Concern")];
    blocks.extend(text(Basis::Stated, &job.request));
    blocks.extend(text(Basis::Stated, &record.arrival));
    if job.request.trim().is_empty() && record.arrival.trim().is_empty() {
        blocks.push(nothing("Nothing was noted."));
    }
    blocks.push(heading("Cause"));
    blocks.extend(text(Basis::Stated, &record.cause));
    blocks.extend(list(Basis::Inferred, suspects(source)));
    blocks.push(heading("Correction"));
    blocks.extend(text(Basis::Stated, &record.correction));
    blocks.extend(list(Basis::Stated, repairs(source)));
    if record.correction.trim().is_empty() && repairs(source).is_empty() {
        blocks.push(nothing("Nothing was repaired yet."));
    }
    blocks.extend(tables::parts(job));
    blocks.extend(proof(source));
    blocks.push(heading("What was disturbed"));
    blocks.extend(list(Basis::Stated, disturbed(source)));
    blocks.push(heading("What remains"));
    let remains = open_points(job, Some(&source.study.now));
    if remains.is_empty() && record.remains.trim().is_empty() {
        blocks.push(nothing("Nothing is known to remain."));
    }
    blocks.extend(text(Basis::Stated, &record.remains));
    blocks.extend(list(Basis::Inferred, remains));
    Section {
        heading: "For the shop".to_owned(),
        blocks,
    }
}

fn nothing(words: &str) -> Block {
    Block::Text {
        basis: None,
        text: words.to_owned(),
    }
}

/// The likeliest suspects in words, while the fault was there.
fn suspects(source: &Source<'_>) -> Vec<String> {
    let findings = source.study.of_fault();
    let words = |suspect: &Suspect| {
        let place = suspect.position.as_ref().map(names::stretch);
        let ohms = suspect.resistance.map(names::resistance);
        let more: Vec<String> = [place, ohms].into_iter().flatten().collect();
        let more = if more.is_empty() {
            String::new()
        } else {
            format!(": {}", more.join(", "))
        };
        format!(
            "{}, {}{more}",
            percent(suspect.probability),
            names::accusation(&suspect.site, suspect.kind)
        )
    };
    let worth = |suspect: &&Suspect| suspect.probability >= 0.01;
    findings
        .suspects
        .iter()
        .filter(worth)
        .take(LISTED)
        .map(words)
        .collect()
}

/// Repairs as they stand in the log.
fn repairs(source: &Source<'_>) -> Vec<String> {
    let lines = source.job.log.iter().enumerate();
    lines
        .filter_map(|(index, entry)| match entry {
            Entry::Repair(repair) => {
                let done = if repair.replaced {
                    "replaced"
                } else {
                    "repaired"
                };
                let part = names::called(&source.job.circuit, &repair.part);
                let note = if repair.note.trim().is_empty() {
                    String::new()
                } else {
                    format!(": {}", repair.note.trim())
                };
                Some(format!("{part} {done} (line {}){note}", index + 1))
            }
            Entry::Reading(_) | Entry::Inspection(_) => None,
        })
        .collect()
}

/// What was hit or worked on before, and what was parted for the tests.
fn disturbed(source: &Source<'_>) -> Vec<String> {
    let job = source.job;
    let mut items: Vec<String> = job
        .circuit
        .damage_zones
        .iter()
        .map(|zone| format!("{} ({})", zone.note, names::list(&zone.parts, "and")))
        .collect();
    let mut parted: Vec<&String> = Vec::new();
    for entry in &job.log {
        if let Entry::Reading(reading) = entry {
            for connector in &reading.state.unplugged {
                if !parted.contains(&connector) {
                    parted.push(connector);
                }
            }
        }
    }
    let unplugged = &job.now.unplugged;
    for connector in &parted {
        let still = if unplugged.contains(*connector) {
            "unplugged for a test, and still is"
        } else {
            "unplugged for a test, plugged again"
        };
        items.push(format!(
            "{}: {still}",
            names::called(&job.circuit, connector)
        ));
    }
    if parted.is_empty() {
        items.push("no connector was noted as unplugged for a test".to_owned());
    }
    items
}
