//! The gate before a module is accused: its harness off, its pin read alone, the key cycled where it latches.

use std::collections::BTreeSet;

use super::{ModuleVerdict, Question, volts_of};
use crate::{
    circuit::{Circuit, Point, Supply, Terminal},
    infer::lower::Model,
    quantity::units::as_volts,
    reading::Value,
};

/// One verdict for each supply.
pub fn verdicts(question: &Question<'_>, model: &Model) -> Vec<ModuleVerdict> {
    question
        .circuit
        .supplies
        .iter()
        .map(|supply| verdict(question, model, supply))
        .collect()
}

fn verdict(question: &Question<'_>, model: &Model, supply: &Supply) -> ModuleVerdict {
    let nominal = as_volts(supply.nominal);
    let allowed = nominal * supply.tolerance_percent / 100.0;
    let mut accused = None;
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
        if !reach.wires && latch_excluded {
            accused = Some(measured.entry);
        }
    }
    match accused {
        Some(entry) => ModuleVerdict::Accused {
            supply: supply.id.clone(),
            entry,
        },
        None => ModuleVerdict::NotTested {
            supply: supply.id.clone(),
            unplug: reach(question.circuit, supply, &all(question.circuit))
                .nearest
                .into_iter()
                .collect(),
        },
    }
}

fn all(circuit: &Circuit) -> BTreeSet<String> {
    circuit.connectors.iter().map(|c| c.id.clone()).collect()
}

struct Reach {
    loads: bool,
    wires: bool,
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
        wires: false,
        nearest: BTreeSet::new(),
    };
    while let Some(point) = open.pop() {
        let mut next = Vec::new();
        for wire in &circuit.wires {
            if wire.from == point || wire.to == point {
                result.wires = true;
                next.push(if wire.from == point {
                    wire.to.clone()
                } else {
                    wire.from.clone()
                });
            }
        }
        if let Some(connector) = circuit.connectors.iter().find(|c| c.id == point.part) {
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
