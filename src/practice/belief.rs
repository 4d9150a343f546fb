//! What is believed at a moment, and what a trainee's own test could tell: each suspect is put into the simulated vehicle, and
//! what the meter would show there is compared.

use super::{Hidden, World, split};
use crate::{
    circuit::{Circuit, Point},
    diagnosis::Findings,
    fault::{FaultKind, Site},
    quantity::units::as_metres,
    reading::{Kind, Meter, State, Value},
};

/// Suspects that are followed: all places of the longest chain that is drilled, so that halving it halves their count.
const FOLLOWED: usize = 64;
/// Probability below which a suspect is not followed (judgement).
const FAINT: f64 = 1e-3;
/// Bits below which no test is worth its way (judgement).
pub const LEAST_BITS: f64 = 0.1;
/// A suspect with where it would be and how large.
#[derive(Clone, Debug, PartialEq)]
pub struct Believed {
    /// The fault; none stands for nothing wrong.
    pub fault: Option<Hidden>,
    /// Its probability.
    pub probability: f64,
    /// Which place it belongs to.
    pub place: usize,
}

/// What is believed.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Belief {
    /// Suspects, one or several at every place.
    pub believed: Vec<Believed>,
    /// Places.
    pub places: Vec<Site>,
}

impl Belief {
    /// The likely suspects of some findings. Wires that may be shorted at several places stand for three of them.
    pub fn of(circuit: &Circuit, findings: &Findings) -> Self {
        let mut belief = Self::default();
        for suspect in findings.suspects.iter().take(FOLLOWED) {
            if suspect.probability < FAINT {
                continue;
            }
            let place = belief.place(&suspect.site);
            let size = match suspect.kind {
                FaultKind::SupplyLow => 0.67,
                FaultKind::LimitsEarly => 0.3,
                _ => suspect.resistance.map_or(1.0, |ohms| ohms.median),
            };
            let fault = Hidden::new(suspect.site.clone(), suspect.kind, size.clamp(1e-3, 1e7));
            let wire = circuit.wire(&suspect.site.part);
            let ats = match (&suspect.position, wire) {
                (Some(position), Some(wire)) => {
                    let length = wire.length.map_or(position.length, as_metres);
                    let m = position.metres;
                    let third = |a: f64, b: f64| (0.5 * (a + b) / length).clamp(0.0, 1.0);
                    vec![
                        third(m.low, m.median),
                        third(m.median, m.median),
                        third(m.median, m.high),
                    ]
                }
                _ => vec![0.5],
            };
            for &at in &ats {
                belief.believed.push(Believed {
                    fault: Some(fault.clone().at(at)),
                    probability: suspect.probability / ats.len() as f64,
                    place,
                });
            }
        }
        if findings.healthy > FAINT {
            belief.believed.push(Believed {
                fault: None,
                probability: findings.healthy,
                place: belief.places.len(),
            });
            belief.places.push(Site::part("nothing"));
        }
        let total: f64 = belief.believed.iter().map(|b| b.probability).sum();
        for one in &mut belief.believed {
            one.probability /= total.max(f64::MIN_POSITIVE);
        }
        belief
    }

    fn place(&mut self, site: &Site) -> usize {
        if let Some(found) = self.places.iter().position(|s| s == site) {
            return found;
        }
        self.places.push(site.clone());
        self.places.len() - 1
    }

    /// Probability of every place.
    pub fn odds(&self) -> Vec<f64> {
        let mut odds = vec![0.0; self.places.len()];
        for one in &self.believed {
            odds[one.place] += one.probability;
        }
        odds
    }

    /// Bits of doubt about the place.
    pub fn bits(&self) -> f64 {
        split::bits(&self.odds())
    }

    /// Probability of the likeliest place.
    pub fn most(&self) -> f64 {
        self.odds().into_iter().fold(0.0, f64::max)
    }

    /// Places that are left: the fewest that hold 95 % together.
    pub fn left(&self) -> usize {
        let mut odds = self.odds();
        odds.sort_by(|a, b| b.total_cmp(a));
        let mut sum = 0.0;
        odds.iter()
            .take_while(|p| {
                let before = sum;
                sum += **p;
                before < 0.95
            })
            .count()
    }

    /// Expected information of a reading about the place, in bits, from what each suspect's vehicle shows. Displays
    /// that lie closer together than `stray` of their value are taken for the same.
    pub fn worth(&self, shown: &[Option<Value>], meter: &Meter, stray: f64) -> f64 {
        if shown.len() != self.believed.len() {
            return 0.0;
        }
        let number = |value: &Option<Value>| match value {
            Some(Value::Exactly(value)) => *value,
            Some(Value::OverRange { .. }) => f64::INFINITY,
            Some(Value::Between(low, high)) => 0.5 * (low + high),
            Some(Value::Seen(_)) | None => f64::NAN,
        };
        let mut order: Vec<(f64, usize)> = shown.iter().map(number).zip(0..).collect();
        order.sort_by(|a, b| a.0.total_cmp(&b.0));
        let mut left = 0.0;
        let mut group: Vec<f64> = vec![0.0; self.places.len()];
        let mut last: Option<f64> = None;
        for (value, index) in order {
            let apart = last.is_some_and(|last| {
                let band = 2.0 * meter.band(last.min(1e6)) + stray * last.abs().min(1e9);
                value - last > band
            });
            if apart {
                left += group.iter().sum::<f64>() * split::bits(&group);
                group.fill(0.0);
            }
            group[self.believed[index].place] += self.believed[index].probability;
            last = Some(value);
        }
        left += group.iter().sum::<f64>() * split::bits(&group);
        (self.bits() - left).max(0.0)
    }
}

/// Every suspect in a vehicle of its own, exactly as drawn.
#[derive(Clone, Debug)]
pub struct Vehicles {
    worlds: Vec<World>,
}

impl Vehicles {
    /// A vehicle for each suspect. Suspects that the circuit cannot have are none of a belief about it.
    pub fn new(belief: &Belief, circuit: &Circuit, meter: &Meter) -> Self {
        let exact = |one: &Believed| World::exact(circuit, one.fault.as_slice(), meter).ok();
        Self {
            worlds: belief.believed.iter().filter_map(exact).collect(),
        }
    }

    /// What one reading shows, vehicle by vehicle.
    pub fn reading(
        &mut self,
        kind: Kind,
        red: &Point,
        black: &Point,
        state: &State,
    ) -> Vec<Option<Value>> {
        (self.worlds.iter_mut())
            .map(|world| world.measure(kind, red, black, state).ok())
            .collect()
    }
}
