//! Simulated trainees: ways of choosing the next test, played to the end on an exercise.
//!
//! People test connectors and go by right and wrong alone: where the module's pin reads wrong, one connector is parted for a
//! reading there and mated again; where it reads right, they read at the connector. They go on until no connector tells
//! apart any more what is left, and nothing but the choice of the connector sets them apart. Odds, minutes and how far off
//! a reading is are nothing to them until then; the conclusion is the engine's, drawn once, and they open up in its order.
//! Who opens a place in vain learns nothing of how the others compare, so that one conclusion serves for the whole list,
//! and a game of theirs takes a few answers of the engine and not one for every step.

use std::collections::BTreeSet;

use super::{Dice, Exercise, ExerciseError, Move, Outcome, Session, hint::Hint};
use crate::{
    advise::Asked,
    circuit::{FeedTree, Point, Terminal, tree::Side},
    diagnosis::{Findings, diagnose_while},
    quantity::units::as_volts,
    reading::{Entry, Kind, Reading, State, Value},
};

/// A way of choosing tests.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Way {
    /// Any connector, whether or not it was tried before or still tells anything.
    Random,
    /// The next connector along the feed that tells apart what is left.
    OneAtATime,
    /// The connector with as many of the wires and sensors that are left before it as behind it; of several the first.
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
            Self::Random => "any connector",
            Self::OneAtATime => "one connector at a time",
            Self::HalfSplit => "half split by count",
            Self::Advisor => "advice",
        }
    }
}

/// Tests for one fault after which anybody opens up whatever is likeliest.
const MOST_TESTS: usize = 24;
/// Places that are opened in vain before a trainee gives up (judgement).
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
/// Cost: of people one answer of the engine for each fault; of the advice one for each test and each place that is opened.
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
                _ => {
                    self.test_on();
                    true
                }
            };
        }
        Ok(())
    }

    /// The next step by the advice. Says whether there was one.
    fn advised(&mut self, go_on: &dyn Fn() -> bool) -> Result<bool, ExerciseError> {
        let findings = self.conclude(go_on)?;
        let question = self.session.question();
        let hint = Hint::of(self.session.exercise(), &question, &findings);
        if let Some(test) = hint.test().filter(|_| self.tests < MOST_TESTS)
            && self.session.follow(test).is_ok()
        {
            self.tests += 1;
            return Ok(true);
        }
        Ok(self.open_first(&findings))
    }

    /// A test at the connector that this way chooses, for as long as some connector tells apart what is left.
    fn test_on(&mut self) {
        let connectors = 0..self.feed.behind.len();
        let telling: Vec<usize> = connectors.filter(|&at| self.evenness(at) > 0).collect();
        let chosen = match self.way {
            _ if self.tests >= MOST_TESTS => None,
            Way::Random => (!telling.is_empty()).then(|| self.dice.below(self.feed.behind.len())),
            Way::OneAtATime => telling.first().copied(),
            // Of several that halve as well the first.
            Way::HalfSplit => (telling.iter().copied())
                .max_by(|&a, &b| self.evenness(a).cmp(&self.evenness(b)).then(b.cmp(&a))),
            Way::Advisor => None,
        };
        self.tests += 1;
        self.done = !chosen.is_some_and(|index| self.narrow(index));
    }

    /// Opens the next place of the conclusion; draws another one where all of it has been opened. Says whether there was
    /// something to open.
    fn open_next(&mut self, go_on: &dyn Fn() -> bool) -> Result<bool, ExerciseError> {
        if let Some(findings) = self.concluded.take()
            && self.open_first(&findings)
        {
            self.keep(findings);
            return Ok(true);
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

    /// How many of the wires and sensors that are left lie on the smaller side of a connector.
    fn evenness(&self, index: usize) -> usize {
        let inside = self.feed.behind[index].intersection(&self.left).count();
        inside.min(self.left.len() - inside)
    }

    /// Keeps what lies on the wrong side of a connector: where the module's pin reads wrong by parting it and mating it again,
    /// else by reading at it. Says whether it could be done.
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
        let mut back = self.session.moves_to(&State::default()).into_iter();
        let mated = back.all(|done| self.session.make(done).is_ok());
        let Some(read) = read.filter(|_| mated) else {
            return false;
        };
        // It is right up to here, or right without what hangs here: the fault is behind.
        let behind = &self.feed.behind[index];
        self.left.retain(|part| behind.contains(part) == read);
        true
    }
}
