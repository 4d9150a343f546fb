//! Readings that contradict one another, or themselves, whatever is wrong: said before anything is solved.
//!
//! Thresholds are judgement from common practice, no source.

use super::{Problem, Question};
use crate::{
    circuit::tree::{FeedTree, Side},
    infer::lower::Model,
    quantity::{
        format::as_read,
        units::{as_ohms, as_volts},
    },
    reading::{Entry, Kind, Meter, Reading, Seen, Value},
};

/// Share of the nominal volts by which two readings of the same thing differ before that is called a change.
const CHANGED: f64 = 0.05;
/// The same of ohms and amperes, as a share of the larger of them.
const CHANGED_SHARE: f64 = 0.2;
/// Share of the nominal volts, and of ohms and amperes, over which a display may wander before it is called unsteady.
const UNSTEADY: f64 = 0.1;
/// Share of its value by which a reading downstream must exceed one upstream.
const UPHILL: f64 = 0.004;
/// Share of the highest source from which volts are impossible.
const IMPOSSIBLE: f64 = 1.1;
/// Share of the nominal volts that a meter in the amps jack leaves of the feed that it shorts, at most.
const SHORTED: f64 = 0.02;
/// Share of the nominal volts over which a feed works, and under which a supply may have been overloaded.
const WORKS: f64 = 0.5;

/// Readings, the last ones, that are held against each other.
const COMPARED: usize = 400;

/// A reading that is used, as an interval.
struct Used<'a> {
    entry: usize,
    reading: &'a Reading,
    /// Repairs made before it.
    repairs: usize,
    low: f64,
    high: f64,
}

/// Names what the readings of a log contradict.
pub(super) fn contradictions(question: &Question<'_>, model: &Model) -> Vec<Problem> {
    let mut used = used(question.log, model);
    let early = used.len().saturating_sub(COMPARED);
    used.drain(..early);
    let nominal = (question.circuit.supplies.iter())
        .map(|supply| as_volts(supply.nominal))
        .fold(0.0, f64::max);
    let look = Look {
        question,
        used: &used,
        nominal,
        most: IMPOSSIBLE * model.most_volts.max(nominal),
    };
    let mut found = look.unsteady();
    found.extend(look.changed());
    found.extend(look.uphill());
    found.extend(look.amps_jack());
    found.extend(look.under_the_leads());
    found.extend(look.key());
    found
}

fn used<'a>(log: &'a [Entry], model: &Model) -> Vec<Used<'a>> {
    (model.measured.iter())
        .filter_map(|measured| {
            let Entry::Reading(reading) = &log[measured.entry] else {
                return None;
            };
            let (low, high) = match reading.value {
                Value::Exactly(value) => (value, value),
                Value::Between(one, other) => (one.min(other), one.max(other)),
                Value::OverRange { .. } | Value::Seen(_) => return None,
            };
            Some(Used {
                entry: measured.entry,
                reading,
                repairs: measured.repairs,
                low,
                high,
            })
        })
        .collect()
}

struct Look<'a> {
    question: &'a Question<'a>,
    used: &'a [Used<'a>],
    nominal: f64,
    /// Volts beyond which a reading is impossible by itself, which is said elsewhere.
    most: f64,
}

impl Look<'_> {
    fn latches(&self) -> bool {
        self.question.circuit.supplies.iter().any(|s| s.latches)
    }

    /// Displays that wandered.
    fn unsteady(&self) -> Vec<Problem> {
        let wide = |used: &&Used<'_>| {
            let span = used.high - used.low;
            match used.reading.kind {
                Kind::Volts => span > UNSTEADY * self.nominal,
                _ => span > UNSTEADY * used.high.abs(),
            }
        };
        (self.used.iter().filter(wide))
            .map(|used| {
                let unit = used.reading.kind.unit();
                let (low, high) = (as_read(used.low, unit), as_read(used.high, unit));
                if used.reading.kind == Kind::Ohms {
                    return problem(
                        used.entry,
                        format!("the display drifted from {low} to {high}: the circuit was live, or something in it was charging"),
                        "key off, battery off, modules asleep; prove it dead in volts, then read again",
                    );
                }
                problem(
                    used.entry,
                    format!("the display moved between {low} and {high}: a short or a joint that moves, water, or a supply that shuts down and tries again"),
                    "watch it while one section after another is moved, and note each; for the supply, cycle the key, wait and read again; only what moved with it is known of the place",
                )
            })
            .collect()
    }

    /// The same leads in the same state, and another value with nothing repaired between: told once for each place, of
    /// the two that differ most.
    fn changed(&self) -> Vec<Problem> {
        let mut told: Vec<(&Used<'_>, &Used<'_>)> = Vec::new();
        for (index, later) in self.used.iter().enumerate() {
            let differing = self.used[..index].iter().filter(|earlier| {
                same_leads(earlier.reading, later.reading)
                    && earlier.repairs == later.repairs
                    && earlier.reading.state.stands_alike(&later.reading.state)
                    && later.reading.state.unknown.is_empty()
                    // What the key did is another matter.
                    && !(self.latches()
                        && earlier.reading.state.key_cycled != later.reading.state.key_cycled)
                    && self.is_change(earlier, later)
            });
            let Some(earlier) = differing.max_by(|a, b| gap(a, later).total_cmp(&gap(b, later)))
            else {
                continue;
            };
            let same = |(_, other): &(&Used<'_>, &Used<'_>)| {
                same_leads(other.reading, later.reading)
                    && other.reading.state.stands_alike(&later.reading.state)
            };
            match told.iter().position(same) {
                None => told.push((earlier, later)),
                Some(at) if gap(told[at].0, told[at].1) < gap(earlier, later) => {
                    told[at] = (earlier, later);
                }
                Some(_) => {}
            }
        }
        (told.into_iter())
            .map(|(earlier, later)| {
                problem(
                    later.entry,
                    format!(
                        "it reads {} where line {} read {} in the same state: the fault comes and goes, or one of the two is wrong",
                        shown(later),
                        earlier.entry + 1,
                        shown(earlier)
                    ),
                    "ask what changed meanwhile: key cycled, time waited, moved, wet or dry, warm; catch it while it is there and move one section at a time; right again is not repaired",
                )
            })
            .collect()
    }

    fn is_change(&self, earlier: &Used<'_>, later: &Used<'_>) -> bool {
        let meter = self.question.meter;
        let most = [earlier.low, earlier.high, later.low, later.high]
            .into_iter()
            .fold(0.0, |most: f64, value| most.max(value.abs()));
        let allowed = match later.reading.kind {
            Kind::Volts => CHANGED * self.nominal + slack(meter, earlier) + slack(meter, later),
            Kind::Ohms => CHANGED_SHARE * most + 2.0 * meter.counts * 0.1,
            _ => CHANGED_SHARE * most + meter.clamp.zero_a,
        };
        gap(earlier, later) > allowed
    }

    /// A point that reads more than one through which it is fed.
    fn uphill(&self) -> Vec<Problem> {
        let mut found: Vec<Problem> = Vec::new();
        let possible = |used: &&Used<'_>| self.is_level(used) && used.high < self.most;
        for down in self.used.iter().filter(possible) {
            let tree = FeedTree::walk_unplugged(
                self.question.circuit,
                Side::Feed,
                &down.reading.state.unplugged,
            );
            // Around a loop a point is fed from two sides.
            let Some(place) = tree
                .index_of(&down.reading.red)
                .filter(|_| tree.closing.is_empty())
            else {
                continue;
            };
            let path = tree.path(place);
            let above = self.used.iter().filter(|up| {
                self.is_level(up)
                    && up.repairs == down.repairs
                    && up.reading.state == down.reading.state
                    && up.reading.red != down.reading.red
                    && tree
                        .index_of(&up.reading.red)
                        .is_some_and(|at| path.contains(&at))
                    && down.low - up.high > self.level(up, down)
            });
            let Some(up) = above.min_by(|a, b| a.high.total_cmp(&b.high)) else {
                continue;
            };
            found.push(problem(
                down.entry,
                format!(
                    "{} reads {}, more than the {} at {} through which it is fed (line {})",
                    down.reading.red,
                    shown(down),
                    shown(up),
                    up.reading.red,
                    up.entry + 1
                ),
                "something else feeds in there, a ground under the black lead is bad, the two points were swapped, or a plug or the key changed between them: read both again, one right after the other",
            ));
        }
        found
    }

    /// Volts to battery negative in a state that is known, the supply on and nothing clipped on.
    fn is_level(&self, used: &Used<'_>) -> bool {
        let state = &used.reading.state;
        used.reading.kind == Kind::Volts
            && used.reading.black.is_battery_negative()
            && matches!(used.reading.value, Value::Exactly(_))
            && state.unknown.is_empty()
            && state.attached.is_empty()
            && !state.supply_off
    }

    /// Volts by which a point must read more than one upstream of it. On one range the meter's gain is the same.
    fn level(&self, up: &Used<'_>, down: &Used<'_>) -> f64 {
        let meter = self.question.meter;
        let display = if meter.range_of(up.low) == meter.range_of(down.low) {
            let step = (meter.ranges.get(meter.range_of(up.low))).map_or(0.001, |r| r.step);
            let noted = |used: &Used<'_>| used.reading.noted_to().unwrap_or(0.0).max(step);
            meter.counts * (noted(up) + noted(down))
        } else {
            slack(meter, up) + slack(meter, down)
        };
        display + UPHILL * down.high.abs()
    }

    /// A feed that is dead for the meter alone: its red lead is in the amps jack.
    fn amps_jack(&self) -> Vec<Problem> {
        let log = self.question.log;
        // What is lit or answers there, or is fed through there.
        let lives = |used: &Used<'_>| {
            let tree = FeedTree::walk_unplugged(
                self.question.circuit,
                Side::Feed,
                &used.reading.state.unplugged,
            );
            let here = tree.index_of(&used.reading.red)?;
            log.iter().enumerate().find_map(|(entry, line)| match line {
                Entry::Reading(other)
                    if !other.set_aside
                        && other.state.stands_alike(&used.reading.state)
                        && repairs_before(log, entry) == used.repairs
                        && matches!(other.value, Value::Seen(Seen::Lit | Seen::Answers))
                        && tree
                            .index_of(&other.red)
                            .is_some_and(|at| tree.path(at).contains(&here)) =>
                {
                    Some(entry)
                }
                _ => None,
            })
        };
        (self.used.iter())
            .filter(|used| self.is_level(used) && used.high.abs() < SHORTED * self.nominal)
            .filter_map(|used| {
                let after_amps = log[..used.entry].iter().rev().find_map(|line| match line {
                    Entry::Reading(reading) if !reading.set_aside => {
                        Some(reading.kind == Kind::Amperes)
                    }
                    _ => None,
                }) == Some(true);
                let was = self.used.iter().find(|before| {
                    before.entry < used.entry
                        && before.repairs == used.repairs
                        && self.is_level(before)
                        && before.reading.red == used.reading.red
                        && before.reading.state.stands_alike(&used.reading.state)
                        && before.low > WORKS * self.nominal
                });
                let why = match (lives(used), was.filter(|_| after_amps)) {
                    (Some(line), _) => format!(
                        "nothing is there for the meter, and yet it works without it (line {})",
                        line + 1
                    ),
                    (None, Some(before)) => format!(
                        "nothing is there right after a current was read, and line {} still read {}",
                        before.entry + 1,
                        shown(before)
                    ),
                    (None, None) => return None,
                };
                Some(problem(
                    used.entry,
                    format!("{why}: is the red lead in the amps jack? It shorts the feed while it touches"),
                    "put the lead into the volts jack, prove the meter on the battery, cycle the key and read again",
                ))
            })
            .collect()
    }

    /// Ohms that are less than the leads alone show.
    fn under_the_leads(&self) -> Vec<Problem> {
        let lead = as_ohms(self.question.meter.lead);
        let less = |used: &&Used<'_>| {
            used.reading.kind == Kind::Ohms
                && lead > 0.1
                && (-0.05..0.5 * lead).contains(&used.high)
        };
        (self.used.iter().filter(less))
            .map(|used| {
                problem(
                    used.entry,
                    format!(
                        "{} is less than the leads alone show ({})",
                        shown(used),
                        as_read(lead, used.reading.kind.unit())
                    ),
                    "if the display showed OL, note OL; if the meter was zeroed on its leads, set the meter's leads to 0 Ω; else touch the leads together and note what they show",
                )
            })
            .collect()
    }

    /// Low readings of a supply that latches, of which nobody noted whether the key was cycled: the last of them is named.
    fn key(&self) -> Option<Problem> {
        let latching = self.question.circuit.supplies.iter().find(|s| s.latches)?;
        let last = (self.used.iter()).rfind(|used| {
            let state = &used.reading.state;
            used.reading.kind == Kind::Volts
                && !state.supply_off
                && state.key_cycled.is_none()
                && used.high < WORKS * self.nominal
        })?;
        Some(problem(
            last.entry,
            format!(
                "{} can latch off, and nobody noted whether the key was cycled since the last change and how long was waited",
                latching.id
            ),
            "cycle the key, wait until it has come up, read again and note it; keep both readings",
        ))
    }
}

fn problem(entry: usize, what: String, remedy: &str) -> Problem {
    Problem {
        place: format!("log line {}", entry + 1),
        what,
        remedy: remedy.to_owned(),
        fatal: false,
    }
}

fn repairs_before(log: &[Entry], entry: usize) -> usize {
    let is_repair = |line: &&Entry| matches!(line, Entry::Repair(_));
    log[..entry].iter().filter(is_repair).count()
}

fn same_leads(one: &Reading, other: &Reading) -> bool {
    (one.kind, &one.red, &one.black) == (other.kind, &other.red, &other.black)
}

/// What lies between two intervals; nothing where they meet.
fn gap(one: &Used<'_>, other: &Used<'_>) -> f64 {
    (one.low - other.high).max(other.low - one.high).max(0.0)
}

/// What a display may be off by.
fn slack(meter: &Meter, used: &Used<'_>) -> f64 {
    meter
        .band(used.high)
        .max(used.reading.noted_to().unwrap_or(0.0))
}

fn shown(used: &Used<'_>) -> String {
    let unit = used.reading.kind.unit();
    if used.low < used.high {
        format!(
            "{} to {}",
            as_read(used.low, unit),
            as_read(used.high, unit)
        )
    } else {
        as_read(used.low, unit)
    }
}
