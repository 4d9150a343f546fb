//! What a session counts: a pace beside the advice, and points off for what cost more than it had to.

use super::{Debrief, session::HINT};
use crate::quantity::format::clock;

/// Points taken off for a flaw, a hint, a place opened in vain, a fault left, a missing proof (judgement).
const FLAW_POINTS: f64 = 4.0;
const HINT_POINTS: f64 = 5.0;
const VAIN_POINTS: f64 = 10.0;
const LEFT_POINTS: f64 = 50.0;
const PROOF_POINTS: f64 = 10.0;

/// What a score is made of.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Tally {
    /// Minutes spent, proof included.
    pub minutes: f64,
    /// Minutes to compare with.
    pub par: f64,
    /// Steps that were remarked on.
    pub remarks: usize,
    /// Hints asked for.
    pub hints: usize,
    /// Places opened in vain.
    pub in_vain: usize,
    /// Whether every fault was found.
    pub found: bool,
    /// Whether it was shown that the feed is right.
    pub proven: bool,
}

impl Tally {
    fn of(debrief: &Debrief) -> Self {
        let looked = debrief.looked.iter();
        Self {
            minutes: debrief.minutes,
            par: debrief.par(),
            remarks: looked.filter(|looked| looked.flaw.is_some()).count(),
            hints: debrief.hints,
            in_vain: debrief.in_vain,
            found: debrief.found,
            proven: debrief.proven,
        }
    }

    /// The share of a hundred points that the minutes leave: all of them where it took no longer than the advice.
    fn pace(&self) -> f64 {
        100.0 * (self.par / self.minutes.max(1.0)).min(1.0)
    }

    /// What is taken off, and for what.
    fn off(&self) -> Vec<(f64, String)> {
        let each = |count: usize, points: f64, one: &str, more: &str| {
            let what = if count == 1 { one } else { more };
            (points * count as f64, format!("{count} {what}"))
        };
        let once = |wanting: bool, points: f64, what: &str| {
            (if wanting { points } else { 0.0 }, what.to_owned())
        };
        let mut off = vec![
            each(self.remarks, FLAW_POINTS, "remark", "remarks"),
            each(self.hints, HINT_POINTS, "hint", "hints"),
            each(
                self.in_vain,
                VAIN_POINTS,
                "place opened in vain",
                "places opened in vain",
            ),
            once(!self.found, LEFT_POINTS, "a fault left in it"),
            once(!self.proven, PROOF_POINTS, "no proof"),
        ];
        off.retain(|(points, _)| *points > 0.0);
        off
    }
}

/// 0 to 100, see [`Debrief::of`].
pub fn points(tally: &Tally) -> u32 {
    let taken: f64 = tally.off().iter().map(|(points, _)| points).sum();
    (tally.pace() - taken).round().clamp(0.0, 100.0) as u32
}

/// The score of a session that was handed over.
pub fn score(debrief: &Debrief) -> u32 {
    points(&Tally::of(debrief))
}

/// How the score came about, in one sentence.
pub fn reckoning(debrief: &Debrief) -> String {
    if debrief.given_up {
        return "It was given up, which counts 0.".to_owned();
    }
    let tally = Tally::of(debrief);
    let par = if debrief.path.found {
        format!("the advice takes {}", clock(debrief.par()))
    } else {
        format!(
            "the quickest way that found it takes {}",
            clock(debrief.par())
        )
    };
    let mut text = format!(
        "{:.0} for the pace ({}, {par})",
        tally.pace(),
        clock(debrief.minutes)
    );
    for (points, what) in tally.off() {
        text += &format!(", {points:.0} off for {what}");
    }
    if debrief.hints > 0 {
        text += &format!("; a hint also costs {}", clock(HINT));
    }
    text + "."
}
