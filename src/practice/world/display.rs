//! What a real meter shows of what is there: ranges, steps, calibration, and counts that are drawn anew.

use super::super::Dice;
use crate::reading::{Kind, Meter, Value};

/// Most ohms that it shows (judgement).
const MOST_OHM: f64 = 40e6;
/// Most amperes that it shows (judgement).
const MOST_AMPERE: f64 = 10.0;
/// Calibration of ohms and amperes is coarser than that of volts by this factor (judgement; common practice).
const COARSER: f64 = 2.0;
/// Finest step of amperes, A (judgement).
const AMPERE_STEP: f64 = 1e-5;
/// Step of a clamp, A (judgement).
const CLAMP_STEP: f64 = 0.001;
/// Digits shown of ohms and amperes.
const DIGITS: i32 = 4;

/// A meter with the calibration that it happens to have.
#[derive(Clone, Debug)]
pub struct Instrument {
    meter: Meter,
    /// Relative error of every range of volts.
    volts: Vec<f64>,
    /// Relative error of ohms and of amperes.
    others: [f64; 2],
    /// Relative error of the clamp, and where its zero has drifted to, A.
    clamp: (f64, f64),
    counts: bool,
}

impl Instrument {
    /// A meter without errors of its own: its ranges and steps remain.
    pub fn perfect(meter: &Meter) -> Self {
        Self {
            meter: meter.clone(),
            volts: vec![0.0; meter.ranges.len()],
            others: [0.0; 2],
            clamp: (0.0, 0.0),
            counts: false,
        }
    }

    /// A meter anywhere within its specification.
    pub fn drawn(meter: &Meter, dice: &mut Dice) -> Self {
        let band = meter.percent / 100.0;
        let mut error = |factor: f64| factor * dice.between(-band, band);
        Self {
            meter: meter.clone(),
            volts: meter.ranges.iter().map(|_| error(1.0)).collect(),
            others: [error(COARSER), error(COARSER)],
            clamp: (
                dice.between(-meter.clamp.percent, meter.clamp.percent) / 100.0,
                dice.between(-meter.clamp.zero_a, meter.clamp.zero_a),
            ),
            counts: true,
        }
    }

    /// The meter's data.
    pub fn meter(&self) -> &Meter {
        &self.meter
    }

    /// What the last digit of a display is worth; none where it hangs on the value alone, as on ohms.
    pub fn step_of(&self, kind: Kind, value: Value) -> Option<f64> {
        match (kind, value) {
            (Kind::Volts, Value::Exactly(value)) => {
                let range = self.meter.ranges.get(self.meter.range_of(value));
                range.map(|range| range.step)
            }
            (Kind::Amperes, Value::Exactly(value)) => Some(step(value, AMPERE_STEP)),
            (Kind::Clamp, Value::Exactly(_)) => Some(CLAMP_STEP),
            _ => None,
        }
    }

    /// What it shows of a true value (V, Ω without the leads, A).
    pub fn show(&self, kind: Kind, value: f64, dice: &mut Dice) -> Value {
        let (gain, step, top) = match kind {
            Kind::Volts | Kind::Lamp(_) | Kind::Scan => {
                let range = self.meter.range_of(value);
                let shown = self.meter.ranges.get(range);
                let gain = self.volts.get(range).copied().unwrap_or(0.0);
                shown.map_or((gain, 0.001, 1000.0), |r| (gain, r.step, r.top))
            }
            Kind::Ohms => (self.others[0], step(value, 0.1), MOST_OHM),
            Kind::Amperes => (self.others[1], step(value, AMPERE_STEP), MOST_AMPERE),
            Kind::Clamp => (self.clamp.0, CLAMP_STEP, MOST_AMPERE),
        };
        if value.abs() > top || !value.is_finite() {
            return Value::OverRange {
                above: (kind == Kind::Volts).then_some(top),
            };
        }
        let counts = if self.counts {
            dice.between(-self.meter.counts, self.meter.counts)
        } else {
            0.0
        };
        let drift = if kind == Kind::Clamp {
            self.clamp.1
        } else {
            0.0
        };
        let shown = value * (1.0 + gain) + drift + counts * step;
        // A display has no negative zero, and its digits end where its steps do.
        let steps = (shown / step).round() + 0.0;
        Value::Exactly(decimal(steps, step))
    }
}

/// Step of the last of four digits, not below the least.
fn step(value: f64, least: f64) -> f64 {
    10f64
        .powi(value.abs().max(1e-9).log10().floor() as i32 + 1 - DIGITS)
        .max(least)
}

/// Steps times a step, without the binary tail that a product leaves.
fn decimal(steps: f64, step: f64) -> f64 {
    let places = (-step.log10().floor()).clamp(0.0, 12.0) as usize;
    let value = steps * step;
    format!("{value:.places$}")
        .parse::<f64>()
        .map_or(value, |v| v + 0.0)
}
