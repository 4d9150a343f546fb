//! The proof of a repair in words: what must read right, why, what it read, and what that amounts to.

use serde::Serialize;

use super::names::{self, is_coarse};
use crate::{
    diagnosis::{
        Findings, Question,
        proof::{Band, Check, Verdict, Why},
    },
    quantity::format,
    reading::{Entry, Kind, Meter},
};

/// One thing that must read right, in words.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct ProofLine {
    /// Where the leads go.
    pub point: String,
    /// State in which it counts.
    pub state: String,
    /// Why it is on the list.
    pub why: String,
    /// What may be shown, e.g. `8.79 V to 9.21 V`, `OL`; empty where that cannot be computed.
    pub should_read: String,
    /// Line of the log (from 0) with its last reading since the repair.
    pub entry: Option<usize>,
    /// What that read; empty while there is none.
    pub reads: String,
    /// Whether that is right.
    pub right: Option<bool>,
}

/// The proof of the last repair in words.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct ProofWords {
    /// `Proved`, `Partly proved`, `Not proved`.
    pub verdict: &'static str,
    /// What that rests on, in one sentence.
    pub detail: String,
    /// What must read right.
    pub lines: Vec<ProofLine>,
}

/// The proof in words; none where nothing was repaired or nothing could be computed.
pub fn proof_words(question: &Question<'_>, findings: &Findings) -> Option<ProofWords> {
    let proof = findings.proof.as_ref()?;
    let lines: Vec<ProofLine> = proof
        .checks
        .iter()
        .map(|check| line(question, check, &proof.part))
        .collect();
    Some(ProofWords {
        verdict: verdict(proof.verdict),
        detail: format!(
            "{}{}",
            detail(&proof.checks),
            plug_in(question, proof.verdict)
        ),
        lines,
    })
}

/// The verdict in two words.
pub fn verdict(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Proved => "Proved",
        Verdict::PartlyProved => "Partly proved",
        Verdict::NotProved => "Not proved",
    }
}

fn detail(checks: &[Check]) -> String {
    let count = |right: Option<bool>| checks.iter().filter(|c| c.right == right).count();
    let (right, wrong, missing) = (count(Some(true)), count(Some(false)), count(None));
    let all = checks.len();
    let mut text = match (right, all) {
        (1, 1) => "the one point reads right since the repair".to_owned(),
        (right, all) if right == all => format!("all {all} points read right since the repair"),
        (right, all) => format!("{right} of {all} points read right since the repair"),
    };
    if wrong > 0 {
        text.push_str(&format!(", {wrong} wrong"));
    }
    if missing > 0 {
        text.push_str(&format!(", {missing} not read yet"));
    }
    text.push('.');
    text
}

/// What is to be plugged in again once everything is proved, with a blank before it; empty where nothing is off.
pub fn plug_in(question: &Question<'_>, verdict: Verdict) -> String {
    let off: Vec<&String> = question.now.unplugged.iter().collect();
    if verdict != Verdict::Proved || off.is_empty() {
        return String::new();
    }
    format!(" Plug {} in again.", names::list(&off, "and"))
}

fn line(question: &Question<'_>, check: &Check, part: &str) -> ProofLine {
    let read = check.read.and_then(|entry| match question.log.get(entry) {
        Some(Entry::Reading(reading)) => Some(names::shown(reading)),
        _ => None,
    });
    let black = &check.black;
    ProofLine {
        point: if black.is_battery_negative() {
            names::point(&check.red)
        } else {
            format!("{} to {}", names::point(&check.red), names::point(black))
        },
        state: names::state(&check.state),
        why: match check.why {
            Why::Supply => "the supply's own pin".to_owned(),
            Why::Behind => format!("hangs behind {part}"),
            Why::ReadWrong { entry } => format!("read wrong before, line {}", entry + 1),
        },
        should_read: check.should.map_or_else(String::new, |band| {
            must_read(question.meter, check.kind, band)
        }),
        entry: check.read,
        reads: read.unwrap_or_default(),
        right: check.right,
    }
}

/// What a display may show: `8.79 V to 9.21 V`, `OL`.
pub fn must_read(meter: &Meter, kind: Kind, band: Band) -> String {
    let unit = kind.unit();
    let Some(high) = band.high else {
        return "OL".to_owned();
    };
    let most = band.low.abs().max(high.abs());
    if is_coarse(meter, kind, most) {
        let shown = |value| names::on_display(meter, kind, value);
        return format!("{} to {}", shown(band.low), shown(high));
    }
    format::interval(band.low, high, unit)
}
