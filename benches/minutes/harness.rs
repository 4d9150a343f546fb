//! Exercises on the generated harnesses: a hidden short each, and other lengths and minutes where asked for.

use super::generated::Case;
use pinchpoint::{
    fault::{FaultKind, Site},
    practice::{Allowed, Dice, Exercise, Hidden},
    quantity::units::{as_metres, as_minutes, metres, minutes},
};

/// A vehicle with a fault from a seed.
pub fn exercise(case: &Case, seed: u64) -> Exercise {
    Exercise {
        title: case.id.clone(),
        story: String::new(),
        circuit: case.circuit.clone(),
        meter: case.meter.clone(),
        hidden: vec![fault(case, &mut Dice::new(seed))],
        seed,
        given: Vec::new(),
        allowed: Allowed::default(),
    }
}

/// A short of half an ohm to forty: a quarter in sensors, the others anywhere along the wires.
fn fault(case: &Case, dice: &mut Dice) -> Hidden {
    let circuit = &case.circuit;
    let ohm = 10f64.powf(dice.between(-0.3, 1.6));
    if dice.unit() < 0.25 && !circuit.loads.is_empty() {
        let load = &circuit.loads[dice.below(circuit.loads.len())];
        return Hidden::new(Site::part(&load.id), FaultKind::DrawsTooMuch, ohm);
    }
    let lengths: Vec<f64> = (circuit.wires.iter())
        .map(|w| w.length_or_assumed())
        .collect();
    let wire = &circuit.wires[dice.weighted(&lengths).unwrap_or(0)];
    Hidden::new(Site::part(&wire.id), FaultKind::ShortToGround, ohm).at(dice.unit())
}

/// The same shape, with lengths and minutes of its own where there is a seed for them.
pub fn redrawn(case: &Case, seed: Option<u64>) -> Case {
    let mut circuit = case.circuit.clone();
    if let Some(seed) = seed {
        let mut dice = Dice::new(seed).fork("redrawn");
        for wire in &mut circuit.wires {
            let length = wire.length.map_or(1.0, as_metres);
            wire.length = Some(metres(length * dice.factor(1.6)));
        }
        for connector in &mut circuit.connectors {
            connector.access = minutes(as_minutes(connector.access) * dice.factor(2.0));
        }
    }
    Case {
        id: format!("{}{}", case.id, seed.map_or("", |_| " redrawn")),
        circuit,
        meter: case.meter.clone(),
        log: Vec::new(),
        truth: case.truth.clone(),
    }
}
