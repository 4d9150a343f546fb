//! What a job leaves open and what nobody wrote in it: named where somebody signs, and in the report.

use crate::{
    diagnosis::Findings,
    explain::{names, proof_words, still_there},
    notebook::Job,
    reading::Entry,
};

/// What the record itself shows to be open; the proof is looked at where there are findings.
pub fn open_points(job: &Job, findings: Option<&Findings>) -> Vec<String> {
    let record = &job.record;
    let off = job.now.unplugged.iter();
    let mut items: Vec<String> = off
        .map(|connector| format!("{} is unplugged", names::called(&job.circuit, connector)))
        .collect();
    let proof = findings.and_then(|findings| proof_words(&job.question(), findings));
    for line in proof.iter().flat_map(|words| &words.lines) {
        let why = match line.right {
            Some(true) => continue,
            Some(false) => "reads wrong",
            None => "was not read since the repair",
        };
        items.push(format!("{} ({}) {why}", line.point, line.state));
    }
    if let Some(findings) = findings.filter(|findings| findings.proof.is_some()) {
        let left = still_there(findings);
        items.extend(left.map(|fault| format!("{fault} is most likely still there")));
    }
    let undone = record.follow_up.iter().filter(|work| !work.done);
    items.extend(undone.map(|work| format!("{} of {} is not done", work.kind.words(), work.what)));
    let stored = record.codes.iter().filter(|code| code.after == Some(true));
    items.extend(stored.map(|code| format!("{} is still stored", code.code)));
    let silent = record.modules.iter().filter(|one| one.after == Some(false));
    items.extend(silent.map(|one| format!("{} does not answer", one.module)));
    for check in &record.checks {
        let why = match check.works {
            Some(true) => continue,
            Some(false) => "does not work",
            None => "was not tried",
        };
        items.push(format!("{}: {why}", check.what));
    }
    items
}

/// What a record usually says and this one does not.
pub fn not_written(job: &Job) -> Vec<&'static str> {
    let record = &job.record;
    let vehicle = [
        &job.vehicle,
        &record.vehicle.identification,
        &record.vehicle.plate,
    ];
    let repaired = job.log.iter().any(|e| matches!(e, Entry::Repair(_)));
    let read = job.log.iter().any(|e| matches!(e, Entry::Reading(_)));
    let empty = |texts: &[&String]| texts.iter().all(|text| text.trim().is_empty());
    [
        (empty(&vehicle), "which vehicle it is"),
        (
            empty(&[&job.request, &record.arrival]),
            "what the concern was",
        ),
        (!read, "any reading"),
        (empty(&[&record.cause]), "the cause"),
        (
            empty(&[&record.correction]) && !repaired,
            "what was done about it",
        ),
        (record.work.is_empty(), "the minutes"),
        (empty(&[&record.date]), "the day of the work"),
        (empty(&[&record.technician]), "who did it"),
        (
            !empty(&[&record.sign_off.by]) && empty(&[&record.sign_off.date]),
            "on which day it was signed",
        ),
    ]
    .into_iter()
    .filter_map(|(missing, what)| missing.then_some(what))
    .collect()
}

/// Whether nothing was found or done yet, so that there is nothing for a signature to stand for.
pub fn is_blank(job: &Job) -> bool {
    let record = &job.record;
    let texts = [
        &job.request,
        &job.notes,
        &record.arrival,
        &record.cause,
        &record.correction,
        &record.remains,
    ];
    job.log.is_empty()
        && texts.iter().all(|text| text.trim().is_empty())
        && record.work.is_empty()
        && record.checks.is_empty()
}
