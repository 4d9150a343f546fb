//! The story of the log in plain words: what unplugging, clipping on and reading along the wires has shown.
//!
//! A step says what was read; what follows from it only where the findings as a whole hold it for likely.

mod belief;
mod plug;
mod trail;

use serde::Serialize;

use super::{looked::looked_step, names};
use crate::{
    diagnosis::{Findings, Predicted, Question, ReadingFinding},
    quantity::{Unit, format::as_read},
    reading::{Entry, Kind, Reading, SIGNS, Value},
};
use belief::Belief;

/// One step of the story.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Step {
    /// Indices of the log lines it rests on, in order.
    pub entries: Vec<usize>,
    /// A sentence.
    pub text: String,
}

/// A reading of volts that is used and no mistake.
struct Used<'a> {
    entry: usize,
    reading: &'a Reading,
    volts: f64,
    finding: &'a ReadingFinding,
    /// Repairs made before it.
    repairs: usize,
}

/// How a reading stands to what it should be.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Against {
    Low,
    Right,
    High,
}

impl Used<'_> {
    fn against(&self, question: &Question<'_>) -> Against {
        let Predicted { mean, sd } = self.finding.healthy;
        let noted = self.reading.noted_to().unwrap_or(0.0);
        let shown = question.meter.band(mean).max(noted);
        let (low, high) = (self.finding.hinges).unwrap_or((mean - 3.0 * sd, mean + 3.0 * sd));
        if self.volts < low - shown {
            Against::Low
        } else if self.volts > high + shown {
            Against::High
        } else {
            Against::Right
        }
    }

    fn shown(&self) -> String {
        as_read(self.volts, Unit::Volts)
    }

    fn should(&self) -> String {
        names::should(self.finding.healthy.mean, self.finding.hinges, Unit::Volts)
    }
}

/// The steps in the order of the log; the trail along the wires comes last.
pub fn steps(question: &Question<'_>, findings: &Findings) -> Vec<Step> {
    if findings.problems.iter().any(|problem| problem.fatal) {
        return Vec::new();
    }
    let used = used(question, findings);
    let belief = Belief::new(findings);
    let mut steps = Vec::new();
    let mut repairs = 0;
    let mut begun = false;
    for (entry, line) in question.log.iter().enumerate() {
        match line {
            Entry::Inspection(look) if look.set_aside => {}
            Entry::Inspection(look) => steps.push(Step {
                entries: vec![entry],
                text: looked_step(question.circuit, look),
            }),
            Entry::Repair(repair) => {
                repairs += 1;
                let after = used.iter().find(|reading| reading.repairs == repairs);
                let done = if repair.replaced {
                    "replaced"
                } else {
                    "repaired"
                };
                steps.push(match after {
                    Some(after) => repaired(question, entry, &repair.part, done, after),
                    None => unproved(question, entry, &repair.part, done),
                });
            }
            Entry::Reading(reading) => {
                if findings.readings.iter().any(|f| f.entry == entry) {
                    steps.extend(moved(entry, reading));
                }
                let Some(at) = used.iter().position(|reading| reading.entry == entry) else {
                    continue;
                };
                let (before, now) = (&used[..at], &used[at]);
                let step = plug::step(question, &belief, before, now);
                let step = step.or_else(|| first(question, now).filter(|_| !begun));
                begun |= step.is_some();
                steps.extend(step);
            }
        }
    }
    steps.extend(trail::step(question, findings, &used));
    steps
}

fn used<'a>(question: &Question<'a>, findings: &'a Findings) -> Vec<Used<'a>> {
    let mut repairs = 0;
    let mut list = Vec::new();
    for (entry, line) in question.log.iter().enumerate() {
        let reading = match line {
            Entry::Repair(_) => {
                repairs += 1;
                continue;
            }
            Entry::Inspection(_) => continue,
            Entry::Reading(reading) => reading,
        };
        let finding = findings.readings.iter().find(|f| f.entry == entry);
        let (Some(finding), Value::Exactly(volts), Kind::Volts) =
            (finding, reading.value, reading.kind)
        else {
            continue;
        };
        // Steps are said of what is known to have stood so.
        if finding.mistaken <= super::readings::FLAGGED && reading.state.unknown.is_empty() {
            list.push(Used {
                entry,
                reading,
                volts,
                finding,
                repairs,
            });
        }
    }
    list
}

/// What moving places while the meter was watched says of a fault there.
fn moved(entry: usize, reading: &Reading) -> impl Iterator<Item = Step> {
    let table = &SIGNS.wiggle;
    reading.wiggled.iter().map(move |moved| {
        let place = &moved.place;
        let text = if moved.changed {
            format!(
                "Moving {place} changed the reading: a fault there is {} times as likely as before, against one elsewhere.",
                table.changed
            )
        } else {
            format!(
                "Moving {place} changed nothing: that speaks only faintly against a fault there (1 to {}).",
                table.unchanged
            )
        };
        Step {
            entries: vec![entry],
            text,
        }
    })
}

/// How it began.
fn first(question: &Question<'_>, now: &Used<'_>) -> Option<Step> {
    (now.against(question) != Against::Right).then(|| Step {
        entries: vec![now.entry],
        text: format!(
            "With {}, {} reads {} where {} should be.",
            names::state(&now.reading.state),
            names::leads(now.reading),
            now.shown(),
            now.should()
        ),
    })
}

/// After a repair with no reading up to the next one that could be trusted.
fn unproved(question: &Question<'_>, entry: usize, part: &str, done: &str) -> Step {
    let since = question.log.iter().enumerate().skip(entry + 1);
    let until_the_next = since.take_while(|(_, line)| !matches!(line, Entry::Repair(_)));
    let read = until_the_next.filter_map(|(index, line)| match line {
        Entry::Reading(reading) => Some((index, reading)),
        _ => None,
    });
    match read.last() {
        Some((index, reading)) => Step {
            entries: vec![entry, index],
            text: format!(
                "{part} was {done}; {} reads {} since, which is doubted or not used: read it again.",
                names::leads(reading),
                names::shown(reading)
            ),
        },
        None => Step {
            entries: vec![entry],
            text: format!("{part} was {done}; nothing was read since."),
        },
    }
}

fn repaired(
    question: &Question<'_>,
    entry: usize,
    part: &str,
    done: &str,
    after: &Used<'_>,
) -> Step {
    let point = names::leads(after.reading);
    let text = if after.against(question) == Against::Right {
        format!(
            "After {part} was {done}, {point} reads {}, as it should.",
            after.shown()
        )
    } else {
        format!(
            "{part} was {done}, and {point} reads {} where {} should be.",
            after.shown(),
            after.should()
        )
    };
    Step {
        entries: vec![entry, after.entry],
        text,
    }
}
