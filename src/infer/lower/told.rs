//! Readings that are no numbers: a display over its range, a lamp that is lit, a module that is silent.

use super::{Measured, Quantity};
use crate::{fault::PRIORS, infer::gauss::log_normal_cdf};

/// Chance that a reading that went wrong shows OL all the same (judgement: no contact does, on ohms).
const OVER_BY_LUCK: f64 = 0.25;

/// What a reading tells.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Told {
    /// A number.
    Number,
    /// More than its value.
    Above,
    /// That the size of the value lies between two thresholds, none of them sharp.
    Within {
        /// Lower threshold and its standard deviation.
        low: Option<(f64, f64)>,
        /// Upper threshold and its standard deviation.
        high: Option<(f64, f64)>,
        /// Chance that it says nothing of the value, the reason being another one.
        doubt: f64,
        /// Chance of what was seen in that case.
        luck: f64,
    },
}

impl Measured {
    /// Natural logarithm of the chance of what was seen where `expected` is there, known to `variance`; the doubts
    /// that come with every reading keep it off minus infinity. Zero for a number.
    pub fn log_chance(&self, expected: f64, variance: f64) -> f64 {
        self.chances(expected, variance)
            .map_or(0.0, |(right, wrong)| (right + wrong).max(1e-30).ln())
    }

    /// Probability that what was seen says nothing of the value, where `expected` is there. Zero for a number, of
    /// which others judge.
    pub fn doubted(&self, expected: f64, variance: f64) -> f64 {
        self.chances(expected, variance)
            .map_or(0.0, |(right, wrong)| wrong / (right + wrong).max(1e-30))
    }

    /// Natural logarithm of the chance of what was seen where nothing is known of the value.
    pub fn log_luck(&self) -> f64 {
        match self.told {
            Told::Number => 0.0,
            Told::Above => OVER_BY_LUCK.ln(),
            Told::Within { luck, .. } => luck.ln(),
        }
    }

    /// Chance of what was seen for its proper reason, and for another.
    fn chances(&self, expected: f64, variance: f64) -> Option<(f64, f64)> {
        let size = match self.what {
            Quantity::Volts(_) => expected.abs(),
            _ => expected,
        };
        match self.told {
            Told::Number => None,
            Told::Above => {
                let sd = variance.max(0.0).sqrt().hypot(0.01 * self.value);
                let chance = log_normal_cdf((size - self.value) / sd.max(1e-12)).exp();
                let doubt = PRIORS.mistaken_reading;
                Some(((1.0 - doubt) * chance, doubt * OVER_BY_LUCK))
            }
            Told::Within {
                low,
                high,
                doubt,
                luck,
            } => {
                let over = |(at, sd): (f64, f64)| {
                    let sd = variance.max(0.0).sqrt().hypot(sd).max(1e-12);
                    log_normal_cdf((size - at) / sd).exp()
                };
                let chance = low.map_or(1.0, over) - high.map_or(0.0, over);
                Some(((1.0 - doubt) * chance.max(0.0), doubt * luck))
            }
        }
    }
}
