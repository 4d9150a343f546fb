//! After the session: what was known before and after each step, what a better step would have been, and what the whole
//! took beside other ways.

use std::sync::Arc;

use super::{
    Exercise, ExerciseError, Move, Outcome, Session, Step,
    belief::{Belief, LEAST_BITS, Vehicles},
    hint::Hint,
    path::{self, Path},
    score, split,
    trainee::{Played, Way, play},
};
use crate::{
    circuit::Point,
    diagnosis::{Findings, Question, diagnose_while},
    quantity::units::ohms,
    reading::{Attached, Entry, Kind, Seen, State},
};

/// Is told how far looking back has come, from 0 to 1, and answers whether to go on.
pub type Tell<'a> = dyn Fn(f32) -> bool + 'a;

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
    /// What the advisor would have done at that moment.
    pub best: Hint,
    /// What was wrong with it.
    pub flaw: Option<Flaw>,
    /// Minutes that it took, with the way to it.
    pub took: f64,
    /// Minutes on the clock after it.
    pub clock: f64,
    /// Lines of the log after it.
    pub lines: usize,
    /// How the circuit stood after it.
    pub now: State,
    /// What the engine says after it.
    pub findings: Arc<Findings>,
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
    /// Whether it was given up.
    pub given_up: bool,
    /// The advisor's path on the same vehicle.
    pub path: Path,
    /// What each simulated way of choosing tests without advice takes on the same vehicle, proof included.
    pub others: Vec<(Way, Played)>,
    /// Fewest tests that can tell the suspects apart which there were at the beginning, by halving.
    pub bound: split::Tests,
    /// 0 to 100; see [`Debrief::of`].
    pub score: u32,
}

/// Share of a value by which displays have to differ before a reading is said to tell suspects apart (judgement).
const BLUR: f64 = 0.005;
/// Bits by which the list of suspects may shrink by chance, as by the first reading of all (judgement).
const LEAST_GAIN: f64 = 0.25;
/// Minutes under which any two tests cost the same to a person (judgement).
const ALIKE_MINUTES: f64 = 3.0;
/// Share of looking back that goes to the trainee's own steps, and to the advisor's path; the rest to the other ways.
const OWN: f32 = 0.4;
const PATH: f32 = 0.3;

impl Debrief {
    /// Looks back on a session. The score starts from 100 times the minutes of the advisor's path over those spent, at
    /// most 100, and loses points for flaws, hints, places opened in vain, faults left and a missing proof. It is 0 where
    /// the vehicle was not handed over.
    /// Cost: one whole answer of the engine per reading, one per step of the advisor's path, and a few for the other ways.
    ///
    /// # Errors
    /// None in a session that could be started.
    pub fn of(session: &Session) -> Result<Self, ExerciseError> {
        Self::of_while(session, &|_| true)
    }

    /// The same for as long as `tell` answers yes.
    ///
    /// # Errors
    /// `tell` answered no.
    pub fn of_while(session: &Session, tell: &Tell<'_>) -> Result<Self, ExerciseError> {
        let exercise = session.exercise();
        let mut past = Past::new(session);
        let steps = session.steps();
        let own = |index: usize| OWN * index as f32 / steps.len().max(1) as f32;
        let off = ExerciseError::CalledOff;
        let first = past.known(exercise.given.len(), &State::default(), &|| tell(0.0));
        let first = first.ok_or_else(|| off.clone())?;
        let mut looked = Vec::new();
        let (mut from, mut clock) = (0, 0.0);
        for (index, step) in steps.iter().enumerate() {
            clock += step.minutes;
            let way = Move::Key == step.done || matches!(step.done, Move::Plug(_) | Move::Load(_));
            if way || matches!(step.done, Move::HandOver | Move::GiveUp) {
                continue;
            }
            // The moves towards this reading begin in this state.
            let took = steps[from..=index].iter().map(|step| step.minutes).sum();
            let one = past.look(index, &steps[from].before, took, clock, &|| {
                tell(own(index))
            });
            looked.push(one.ok_or_else(|| off.clone())?);
            from = index + 1;
        }
        let path = path::follow(exercise, &|share| tell(OWN + PATH * share))?;
        let mut others = Vec::new();
        for (index, way) in Way::PEOPLE.into_iter().enumerate() {
            let share = index as f32 / Way::PEOPLE.len() as f32;
            let go_on = || tell(OWN + PATH + (1.0 - OWN - PATH) * share);
            let mut session = play(exercise, way, exercise.seed, &go_on)?;
            // Proved like the others, so that the minutes can be compared.
            if session.world().hidden().is_empty() {
                path::prove(&mut session);
            }
            others.push((way, Played::of(&session)));
        }
        let count = |what: fn(&Step) -> bool| steps.iter().filter(|s| what(s)).count();
        let mut debrief = Self {
            looked,
            minutes: session.minutes(),
            tests: count(|step| matches!(step.done, Move::Read { .. })),
            hints: count(|step| matches!(step.done, Move::Hint)),
            in_vain: count(|step| step.outcome == Outcome::NothingThere),
            found: session.world().hidden().is_empty(),
            proven: count(|step| matches!(step.outcome, Outcome::HandedOver { proven: true, .. }))
                > 0,
            given_up: count(|step| step.outcome == Outcome::GivenUp) > 0,
            path,
            others,
            bound: split::half_split(first.left.max(1)),
            score: 0,
        };
        if session.is_handed_over() {
            debrief.score = score::score(&debrief);
        }
        Ok(debrief)
    }

    /// Minutes to compare with: the advisor's path, or, where it did not find everything, the quickest way that did.
    pub fn par(&self) -> f64 {
        let found = self.others.iter().filter(|(_, played)| played.found);
        let least = found
            .map(|(_, played)| played.minutes)
            .min_by(f64::total_cmp);
        match least {
            Some(minutes) if !self.path.found => minutes,
            _ => self.path.minutes,
        }
    }

    /// What a way takes on the same vehicle.
    pub fn other(&self, way: Way) -> Option<&Played> {
        self.others
            .iter()
            .find(|(other, _)| *other == way)
            .map(|(_, played)| played)
    }
}

/// The log as it grew, with what the engine said of it; each stage is asked about once.
struct Past<'s> {
    session: &'s Session,
    stages: Vec<Stage>,
}

struct Stage {
    lines: usize,
    now: State,
    findings: Arc<Findings>,
}

impl<'s> Past<'s> {
    fn new(session: &'s Session) -> Self {
        Self {
            session,
            stages: Vec::new(),
        }
    }

    fn question<'q>(&self, lines: usize, now: &'q State) -> Question<'q>
    where
        's: 'q,
    {
        let (exercise, log) = (self.session.exercise(), self.session.log());
        Question {
            circuit: &exercise.circuit,
            meter: &exercise.meter,
            log: &log[..lines.min(log.len())],
            now,
            out_of_reach: &super::EVERYTHING_IN_REACH,
        }
    }

    /// What the engine said of the first lines of the log as things stood; suspects do not depend on how they stood,
    /// advice does.
    fn findings(
        &mut self,
        lines: usize,
        now: &State,
        advice: bool,
        go_on: &dyn Fn() -> bool,
    ) -> Option<&Arc<Findings>> {
        let known = |stage: &Stage| stage.lines == lines && (!advice || stage.now == *now);
        let at = match self.stages.iter().position(known) {
            Some(at) => at,
            None => {
                let findings = diagnose_while(&self.question(lines, now), go_on);
                if !go_on() {
                    return None;
                }
                self.stages.push(Stage {
                    lines,
                    now: now.clone(),
                    findings: Arc::new(findings),
                });
                self.stages.len() - 1
            }
        };
        Some(&self.stages[at].findings)
    }

    fn belief(&mut self, lines: usize, now: &State, go_on: &dyn Fn() -> bool) -> Option<Belief> {
        let circuit = &self.session.exercise().circuit;
        let findings = self.findings(lines, now, false, go_on)?;
        Some(Belief::of(circuit, findings))
    }

    fn known(&mut self, lines: usize, now: &State, go_on: &dyn Fn() -> bool) -> Option<Known> {
        let belief = self.belief(lines, now, go_on)?;
        let odds = belief.odds();
        let top = (0..odds.len()).max_by(|&a, &b| odds[a].total_cmp(&odds[b]));
        Some(Known {
            bits: belief.bits(),
            left: belief.left(),
            most: belief.most(),
            place: top.map_or_else(String::new, |top| belief.places[top].to_string()),
        })
    }

    fn look(
        &mut self,
        index: usize,
        from: &State,
        took: f64,
        clock: f64,
        go_on: &dyn Fn() -> bool,
    ) -> Option<Looked> {
        let session = self.session;
        let exercise = session.exercise();
        let (log, steps) = (session.log(), session.steps());
        let step = &steps[index];
        let next = steps.get(index + 1);
        let after_lines = next.map_or(log.len(), |next| next.lines);
        let after_now = next.map_or(session.now(), |next| &next.before);
        let question = self.question(step.lines, from);
        let best = {
            let findings = self.findings(step.lines, from, true, go_on)?;
            Hint::of(exercise, &question, findings)
        };
        let before = self.known(step.lines, from, go_on)?;
        let findings = Arc::clone(self.findings(after_lines, after_now, true, go_on)?);
        let after = self.known(after_lines, after_now, go_on)?;
        let flaw = match &step.done {
            Move::Read { kind, red, black } => {
                let state = State {
                    supply_off: *kind == Kind::Ohms,
                    ..step.before.clone()
                };
                let read = (*kind, red, black, &state);
                let belief = self.belief(step.lines, from, go_on)?;
                let worth = could_tell(&belief, exercise, read);
                let gained = before.bits - after.bits;
                let known = &log[..step.lines];
                if before.place == "nothing" || repaired(known) {
                    None
                } else if again(known, read) {
                    Some(Flaw::Redundant)
                } else if worth < LEAST_BITS && gained < LEAST_GAIN {
                    let start = self.belief(exercise.given.len(), from, go_on)?;
                    let once = could_tell(&start, exercise, read);
                    Some(if once < LEAST_BITS {
                        Flaw::Irrelevant
                    } else {
                        Flaw::Redundant
                    })
                } else {
                    (best.test())
                        .filter(|best| {
                            best.bits >= worth.max(gained)
                                && 3.0 * best.minutes <= took
                                && took > ALIKE_MINUTES
                        })
                        .map(|_| Flaw::Dear)
                }
            }
            Move::Open { .. } => {
                let guess = before.most < 0.5 && step.outcome == Outcome::NothingThere;
                (guess && best.test().is_some()).then_some(Flaw::Premature)
            }
            _ => None,
        };
        Some(Looked {
            step: index,
            before,
            after,
            best,
            flaw,
            took,
            clock,
            lines: after_lines,
            now: after_now.clone(),
            findings,
        })
    }
}

/// What is read: kind, red lead, black lead, and how the circuit stands for it.
type Read<'a> = (Kind, &'a Point, &'a Point, &'a State);

/// Bits that a reading could tell of the place, generously: little more than the meter's band blurs it. The advisor
/// rates what is worth doing and nothing else, so a trainee's own reading is tried on a vehicle of each suspect.
fn could_tell(belief: &Belief, exercise: &Exercise, (kind, red, black, state): Read<'_>) -> f64 {
    // What is seen of a lamp or on the scan tells less of the volts there, loaded as the lamp loads them.
    let mut state = state.clone();
    if let Kind::Lamp(lamp) = kind {
        state.attached.push(Attached {
            from: red.clone(),
            to: black.clone(),
            resistance: ohms(lamp.ohm(Seen::Lit)),
        });
    }
    let kind = match kind {
        Kind::Lamp(_) | Kind::Scan => Kind::Volts,
        kind => kind,
    };
    let mut vehicles = Vehicles::new(belief, &exercise.circuit, &exercise.meter);
    let shown = vehicles.reading(kind, red, black, &state);
    belief.worth(&shown, &exercise.meter, BLUR)
}

fn repaired(log: &[Entry]) -> bool {
    log.iter().any(|entry| matches!(entry, Entry::Repair(_)))
}

/// Whether the very same was read since the last repair.
fn again(log: &[Entry], (kind, red, black, state): Read<'_>) -> bool {
    (log.iter().rev())
        .take_while(|entry| !matches!(entry, Entry::Repair(_)))
        .any(|entry| {
            matches!(entry, Entry::Reading(r)
                if r.kind == kind && r.red == *red && r.black == *black && r.state == *state)
        })
}
