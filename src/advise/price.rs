//! What things cost in minutes: the price list of tests and of opening up.
//!
//! Unplugging or plugging a connector takes its own minutes, reading at it half of them, a module's pin what the sketch
//! says (three when it says nothing). Opening a wire takes four minutes a metre, taking out a sensor three more than
//! its connector. Provenance of every number: judgement from common practice, no source.

use std::collections::BTreeSet;

use crate::{
    circuit::{Circuit, Point, hazard},
    fault::{FaultKind, Site},
    quantity::units::as_minutes,
    reading::{Kind, State},
};

/// Minutes to read at something that is not a connector: a ground point, a fuse, a rail, a sensor's own terminal.
const PROBE_ELSEWHERE: f64 = 3.0;
/// Minutes to switch the supply off for ohms, wait, and switch it on again.
pub const SWITCH_OFF: f64 = 10.0;
/// Minutes to put a meter in series with the supply.
pub const IN_SERIES: f64 = 8.0;
/// Minutes to get a clamp around one wire, beyond getting there.
const CLAMP_ON: f64 = 2.0;
/// Minutes to ask a module on a scan tool that hangs on the vehicle already.
pub const SCAN: f64 = 2.0;
/// Minutes to clip a known load on.
pub const CLIP_ON: f64 = 2.0;
/// Minutes to look for members that are not drawn.
pub const LOOK_AROUND: f64 = 15.0;
/// Minutes to ventilate where fuel vapour may be, before anything is touched there.
pub const VENTILATE: f64 = 3.0;
/// Minutes to unwrap a metre of wire.
const UNWRAP_METRE: f64 = 4.0;
/// Minutes to take a sensor out, beyond its connector.
const TAKE_OUT: f64 = 3.0;
/// Minutes to clean or close a pin, beyond its connector.
const MEND_PIN: f64 = 2.0;
/// Minutes to cut out and reseal a splice, to clean a ground, to change a fuse, to put another module on.
const SPLICE: f64 = 30.0;
const GROUND: f64 = 5.0;
const FUSE: f64 = 2.0;
const MODULE: f64 = 20.0;
/// How many times the minutes a place takes that was looked at before: half of what hid from one look hides from the
/// next, so that two are needed on average.
pub const AGAIN: f64 = 2.0;
/// Minutes to trace a branch that is not drawn.
const TRACE: f64 = 30.0;

/// Minutes to part or mate a connector; nothing when there is none of that name.
pub fn plug(circuit: &Circuit, id: &str) -> Option<f64> {
    let connector = circuit.connector(id)?;
    Some(as_minutes(connector.access).max(0.0))
}

/// Minutes to go from one plug state to another; whatever is not on the sketch costs nothing.
pub fn travel(circuit: &Circuit, from: &State, to: &State) -> f64 {
    let plugs: f64 = (from.unplugged)
        .symmetric_difference(&to.unplugged)
        .filter_map(|id| plug(circuit, id))
        .sum();
    let clips = to
        .attached
        .iter()
        .filter(|load| !from.attached.contains(load))
        .count();
    // Switching it on again is in the price of switching it off.
    let switch = if to.supply_off && !from.supply_off {
        SWITCH_OFF
    } else {
        0.0
    };
    plugs + CLIP_ON * clips as f64 + switch
}

/// Minutes of care when connectors where fuel may be are parted or mated between two states.
pub fn caution(fuel: &BTreeSet<String>, from: &State, to: &State) -> f64 {
    let moved = from.unplugged.symmetric_difference(&to.unplugged);
    VENTILATE * moved.filter(|id| fuel.contains(*id)).count() as f64
}

/// Minutes to read at a point in a state; `None` where no probe gets at it without cutting: a splice, the back of
/// a sealed connector that is plugged.
pub fn probe(circuit: &Circuit, point: &Point, state: &State) -> Option<f64> {
    if let Some(supply) = circuit.supply(&point.part) {
        return Some(as_minutes(supply.probe).max(0.0));
    }
    if let Some(connector) = circuit.connector(&point.part) {
        let open = state.unplugged.contains(&connector.id);
        return (open || !connector.sealed).then(|| 0.5 * as_minutes(connector.access).max(0.0));
    }
    if circuit.splices.iter().any(|s| s.id == point.part) {
        return None;
    }
    Some(PROBE_ELSEWHERE)
}

/// Minutes for a reading with a lead on each of two points: both have to be got at, one part only once. The meter's own
/// clip on battery negative costs nothing.
pub fn reading(circuit: &Circuit, red: &Point, black: &Point, state: &State) -> Option<f64> {
    let first = probe(circuit, red, state)?;
    if black.is_battery_negative() || black.part == red.part {
        return Some(first);
    }
    Some(first + probe(circuit, black, state)?)
}

/// Minutes to read a current by a clamp around a wire beside a point. A sealed connector need not be opened for it; a
/// splice is under its wrapping.
pub fn clamp(circuit: &Circuit, point: &Point) -> Option<f64> {
    let connector = circuit.connector(&point.part);
    let there = match connector {
        Some(connector) => 0.5 * as_minutes(connector.access).max(0.0),
        None => probe(circuit, point, &State::default())?,
    };
    Some(there + CLAMP_ON)
}

/// Minutes to see whether a connector is home.
pub fn check(circuit: &Circuit, id: &str) -> Option<f64> {
    plug(circuit, id).map(|minutes| 0.5 * minutes)
}

/// Minutes for a reading of a kind once the state is there; `None` where nothing gets at its points.
pub fn asked(
    circuit: &Circuit,
    kind: Kind,
    red: &Point,
    black: &Point,
    state: &State,
) -> Option<f64> {
    match kind {
        Kind::Volts | Kind::Ohms | Kind::Lamp(_) => reading(circuit, red, black, state),
        Kind::Amperes => Some(IN_SERIES),
        Kind::Clamp => clamp(circuit, red),
        Kind::Scan => Some(SCAN),
    }
}

/// Minutes for a reading of a kind from how things stand now: what has to be moved for it, the reading itself, and the airing
/// where fuel may be. `None` where nothing gets at its points.
pub fn whole(
    circuit: &Circuit,
    kind: Kind,
    red: &Point,
    black: &Point,
    now: &State,
    to: &State,
) -> Option<f64> {
    let fuel: BTreeSet<String> = hazard::fuel(circuit).into_iter().collect();
    let care = airing(&fuel, red, black) + caution(&fuel, now, to);
    Some(asked(circuit, kind, red, black, to)? + travel(circuit, now, to) + care)
}

/// Minutes of care for a reading with a lead where fuel may be.
pub fn airing(fuel: &BTreeSet<String>, red: &Point, black: &Point) -> f64 {
    let near = [red, black].iter().any(|p| fuel.contains(&p.part));
    if near { VENTILATE } else { 0.0 }
}

/// Minutes to open a place and see whether the fault is there; `share` is the share of a wire that is opened.
pub fn open(circuit: &Circuit, site: &Site, kind: FaultKind, share: f64) -> f64 {
    if kind == FaultKind::UndrawnShort {
        return TRACE;
    }
    let part = site.part.as_str();
    if let Some(wire) = circuit.wire(part) {
        return (UNWRAP_METRE * wire.length_or_assumed() * share).max(0.05);
    }
    if let Some(minutes) = plug(circuit, part) {
        return minutes + MEND_PIN;
    }
    if let Some(load) = circuit.load(part) {
        return TAKE_OUT + plug(circuit, &load.feed.part).unwrap_or(0.0);
    }
    if circuit.splices.iter().any(|s| s.id == part) {
        SPLICE
    } else if circuit.fuses.iter().any(|f| f.id == part) {
        FUSE
    } else if circuit.supplies.iter().any(|s| s.id == part) {
        MODULE
    } else {
        GROUND
    }
}
