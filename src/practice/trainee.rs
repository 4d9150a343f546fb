//! Simulated trainees: ways of choosing the next test, played to the end on an exercise.
//!
//! All of them draw the same conclusions from what they read, those of the engine; they stop testing when the engine
//! says that a test costs more than it saves, and open up in its order. So what sets them apart is the choice of tests
//! alone.

use std::collections::BTreeSet;

use super::{
    Dice, EVERYTHING_IN_REACH, Exercise, ExerciseError, Move, Outcome, Session, hint::Hint,
};
use crate::{
    advise::{Asked, Opening, price, sights::reachable},
    circuit::{FeedTree, Point, Terminal, tree::Side},
    diagnosis::diagnose_while,
    quantity::units::as_volts,
    reading::{Entry, Kind, Reading, State, Value},
};

/// A way of choosing tests.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Way {
    /// Any reading within reach.
    Random,
    /// Connector after connector, quick ones first, each mated again before the next.
    OneAtATime,
    /// The connector with as many of the wires and sensors that are left before it as behind it, whatever their odds and
    /// its minutes.
    HalfSplit,
    /// The advice.
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

/// Tests after which a trainee opens up whatever is likeliest.
const MOST_TESTS: usize = 24;
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
/// Cost: one answer of the engine for each test and each place that is opened.
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
        tried: BTreeSet::new(),
        done: false,
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
    /// Wires and sensors that halving has left.
    left: BTreeSet<String>,
    /// Connectors that have had their turn.
    tried: BTreeSet<String>,
    /// Whether this way of testing has come to its end.
    done: bool,
}

impl Trainee {
    /// A fault is looked for from the start.
    fn begin(&mut self) {
        self.left = self.feed.all.clone();
        self.tried.clear();
        self.done = false;
    }

    fn run(&mut self, go_on: &dyn Fn() -> bool) -> Result<(), ExerciseError> {
        let mut stalled = 0;
        loop {
            let played = Played::of(&self.session);
            if played.found || played.in_vain >= MOST_OPENED || stalled >= 2 {
                return Ok(());
            }
            let before = self.session.steps().len();
            let hint = self.hint(go_on).ok_or(ExerciseError::CalledOff)?;
            let may_test = played.tests < MOST_TESTS && !self.done;
            match hint {
                (Hint::Test { test, .. }, _) if may_test && self.way == Way::Advisor => {
                    self.done = self.session.follow(&test).is_err();
                }
                (Hint::Test { .. }, _) if may_test => self.done = !self.test(),
                (Hint::Open { opening, .. }, _) | (_, Some(opening)) => self.open(&opening),
                _ => return Ok(()),
            }
            let idle = self.session.steps().len() == before;
            stalled = if idle { stalled + 1 } else { 0 };
        }
    }

    /// What the engine says: its hint, and the place that it would open first.
    fn hint(&self, go_on: &dyn Fn() -> bool) -> Option<(Hint, Option<Opening>)> {
        let question = self.session.question();
        let findings = diagnose_while(&question, go_on);
        let exercise = self.session.exercise();
        let first = Hint::first_opening(&findings.next, question.log).cloned();
        go_on().then(|| (Hint::of(exercise, &question, &findings), first))
    }

    fn open(&mut self, opening: &Opening) {
        if self.session.follow_opening(opening) == Ok(true) {
            self.begin();
        }
    }

    /// Does the next test of this way; says whether there was one.
    fn test(&mut self) -> bool {
        match self.way {
            Way::Random => self.any(),
            Way::OneAtATime => self.next_connector(),
            Way::HalfSplit => self.halve(),
            Way::Advisor => false,
        }
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

    /// Where the module's pin reads wrong, parts one connector, reads at the pin, and mates it again; else reads at the
    /// next connector along the feed. Ends with what changed.
    fn next_connector(&mut self) -> bool {
        let Some(right) = self.pin_is_right() else {
            return false;
        };
        let exercise = self.session.exercise();
        let along = right || !exercise.allowed.unplugging;
        let mut left: Vec<&(String, Point)> = (self.feed.connectors.iter())
            .filter(|(id, _)| !self.tried.contains(id))
            .collect();
        if !along {
            let minutes = |id: &str| price::plug(&exercise.circuit, id).unwrap_or(0.0);
            left.sort_by(|a, b| minutes(&a.0).total_cmp(&minutes(&b.0)));
        }
        let Some((id, point)) = left.first().map(|&one| one.clone()) else {
            return false;
        };
        self.tried.insert(id.clone());
        let read = if along {
            self.is_right(&point, None)
        } else {
            let read = self.is_right(&self.feed.pin.clone(), Some(&id));
            // Mated again at once, whatever it showed.
            for back in self.session.moves_to(&State::default()) {
                if self.session.make(back).is_err() {
                    return false;
                }
            }
            read
        };
        self.done = read != Some(right);
        read.is_some()
    }

    /// Halves what is left: where the module's pin reads wrong by parting a connector, else by reading at it.
    fn halve(&mut self) -> bool {
        let Some(right) = self.pin_is_right() else {
            return false;
        };
        let even = |parts: &BTreeSet<String>| {
            let inside = parts.intersection(&self.left).count();
            inside.min(self.left.len() - inside)
        };
        // The first of those that halve best.
        let best = (0..self.feed.behind.len())
            .filter(|&index| even(&self.feed.behind[index]) > 0)
            .max_by(|&a, &b| {
                let (one, two) = (&self.feed.behind[a], &self.feed.behind[b]);
                even(one).cmp(&even(two)).then(b.cmp(&a))
            });
        let Some(best) = best else { return false };
        let (id, point) = self.feed.connectors[best].clone();
        let along = right || !self.session.exercise().allowed.unplugging;
        let read = if along {
            self.is_right(&point, None)
        } else {
            self.is_right(&self.feed.pin.clone(), Some(&id))
        };
        let Some(read) = read else { return false };
        // It is right up to here, or right without what hangs here: the fault is behind.
        let behind = &self.feed.behind[best];
        self.left.retain(|part| behind.contains(part) == read);
        true
    }
}
