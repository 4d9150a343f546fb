//! One point read in two states: what unplugging, plugging or clipping on has done to it.

use std::collections::BTreeSet;

use super::{Against, Belief, Step, Used};
use crate::{
    circuit::{Circuit, tree::cut_off},
    diagnosis::Question,
    explain::names,
    quantity::{Unit, format::as_read, units::as_ohms},
};

/// Share of the missing volts below which a change is no change (judgement).
const NO_CHANGE: f64 = 0.01;

/// What a reading says beside the nearest earlier one at the same point.
pub fn step(
    question: &Question<'_>,
    belief: &Belief<'_>,
    before: &[Used<'_>],
    now: &Used<'_>,
) -> Option<Step> {
    let earlier = before
        .iter()
        .rev()
        .filter(|other| same_place(other, now))
        .min_by_key(|other| changed(other, now).len())?;
    let text = if earlier.reading.state.unplugged == now.reading.state.unplugged {
        clipped_on(belief, earlier, now)?
    } else {
        Change::new(question, belief, earlier, now)?.told()
    };
    Some(Step {
        entries: vec![earlier.entry, now.entry],
        text,
    })
}

fn same_place(one: &Used<'_>, other: &Used<'_>) -> bool {
    one.reading.red == other.reading.red
        && one.reading.black == other.reading.black
        && one.reading.state.supply_off == other.reading.state.supply_off
        && one.repairs == other.repairs
}

fn changed<'a>(one: &'a Used<'_>, other: &'a Used<'_>) -> Vec<&'a String> {
    one.reading
        .state
        .unplugged
        .symmetric_difference(&other.reading.state.unplugged)
        .collect()
}

/// A known load was clipped on and nothing else was changed.
fn clipped_on(belief: &Belief<'_>, before: &Used<'_>, now: &Used<'_>) -> Option<String> {
    let [load] = &now.reading.state.attached[..] else {
        return None;
    };
    if !before.reading.state.attached.is_empty() {
        return None;
    }
    let mut text = format!(
        "With {} clipped on, {} went from {} to {}",
        as_read(as_ohms(load.resistance), Unit::Ohms),
        names::leads(now.reading),
        before.shown(),
        now.shown()
    );
    if belief.in_series() && now.volts < 0.9 * before.volts {
        text.push_str(": the volts are there, but a high resistance stands before them");
    }
    text.push('.');
    Some(text)
}

/// Connectors that one of two readings has unplugged and the other has not.
struct Change<'a> {
    belief: &'a Belief<'a>,
    /// The reading with more unplugged, and how it stands.
    parted: &'a Used<'a>,
    parted_is: Against,
    /// The reading with fewer unplugged, and how it stands.
    joined: &'a Used<'a>,
    joined_is: Against,
    /// What differs, in words.
    names: String,
    /// Whether the later reading is the one with more unplugged.
    unplugging: bool,
    /// What the connectors in question part from the supply; and the same with the connectors themselves.
    beyond: BTreeSet<String>,
    at_or_beyond: BTreeSet<String>,
    /// Everything parted in the reading with more unplugged, connectors included.
    all_off: BTreeSet<String>,
}

impl<'a> Change<'a> {
    fn new(
        question: &Question<'_>,
        belief: &'a Belief<'a>,
        before: &'a Used<'a>,
        now: &'a Used<'a>,
    ) -> Option<Self> {
        let (was, is) = (&before.reading.state, &now.reading.state);
        if was.attached != is.attached {
            return None;
        }
        let unplugging = was.unplugged.is_subset(&is.unplugged);
        if !unplugging && !is.unplugged.is_subset(&was.unplugged) {
            return None;
        }
        let (parted, joined) = if unplugging {
            (now, before)
        } else {
            (before, now)
        };
        let circuit = question.circuit;
        let (more, fewer) = (
            &parted.reading.state.unplugged,
            &joined.reading.state.unplugged,
        );
        let connectors: Vec<String> = more.difference(fewer).cloned().collect();
        let beyond = newly_off(circuit, fewer, more);
        let mut at_or_beyond = beyond.clone();
        at_or_beyond.extend(connectors.iter().cloned());
        let mut all_off = cut_off(circuit, more);
        all_off.extend(more.iter().cloned());
        Some(Self {
            belief,
            parted,
            parted_is: parted.against(question),
            joined,
            joined_is: joined.against(question),
            names: names::list(&connectors, "and"),
            unplugging,
            beyond,
            at_or_beyond,
            all_off,
        })
    }

    fn told(&self) -> String {
        use Against::{High, Low, Right};
        match (self.joined_is, self.parted_is) {
            (Low | High, Right) => self.came_right(),
            (Right | Low, High) => self.came_high(),
            (Low, Low) => self.still_low(),
            _ => self.plain(""),
        }
    }

    /// Low with the connectors plugged, right with them unplugged.
    fn came_right(&self) -> String {
        let should = self.parted.should();
        let mut text = if self.unplugging {
            format!(
                "Unplugging {} brought {} back to nominal ({}, should read {should})",
                self.names,
                names::leads(self.parted.reading),
                self.parted.shown()
            )
        } else {
            format!(
                "Plugging {} took {} from {} to {}",
                self.names,
                names::leads(self.joined.reading),
                self.parted.shown(),
                self.joined.shown()
            )
        };
        if self.belief.in_series() {
            text.push_str(
                ": it is right without current and wrong with it, so a joint on the way is bad",
            );
        } else if self.belief.nowhere_else(&self.all_off) {
            let what = if self.belief.two() {
                "what was left"
            } else {
                "the fault"
            };
            if self.belief.at(&self.beyond) {
                text.push_str(&format!(", so {what} is beyond {}", self.names));
            } else if self.belief.at(&self.at_or_beyond) {
                text.push_str(&format!(", so {what} is at {} or beyond", self.names));
            }
        }
        text.push('.');
        text
    }

    fn came_high(&self) -> String {
        let mut text = format!(
            "With {} unplugged {} rises to {}, where {} should be",
            names::list(
                &self
                    .parted
                    .reading
                    .state
                    .unplugged
                    .iter()
                    .collect::<Vec<_>>(),
                "and"
            ),
            names::leads(self.parted.reading),
            self.parted.shown(),
            self.parted.should()
        );
        if self.belief.fed_from_outside() {
            text.push_str(": something of a higher voltage feeds in");
        }
        text.push('.');
        text
    }

    fn still_low(&self) -> String {
        let rise = self.parted.volts - self.joined.volts;
        let missing = (self.joined.finding.healthy.mean - self.joined.volts).abs();
        let not_there = self.belief.not_at(&self.at_or_beyond);
        if self.belief.in_series() && rise.abs() >= NO_CHANGE * missing {
            return self.plain(": the more current, the more is lost on the way");
        }
        if rise.abs() < NO_CHANGE * missing {
            let verb = if self.unplugging {
                "Unplugging"
            } else {
                "Plugging"
            };
            let mut text = format!(
                "{verb} {} changed next to nothing at {} ({} to {})",
                self.names,
                names::leads(self.parted.reading),
                self.earlier().shown(),
                self.later().shown()
            );
            if not_there {
                text.push_str(&format!(", so the fault is not beyond {}", self.names));
            }
            text.push('.');
            text
        } else if not_there {
            self.plain(": no more than the draw of what was parted, so no find")
        } else if self.belief.at(&self.at_or_beyond) && self.belief.elsewhere(&self.at_or_beyond) {
            self.plain(&format!(
                ", and still not to {}: one fault is beyond {} and another is not",
                self.parted.should(),
                self.names
            ))
        } else {
            self.plain("")
        }
    }

    /// What was done and read, and what follows.
    fn plain(&self, follows: &str) -> String {
        let verb = if self.unplugging {
            "Unplugging"
        } else {
            "Plugging"
        };
        format!(
            "{verb} {} took {} from {} to {}{follows}.",
            self.names,
            names::leads(self.parted.reading),
            self.earlier().shown(),
            self.later().shown()
        )
    }

    fn earlier(&self) -> &Used<'a> {
        if self.unplugging {
            self.joined
        } else {
            self.parted
        }
    }

    fn later(&self) -> &Used<'a> {
        if self.unplugging {
            self.parted
        } else {
            self.joined
        }
    }
}

/// Parts that are fed with fewer connectors unplugged and not with more.
fn newly_off(
    circuit: &Circuit,
    fewer: &BTreeSet<String>,
    more: &BTreeSet<String>,
) -> BTreeSet<String> {
    let off = cut_off(circuit, fewer);
    cut_off(circuit, more)
        .into_iter()
        .filter(|part| !off.contains(part))
        .collect()
}
