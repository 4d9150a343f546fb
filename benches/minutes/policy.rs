//! Ways of choosing the next test.

use std::collections::BTreeSet;

use super::game::Game;
use pinchpoint::{
    advise::{Asked, Best, price, sights::reachable},
    circuit::{Circuit, Point, Terminal},
    practice::Dice,
    quantity::units::as_volts,
    reading::{Kind, State},
};

/// Tests after which a policy has to open up.
const MOST_TESTS: usize = 40;
/// Tests after which who picks at random has to open up.
const MOST_RANDOM: usize = 12;
/// Share of the nominal volts at which a feed has recovered.
const RECOVERED: f64 = 0.9;

/// A way of choosing the next test; all of them open up in the order of the findings.
#[derive(Clone, Copy, PartialEq)]
pub enum Policy {
    /// Any reading within reach, until one may as well open up.
    Any,
    /// Unplugs connectors, cheapest first, reading at the module each time and plugging again.
    OneAtATime,
    /// Unplugs the connector that divides the wires and sensors that are left most evenly.
    HalfByCount,
    /// The advice without a look beyond the next test.
    Greedy,
    /// The advice.
    Advice,
}

impl Policy {
    /// All of them, the least considered first.
    pub const ALL: [Self; 5] = [
        Self::Any,
        Self::OneAtATime,
        Self::HalfByCount,
        Self::Greedy,
        Self::Advice,
    ];

    /// What it is called.
    pub fn name(self) -> &'static str {
        match self {
            Self::Any => "any test",
            Self::OneAtATime => "one at a time",
            Self::HalfByCount => "half by count",
            Self::Greedy => "greedy",
            Self::Advice => "advice",
        }
    }

    /// Plays a game to its end.
    pub fn play(self, game: &mut Game<'_>, dice: &mut Dice) {
        match self {
            Self::Any => any(game, dice),
            Self::OneAtATime => one_at_a_time(game),
            Self::HalfByCount => half_by_count(game),
            Self::Greedy => follow(game, false),
            Self::Advice => follow(game, true),
        }
    }
}

/// Follows the advice to its end.
fn follow(game: &mut Game<'_>, further: bool) {
    for _ in 0..MOST_TESTS {
        let advice = game.advice(further);
        let test = advice.tests.first().filter(|_| advice.best == Best::Test);
        let Some((kind, red, black, state)) = test.and_then(|test| match &test.asked {
            Asked::Read { kind, red, black } => Some((*kind, red, black, &test.state)),
            Asked::LookFor { .. } => None,
        }) else {
            return game.open(&advice);
        };
        game.read(kind, red, black, state);
    }
    let advice = game.advice(further);
    game.open(&advice);
}

fn any(game: &mut Game<'_>, dice: &mut Dice) {
    for _ in 0..MOST_RANDOM {
        let advice = game.advice(false);
        let reach = reachable(&game.case.circuit, &game.now, game.log(), &BTreeSet::new());
        if advice.best != Best::Test || reach.looks.is_empty() {
            return game.open(&advice);
        }
        let look = &reach.looks[dice.below(reach.looks.len())];
        game.read(look.kind, &look.red, &look.black, &reach.states[look.state]);
    }
    let advice = game.advice(false);
    game.open(&advice);
}

/// Whether the feed at the module recovers with one connector parted and everything else plugged.
fn recovers(game: &mut Game<'_>, id: &str) -> bool {
    let pin = game.pin();
    let state = State {
        unplugged: BTreeSet::from([id.to_owned()]),
        ..State::default()
    };
    let volts = game.read(Kind::Volts, &pin, &Point::battery_negative(), &state);
    let nominal = as_volts(game.case.circuit.supplies[0].nominal);
    volts.is_some_and(|v| v > RECOVERED * nominal)
}

fn one_at_a_time(game: &mut Game<'_>) {
    let circuit = &game.case.circuit;
    let mut all: Vec<(f64, String)> = (circuit.connectors.iter())
        .filter_map(|c| Some((price::plug(circuit, &c.id)?, c.id.clone())))
        .collect();
    all.sort_by(|a, b| a.0.total_cmp(&b.0));
    for (_, id) in all {
        if recovers(game, &id) {
            break;
        }
    }
    let advice = game.advice(false);
    game.open(&advice);
}

fn half_by_count(game: &mut Game<'_>) {
    let circuit = &game.case.circuit;
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
        let recovered = recovers(game, id);
        left.retain(|part| parts.contains(part) == recovered);
    }
    let advice = game.advice(false);
    game.open(&advice);
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
