//! After the session: what was known before and after each step, what a better step would have been, and what the whole
//! took beside other ways.

use super::{
    Exercise, ExerciseError, Move, Outcome, Session, Step,
    belief::{Belief, LEAST_BITS, Proposal, Vehicles, best, proposals},
    split,
    trainee::{Played, Way, play},
};
use crate::{
    circuit::Point,
    diagnosis::{Findings, Question, diagnose},
    reading::{Entry, Kind, State},
};

/// Why a step was not a good one. The first three are the terms of military courses in fault finding (handbook).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Flaw {
    /// It could tell nothing about any suspect, whatever it showed.
    Irrelevant,
    /// What it told was known from earlier steps.
    Redundant,
    /// A place was opened up while a test was still worth its minutes.
    Premature,
    /// Another test would have told as much for a third of the minutes.
    Dear,
}

impl Flaw {
    /// What it is called.
    pub fn name(self) -> &'static str {
        match self {
            Self::Irrelevant => "irrelevant",
            Self::Redundant => "redundant",
            Self::Premature => "premature",
            Self::Dear => "dear",
        }
    }

    /// What it means.
    pub fn reason(self) -> &'static str {
        match self {
            Self::Irrelevant => "every suspect would have read the same there",
            Self::Redundant => "earlier readings had told the same",
            Self::Premature => "it was a guess: a test would have told more for its minutes",
            Self::Dear => "another test would have told as much in a third of the minutes",
        }
    }
}

/// What was known at a moment.
#[derive(Clone, Debug, PartialEq)]
pub struct Known {
    /// Bits of doubt about the place.
    pub bits: f64,
    /// Places that are left: the fewest that hold 95 % together.
    pub left: usize,
    /// Probability of the likeliest place.
    pub most: f64,
    /// The likeliest place.
    pub place: String,
}

/// One step, looked back on.
#[derive(Clone, Debug, PartialEq)]
pub struct Looked {
    /// Index of the step.
    pub step: usize,
    /// Before it.
    pub before: Known,
    /// After it.
    pub after: Known,
    /// The best test at that moment, if any was worth its way.
    pub best: Option<Proposal>,
    /// What was wrong with it.
    pub flaw: Option<Flaw>,
}

/// The whole session, looked back on.
#[derive(Clone, Debug, PartialEq)]
pub struct Debrief {
    /// Readings, openings and hints, in order. Plugging has no entry of its own: its minutes count with the next reading.
    pub looked: Vec<Looked>,
    /// Minutes of the session.
    pub minutes: f64,
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
    /// What each way of choosing tests takes on the same vehicle.
    pub others: Vec<(Way, Played)>,
    /// Fewest tests that can tell the suspects apart which there were at the beginning, by halving.
    pub bound: split::Tests,
    /// 0 to 100; see [`Debrief::of`].
    pub score: u32,
}

/// Share of a value by which displays have to differ before a reading is said to tell suspects apart (judgement).
const BLUR: f64 = 0.005;
/// Minutes under which any two tests cost the same to a person.
const ALIKE_MINUTES: f64 = 3.0;
/// Points taken off for a flaw, a hint, a place opened in vain, a fault left, a missing proof (judgement).
const FLAW_POINTS: f64 = 4.0;
const HINT_POINTS: f64 = 5.0;
const VAIN_POINTS: f64 = 10.0;
const LEFT_POINTS: f64 = 50.0;
const PROOF_POINTS: f64 = 10.0;

impl Debrief {
    /// Looks back on a session. The score starts from 100 times the minutes of the weighed way over those spent, at
    /// most 100, and loses points for flaws, hints, places opened in vain, faults left and a missing proof.
    /// Cost: one diagnosis per reading.
    ///
    /// # Errors
    /// None in a session that could be started.
    pub fn of(session: &Session) -> Result<Self, ExerciseError> {
        let exercise = session.exercise();
        let mut past = Past::new(session);
        let first = past.known(0, &State::default());
        let mut looked = Vec::new();
        let mut from = 0;
        for (index, step) in session.steps().iter().enumerate() {
            if matches!(step.done, Move::Plug(_) | Move::Key | Move::Load(_)) {
                continue;
            }
            // The state in which the moves towards this reading began.
            let start = &session.steps()[from..=index];
            let before = start.first().map_or(&step.before, |step| &step.before);
            let minutes: f64 = start.iter().map(|step| step.minutes).sum();
            looked.push(past.look(index, step, before, minutes));
            from = index + 1;
        }
        let mut others = Vec::new();
        for way in Way::ALL {
            others.push((way, play(exercise, way, exercise.seed)?));
        }
        let count = |what: fn(&Step) -> bool| session.steps().iter().filter(|s| what(s)).count();
        let mut debrief = Self {
            looked,
            minutes: session.minutes(),
            tests: count(|step| matches!(step.done, Move::Read { .. })),
            hints: count(|step| matches!(step.done, Move::Hint)),
            in_vain: count(|step| step.outcome == Outcome::NothingThere),
            found: session.world().hidden().is_empty(),
            proven: (session.steps().iter())
                .any(|step| matches!(step.outcome, Outcome::HandedOver { proven: true, .. })),
            others,
            bound: split::half_split(first.left.max(1)),
            score: 0,
        };
        debrief.score = debrief.score();
        Ok(debrief)
    }

    /// What a way takes on the same vehicle.
    pub fn other(&self, way: Way) -> Option<&Played> {
        self.others
            .iter()
            .find(|(other, _)| *other == way)
            .map(|(_, played)| played)
    }

    fn score(&self) -> u32 {
        let par = self
            .other(Way::Weighed)
            .map_or(0.0, |played| played.minutes);
        let flaws = self
            .looked
            .iter()
            .filter(|looked| looked.flaw.is_some())
            .count();
        let taken = FLAW_POINTS * flaws as f64
            + HINT_POINTS * self.hints as f64
            + VAIN_POINTS * self.in_vain as f64
            + if self.found { 0.0 } else { LEFT_POINTS }
            + if self.proven { 0.0 } else { PROOF_POINTS };
        let pace = 100.0 * (par / self.minutes.max(1.0)).min(1.0);
        (pace - taken).round().clamp(0.0, 100.0) as u32
    }
}

/// The log as it grew, with what the engine said of it; each stage is asked about once.
struct Past<'s> {
    session: &'s Session,
    stages: Vec<(usize, Findings)>,
}

impl<'s> Past<'s> {
    fn new(session: &'s Session) -> Self {
        Self {
            session,
            stages: Vec::new(),
        }
    }

    fn exercise(&self) -> &'s Exercise {
        self.session.exercise()
    }

    fn belief(&mut self, lines: usize, now: &State) -> Belief {
        let exercise = self.exercise();
        let at = match self.stages.iter().position(|(known, _)| *known == lines) {
            Some(at) => at,
            None => {
                let findings = diagnose(&Question {
                    circuit: &exercise.circuit,
                    meter: &exercise.meter,
                    log: &self.session.log()[..lines.min(self.session.log().len())],
                    now,
                    out_of_reach: &super::EVERYTHING_IN_REACH,
                });
                self.stages.push((lines, findings));
                self.stages.len() - 1
            }
        };
        Belief::of(&exercise.circuit, &self.stages[at].1)
    }

    fn known(&mut self, lines: usize, now: &State) -> Known {
        let belief = self.belief(lines, now);
        let odds = belief.odds();
        let top = (0..odds.len()).max_by(|&a, &b| odds[a].total_cmp(&odds[b]));
        Known {
            bits: belief.bits(),
            left: belief.left(),
            most: belief.most(),
            place: top.map_or_else(String::new, |top| belief.places[top].to_string()),
        }
    }

    fn look(&mut self, index: usize, step: &Step, from: &State, minutes: f64) -> Looked {
        let exercise = self.exercise();
        let log = self.session.log();
        let lines = step.lines;
        let after_lines =
            (self.session.steps().get(index + 1)).map_or(log.len(), |next| next.lines);
        let before = self.known(lines, from);
        let after = self.known(after_lines, &step.before);
        let belief = self.belief(lines, from);
        let mut vehicles = Vehicles::new(&belief, &exercise.circuit, &exercise.meter);
        let all = proposals(&belief, &mut vehicles, exercise, from, &log[..lines]);
        let best = best(all);
        let flaw = match &step.done {
            Move::Read { kind, red, black } => {
                let state = State {
                    supply_off: *kind == Kind::Ohms,
                    ..step.before.clone()
                };
                let shown = vehicles.reading(*kind, red, black, &state);
                // Generously: little more than the meter's band blurs it.
                let worth = belief.worth(&shown, &exercise.meter, BLUR);
                let gained = before.bits - after.bits;
                let proves = before.place == "nothing" || repaired(&log[..lines]);
                if proves {
                    None
                } else if again(&log[..lines], *kind, red, black, &state) {
                    Some(Flaw::Redundant)
                } else if worth < LEAST_BITS && gained < LEAST_BITS {
                    let start = self.belief(exercise.given.len(), from);
                    let mut vehicles = Vehicles::new(&start, &exercise.circuit, &exercise.meter);
                    let shown = vehicles.reading(*kind, red, black, &state);
                    let once = start.worth(&shown, &exercise.meter, BLUR);
                    Some(if once < LEAST_BITS {
                        Flaw::Irrelevant
                    } else {
                        Flaw::Redundant
                    })
                } else {
                    (best.as_ref())
                        .filter(|best| {
                            best.bits >= worth.max(gained)
                                && 3.0 * best.minutes <= minutes
                                && minutes > ALIKE_MINUTES
                        })
                        .map(|_| Flaw::Dear)
                }
            }
            Move::Open { .. } => {
                let guess = before.most < 0.5 && step.outcome == Outcome::NothingThere;
                (guess && best.is_some()).then_some(Flaw::Premature)
            }
            _ => None,
        };
        Looked {
            step: index,
            before,
            after,
            best,
            flaw,
        }
    }
}

fn repaired(log: &[Entry]) -> bool {
    log.iter().any(|entry| matches!(entry, Entry::Repair(_)))
}

/// Whether the very same was read since the last repair.
fn again(log: &[Entry], kind: Kind, red: &Point, black: &Point, state: &State) -> bool {
    (log.iter().rev())
        .take_while(|entry| matches!(entry, Entry::Reading(_)))
        .any(|entry| {
            matches!(entry, Entry::Reading(r)
                if r.kind == kind && r.red == *red && r.black == *black && r.state == *state)
        })
}
