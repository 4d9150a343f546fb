//! A trainee's record: one line per exercise, and what it says of each skill.

use serde::{Deserialize, Serialize};

use super::{Debrief, Drill, Level};
use crate::quantity::format::clock;

/// One exercise done.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Done {
    /// The skill; none for an exercise that a trainer made.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub drill: Option<Drill>,
    /// How hard it was.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub level: Option<Level>,
    /// What it was called.
    pub title: String,
    /// Its seed.
    pub seed: u64,
    /// Minutes at the vehicle.
    pub minutes: f64,
    /// Minutes of the advisor's path on the same vehicle.
    pub par_minutes: f64,
    /// Readings taken.
    pub tests: usize,
    /// Hints asked for.
    pub hints: usize,
    /// Places opened in vain.
    pub in_vain: usize,
    /// Whether every fault was found.
    pub found: bool,
    /// Whether it was shown that the feed is right.
    pub proven: bool,
    /// Whether it was given up.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub given_up: bool,
    /// 0 to 100.
    pub score: u32,
    /// The day, as the program's clock had it when the session ended; empty where none was noted.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub day: String,
}

/// A trainee with all that was done.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Record {
    /// What the trainee is called.
    pub name: String,
    /// Exercises, oldest first.
    #[serde(default)]
    pub done: Vec<Done>,
}

/// How far a skill has come.
#[derive(Clone, Debug, PartialEq)]
pub struct Skill {
    /// The drill that trains it.
    pub drill: Drill,
    /// Exercises done.
    pub times: usize,
    /// Mean score of the last few.
    pub score: f64,
    /// Mean score of the first few.
    pub at_first: f64,
    /// Level to try next.
    pub next: Level,
}

impl Skill {
    /// How often, in words.
    pub fn times_words(&self) -> String {
        match self.times {
            1 => "1 time".to_owned(),
            times => format!("{times} times"),
        }
    }
}

/// Exercises over which a mean is taken.
const FEW: usize = 5;
/// Mean score from which the next level is proposed (judgement).
const READY: f64 = 75.0;

impl Done {
    /// The line of a session.
    pub fn of(debrief: &Debrief, title: &str, drill: Option<(Drill, Level)>, seed: u64) -> Self {
        Self {
            drill: drill.map(|(drill, _)| drill),
            level: drill.map(|(_, level)| level),
            title: title.to_owned(),
            seed,
            minutes: debrief.minutes,
            par_minutes: debrief.par(),
            given_up: debrief.given_up,
            tests: debrief.tests,
            hints: debrief.hints,
            in_vain: debrief.in_vain,
            found: debrief.found,
            proven: debrief.proven,
            score: debrief.score,
            day: String::new(),
        }
    }

    /// How it ended.
    pub fn end(&self) -> &'static str {
        match (self.given_up, self.found, self.proven) {
            (true, ..) => "given up",
            (_, false, _) => "not found",
            (_, true, false) => "found, but not proved",
            (_, true, true) => "found and proved",
        }
    }

    /// One line for the record of a course: who, when, what, how it went.
    ///
    /// ```
    /// # use pinchpoint::practice::{Done, Drill, Level};
    /// let done: Done = ron::from_str(
    ///     r#"(title: "Two faults at once", seed: 7, minutes: 24.6, par_minutes: 19.0, tests: 4, hints: 1,
    ///         in_vain: 0, found: true, proven: true, score: 73, day: "2026-03-02")"#,
    /// ).unwrap();
    /// assert_eq!(
    ///     done.certificate("A. Trainee"),
    ///     "A. Trainee, 2026-03-02, “Two faults at once”, seed 7: found and proved in 24.6 min \
    ///      (advice 19 min), 4 readings, 1 hint, 0 places opened in vain. Score 73 of 100.",
    /// );
    /// ```
    pub fn certificate(&self, name: &str) -> String {
        let many = |count: usize, one: &str, more: &str| {
            format!("{count} {}", if count == 1 { one } else { more })
        };
        let name = match name.trim() {
            "" => "A trainee",
            name => name,
        };
        let day = match self.day.as_str() {
            "" => String::new(),
            day => format!(", {day}"),
        };
        let level = self
            .level
            .map_or(String::new(), |l| format!(", level {}", l.number()));
        let end = self.end();
        let after = match (self.given_up, self.found, self.proven) {
            (true, ..) => " after",
            (_, true, false) => ", in",
            _ => " in",
        };
        format!(
            "{name}{day}, “{}”{level}, seed {}: {end}{after} {} (advice {}), {}, {}, {} opened in vain. Score {} of 100.",
            self.title,
            self.seed,
            clock(self.minutes),
            clock(self.par_minutes),
            many(self.tests, "reading", "readings"),
            many(self.hints, "hint", "hints"),
            many(self.in_vain, "place", "places"),
            self.score
        )
    }
}

impl Record {
    /// Mean over the skills of the scores of late.
    pub fn lately(&self) -> f64 {
        let skills = self.skills();
        skills.iter().map(|skill| skill.score).sum::<f64>() / skills.len().max(1) as f64
    }

    /// Skill by skill, in the order of the drills; those never tried are left out.
    pub fn skills(&self) -> Vec<Skill> {
        let mean = |scores: &[u32]| {
            scores.iter().map(|&score| f64::from(score)).sum::<f64>() / scores.len().max(1) as f64
        };
        Drill::ALL
            .into_iter()
            .filter_map(|drill| {
                let own: Vec<&Done> = self
                    .done
                    .iter()
                    .filter(|d| d.drill == Some(drill))
                    .collect();
                let scores: Vec<u32> = own.iter().map(|done| done.score).collect();
                let level = own.last()?.level.unwrap_or(Level::First);
                let last = &scores[scores.len().saturating_sub(FEW)..];
                let ready = last.len() == FEW && mean(last) >= READY;
                let next = if ready {
                    Level::of(level.number() + 1)
                } else {
                    None
                };
                Some(Skill {
                    drill,
                    times: scores.len(),
                    score: mean(last),
                    at_first: mean(&scores[..scores.len().min(FEW)]),
                    next: next.unwrap_or(level),
                })
            })
            .collect()
    }
}
