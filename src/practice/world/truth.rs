//! What the parts of a circuit really are, as against what is drawn: values within the spreads that the sketch states.

use super::super::Dice;
use crate::{
    circuit::{Circuit, LimitMode, LoadModel, Supply},
    quantity::units::{as_amperes, as_ohms, as_volts},
};

/// Spreads that no sketch states, as one standard deviation of the logarithm (judgement): wires by length and
/// temperature, wires of unknown length, contacts.
const WIRE: f64 = 0.06;
const UNKNOWN_LENGTH: f64 = 0.6;
const CONTACT: f64 = 0.45;
/// Where in its stated knee an electronic load really starts to fall off: a knee is stated where the draw is certainly
/// constant, so the true one lies lower (judgement).
const KNEE: (f64, f64) = (0.3, 0.7);
/// What an unknown supply is taken to be (judgement): ohms and amperes, each within times or divided by a factor, and
/// the odds that it does not limit, holds a limit, or folds back.
const SOURCE_OHM: (f64, f64) = (2.0, 4.0);
const LIMIT_A: (f64, f64) = (0.1, 3.0);
/// How many times what its sensors take a module is made to give at least (judgement).
const TO_SPARE: f64 = 3.0;
const MODES: [f64; 3] = [0.2, 0.5, 0.3];
/// Short-circuit current as a share of the limit where it is not known (judgement).
const FOLDED: f64 = 0.3;

/// A load as it is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum TrueLoad {
    /// Ohms.
    Resistive(f64),
    /// Amperes above a knee in volts; below it a resistance.
    Electronic {
        /// Draw, A.
        draw: f64,
        /// Knee, V.
        knee: f64,
    },
}

/// A supply as it is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TrueSupply {
    /// Open-circuit volts.
    pub volts: f64,
    /// Source ohms.
    pub ohms: f64,
    /// Limit at nominal volts, A; infinite when there is none.
    pub limit: f64,
    /// Current into a dead short, A.
    pub short_circuit: f64,
    /// Volts at which `limit` applies.
    pub nominal: f64,
}

impl TrueSupply {
    /// The limit at an output voltage, A.
    pub fn limit_at(&self, volts: f64) -> f64 {
        if self.limit.is_finite() {
            self.short_circuit + self.slope() * volts
        } else {
            f64::INFINITY
        }
    }

    /// Change of the limit over output volts, S.
    pub fn slope(&self) -> f64 {
        if self.limit.is_finite() {
            (self.limit - self.short_circuit) / self.nominal
        } else {
            0.0
        }
    }
}

/// Values of all parts, each list in the order of the circuit's.
#[derive(Clone, Debug, PartialEq)]
pub struct Truth {
    /// Ohms of the wires.
    pub wires: Vec<f64>,
    /// Ohms of the pins of every connector.
    pub contacts: Vec<Vec<f64>>,
    /// Ohms of the straps.
    pub straps: Vec<f64>,
    /// Ohms of the fuses.
    pub fuses: Vec<f64>,
    /// Volts and ohms of the rails.
    pub rails: Vec<(f64, f64)>,
    /// Loads.
    pub loads: Vec<TrueLoad>,
    /// Supplies.
    pub supplies: Vec<TrueSupply>,
}

impl Truth {
    /// Everything exactly as drawn; what is not known takes its typical value.
    pub fn as_drawn(circuit: &Circuit) -> Self {
        Self::of(circuit, None)
    }

    /// Everything somewhere within its spread.
    pub fn drawn(circuit: &Circuit, dice: &mut Dice) -> Self {
        Self::of(circuit, Some(dice))
    }

    fn of(circuit: &Circuit, mut dice: Option<&mut Dice>) -> Self {
        let mut spread = |sigma: f64| (dice.as_mut()).map_or(1.0, |d| (sigma * d.normal()).exp());
        let wires = (circuit.wires.iter())
            .map(|wire| {
                let sigma = if wire.length.is_some() {
                    WIRE
                } else {
                    UNKNOWN_LENGTH
                };
                as_ohms(wire.resistance()) * spread(sigma)
            })
            .collect();
        let contacts = (circuit.connectors.iter())
            .map(|connector| {
                let pins = connector.pins.iter();
                pins.map(|pin| as_ohms(pin.contact) * spread(CONTACT))
                    .collect()
            })
            .collect();
        let straps = (circuit.grounds.iter())
            .map(|ground| as_ohms(ground.strap) * spread(CONTACT))
            .collect();
        let fuses = (circuit.fuses.iter())
            .map(|fuse| as_ohms(fuse.resistance) * spread(CONTACT))
            .collect();
        let rails = (circuit.rails.iter())
            .map(|rail| (as_volts(rail.potential), as_ohms(rail.source) * spread(0.3)))
            .collect();
        let loads = (circuit.loads.iter())
            .map(|load| {
                let factor = spread(load.spread_percent / 100.0);
                match load.model {
                    LoadModel::Resistive { resistance } => {
                        TrueLoad::Resistive(as_ohms(resistance) * factor)
                    }
                    LoadModel::Electronic { draw, knee } => TrueLoad::Electronic {
                        draw: as_amperes(draw) * factor,
                        knee: as_volts(knee),
                    },
                }
            })
            .collect();
        let mut truth = Self {
            wires,
            contacts,
            straps,
            fuses,
            rails,
            loads,
            supplies: Vec::new(),
        };
        for supply in &circuit.supplies {
            let limit = unknown_limit(circuit, supply);
            truth.supplies.push(match dice.as_mut() {
                None => typical(supply, limit),
                Some(dice) => drawn(supply, limit, dice),
            });
        }
        if let Some(dice) = dice {
            for load in &mut truth.loads {
                if let TrueLoad::Electronic { knee, .. } = load {
                    *knee *= dice.between(KNEE.0, KNEE.1);
                }
            }
        }
        truth
    }
}

/// What an output of which no limit is stated gives at most, typically: A.
fn unknown_limit(circuit: &Circuit, supply: &Supply) -> f64 {
    (LIMIT_A.0).max(TO_SPARE * circuit.sound_draw(supply.nominal))
}

fn typical(supply: &Supply, unknown: f64) -> TrueSupply {
    let nominal = as_volts(supply.nominal);
    let (limit, short_circuit) = match supply.limit {
        LimitMode::Unknown => (unknown, unknown),
        LimitMode::None => (f64::INFINITY, f64::INFINITY),
        LimitMode::Constant { limit } => {
            let limit = limit.map_or(unknown, as_amperes);
            (limit, limit)
        }
        LimitMode::Foldback {
            limit,
            short_circuit,
        } => {
            let limit = limit.map_or(unknown, as_amperes);
            (limit, short_circuit.map_or(FOLDED * limit, as_amperes))
        }
    };
    TrueSupply {
        volts: nominal,
        ohms: supply.source.map_or(SOURCE_OHM.0, as_ohms),
        limit,
        short_circuit,
        nominal,
    }
}

fn drawn(supply: &Supply, unknown: f64, dice: &mut Dice) -> TrueSupply {
    let mut is = typical(supply, unknown);
    let tolerance = supply.tolerance_percent / 100.0;
    is.volts *= 1.0 + dice.between(-tolerance, tolerance);
    is.ohms *= dice.factor(match supply.source {
        Some(_) => supply.source_factor,
        None => SOURCE_OHM.1,
    });
    let known = match supply.limit {
        LimitMode::Unknown | LimitMode::None => false,
        LimitMode::Constant { limit } => limit.is_some(),
        LimitMode::Foldback {
            limit,
            short_circuit,
        } => limit.is_some() && short_circuit.is_some(),
    };
    let factor = if known {
        supply.limit_factor
    } else {
        LIMIT_A.1
    };
    // Limit and short-circuit current of one output stray together in part only.
    let (one, two) = (dice.factor(factor), dice.factor(factor));
    let mode = dice.weighted(&MODES);
    is.limit *= one;
    is.short_circuit *= match supply.limit {
        LimitMode::Foldback { .. } => two,
        _ => one,
    };
    if supply.limit == LimitMode::Unknown {
        match mode {
            Some(0) => (is.limit, is.short_circuit) = (f64::INFINITY, f64::INFINITY),
            Some(2) => is.short_circuit = FOLDED * is.limit,
            _ => {}
        }
    }
    is.short_circuit = is.short_circuit.min(is.limit);
    is
}
