//! Meters: accuracy as percent of reading plus counts, ranges, input resistance.

use serde::{Deserialize, Serialize};

use super::Kind;
use crate::quantity::Ohms;

/// Ohms above which a meter shows over-range where nobody noted its range (judgement).
pub const MOST_OHM: f64 = 40e6;
/// Ohms from which two points are taken as joined by nothing: the smaller hand-helds show over-range from here (judgement).
pub const NOTHING_JOINS: f64 = 2e7;
/// On ohms and amperes a meter is about so many times less accurate than on volts (common practice, no source).
const COARSER: f64 = 2.0;
/// Smallest steps of ohms and amperes that are shown.
const LEAST_STEP: (f64, f64) = (0.1, 1e-5);

/// One range: up to which value, in steps of what (V).
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Range {
    /// Largest value it shows.
    pub top: f64,
    /// Smallest step it shows.
    pub step: f64,
}

/// A current clamp.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Clamp {
    /// ± percent of reading.
    pub percent: f64,
    /// ± drift of its zero, A.
    pub zero_a: f64,
}

impl Default for Clamp {
    /// ±(2 % + 10 mA): a common clamp on its small range, zeroed now and then (judgement).
    fn default() -> Self {
        Self {
            percent: 2.0,
            zero_a: 0.01,
        }
    }
}

impl Clamp {
    fn is_usual(&self) -> bool {
        *self == Self::default()
    }
}

/// A digital meter.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Meter {
    /// What people call it.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub name: String,
    /// Calibration band on DC volts, ± percent of reading.
    pub percent: f64,
    /// ± steps of the range.
    pub counts: f64,
    /// Volt ranges, smallest first.
    pub ranges: Vec<Range>,
    /// Input resistance on volts.
    #[serde(rename = "input_ohm", with = "crate::quantity::units::ohms")]
    pub input: Ohms,
    /// What it shows with the leads touching, on ohms.
    #[serde(rename = "lead_ohm", with = "crate::quantity::units::ohms")]
    pub lead: Ohms,
    /// The clamp beside it.
    #[serde(default, skip_serializing_if = "Clamp::is_usual")]
    pub clamp: Clamp,
}

impl Default for Meter {
    /// A common hand-held: ±(0.5 % + 2 counts), 6000 counts, 10 MΩ, leads of 0.2 Ω.
    fn default() -> Self {
        Self {
            name: String::new(),
            percent: 0.5,
            counts: 2.0,
            ranges: vec![
                Range {
                    top: 0.6,
                    step: 0.0001,
                },
                Range {
                    top: 6.0,
                    step: 0.001,
                },
                Range {
                    top: 60.0,
                    step: 0.01,
                },
            ],
            input: crate::quantity::units::ohms(10e6),
            lead: crate::quantity::units::ohms(0.2),
            clamp: Clamp::default(),
        }
    }
}

impl Meter {
    /// Index of the range on which a value is shown: the smallest that holds it, else the last.
    pub fn range_of(&self, value: f64) -> usize {
        self.ranges
            .iter()
            .position(|range| value.abs() <= range.top)
            .unwrap_or(self.ranges.len().saturating_sub(1))
    }

    /// Half-width of the specification band for displayed volts: percent of reading plus counts of the step.
    pub fn band(&self, value: f64) -> f64 {
        self.band_of(Kind::Volts, value)
    }

    /// ± share of a reading of a kind.
    pub fn share(&self, kind: Kind) -> f64 {
        match kind {
            Kind::Volts | Kind::Lamp(_) | Kind::Scan => self.percent / 100.0,
            Kind::Ohms | Kind::Amperes => COARSER * self.percent / 100.0,
            Kind::Clamp => self.clamp.percent / 100.0,
        }
    }

    /// Worth of a display's last digit at a value of a kind: a thousandth of the decade on ohms and amperes, none on a
    /// clamp, whose zero drifts by more.
    pub fn step(&self, kind: Kind, value: f64) -> f64 {
        let decade = 10f64.powf(value.abs().max(1e-4).log10().floor() - 3.0);
        match kind {
            Kind::Volts | Kind::Lamp(_) | Kind::Scan => {
                let range = self.ranges.get(self.range_of(value));
                range.map_or(0.001, |range| range.step)
            }
            Kind::Ohms => decade.max(LEAST_STEP.0),
            Kind::Amperes => decade.max(LEAST_STEP.1),
            Kind::Clamp => 0.0,
        }
    }

    /// Half-width of the specification band for a displayed value of a kind.
    pub fn band_of(&self, kind: Kind, value: f64) -> f64 {
        let fixed = match kind {
            Kind::Clamp => self.clamp.zero_a,
            _ => self.counts * self.step(kind, value),
        };
        value.abs() * self.share(kind) + fixed
    }

    /// Standard deviation of displayed volts: their band by the rectangular rule, and the rounding to the range's step.
    pub fn sd(&self, value: f64) -> f64 {
        rectangular_sd(self.band(value)).hypot(resolution_sd(self.step(Kind::Volts, value)))
    }
}

/// Standard deviation of what lies anywhere within ± a half-width: a/√3 (JCGM 100:2008, 4.3.7).
pub fn rectangular_sd(half_width: f64) -> f64 {
    half_width / 3f64.sqrt()
}

/// Standard deviation from rounding to a step: d/√12 (JCGM 100:2008, F.2.2.1).
pub fn resolution_sd(step: f64) -> f64 {
    rectangular_sd(step / 2.0)
}
