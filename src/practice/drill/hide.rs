//! Where a drill hides its faults, and how large they are.

use std::collections::BTreeSet;

use super::{
    super::{Allowed, Dice, Exercise, ExerciseError, Hidden, World},
    Drill, Level,
};
use crate::{
    circuit::{Circuit, FeedTree, LimitMode, Point, Terminal, Wire, tree::Side},
    fault::{FaultKind, Site},
    quantity::units::{as_amperes, milliamperes},
    reading::{Entry, Kind, State, Value},
};

/// What may be tested in a drill.
pub fn allowed(drill: Drill, level: Level) -> Allowed {
    Allowed {
        unplugging: !(drill == Drill::MillivoltTrail && level == Level::First),
        ..Allowed::default()
    }
}

/// Makes a circuit fit for its drill: a supply that limits where limiting is the subject.
pub fn prepare(drill: Drill, level: Level, circuit: &mut Circuit, dice: &mut Dice) {
    if drill != Drill::LimitedSupply {
        return;
    }
    for supply in &mut circuit.supplies {
        let limit = match supply.limit {
            LimitMode::Constant { limit: Some(limit) } => limit,
            // A supply that folds back already is what the drill needs.
            LimitMode::Foldback { .. } => continue,
            _ => milliamperes((dice.between(10.0, 20.0)).round() * 10.0),
        };
        supply.limit = if level == Level::First {
            LimitMode::Constant { limit: Some(limit) }
        } else {
            LimitMode::Foldback {
                limit: Some(limit),
                short_circuit: Some(milliamperes((as_amperes(limit) * 300.0).round())),
            }
        };
    }
}

/// Chooses the faults.
pub fn faults(
    drill: Drill,
    level: Level,
    circuit: &Circuit,
    dice: &mut Dice,
) -> Result<Vec<Hidden>, ExerciseError> {
    let tree = FeedTree::walk(circuit, Side::Feed);
    let reached = tree.parts();
    let feed: Vec<&Wire> = (circuit.wires.iter())
        .filter(|wire| reached.contains(wire.id.as_str()))
        .collect();
    let need = if drill == Drill::TwoFaults { 3 } else { 1 };
    if feed.len() < need {
        return Err(ExerciseError::NoPlace(format!(
            "it takes {need} wire{} on the feed side, and {} are drawn",
            if need == 1 { "" } else { "s" },
            feed.len()
        )));
    }
    let weights: Vec<f64> = feed.iter().map(|wire| weight(circuit, wire)).collect();
    let wire = |dice: &mut Dice| match drill {
        Drill::SplitHalf => dice.below(feed.len()),
        _ => dice.weighted(&weights).unwrap_or(0),
    };
    let short = |index: usize, low: f64, high: f64, dice: &mut Dice| {
        let ohm = round(low * (high / low).powf(dice.unit()));
        let at = (dice.between(0.05, 0.95) * 100.0).round() / 100.0;
        Hidden::new(Site::part(&feed[index].id), FaultKind::ShortToGround, ohm).at(at)
    };
    let hard = level == Level::Hard;
    Ok(match drill {
        Drill::SplitHalf => {
            let index = wire(dice);
            let id = &feed[index].id;
            if is_plain_chain(circuit) {
                vec![Hidden::new(Site::part(id), FaultKind::Open, 1.0)]
            } else {
                vec![short(index, 0.5, 5.0, dice)]
            }
        }
        Drill::UnequalOdds | Drill::AccessMinutes | Drill::WrongReading => {
            let index = wire(dice);
            vec![short(index, 0.5, if hard { 60.0 } else { 10.0 }, dice)]
        }
        Drill::MillivoltTrail => {
            let index = wire(dice);
            vec![short(index, 0.3, if hard { 8.0 } else { 2.0 }, dice)]
        }
        Drill::LimitedSupply => {
            let index = wire(dice);
            vec![short(index, 5.0, if hard { 60.0 } else { 25.0 }, dice)]
        }
        Drill::TwoFaults => {
            let first = wire(dice);
            let mut second = wire(dice);
            for _ in 0..20 {
                if second != first {
                    break;
                }
                second = wire(dice);
            }
            if second == first {
                second = (first + 1) % feed.len();
            }
            vec![
                short(first, 2.0, 15.0, dice),
                short(second, 2.0, if hard { 60.0 } else { 15.0 }, dice),
            ]
        }
        Drill::GhostVoltage => {
            let (low, high): (f64, f64) = match level {
                Level::First => (40.0, 200.0),
                Level::Everyday => (100.0, 2000.0),
                Level::Hard => (1000.0, 20_000.0),
            };
            let ohm = round(low * (high / low).powf(dice.unit()));
            let pins: Vec<Site> = (circuit.connectors.iter())
                .filter(|connector| reached.contains(connector.id.as_str()))
                .map(|connector| Site::pin(&connector.id, 1))
                .collect();
            let site = if pins.is_empty() || dice.unit() < 0.3 {
                Site::part(&feed[wire(dice)].id)
            } else {
                pins[dice.below(pins.len())].clone()
            };
            vec![Hidden::new(site, FaultKind::HighResistance, ohm)]
        }
    })
}

/// How likely a wire is chosen beside others: longer and damaged ones are likelier, as on a vehicle.
fn weight(circuit: &Circuit, wire: &Wire) -> f64 {
    let zones = circuit.damage_zones.iter();
    let hit = zones.filter(|zone| {
        let named = |part: &String| *part == wire.id || *part == wire.bundle;
        zone.parts.iter().any(named)
    });
    let factor: f64 = hit.map(|zone| zone.factor).product();
    (0.5 + wire.length_or_assumed()) * factor
}

/// Two significant digits, so that a number can be spoken of.
fn round(value: f64) -> f64 {
    let step = 10f64.powf(value.abs().max(1e-6).log10().floor() - 1.0);
    (value / step).round() * step
}

/// Whether a feed is one line to one sensor, each stretch of wire between two connectors.
pub fn is_plain_chain(circuit: &Circuit) -> bool {
    circuit.connectors.len() + 1 >= circuit.wires.len() && circuit.loads.len() == 1
}

/// The two brackets that a chain is given with: the module's pin, which reads right, and the sensor, which reads nothing.
/// Without the second nothing says that anything is wrong, and a reading in the middle would halve nothing.
pub fn brackets(exercise: &Exercise) -> Result<Vec<Entry>, ExerciseError> {
    let circuit = &exercise.circuit;
    let mut world = World::draw(circuit, &exercise.hidden, &exercise.meter, exercise.seed)?;
    let feed = (circuit.supplies.first()).map(|supply| Point::new(&supply.id, Terminal::Feed(1)));
    let sensor = circuit.loads.first().map(|load| load.feed.clone());
    let (black, state) = (Point::battery_negative(), State::default());
    let mut entries = Vec::new();
    for red in feed.into_iter().chain(sensor) {
        let reading = world.reading(Kind::Volts, &red, &black, &state);
        entries.extend(reading.ok().map(Entry::Reading));
    }
    Ok(entries)
}

/// Five readings that somebody took, one of which is wrong: mV read as V, the probe without contact, or the plug state
/// noted wrongly.
pub fn given(exercise: &Exercise, dice: &mut Dice) -> Result<Vec<Entry>, ExerciseError> {
    let circuit = &exercise.circuit;
    let mut world = World::draw(circuit, &exercise.hidden, &exercise.meter, exercise.seed)?;
    let Some(supply) = circuit.supplies.first() else {
        return Err(ExerciseError::NoPlace("nothing feeds it".to_owned()));
    };
    let feed = Point::new(&supply.id, Terminal::Feed(1));
    let reached = FeedTree::walk(circuit, Side::Feed);
    let plugs: Vec<&str> = (circuit.connectors.iter())
        .map(|connector| connector.id.as_str())
        .filter(|id| reached.parts().contains(id))
        .collect();
    if plugs.len() < 2 {
        return Err(ExerciseError::NoPlace(
            "it takes two connectors on the feed side to read between".to_owned(),
        ));
    }
    let mut looks = vec![(feed.clone(), BTreeSet::new())];
    for _ in 0..2 {
        let plug = plugs[dice.below(plugs.len())].to_owned();
        looks.push((feed.clone(), BTreeSet::from([plug])));
    }
    for _ in 0..2 {
        let plug = plugs[dice.below(plugs.len())];
        looks.push((Point::new(plug, Terminal::Near(1)), BTreeSet::new()));
    }
    let mut entries = Vec::new();
    for (red, unplugged) in looks {
        let state = State {
            unplugged,
            ..State::default()
        };
        let black = Point::battery_negative();
        entries.extend(world.reading(Kind::Volts, &red, &black, &state).ok());
    }
    let wrong = dice.below(entries.len());
    let way = dice.below(3);
    if let Some(reading) = entries.get_mut(wrong) {
        let right = reading.value;
        match (&mut reading.value, way) {
            (Value::Exactly(value), 0) if value.abs() < 1.0 => {
                *value *= 1000.0;
                reading.step = reading.step.map(|step| 1000.0 * step);
            }
            (Value::Exactly(_), 1) if !reading.state.unplugged.is_empty() => {
                // Noted as parted, yet read with everything plugged.
                let black = Point::battery_negative();
                let plugged = world.reading(Kind::Volts, &reading.red, &black, &State::default());
                if let Ok(plugged) = plugged {
                    (reading.value, reading.step) = (plugged.value, plugged.step);
                }
            }
            (value, _) => {
                *value = Value::Exactly(0.0);
                // The finest range is in sight then.
                reading.step = exercise.meter.ranges.first().map(|range| range.step);
            }
        }
        // What is wrong by less than this cannot be told from a right one.
        let told = match (right, reading.value) {
            (Value::Exactly(right), Value::Exactly(wrong)) => {
                (right - wrong).abs() > 0.1 + 0.1 * right.abs()
            }
            (right, wrong) => right != wrong,
        };
        if !told {
            return Err(ExerciseError::Invisible("the wrong reading".to_owned()));
        }
    }
    Ok(entries.into_iter().map(Entry::Reading).collect())
}
