//! Minutes to the fault on simulated harnesses, policy by policy: `cargo bench --no-default-features --bench minutes`.
//!
//! The harnesses are those of the generated level-1 cases, each with faults of its own drawn from fixed seeds; what the
//! meter shows comes from the simulated vehicle of the practice room, which shares nothing with the engine but the
//! sketch. A test costs what `advise::price` says; opening up goes in the order of the findings, in minutes of the same
//! list, until the true place is open.

#[path = "../tests/common/mod.rs"]
mod common;

use std::collections::BTreeSet;

use common::{Case, cases};
use pinchpoint::{
    advise::{Advice, Asked, Best, price},
    circuit::{Circuit, Point, Terminal},
    diagnosis::{Findings, Question, diagnose},
    fault::{FaultKind, Site},
    practice::{
        Dice,
        world::{Hidden, World},
    },
    quantity::units::as_volts,
    reading::{Entry, Kind, Reading, State, Value},
};

/// Games on each harness.
const GAMES: u64 = 2;
/// Tests after which a policy has to open up.
const MOST_TESTS: usize = 40;
/// Minutes that a wrong conclusion costs beyond what was opened in vain.
const LOST: f64 = 60.0;

#[derive(Clone, Copy, Default)]
struct Score {
    tests: f64,
    minutes: f64,
    opened: f64,
    wrong: f64,
}

#[derive(Clone, Copy, PartialEq)]
enum Policy {
    OneAtATime,
    HalfByCount,
    Advice,
}

struct Game<'a> {
    case: &'a Case,
    world: World,
    fault: Hidden,
    log: Vec<Entry>,
    now: State,
    score: Score,
}

impl Game<'_> {
    fn findings(&self) -> Findings {
        diagnose(&Question {
            circuit: &self.case.circuit,
            meter: &self.case.meter,
            log: &self.log,
            now: &self.now,
            out_of_reach: &BTreeSet::new(),
        })
    }

    fn read(&mut self, kind: Kind, red: &Point, black: &Point, state: &State) -> Option<f64> {
        let probe = if kind == Kind::Amperes {
            price::IN_SERIES
        } else {
            price::probe(&self.case.circuit, red, state)?
        };
        self.score.minutes += probe + price::travel(&self.case.circuit, &self.now, state);
        self.score.tests += 1.0;
        let value = self.world.measure(kind, red, black, state).ok()?;
        self.log.push(Entry::Reading(Reading {
            kind,
            black: black.clone(),
            value,
            state: state.clone(),
            ..Reading::volts(red.clone(), 0.0)
        }));
        self.now = State {
            attached: Vec::new(),
            supply_off: false,
            ..state.clone()
        };
        match value {
            Value::Exactly(volts) => Some(volts),
            Value::OverRange { .. } | Value::Between(..) | Value::Seen(_) => None,
        }
    }

    fn pin(&self) -> Point {
        Point::new(&self.case.circuit.supplies[0].id, Terminal::Feed(1))
    }

    /// Opens up in the order of the advice.
    fn open(&mut self, advice: &Advice) {
        for place in &advice.opening {
            let here = place.site.part == self.fault.site.part;
            if here && let Some((from, to)) = place.metres {
                let wire = self
                    .case
                    .circuit
                    .wires
                    .iter()
                    .find(|w| w.id == place.site.part);
                let at = self.fault.at * wire.map_or(0.0, |w| w.length_or_assumed());
                if at >= from - 1e-9 && at <= to + 1e-9 {
                    let share = (at - from) / (to - from).max(1e-9);
                    self.score.opened += place.minutes * share.max(0.2);
                    return;
                }
            }
            self.score.opened += place.minutes;
            if here && place.metres.is_none() {
                return;
            }
        }
        self.score.wrong += 1.0;
        self.score.opened += LOST;
    }

    /// Follows the advice to its end.
    fn follow(&mut self) {
        for _ in 0..MOST_TESTS {
            let advice = self.findings().next;
            let test = advice.tests.first().filter(|_| advice.best == Best::Test);
            let Some(test) = test.cloned() else {
                return self.open(&advice);
            };
            let Asked::Read { kind, red, black } = &test.asked else {
                return self.open(&advice);
            };
            self.read(*kind, red, black, &test.state);
        }
        let advice = self.findings().next;
        self.open(&advice);
    }

    /// Whether the feed at the module recovers with one connector parted and everything else plugged.
    fn recovers(&mut self, id: &str) -> bool {
        let pin = self.pin();
        let state = State {
            unplugged: BTreeSet::from([id.to_owned()]),
            ..State::default()
        };
        let volts = self.read(Kind::Volts, &pin, &Point::battery_negative(), &state);
        let nominal = as_volts(self.case.circuit.supplies[0].nominal);
        volts.is_some_and(|v| v > 0.9 * nominal)
    }

    /// Unplugs connectors, cheapest first, reading at the module each time and plugging again, until the feed
    /// recovers; then opens up in the order of the findings.
    fn one_at_a_time(&mut self) {
        let mut all: Vec<(f64, String)> = (self.case.circuit.connectors.iter())
            .filter_map(|c| Some((price::plug(&self.case.circuit, &c.id)?, c.id.clone())))
            .collect();
        all.sort_by(|a, b| a.0.total_cmp(&b.0));
        for (_, id) in all {
            if self.recovers(&id) {
                break;
            }
        }
        let advice = self.findings().next;
        self.open(&advice);
    }

    /// Parts the connector that divides the wires and sensors left in question most evenly, until none divides them.
    fn half_by_count(&mut self) {
        let circuit = &self.case.circuit;
        let everything = circuit.wires.iter().map(|w| w.id.clone());
        let loads = circuit.loads.iter().map(|l| l.id.clone());
        let mut left: BTreeSet<String> = everything.chain(loads).collect();
        let behind: Vec<(String, BTreeSet<String>)> = (circuit.connectors.iter())
            .map(|c| (c.id.clone(), behind(circuit, &c.id)))
            .collect();
        loop {
            let even = |parts: &BTreeSet<String>| {
                let inside = parts.intersection(&left).count();
                inside.min(left.len() - inside)
            };
            let best = behind.iter().max_by_key(|(_, parts)| even(parts));
            let Some((id, parts)) = best.filter(|(_, parts)| even(parts) > 0) else {
                break;
            };
            let recovered = self.recovers(id);
            left.retain(|part| parts.contains(part) == recovered);
        }
        let advice = self.findings().next;
        self.open(&advice);
    }
}

/// Wires and sensors that are fed through a connector.
fn behind(circuit: &Circuit, id: &str) -> BTreeSet<String> {
    let feed = Point::new(&circuit.supplies[0].id, Terminal::Feed(1));
    let mut open: Vec<Point> = vec![feed];
    let mut seen: BTreeSet<Point> = BTreeSet::new();
    let mut found = BTreeSet::new();
    while let Some(point) = open.pop() {
        if !seen.insert(point.clone()) {
            continue;
        }
        let mate = match point.terminal {
            Terminal::Near(pin) => Some(Terminal::Far(pin)),
            Terminal::Far(pin) => Some(Terminal::Near(pin)),
            _ => None,
        };
        if let Some(mate) = mate.filter(|_| point.part != id) {
            open.push(Point::new(&point.part, mate));
        }
        for wire in &circuit.wires {
            if wire.from == point || wire.to == point {
                found.insert(wire.id.clone());
                open.extend([wire.from.clone(), wire.to.clone()]);
            }
        }
        found.extend(
            (circuit.loads.iter())
                .filter(|load| load.feed == point)
                .map(|load| load.id.clone()),
        );
    }
    let all = (circuit.wires.iter().map(|w| &w.id)).chain(circuit.loads.iter().map(|l| &l.id));
    all.filter(|part| !found.contains(*part)).cloned().collect()
}

fn fault(case: &Case, dice: &mut Dice) -> Hidden {
    let circuit = &case.circuit;
    let ohm = 10f64.powf(dice.between(-0.3, 1.6));
    if dice.unit() < 0.25 && !circuit.loads.is_empty() {
        let load = &circuit.loads[dice.below(circuit.loads.len())];
        return Hidden::new(Site::part(&load.id), FaultKind::DrawsTooMuch, ohm);
    }
    let lengths: Vec<f64> = circuit
        .wires
        .iter()
        .map(|w| w.length_or_assumed())
        .collect();
    let wire = &circuit.wires[dice.weighted(&lengths).unwrap_or(0)];
    Hidden::new(Site::part(&wire.id), FaultKind::ShortToGround, ohm).at(dice.unit())
}

fn play(policy: Policy) -> (usize, Score) {
    let mut total = Score::default();
    let mut games = 0;
    for (number, case) in cases("L1").iter().enumerate() {
        for round in 0..GAMES {
            let seed = 1000 * number as u64 + round;
            let fault = fault(case, &mut Dice::new(seed));
            let Ok(world) = World::draw(
                &case.circuit,
                std::slice::from_ref(&fault),
                &case.meter,
                seed,
            ) else {
                continue;
            };
            let mut game = Game {
                case,
                world,
                fault,
                log: Vec::new(),
                now: State::default(),
                score: Score::default(),
            };
            match policy {
                Policy::OneAtATime => game.one_at_a_time(),
                Policy::HalfByCount => game.half_by_count(),
                Policy::Advice => game.follow(),
            }
            games += 1;
            total.tests += game.score.tests;
            total.minutes += game.score.minutes;
            total.opened += game.score.opened;
            total.wrong += game.score.wrong;
        }
    }
    (games, total)
}

fn main() {
    if std::env::args().any(|a| a == "--test") {
        return;
    }
    println!("policy              games  tests  minutes of tests  of opening  in all  wrong");
    for (name, policy) in [
        ("advice", Policy::Advice),
        ("half by count", Policy::HalfByCount),
        ("one at a time", Policy::OneAtATime),
    ] {
        let (games, s) = play(policy);
        let n = games as f64;
        println!(
            "{name:<20}{games:>5}{:>7.1}{:>18.1}{:>12.1}{:>8.1}{:>7}",
            s.tests / n,
            s.minutes / n,
            s.opened / n,
            (s.minutes + s.opened) / n,
            s.wrong
        );
    }
}
