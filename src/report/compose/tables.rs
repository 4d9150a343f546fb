//! The tables of the report.

use super::{Block, Source};
use crate::{
    explain::{NOTHING, looked_at, names, proof_words, reading_lines},
    notebook::{Job, TroubleCode},
    quantity::{
        Unit,
        format::{interval, minutes, percent},
        units::as_minutes,
    },
    reading::Entry,
    report::content::{Basis, Column, Row, Tone},
};

/// Suspects that are listed; the rest have next to no probability.
const LISTED: usize = 10;

fn yes(flag: Option<bool>, yes: &str, no: &str, unknown: &str) -> String {
    flag.map_or(unknown, |flag| if flag { yes } else { no })
        .to_owned()
}

/// Every line of the log.
pub fn log(source: &Source<'_>) -> Option<Block> {
    let (job, study) = (source.job, source.study);
    // What a reading should have been and whether it is a mistake, as the whole log has it.
    let said = reading_lines(&job.question(), &study.now);
    let rows = job.log.iter().enumerate().map(|(index, entry)| {
        let number = (index + 1).to_string();
        match entry {
            Entry::Inspection(look) => {
                let aside = look.set_aside.then_some("set aside");
                let notes = [aside, Some(look.note.as_str())];
                let notes: Vec<&str> = (notes.into_iter().flatten())
                    .filter(|note| !note.trim().is_empty())
                    .collect();
                let tone = if look.set_aside {
                    Tone::Quiet
                } else {
                    Tone::Plain
                };
                Row::plain([
                    number,
                    looked_at(&job.circuit, look),
                    String::new(),
                    NOTHING.to_owned(),
                    String::new(),
                    notes.join("; "),
                ])
                .toned(tone)
            }
            Entry::Repair(repair) => {
                let done = if repair.replaced {
                    "replaced"
                } else {
                    "repaired"
                };
                Row::plain([
                    number,
                    repair.part.clone(),
                    String::new(),
                    done.to_owned(),
                    String::new(),
                    repair.note.clone(),
                ])
                .toned(Tone::Good)
            }
            Entry::Reading(reading) => {
                let words = said.iter().find(|line| line.entry == index);
                let unused = words.and_then(|line| line.unused.clone());
                let mistake = words.and_then(|line| line.mistake.clone());
                let should = words.map_or_else(String::new, |line| line.should_read.clone());
                let notes: Vec<String> =
                    [unused.clone(), mistake.clone(), Some(reading.note.clone())]
                        .into_iter()
                        .flatten()
                        .filter(|note| !note.trim().is_empty())
                        .collect();
                let tone = match (unused.is_some(), mistake.is_some()) {
                    (true, _) => Tone::Quiet,
                    (_, true) => Tone::Careful,
                    _ => Tone::Plain,
                };
                Row::plain([
                    number,
                    names::leads(reading),
                    names::stood(reading),
                    names::shown(reading),
                    should,
                    notes.join("; "),
                ])
                .toned(tone)
            }
        }
    });
    Block::table(
        Basis::Measured,
        vec![
            Column::figures("Line", 0.5),
            Column::words("Where", 1.9),
            Column::words("State", 2.0),
            Column::figures("Reads", 1.2),
            Column::figures("Should read", 1.1),
            Column::words("Note", 2.6),
        ],
        rows.collect(),
    )
}

/// What read wrong before, and what it reads since the repair.
pub fn before_after(source: &Source<'_>) -> Option<Block> {
    let job = source.job;
    let proof = source.study.now.proof.as_ref()?;
    let words = proof_words(&job.question(), &source.study.now)?;
    let rows = proof.checks.iter().zip(words.lines).map(|(check, line)| {
        let before = job.log[..proof.entry]
            .iter()
            .rev()
            .find_map(|entry| match entry {
                Entry::Reading(reading)
                    if !reading.set_aside
                        && (reading.kind, &reading.red, &reading.black)
                            == (check.kind, &check.red, &check.black)
                        && reading.state.stands_alike(&check.state) =>
                {
                    Some(names::shown(reading))
                }
                _ => None,
            });
        let tone = match line.right {
            Some(true) => Tone::Good,
            Some(false) => Tone::Bad,
            None => Tone::Quiet,
        };
        Row::plain([
            line.point,
            line.state,
            before.unwrap_or_else(|| "not read".to_owned()),
            line.should_read,
            if line.reads.is_empty() {
                "not read".to_owned()
            } else {
                line.reads
            },
            yes(line.right, "right", "wrong", "open"),
        ])
        .toned(tone)
    });
    Block::table(
        Basis::Measured,
        vec![
            Column::words("Where", 2.0),
            Column::words("State", 2.0),
            Column::figures("Before", 1.2),
            Column::figures("Should read", 1.8),
            Column::figures("After", 1.2),
            Column::words("", 0.7),
        ],
        rows.collect(),
    )
}

/// Codes, each with what its letters and digits mean.
pub fn codes(job: &Job) -> Option<Block> {
    let rows = job.record.codes.iter().map(|code| {
        let split = TroubleCode::read(&code.code);
        let meaning = match split {
            Ok(split) => {
                let failure = split
                    .failure_words()
                    .map_or_else(String::new, |words| format!("; {words}"));
                format!(
                    "{}, {}{failure}",
                    split.system_words(),
                    split.origin_words()
                )
            }
            Err(_) => "a form of its own".to_owned(),
        };
        Row::plain([
            code.code.clone(),
            code.text.clone(),
            meaning,
            code.module.clone(),
            yes(code.before, "stored", "no", "not read"),
            yes(code.after, "stored", "gone", "not read"),
        ])
        .toned(if code.after == Some(true) {
            Tone::Bad
        } else {
            Tone::Plain
        })
    });
    Block::table(
        Basis::Measured,
        vec![
            Column::words("Code", 1.1),
            Column::words("As the scan has it", 2.0),
            Column::words("Its form says", 2.2),
            Column::words("Module", 1.4),
            Column::words("Arrival", 0.9),
            Column::words("After", 0.9),
        ],
        rows.collect(),
    )
}

/// Modules that answer.
pub fn modules(job: &Job) -> Option<Block> {
    let rows = job.record.modules.iter().map(|module| {
        Row::plain([
            module.module.clone(),
            yes(module.before, "answers", "silent", "not tried"),
            yes(module.after, "answers", "silent", "not tried"),
        ])
        .toned(if module.after == Some(false) {
            Tone::Bad
        } else {
            Tone::Plain
        })
    });
    Block::table(
        Basis::Measured,
        vec![
            Column::words("Module", 3.0),
            Column::words("At arrival", 1.0),
            Column::words("After", 1.0),
        ],
        rows.collect(),
    )
}

/// Parts that were used.
pub fn parts(job: &Job) -> Option<Block> {
    let rows = job.record.parts.iter().map(|part| {
        Row::plain([
            part.name.clone(),
            part.number.clone(),
            part.quantity.clone(),
            part.at.clone(),
        ])
    });
    Block::table(
        Basis::Stated,
        vec![
            Column::words("Part", 3.0),
            Column::words("Number", 1.5),
            Column::figures("Quantity", 1.0),
            Column::words("At", 1.0),
        ],
        rows.collect(),
    )
}

/// Minutes step by step.
pub fn work(job: &Job) -> Option<Block> {
    let rows = job.record.work.iter().enumerate().map(|(index, work)| {
        Row::plain([
            (index + 1).to_string(),
            work.what.clone(),
            minutes(as_minutes(work.took)),
            if work.billable {
                "billable"
            } else {
                "not billed"
            }
            .to_owned(),
            work.relation.words().to_owned(),
            work.by.clone(),
        ])
    });
    Block::table(
        Basis::Stated,
        vec![
            Column::figures("Step", 0.5),
            Column::words("What", 3.4),
            Column::figures("Time", 0.9),
            Column::words("Billing", 1.1),
            Column::words("Belongs to", 1.2),
            Column::words("By", 1.2),
        ],
        rows.collect(),
    )
}

/// Programming, set-up and calibration.
pub fn follow_up(job: &Job) -> Option<Block> {
    let rows = job.record.follow_up.iter().map(|work| {
        let sources: Vec<String> = work
            .sources
            .iter()
            .map(|source| format!("{}: {}", source.source, source.says))
            .collect();
        Row::plain([
            format!("{} of {}", work.kind.words(), work.what),
            sources.join("\n"),
            work.followed.clone(),
            if work.done { "done" } else { "not done" }.to_owned(),
            work.by.clone(),
        ])
        .toned(if work.done {
            Tone::Plain
        } else {
            Tone::Careful
        })
    });
    Block::table(
        Basis::Stated,
        vec![
            Column::words("Follow-up work", 1.8),
            Column::words("Which source says what", 2.6),
            Column::words("Followed", 1.5),
            Column::words("State", 0.8),
            Column::words("By", 1.1),
        ],
        rows.collect(),
    )
}

/// What was tried at the end.
pub fn checks(job: &Job) -> Option<Block> {
    let rows = job.record.checks.iter().map(|check| {
        Row::plain([
            check.what.clone(),
            check.note.clone(),
            yes(check.works, "works", "does not", "not tried"),
        ])
        .toned(match check.works {
            Some(true) => Tone::Good,
            Some(false) => Tone::Bad,
            None => Tone::Careful,
        })
    });
    Block::table(
        Basis::Stated,
        vec![
            Column::words("Functional check", 3.0),
            Column::words("What was seen", 2.6),
            Column::words("", 0.9),
        ],
        rows.collect(),
    )
}

/// Suspects, likeliest first.
pub fn suspects(source: &Source<'_>) -> Option<Block> {
    let findings = source.study.of_fault();
    let rows = findings.suspects.iter().take(LISTED).map(|suspect| {
        let ohms = suspect.resistance;
        Row::plain([
            names::called(&source.job.circuit, &suspect.site.part),
            names::accusation(&suspect.site, suspect.kind),
            suspect
                .position
                .as_ref()
                .map_or_else(String::new, names::stretch),
            ohms.map_or_else(String::new, |ohms| {
                interval(ohms.low, ohms.high, Unit::Ohms)
            }),
            percent(suspect.probability),
        ])
    });
    Block::table(
        Basis::Inferred,
        vec![
            Column::words("Part", 1.5),
            Column::words("What would be wrong", 2.2),
            Column::words("Where along it", 2.2),
            Column::figures("Ohms", 1.2),
            Column::figures("Chance", 0.9),
        ],
        rows.collect(),
    )
}
