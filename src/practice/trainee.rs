//! Simulated trainees: ways of choosing the next test, played to the end on an exercise.
//!
//! All of them draw the same conclusions from what they read, those of the engine, and open up in its order. What sets them
//! apart is the choice of tests, and when they stop: people go their own way to its end and draw their conclusion once.
//! Who opens a place in vain learns nothing of how the others compare, so that one conclusion serves for the whole list; a
//! game of theirs takes a few answers of the engine and not one for every step.

use std::collections::BTreeSet;

use super::{
    Dice, EVERYTHING_IN_REACH, Exercise, ExerciseError, Move, Outcome, Session, hint::Hint,
};
use crate::{
    advise::{Asked, sights::reachable},
    circuit::{FeedTree, Point, Terminal, tree::Side},
    diagnosis::{Findings, diagnose_while},
    quantity::units::as_volts,
    reading::{Entry, Kind, Reading, State, Value},
};

/// A way of choosing tests.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Way {
    /// Any reading within reach, three at a time, until the engine says that opening up costs less than another test.
    Random,
    /// Connector after connector along the feed, each mated again before the next, until none tells apart any more what is
    /// left, whatever its odds and its minutes.
    OneAtATime,
    /// The connector with as many of the wires and sensors that are left before it as behind it, whatever their odds and
    /// its minutes, until none halves them any more.
    HalfSplit,
    /// The advice, also about when to stop testing.
    Advisor,
}

impl Way {
    /// All ways, the least considered first.
    pub const ALL: [Self; 4] = [
        Self::Random,
        Self::OneAtATime,
        Self::HalfSplit,
        Self::Advisor,
    ];
    /// Those that choose tests without the engine.
    pub const PEOPLE: [Self; 3] = [Self::Random, Self::OneAtATime, Self::HalfSplit];

    /// What it is called.
    pub fn name(self) -> &'static str {
        match self {
            Self::Random => "any test",
            Self::OneAtATime => "one connector at a time",
            Self::HalfSplit => "half split by count",
            Self::Advisor => "advice",
        }
    }
}

/// Tests for one fault after which whoever reads anywhere, or by the advice, opens up whatever is likeliest.
const MOST_TESTS: usize = 24;
/// Readings anywhere between two conclusions.
const AT_ONCE: usize = 3;
/// Places that are opened in vain before a trainee gives up.
const MOST_OPENED: usize = 80;
/// A feed within this share of nominal reads right (common practice, no source).
const RIGHT: f64 = 0.05;

/// How it went.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Played {
    /// Readings taken.
    pub tests: usize,
    /// Minutes at the vehicle; [`play`] ends where the last fault is uncovered.
    pub minutes: f64,
    /// Those of them that went into opening up.
    pub opening: f64,
    /// Places opened in vain; of a wire, pieces.
    pub in_vain: usize,
    /// Whether every fault was found.
    pub found: bool,
}

impl Played {
    /// How a session went.
    pub fn of(session: &Session) -> Self {
        let steps = session.steps().iter();
        let opened = steps
            .clone()
            .filter(|s| matches!(s.done, Move::Open { .. }));
        Self {
            tests: steps
                .clone()
                .filter(|s| matches!(s.done, Move::Read { .. }))
                .count(),
            minutes: session.minutes(),
            opening: opened.map(|step| step.minutes).sum(),
            in_vain: steps.filter(|s| s.outcome == Outcome::NothingThere).count(),
            found: session.world().hidden().is_empty(),
        }
    }
}

/// Plays an exercise to its end for as long as `go_on` answers yes.
/// Cost: of people one answer of the engine for each fault, of random readings one for three of them; of the advice one for
/// each test and each place that is opened.
///
/// # Errors
/// An exercise that cannot be done, or `go_on` answered no.
pub fn play(
    exercise: &Exercise,
    way: Way,
    seed: u64,
    go_on: &dyn Fn() -> bool,
) -> Result<Session, ExerciseError> {
    let mut trainee = Trainee {
        session: Session::start(exercise.clone())?,
        way,
        dice: Dice::new(seed).fork(way.name()),
        feed: Feed::of(exercise),
        left: BTreeSet::new(),
        tests: 0,
        done: false,
        concluded: None,
    };
    trainee.begin();
    trainee.run(go_on)?;
    Ok(trainee.session)
}

/// What a trainee knows of the feed.
struct Feed {
    /// The first module's feed pin.
    pin: Point,
    nominal: f64,
    /// Connectors with the first of their points that the feed reaches, in that order.
    connectors: Vec<(String, Point)>,
    /// Wires and sensors fed through each of them.
    behind: Vec<BTreeSet<String>>,
    /// All wires and sensors of the feed.
    all: BTreeSet<String>,
}

impl Feed {
    fn of(exercise: &Exercise) -> Self {
        let circuit = &exercise.circuit;
        let tree = FeedTree::walk(circuit, Side::Feed);
        let mut connectors: Vec<(String, Point)> = Vec::new();
        for place in &tree.places {
            let id = &place.point.part;
            let known = connectors.iter().any(|(other, _)| other == id);
            if !known && circuit.connectors.iter().any(|c| c.id == *id) {
                connectors.push((id.clone(), place.point.clone()));
            }
        }
        let counted = |part: &str| {
            circuit.wires.iter().any(|wire| wire.id == part)
                || circuit.loads.iter().any(|load| load.id == part)
        };
        let only = |parts: BTreeSet<&str>| -> BTreeSet<String> {
            let parts = parts.into_iter().filter(|part| counted(part));
            parts.map(str::to_owned).collect()
        };
        let hanging = tree.hanging.iter().map(|one| one.part.as_str());
        let all = only(tree.parts().into_iter().chain(hanging).collect());
        let pin = circuit
            .supplies
            .first()
            .map_or_else(Point::battery_negative, |supply| {
                Point::new(&supply.id, Terminal::Feed(1))
            });
        Self {
            pin,
            nominal: as_volts(circuit.nominal_or_5()),
            behind: (connectors.iter())
                .map(|(id, _)| only(tree.downstream(id)))
                .collect(),
            connectors,
            all,
        }
    }
}

struct Trainee {
    session: Session,
    way: Way,
    dice: Dice,
    feed: Feed,
    /// Wires and sensors that are left between what reads right and what reads wrong.
    left: BTreeSet<String>,
    /// Tests since the last repair.
    tests: usize,
    /// Whether this way of testing has come to its end.
    done: bool,
    /// The conclusion that is being followed.
    concluded: Option<Findings>,
}

impl Trainee {
    /// A fault is looked for from the start.
    fn begin(&mut self) {
        self.left = self.feed.all.clone();
        (self.tests, self.done, self.concluded) = (0, false, None);
    }

    fn run(&mut self, go_on: &dyn Fn() -> bool) -> Result<(), ExerciseError> {
        let mut more = true;
        while more {
            let played = Played::of(&self.session);
            if played.found || played.in_vain >= MOST_OPENED {
                return Ok(());
            }
            more = match self.way {
                Way::Advisor => self.advised(go_on)?,
                _ if self.done => self.open_next(go_on)?,
                _ => self.test_on(go_on)?,
            };
        }
        Ok(())
    }

    /// The next step by the advice. Says whether there was one.
    fn advised(&mut self, go_on: &dyn Fn() -> bool) -> Result<bool, ExerciseError> {
        let findings = self.conclude(go_on)?;
        let question = self.session.question();
        if let Hint::Test { test, .. } = Hint::of(self.session.exercise(), &question, &findings) {
            if self.tests < MOST_TESTS && self.session.follow(&test).is_ok() {
                self.tests += 1;
                return Ok(true);
            }
        }
        Ok(self.open_first(&findings))
    }

    /// A test of this way, and for random ones the question whether that is enough.
    fn test_on(&mut self, go_on: &dyn Fn() -> bool) -> Result<bool, ExerciseError> {
        let more = match self.way {
            Way::Random => self.any(),
            Way::OneAtATime => self.next_connector(),
            Way::HalfSplit => self.halve(),
            Way::Advisor => false,
        };
        self.tests += 1;
        self.done |= !more;
        if self.way == Way::Random && self.tests.is_multiple_of(AT_ONCE) && !self.done {
            let findings = self.conclude(go_on)?;
            let question = self.session.question();
            let hint = Hint::of(self.session.exercise(), &question, &findings);
            if hint.test().is_none() || self.tests >= MOST_TESTS {
                (self.done, self.concluded) = (true, Some(findings));
            }
        }
        Ok(true)
    }

    /// Opens the next place of the conclusion; draws another one where all of it has been opened. Says whether there was
    /// something to open.
    fn open_next(&mut self, go_on: &dyn Fn() -> bool) -> Result<bool, ExerciseError> {
        if let Some(findings) = self.concluded.take() {
            if self.open_first(&findings) {
                self.keep(findings);
                return Ok(true);
            }
        }
        let findings = self.conclude(go_on)?;
        let opened = self.open_first(&findings);
        self.keep(findings);
        Ok(opened)
    }

    /// Keeps a conclusion for as long as the same fault is looked for.
    fn keep(&mut self, findings: Findings) {
        self.concluded = self.done.then_some(findings);
    }

    /// Opens the first place of a conclusion that has not been opened in vain. Says whether there was one.
    fn open_first(&mut self, findings: &Findings) -> bool {
        let first = Hint::first_opening(&findings.next, self.session.log()).cloned();
        let opened = first.map(|opening| self.session.follow_opening(&opening));
        if opened == Some(Ok(true)) {
            self.begin();
        }
        matches!(opened, Some(Ok(_)))
    }

    /// What the engine says.
    fn conclude(&self, go_on: &dyn Fn() -> bool) -> Result<Findings, ExerciseError> {
        let findings = diagnose_while(&self.session.question(), go_on);
        go_on().then_some(findings).ok_or(ExerciseError::CalledOff)
    }

    /// Any reading within reach that the exercise allows.
    fn any(&mut self) -> bool {
        let (exercise, now) = (self.session.exercise(), self.session.now());
        let log = self.session.log();
        let reach = reachable(&exercise.circuit, now, log, &EVERYTHING_IN_REACH);
        let all: Vec<(Asked, State)> = (reach.looks.iter())
            .map(|look| {
                let asked = Asked::Read {
                    kind: look.kind,
                    red: look.red.clone(),
                    black: look.black.clone(),
                };
                (asked, reach.states[look.state].clone())
            })
            .filter(|(asked, state)| Hint::is_allowed(exercise, now, asked, state))
            .collect();
        let chosen = all.get(self.dice.below(all.len()));
        chosen.is_some_and(|(asked, state)| self.session.follow_to(asked, state).is_ok())
    }

    /// Reads volts at a point with one connector parted, or none; whether they are right.
    fn is_right(&mut self, at: &Point, parted: Option<&str>) -> Option<bool> {
        let state = State {
            unplugged: parted.map(str::to_owned).into_iter().collect(),
            ..State::default()
        };
        let asked = Asked::Read {
            kind: Kind::Volts,
            red: at.clone(),
            black: Point::battery_negative(),
        };
        let volts = match self.session.follow_to(&asked, &state) {
            Ok(Outcome::Read(Value::Exactly(volts))) => *volts,
            _ => return None,
        };
        Some(self.reads_right(volts))
    }

    fn reads_right(&self, volts: f64) -> bool {
        (volts - self.feed.nominal).abs() <= RIGHT * self.feed.nominal
    }

    /// Whether the module's pin reads right with everything plugged; read first where nobody has since the last repair.
    fn pin_is_right(&mut self) -> Option<bool> {
        let since = (self.session.log().iter().rev())
            .take_while(|entry| !matches!(entry, Entry::Repair(_)))
            .find_map(|entry| match entry {
                Entry::Reading(Reading {
                    kind: Kind::Volts,
                    red,
                    state,
                    value: Value::Exactly(volts),
                    ..
                }) if *red == self.feed.pin && state.is_usual() => Some(*volts),
                _ => None,
            });
        match since {
            Some(volts) => Some(self.reads_right(volts)),
            None => self.is_right(&self.feed.pin.clone(), None),
        }
    }

    /// The next connector along the feed that tells apart what is left, each mated again before the next.
    fn next_connector(&mut self) -> bool {
        let next = (0..self.feed.behind.len()).find(|&index| self.evenness(index) > 0);
        let Some(next) = next else { return false };
        let told = self.narrow(next);
        let back = self.session.moves_to(&State::default());
        told && back.into_iter().all(|done| self.session.make(done).is_ok())
    }

    /// The connector that halves best what is left; of several the first.
    fn halve(&mut self) -> bool {
        let halving = (0..self.feed.behind.len()).filter(|&index| self.evenness(index) > 0);
        let best = halving.max_by(|&a, &b| self.evenness(a).cmp(&self.evenness(b)).then(b.cmp(&a)));
        best.is_some_and(|best| self.narrow(best))
    }

    /// How many of the wires and sensors that are left lie on the smaller side of a connector.
    fn evenness(&self, index: usize) -> usize {
        let inside = self.feed.behind[index].intersection(&self.left).count();
        inside.min(self.left.len() - inside)
    }

    /// Keeps what lies on the wrong side of a connector: where the module's pin reads wrong by parting it, else by reading at
    /// it. Says whether it could be done.
    fn narrow(&mut self, index: usize) -> bool {
        let Some(right) = self.pin_is_right() else {
            return false;
        };
        let (id, point) = self.feed.connectors[index].clone();
        let along = right || !self.session.exercise().allowed.unplugging;
        let read = if along {
            self.is_right(&point, None)
        } else {
            self.is_right(&self.feed.pin.clone(), Some(&id))
        };
        let Some(read) = read else { return false };
        // It is right up to here, or right without what hangs here: the fault is behind.
        let behind = &self.feed.behind[index];
        self.left.retain(|part| behind.contains(part) == read);
        true
    }
}
