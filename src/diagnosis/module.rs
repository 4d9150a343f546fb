//! The gate before a module is accused: its harness off, its pin read alone, the key cycled where it latches.

use std::collections::BTreeSet;

use super::{Gate, ModuleVerdict, Question, volts_of};
use crate::{
    advise::{Advice, Asked, Best, Purpose, Test, moves, price},
    circuit::{Circuit, Point, Supply, Terminal},
    fault::FaultKind,
    infer::lower::Model,
    quantity::units::as_volts,
    reading::{Kind, State, Value},
};

/// Probability of the module's own fault from which the wire between it and its connector, which hangs on the pin with the
/// harness off, is no excuse any more (judgement).
const ITS_OWN: f64 = 0.95;

/// One verdict for each supply; `own` gives the probability that a supply itself has a fault.
pub fn verdicts(
    question: &Question<'_>,
    model: &Model,
    own: &dyn Fn(&str) -> f64,
) -> Vec<ModuleVerdict> {
    question
        .circuit
        .supplies
        .iter()
        .map(|supply| verdict(question, model, supply, own(&supply.id)))
        .collect()
}

fn verdict(question: &Question<'_>, model: &Model, supply: &Supply, own: f64) -> ModuleVerdict {
    let nominal = as_volts(supply.nominal);
    let allowed = nominal * supply.tolerance_percent / 100.0;
    let mut accused: Vec<(usize, f64)> = Vec::new();
    let mut still_on = BTreeSet::new();
    for measured in &model.measured {
        let Some(reading) = volts_of(&question.log[measured.entry]) else {
            continue;
        };
        let Value::Exactly(volts) = reading.value else {
            continue;
        };
        let at_pin =
            reading.red.part == supply.id && matches!(reading.red.terminal, Terminal::Feed(_));
        // Of what nobody noted nothing follows for a module.
        let certain = reading.state.unknown.is_empty() && reading.state.attached.is_empty();
        if !at_pin || reading.state.supply_off || !certain {
            continue;
        }
        let reach = reach(question.circuit, supply, &reading.state.unplugged);
        if reach.loads {
            continue;
        }
        let band = allowed
            + question
                .meter
                .band(volts)
                .max(reading.noted_to().unwrap_or(0.0));
        if (volts - nominal).abs() <= band {
            return ModuleVerdict::Cleared {
                supply: supply.id.clone(),
                entry: measured.entry,
                volts,
            };
        }
        let latch_excluded = !supply.latches || reading.state.key_cycled == Some(true);
        if latch_excluded && (reach.wires.is_empty() || own > ITS_OWN) {
            accused.push((measured.entry, volts));
        } else if latch_excluded {
            still_on = reach.wires;
        }
    }
    match accused.last() {
        // With members that nobody has drawn the pin was perhaps not alone.
        Some(&(entry, volts)) if !supply.more_members => ModuleVerdict::Accused {
            supply: supply.id.clone(),
            entry,
            before_replacing: gates(&accused, volts),
        },
        _ => ModuleVerdict::NotTested {
            supply: supply.id.clone(),
            unplug: reach(question.circuit, supply, &all(question.circuit))
                .nearest
                .into_iter()
                .collect(),
            still_on: still_on.into_iter().collect(),
            members: supply.more_members,
        },
    }
}

/// What is to be done before a module that is accused is replaced (common practice, no source).
fn gates(accused: &[(usize, f64)], volts: f64) -> Vec<Gate> {
    /// Volts that are nothing at all, as a lead that does not touch shows.
    const NOTHING: f64 = 0.05;
    let mut gates = Vec::new();
    if accused.len() < 2 {
        gates.push(Gate::ReadAgain);
    }
    if volts.abs() < NOTHING {
        gates.push(Gate::ProveMeter);
    }
    gates.push(Gate::LoadPowersAndGrounds);
    gates
}

/// Puts the reading of a module's pin with the harness off before its replacement: where the first place to open is a module
/// that was not read so yet.
pub fn before_opening(
    question: &Question<'_>,
    model: &Model,
    own: &dyn Fn(&str) -> f64,
    advice: &mut Advice,
) {
    let gated = |kind| {
        use FaultKind::{LimitsEarly, SupplyDead, SupplyLow};
        matches!(kind, SupplyDead | SupplyLow | LimitsEarly)
    };
    let first = advice.opening.first().filter(|place| gated(place.kind));
    let opens = matches!(advice.best, Best::OpenUp | Best::NothingTells);
    let Some(first) = first.filter(|_| opens) else {
        return;
    };
    let supply = question.circuit.supply(&first.site.part);
    let Some(supply) = supply else { return };
    let ModuleVerdict::NotTested {
        unplug, still_on, ..
    } = verdict(question, model, supply, own(&supply.id))
    else {
        return;
    };
    let barred = |id: &String| question.out_of_reach.contains(id);
    if unplug.is_empty() || !still_on.is_empty() || unplug.iter().any(barred) {
        return;
    }
    let mut state = State {
        supply_off: false,
        key_cycled: None,
        unknown: BTreeSet::new(),
        ..question.now.clone()
    };
    state.unplugged.extend(unplug.iter().cloned());
    let red = Point::new(&supply.id, Terminal::Feed(1));
    // Of a supply that latches it is asked for once more, the key cycled.
    let times = if supply.latches { 2 } else { 1 };
    let read = (model.measured.iter())
        .filter(|measured| measured.repairs == model.repairs.len())
        .filter_map(|measured| volts_of(&question.log[measured.entry]))
        .filter(|reading| reading.red == red && reading.state.stands_alike(&state));
    if read.count() >= times {
        return;
    }
    let (circuit, now, black) = (question.circuit, question.now, Point::battery_negative());
    let Some(minutes) = price::whole(circuit, Kind::Volts, &red, &black, now, &state) else {
        return;
    };
    let test = Test {
        purpose: Purpose::BeforeReplacing,
        moves: moves(now, &state, Kind::Volts),
        asked: Asked::Read {
            kind: Kind::Volts,
            red,
            black,
        },
        expected_minutes: minutes + advice.opening_minutes,
        state,
        minutes,
        bits: 0.0,
        bits_per_minute: 0.0,
        outcomes: Vec::new(),
    };
    advice
        .tests
        .retain(|other| (&other.asked, &other.state) != (&test.asked, &test.state));
    advice.tests.insert(0, test);
    advice.best = Best::Test;
}

fn all(circuit: &Circuit) -> BTreeSet<String> {
    circuit.connectors.iter().map(|c| c.id.clone()).collect()
}

struct Reach {
    loads: bool,
    wires: BTreeSet<String>,
    nearest: BTreeSet<String>,
}

/// What hangs on a supply's feed with the given connectors parted.
fn reach(circuit: &Circuit, supply: &Supply, unplugged: &BTreeSet<String>) -> Reach {
    let mut open: Vec<Point> = (1..=supply.feed_pins.max(1))
        .map(|pin| Point::new(&supply.id, Terminal::Feed(pin)))
        .collect();
    let mut seen: BTreeSet<Point> = open.iter().cloned().collect();
    let mut result = Reach {
        loads: false,
        wires: BTreeSet::new(),
        nearest: BTreeSet::new(),
    };
    while let Some(point) = open.pop() {
        let mut next = Vec::new();
        for wire in &circuit.wires {
            if wire.from == point || wire.to == point {
                result.wires.insert(wire.id.clone());
                next.push(if wire.from == point {
                    wire.to.clone()
                } else {
                    wire.from.clone()
                });
            }
        }
        if let Some(connector) = circuit.connector(&point.part) {
            if unplugged.contains(&connector.id) {
                result.nearest.insert(connector.id.clone());
            } else if let Terminal::Near(pin) = point.terminal {
                next.push(Point::new(&connector.id, Terminal::Far(pin)));
            } else if let Terminal::Far(pin) = point.terminal {
                next.push(Point::new(&connector.id, Terminal::Near(pin)));
            }
        }
        if circuit.fuses.iter().any(|f| f.id == point.part) {
            let other = if point.terminal == Terminal::In {
                Terminal::Out
            } else {
                Terminal::In
            };
            next.push(Point::new(&point.part, other));
        }
        result.loads |= circuit.loads.iter().any(|load| load.feed == point);
        open.extend(next.into_iter().filter(|p| seen.insert(p.clone())));
    }
    result
}
