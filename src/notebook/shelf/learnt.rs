//! What past jobs on a vehicle have taught, always with how many jobs it comes from.

use std::collections::BTreeMap;

use super::{card::Card, words::words};
use crate::{circuit::Circuit, quantity::units::minutes};

/// Minutes to reach a connector.
#[derive(Clone, Debug, PartialEq)]
pub struct LearntMinutes {
    /// The connector.
    pub connector: String,
    /// Middle of what the jobs took.
    pub minutes: f64,
    /// Jobs that it comes from.
    pub jobs: usize,
}

/// Volts that were right at a point with everything plugged, in jobs that were signed.
#[derive(Clone, Debug, PartialEq)]
pub struct LearntVolts {
    /// The point.
    pub point: String,
    /// Lowest, middle and highest.
    pub volts: (f64, f64, f64),
    /// Jobs that it comes from.
    pub jobs: usize,
}

/// What is known of a vehicle from its jobs.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Learnt {
    /// Jobs on that vehicle.
    pub jobs: usize,
    /// By connector.
    pub minutes: Vec<LearntMinutes>,
    /// By point.
    pub volts: Vec<LearntVolts>,
}

impl Learnt {
    /// Puts the learnt minutes into a circuit of that vehicle. Answers how many connectors were changed.
    pub fn teach(&self, circuit: &mut Circuit) -> usize {
        let mut taught = 0;
        for connector in &mut circuit.connectors {
            let known = self
                .minutes
                .iter()
                .find(|known| known.connector == connector.id);
            if let Some(known) = known {
                connector.access = minutes(known.minutes);
                taught += 1;
            }
        }
        taught
    }
}

/// Vehicles are the same where their names have the same words in the same order.
pub(super) fn learnt(cards: &[Card], vehicle: &str) -> Learnt {
    let wanted = words(vehicle);
    let mut minutes: BTreeMap<&str, Vec<f64>> = BTreeMap::new();
    let mut volts: BTreeMap<&str, Vec<f64>> = BTreeMap::new();
    let mut jobs = 0;
    for card in cards
        .iter()
        .filter(|card| !wanted.is_empty() && words(&card.vehicle) == wanted)
    {
        jobs += 1;
        // A job counts once for each connector or point, however often it went there.
        for (known, own) in [(&mut minutes, &card.reached), (&mut volts, &card.right)] {
            let mut by_name: BTreeMap<&str, Vec<f64>> = BTreeMap::new();
            for (name, value) in own {
                by_name.entry(name).or_default().push(*value);
            }
            for (name, values) in by_name {
                known.entry(name).or_default().push(middle(values));
            }
        }
    }
    Learnt {
        jobs,
        minutes: minutes
            .into_iter()
            .map(|(connector, values)| LearntMinutes {
                connector: connector.to_owned(),
                jobs: values.len(),
                minutes: middle(values),
            })
            .collect(),
        volts: volts
            .into_iter()
            .map(|(point, values)| LearntVolts {
                point: point.to_owned(),
                jobs: values.len(),
                volts: (
                    values.iter().copied().fold(f64::INFINITY, f64::min),
                    middle(values.clone()),
                    values.iter().copied().fold(f64::NEG_INFINITY, f64::max),
                ),
            })
            .collect(),
    }
}

/// The median; 0 for none.
fn middle(mut values: Vec<f64>) -> f64 {
    values.sort_by(f64::total_cmp);
    let half = values.len() / 2;
    match (values.get(half), values.len() % 2) {
        (Some(upper), 0) => (values[half - 1] + upper) / 2.0,
        (Some(middle), _) => *middle,
        (None, _) => 0.0,
    }
}
