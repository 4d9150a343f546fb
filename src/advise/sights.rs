//! Every reading that could be taken next: the states within one or two moves, and the points a probe reaches there.

use std::collections::BTreeSet;

use super::price;
use crate::{
    circuit::{Circuit, Point, Terminal, hazard},
    quantity::units::{as_volts, ohms},
    reading::{Attached, Entry, Kind, State},
};

/// Current through a known load that is clipped on, A: a few milliamperes at nominal volts, as a sensor draws (common
/// practice, no source).
const KNOWN_LOAD_A: f64 = 0.005;
/// A resistor of a few milliamperes from a point to battery negative.
pub fn known_load(circuit: &Circuit, point: &Point) -> Attached {
    Attached {
        from: point.clone(),
        to: Point::battery_negative(),
        resistance: ohms((as_volts(circuit.nominal_or_5()) / KNOWN_LOAD_A).round()),
    }
}

/// States that are looked at, at most.
pub(super) const STATES: usize = 120;
/// Points and connectors up to which every point is looked at in every state.
const SMALL: (usize, usize) = (48, 18);
/// Cheapest points that are looked at in every state of a large feed.
const CHEAPEST: usize = 4;
/// Pairs of points between which a drop is looked at in the present state, and in every other one.
const DROPS: usize = 150;
const DROPS_MOVED: usize = 10;
/// Connectors that are parted now and could be swapped for another one.
const SWAPPED: usize = 3;

/// One reading that could be taken.
#[derive(Clone, Debug, PartialEq)]
pub struct Look {
    /// Index into [`Reachable::states`].
    pub state: usize,
    /// What is read.
    pub kind: Kind,
    /// Where the red lead goes.
    pub red: Point,
    /// Where the black lead goes.
    pub black: Point,
    /// Minutes once the state is there.
    pub minutes: f64,
}

/// What is within reach.
#[derive(Clone, Debug, Default)]
pub struct Reachable {
    /// States; the first is the present one with the supply on.
    pub states: Vec<State>,
    /// Readings.
    pub looks: Vec<Look>,
}

/// Lists what can be read. Parts in `out_of_reach` are neither parted nor probed; nothing near restraint or high
/// voltage circuits is ever proposed; ohms are proposed with the supply off only.
pub fn reachable(
    circuit: &Circuit,
    now: &State,
    log: &[Entry],
    out_of_reach: &BTreeSet<String>,
) -> Reachable {
    let barred = barred(circuit, out_of_reach);
    let mut found = Finder {
        circuit,
        barred,
        points: Vec::new(),
        fuel: hazard::fuel(circuit).into_iter().collect(),
        found: Reachable::default(),
        taken: log.iter().filter_map(taken).collect(),
    };
    found.points = circuit
        .points()
        .into_iter()
        .filter(|p| !p.is_battery_negative() && !found.barred.contains(&p.part))
        .collect();
    let present = State {
        supply_off: false,
        unknown: BTreeSet::new(),
        key_cycled: None,
        ..now.clone()
    };
    found.volts(present.clone());
    found.drops(&present, DROPS);
    found.ohms_and_amperes(&present);
    found.parted(&present);
    found.clipped(&present);
    found.clamped(&present);
    found.scanned(&present);
    found.found
}

/// Parts that are neither touched nor opened: out of reach, or near restraint or high voltage circuits, where a wire
/// of such a loom bars what it is plugged into as well.
pub fn barred(circuit: &Circuit, out_of_reach: &BTreeSet<String>) -> BTreeSet<String> {
    let mut never: BTreeSet<String> = hazard::restraints(circuit).into_iter().collect();
    never.extend(hazard::high_voltage(circuit));
    let ends: Vec<String> = (circuit.wires.iter())
        .filter(|wire| never.contains(&wire.id))
        .flat_map(|wire| [wire.from.part.clone(), wire.to.part.clone()])
        .collect();
    never.extend(ends);
    never.extend(out_of_reach.iter().cloned());
    never
}

fn taken(entry: &Entry) -> Option<(State, Kind, Point, Point)> {
    let reading = entry.used()?;
    let state = State {
        key_cycled: None,
        ..reading.state.clone()
    };
    Some((
        state,
        reading.kind,
        reading.red.clone(),
        reading.black.clone(),
    ))
}

pub(super) struct Finder<'a> {
    pub(super) circuit: &'a Circuit,
    pub(super) barred: BTreeSet<String>,
    pub(super) points: Vec<Point>,
    /// Parts where fuel may be: a test beside them costs care, so that another of like worth comes first.
    fuel: BTreeSet<String>,
    pub(super) found: Reachable,
    /// Readings since the last repair need no repeating.
    taken: Vec<(State, Kind, Point, Point)>,
}

impl Finder<'_> {
    pub(super) fn state(&mut self, state: State) -> usize {
        match self.found.states.iter().position(|s| *s == state) {
            Some(at) => at,
            None => {
                self.found.states.push(state);
                self.found.states.len() - 1
            }
        }
    }

    pub(super) fn look(
        &mut self,
        state: usize,
        kind: Kind,
        red: &Point,
        black: Point,
        minutes: f64,
    ) {
        let care = price::airing(&self.fuel, red, &black);
        let look = Look {
            state,
            kind,
            red: red.clone(),
            black,
            minutes: minutes + care,
        };
        let at = &self.found.states[state];
        let again = self.taken.iter().any(|(s, k, red, black)| {
            *k == look.kind && *red == look.red && *black == look.black && s == at
        });
        if !again && !self.found.looks.contains(&look) {
            self.found.looks.push(look);
        }
    }

    fn is_small(&self) -> bool {
        self.points.len() <= SMALL.0 && self.circuit.connectors.len() <= SMALL.1
    }

    /// Volts to battery negative, and across the sensors that have a return of their own.
    fn volts(&mut self, state: State) {
        let at = self.state(state.clone());
        for point in self.points.clone() {
            if let Some(minutes) = price::probe(self.circuit, &point, &state) {
                self.look(at, Kind::Volts, &point, Point::battery_negative(), minutes);
            }
        }
        for load in &self.circuit.loads {
            let usable = |p: &Point| !p.is_battery_negative() && !self.barred.contains(&p.part);
            if !usable(&load.feed) || !usable(&load.ret) {
                continue;
            }
            if let Some(minutes) = price::reading(self.circuit, &load.feed, &load.ret, &state) {
                let (red, black) = (load.feed.clone(), load.ret.clone());
                self.look(at, Kind::Volts, &red, black, minutes);
            }
        }
    }

    /// Volts between two places, which shows what the wire between them drops on a finer range than the difference of
    /// two readings: the cheapest pairs, one pin of each part, and both halves of what is plugged.
    fn drops(&mut self, state: &State, most: usize) {
        let mut places: Vec<(f64, Point)> = Vec::new();
        for point in &self.points {
            let seen = places.iter().any(|(_, p)| {
                p.part == point.part
                    && (p.terminal == point.terminal || !state.unplugged.contains(&p.part))
            });
            let pin = !matches!(point.terminal, Terminal::Return);
            if pin
                && !seen
                && let Some(minutes) = price::probe(self.circuit, point, state)
            {
                places.push((minutes, point.clone()));
            }
        }
        let mut pairs: Vec<(f64, &Point, &Point)> = Vec::new();
        for (i, (minutes, red)) in places.iter().enumerate() {
            for (more, black) in &places[i + 1..] {
                if red.part != black.part {
                    pairs.push((minutes + more, red, black));
                }
            }
        }
        pairs.sort_by(|a, b| {
            a.0.total_cmp(&b.0)
                .then_with(|| (a.1, a.2).cmp(&(b.1, b.2)))
        });
        pairs.truncate(most);
        let at = self.state(state.clone());
        let pairs: Vec<(f64, Point, Point)> = pairs
            .into_iter()
            .map(|(minutes, red, black)| (minutes, red.clone(), black.clone()))
            .collect();
        for (minutes, red, black) in pairs {
            self.look(at, Kind::Volts, &red, black, minutes);
        }
    }

    /// Volts in a state with other plugs: everywhere on a small feed, else at what was moved and what is near at hand.
    fn moved(&mut self, state: State, moved: &[&str]) {
        if self.found.states.len() >= STATES {
            return;
        }
        if self.is_small() {
            self.volts(state.clone());
            self.drops(&state, DROPS_MOVED);
            return;
        }
        let mut priced: Vec<(f64, Point)> = self
            .points
            .iter()
            .filter(|p| p.terminal != Terminal::Return)
            .filter_map(|p| Some((price::probe(self.circuit, p, &state)?, p.clone())))
            .collect();
        priced.sort_by(|a, b| a.0.total_cmp(&b.0).then_with(|| a.1.cmp(&b.1)));
        let at = self.state(state);
        for (place, (minutes, point)) in priced.into_iter().enumerate() {
            if place < CHEAPEST || moved.contains(&point.part.as_str()) {
                self.look(at, Kind::Volts, &point, Point::battery_negative(), minutes);
            }
        }
    }

    /// Each connector the other way; where some are parted, one of them back and another one off; everything plugged.
    fn parted(&mut self, present: &State) {
        let ids: Vec<&str> = (self.circuit.connectors.iter())
            .map(|c| c.id.as_str())
            .filter(|id| !self.barred.contains(*id))
            .collect();
        for id in &ids {
            self.moved(present.toggled(id), &[id]);
        }
        let off: Vec<&str> = ids
            .iter()
            .copied()
            .filter(|id| present.unplugged.contains(*id))
            .collect();
        if off.len() > 1 {
            let mut usual = present.clone();
            for id in &off {
                usual.unplugged.remove(*id);
            }
            self.moved(usual, &off);
        }
        for back in off.iter().rev().take(SWAPPED) {
            let mated = present.toggled(back);
            for id in ids.iter().filter(|id| !present.unplugged.contains(**id)) {
                self.moved(mated.toggled(id), &[back, id]);
            }
        }
    }
}
