//! What a repair leaves open, in one sentence.

use super::{
    Headline, names,
    proof::{must_read, proof_words},
};
use crate::{
    diagnosis::{Findings, Question, proof::SinceRepair},
    quantity::format::percent,
    reading::Entry,
};

/// Probability from which a fault that is left is named beside a repair, and from which it is still to be repaired: well above
/// even, as of two places that were nearly as likely the right one may have been repaired (judgement).
const WORTH_NAMING: f64 = 0.02;
const LIKELY: f64 = 0.8;

/// Faults that are most likely still there beside what was repaired: of two faults one repair mends one.
pub fn still_there(findings: &Findings) -> Option<String> {
    let left = findings
        .suspects
        .iter()
        .filter(|one| one.probability > LIKELY);
    let named: Vec<String> = left
        .map(|one| names::accusation(&one.site, one.kind))
        .collect();
    (!named.is_empty()).then(|| named.join(", "))
}

/// What a repair leaves open: nothing was read since, something still reads wrong, or not everything was read.
pub(super) fn since_the_repair(question: &Question<'_>, findings: &Findings) -> Option<Headline> {
    let proof = findings.proof.as_ref()?;
    let part = &proof.part;
    let mut detail = Vec::new();
    let line = match findings.since_repair()? {
        SinceRepair::NotRead => {
            let word = match question.log.get(proof.entry) {
                Some(Entry::Repair(repair)) if repair.replaced => "Replaced",
                _ => "Repaired",
            };
            if let Some(words) = proof_words(question, findings)
                && let Some(first) = words.lines.first()
            {
                detail.push(format!("first read {}, {}", first.point, first.state));
            }
            match still_there(findings) {
                Some(left) => format!("{word}; still to be repaired: {left}"),
                None => format!("{word}, not read since: prove it"),
            }
        }
        SinceRepair::StillWrong(wrong) => {
            let Some(Entry::Reading(reading)) = question.log.get(wrong.entry) else {
                return None;
            };
            detail.push(match wrong.times {
                1 => "read it again: it is a mistake, or a fault is left".to_owned(),
                times => format!("read wrong {times} times"),
            });
            detail.push(format!(
                "a mistake, and no fault left: {}",
                percent(findings.healthy)
            ));
            format!(
                "Still reads wrong since the repair of {part}: {} {}, must read {}",
                names::leads(reading),
                names::shown(reading),
                must_read(question.meter, reading.kind, wrong.must)
            )
        }
        SinceRepair::Unfinished(check) => {
            let right = proof
                .checks
                .iter()
                .filter(|check| check.right == Some(true));
            let point = names::point(&check.red);
            detail.push(format!(
                "not proved before the rest is read, next {point}, {}",
                names::state(&check.state)
            ));
            format!(
                "Reads right so far since the repair of {part}: {} of {} read",
                right.count(),
                proof.checks.len()
            )
        }
        SinceRepair::Proved => return None,
    };
    if let Some(top) = (findings.suspects.first()).filter(|top| top.probability > WORTH_NAMING) {
        detail.push(format!(
            "likeliest fault: {} ({})",
            names::accusation(&top.site, top.kind),
            percent(top.probability)
        ));
    }
    Some(Headline::plain(line, detail.join(" · ")))
}

/// What the probability of no fault is called: while something still reads wrong, it is that of a mistaken reading.
pub fn nothing_wrong(findings: &Findings) -> &'static str {
    match findings.proof.as_ref() {
        Some(proof) if !proof.wrong.is_empty() => "a mistaken reading",
        _ => "nothing wrong",
    }
}
