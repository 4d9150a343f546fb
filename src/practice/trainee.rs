//! Simulated trainees: ways of choosing the next test, played to the end on an exercise.
//!
//! All of them draw the same conclusions from their readings (see [`super::reckon`]) and open up when they are sure
//! enough or no test tells more; they differ in which test they do next. So what sets them apart is the choice of tests
//! alone.

use super::{
    Dice, Exercise, ExerciseError, Move, Outcome, Session,
    belief::{Belief, LEAST_BITS, Proposal, SURE, best, proposals},
    reckon::Reckoning,
};
use crate::{
    circuit::{FeedTree, Point, Terminal, tree::Side},
    fault::{FaultKind, Site},
    quantity::units::as_volts,
    reading::{Entry, Kind, State, Value},
};

/// A way of choosing tests.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Way {
    /// Any connector, any reading.
    Random,
    /// Connector after connector, in the order in which the feed reaches them.
    OneAtATime,
    /// The test that splits the places that are left most evenly, whatever their odds and its minutes.
    HalfSplit,
    /// The test with the most bits per minute.
    Weighed,
}

impl Way {
    /// All ways, the least considered first.
    pub const ALL: [Self; 4] = [
        Self::Random,
        Self::OneAtATime,
        Self::HalfSplit,
        Self::Weighed,
    ];

    /// What it is called.
    pub fn name(self) -> &'static str {
        match self {
            Self::Random => "any test",
            Self::OneAtATime => "one connector at a time",
            Self::HalfSplit => "half split by count",
            Self::Weighed => "most bits per minute",
        }
    }
}

/// Tests after which a trainee opens up whatever is likeliest.
const MOST_TESTS: usize = 12;
/// Places that are opened in vain before a trainee gives up.
const MOST_OPENED: usize = 12;
/// A feed within this share of nominal reads right.
const RIGHT: f64 = 0.05;

/// How it went.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Played {
    /// Readings taken.
    pub tests: usize,
    /// Minutes at the vehicle until the last fault was uncovered.
    pub minutes: f64,
    /// Places opened in vain.
    pub in_vain: usize,
    /// Whether every fault was found.
    pub found: bool,
}

/// Plays an exercise to its end.
///
/// # Errors
/// An exercise that cannot be done.
pub fn play(exercise: &Exercise, way: Way, seed: u64) -> Result<Played, ExerciseError> {
    let mut trainee = Trainee {
        session: Session::start(exercise.clone())?,
        reckoning: Reckoning::new(exercise),
        way,
        dice: Dice::new(seed).fork(way.name()),
        opened: Vec::new(),
        tests: 0,
        in_vain: 0,
        next: 0,
    };
    trainee.run();
    Ok(Played {
        tests: trainee.tests,
        minutes: trainee.session.minutes(),
        in_vain: trainee.in_vain,
        found: trainee.session.world().hidden().is_empty(),
    })
}

struct Trainee {
    session: Session,
    reckoning: Reckoning,
    way: Way,
    dice: Dice,
    /// Places that were opened in vain.
    opened: Vec<Site>,
    tests: usize,
    in_vain: usize,
    /// Which connector comes next, one at a time.
    next: usize,
}

impl Trainee {
    fn run(&mut self) {
        self.read(&self.feed());
        while !self.session.world().hidden().is_empty() && self.in_vain < MOST_OPENED {
            let belief = self.reckoning.belief(self.session.log());
            let go_on = belief.most() < SURE && self.tests < MOST_TESTS;
            if !(go_on && self.test(&belief)) {
                self.open(&belief);
            }
        }
    }

    fn feed(&self) -> Point {
        let supply = self.session.exercise().circuit.supplies.first();
        supply.map_or_else(Point::battery_negative, |s| {
            Point::new(&s.id, Terminal::Feed(1))
        })
    }

    fn read(&mut self, red: &Point) -> Option<Value> {
        self.tests += 1;
        let outcome = self.session.make(Move::Read {
            kind: Kind::Volts,
            red: red.clone(),
            black: Point::battery_negative(),
        });
        match outcome {
            Ok(Outcome::Read(value)) => Some(*value),
            _ => None,
        }
    }

    /// Does the next test; says whether there was one. Whichever way, nobody goes on when no test tells anything.
    fn test(&mut self, belief: &Belief) -> bool {
        let (exercise, log) = (self.session.exercise(), self.session.log());
        let now = self.session.now();
        let vehicles = self.reckoning.vehicles();
        let all = proposals(belief, vehicles, exercise, now, log);
        if all.iter().all(|proposal| proposal.bits < LEAST_BITS) {
            return false;
        }
        let proposal = match self.way {
            Way::OneAtATime => return self.next_connector(),
            Way::Random => any(all, &mut self.dice),
            Way::HalfSplit => evenest(proposals(&flat(belief), vehicles, exercise, now, log)),
            Way::Weighed => best(all),
        };
        proposal.is_some_and(|proposal| self.follow(&proposal))
    }

    fn follow(&mut self, proposal: &Proposal) -> bool {
        let now = &self.session.now().unplugged;
        let moved: Vec<String> = (now.symmetric_difference(&proposal.state.unplugged))
            .cloned()
            .collect();
        for id in moved {
            if self.session.make(Move::Plug(id)).is_err() {
                return false;
            }
        }
        self.read(&proposal.red).is_some()
    }

    /// Where the module's pin reads right, reads along the feed; else parts one connector, reads at the pin, and mates
    /// it again.
    fn next_connector(&mut self) -> bool {
        let circuit = &self.session.exercise().circuit;
        let tree = FeedTree::walk(circuit, Side::Feed);
        let mut order: Vec<String> = Vec::new();
        for place in &tree.places {
            let connector = circuit.connectors.iter().any(|c| c.id == place.point.part);
            if connector && !order.contains(&place.point.part) {
                order.push(place.point.part.clone());
            }
        }
        let Some(id) = order.get(self.next).cloned() else {
            return false;
        };
        self.next += 1;
        let nominal = as_volts(circuit.nominal_or_5());
        let first = self
            .session
            .log()
            .iter()
            .rev()
            .find_map(|entry| match entry {
                Entry::Reading(r) if r.red == self.feed() && r.state.unplugged.is_empty() => {
                    Some(r.value)
                }
                _ => None,
            });
        let right =
            matches!(first, Some(Value::Exactly(v)) if (v - nominal).abs() < RIGHT * nominal);
        let unplugging = self.session.exercise().allowed.unplugging;
        if right || !unplugging {
            self.read(&Point::new(id, Terminal::Near(1)));
            return true;
        }
        for moved in [Move::Plug(id.clone()), Move::Plug(id)] {
            if self.session.make(moved).is_err() {
                return false;
            }
            if !self.session.now().unplugged.is_empty() {
                self.read(&self.feed());
            }
        }
        true
    }

    /// Opens the place with the most probability for its minutes that has not been opened yet.
    fn open(&mut self, belief: &Belief) {
        let circuit = &self.session.exercise().circuit;
        let minutes =
            |site: &Site| super::price::open(circuit, site, FaultKind::ShortToGround, 1.0);
        let rate = |index: usize| belief.odds()[index] / minutes(&belief.places[index]).max(0.25);
        let next = (0..belief.places.len())
            .filter(|&index| {
                let site = &belief.places[index];
                circuit.part(&site.part).is_some() && !self.opened.contains(site)
            })
            .max_by(|&a, &b| rate(a).total_cmp(&rate(b)));
        let Some(next) = next else {
            self.in_vain = MOST_OPENED;
            return;
        };
        let site = belief.places[next].clone();
        let opened = self.session.make(Move::Open {
            site: site.clone(),
            metres: None,
        });
        if matches!(opened, Ok(Outcome::Repaired)) {
            // The next fault is looked for from the start.
            self.opened.clear();
            self.next = 0;
            if !self.session.world().hidden().is_empty() {
                self.read(&self.feed());
            }
        } else {
            self.in_vain += 1;
            self.opened.push(site);
        }
    }
}

/// Any plug state within reach, and any reading in it.
fn any(all: Vec<Proposal>, dice: &mut Dice) -> Option<Proposal> {
    let mut states: Vec<State> = all.iter().map(|proposal| proposal.state.clone()).collect();
    states.dedup();
    let state = states.get(dice.below(states.len()))?.clone();
    let mut there: Vec<Proposal> = all.into_iter().filter(|p| p.state == state).collect();
    let index = dice.below(there.len());
    (index < there.len()).then(|| there.swap_remove(index))
}

/// The test with the most bits; among about as good ones the cheapest.
fn evenest(all: Vec<Proposal>) -> Option<Proposal> {
    let most = all.iter().map(|p| p.bits).fold(0.0, f64::max);
    (all.into_iter())
        .filter(|proposal| proposal.bits >= 0.95 * most)
        .min_by(|a, b| a.minutes.total_cmp(&b.minutes))
}

/// The same places, each as likely as any other that is not as good as ruled out.
fn flat(belief: &Belief) -> Belief {
    let odds = belief.odds();
    let least = belief.most() / 20.0;
    let mut flat = belief.clone();
    for one in &mut flat.believed {
        let own = odds[one.place];
        one.probability = if own > least {
            one.probability / own
        } else {
            0.0
        };
    }
    let total: f64 = flat.believed.iter().map(|one| one.probability).sum();
    for one in &mut flat.believed {
        one.probability /= total.max(f64::MIN_POSITIVE);
    }
    flat
}
