//! Drawing conclusions the plain way: every fault that could be there is put into a vehicle of its own, and those whose
//! vehicles read otherwise than the real one are crossed out, more or less.
//!
//! Coarse and quick; one fault at a time. Simulated trainees think like this, so that comparing ways of choosing tests
//! does not rest on the engine, nor wait for it.

use super::{
    Exercise, Hidden,
    belief::{Belief, Believed, Vehicles},
};
use crate::{
    circuit::{Circuit, FeedTree, tree::Side},
    fault::{FaultKind, PRIORS, Site},
    quantity::units::as_volts,
    reading::{Entry, Kind, Meter, Reading, Value},
};

/// Ohms that a short and a bad joint are tried with.
const SHORTS: [f64; 11] = [0.3, 0.5, 0.8, 1.3, 2.2, 3.6, 6.0, 10.0, 17.0, 28.0, 50.0];
const JOINTS: [f64; 6] = [30.0, 100.0, 300.0, 1000.0, 3000.0, 10_000.0];
/// How far a value may stray from that of a vehicle as drawn with a fault of about the right size (judgement): as a share
/// of the value, and of the nominal volts.
const STRAY: f64 = 0.2;
const STRAY_OF_NOMINAL: f64 = 0.01;
/// Odds that a reading is off for another reason.
const MISTAKE: f64 = 0.02;

/// Suspects with their vehicles.
#[derive(Clone, Debug)]
pub struct Reckoning {
    prior: Belief,
    vehicles: Vehicles,
    meter: Meter,
    nominal: f64,
}

impl Reckoning {
    /// All single faults on the feed side of an exercise's circuit.
    pub fn new(exercise: &Exercise) -> Self {
        let circuit = &exercise.circuit;
        let prior = suspects(circuit);
        Self {
            vehicles: Vehicles::new(&prior, circuit, &exercise.meter),
            prior,
            meter: exercise.meter.clone(),
            nominal: as_volts(circuit.nominal_or_5()),
        }
    }

    /// The suspects' vehicles.
    pub fn vehicles(&mut self) -> &mut Vehicles {
        &mut self.vehicles
    }

    /// What to believe after the readings since the last repair.
    pub fn belief(&mut self, log: &[Entry]) -> Belief {
        let mut belief = self.prior.clone();
        let since = log
            .iter()
            .rposition(|entry| matches!(entry, Entry::Repair(_)));
        for entry in &log[since.map_or(0, |at| at + 1)..] {
            if let Entry::Reading(reading) = entry {
                self.weigh(&mut belief, reading);
            }
        }
        let total: f64 = belief.believed.iter().map(|one| one.probability).sum();
        for one in &mut belief.believed {
            one.probability /= total.max(f64::MIN_POSITIVE);
        }
        belief
    }

    fn weigh(&mut self, belief: &mut Belief, reading: &Reading) {
        let at = (self.vehicles.points().iter()).position(|point| *point == reading.red);
        let (Some(at), Value::Exactly(read)) = (at, reading.value) else {
            return;
        };
        if reading.kind != Kind::Volts || !reading.black.is_battery_negative() {
            return;
        }
        let volts = self.vehicles.volts(&reading.state);
        for (one, seen) in belief.believed.iter_mut().zip(volts) {
            let Some(Value::Exactly(would)) = seen[at] else {
                continue;
            };
            let size = read.abs().max(would.abs());
            // What is at its nominal volts strays no further than the supply does.
            let share = if size > 0.9 * self.nominal {
                0.03
            } else {
                STRAY
            };
            let sd = self.meter.sd(read) + share * size + STRAY_OF_NOMINAL * self.nominal;
            let z = (read - would) / sd;
            one.probability *= (1.0 - MISTAKE) * (-0.5 * z * z).exp() + MISTAKE;
        }
    }
}

fn suspects(circuit: &Circuit) -> Belief {
    let tree = FeedTree::walk(circuit, Side::Feed);
    let reached = tree.parts();
    let mut belief = Belief::default();
    let mut add = |site: &Site, kinds: &[(FaultKind, f64, &[f64])]| {
        let place = belief.places.len();
        belief.places.push(site.clone());
        let hit = (circuit.damage_zones.iter()).filter(|zone| {
            let wire = circuit.wires.iter().find(|wire| wire.id == site.part);
            let bundle = wire.map_or("", |wire| wire.bundle.as_str());
            zone.parts
                .iter()
                .any(|part| *part == site.part || *part == bundle)
        });
        let factor: f64 = hit.map(|zone| zone.factor).product();
        for &(kind, weight, sizes) in kinds {
            for &size in sizes {
                belief.believed.push(Believed {
                    fault: Some(Hidden::new(site.clone(), kind, size)),
                    probability: factor * weight / sizes.len() as f64,
                    place,
                });
            }
        }
    };
    for wire in circuit
        .wires
        .iter()
        .filter(|wire| reached.contains(wire.id.as_str()))
    {
        let short = PRIORS.short_per_wire + PRIORS.short_per_metre * wire.length_or_assumed();
        let kinds: [(FaultKind, f64, &[f64]); 3] = [
            (FaultKind::ShortToGround, short, &SHORTS),
            (FaultKind::Open, PRIORS.open_per_wire, &[1.0]),
            (
                FaultKind::HighResistance,
                PRIORS.high_resistance_per_wire,
                &JOINTS,
            ),
        ];
        add(&Site::part(&wire.id), &kinds);
    }
    for connector in circuit
        .connectors
        .iter()
        .filter(|c| reached.contains(c.id.as_str()))
    {
        let kinds: [(FaultKind, f64, &[f64]); 1] = [(
            FaultKind::HighResistance,
            PRIORS.high_resistance_per_pin,
            &JOINTS,
        )];
        add(&Site::pin(&connector.id, 1), &kinds);
    }
    for load in &circuit.loads {
        let kinds: [(FaultKind, f64, &[f64]); 1] =
            [(FaultKind::DrawsTooMuch, PRIORS.short_in_load, &SHORTS)];
        add(&Site::part(&load.id), &kinds);
    }
    belief
}
