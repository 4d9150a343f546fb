//! Meters: accuracy as percent of reading plus counts, ranges, input resistance.

use serde::{Deserialize, Serialize};

use crate::quantity::Ohms;

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

    /// Half-width of the specification band for a displayed value: percent of reading plus counts of the step.
    pub fn band(&self, value: f64) -> f64 {
        let step = self
            .ranges
            .get(self.range_of(value))
            .map_or(0.0, |r| r.step);
        value.abs() * self.percent / 100.0 + self.counts * step
    }

    /// Standard deviation of a displayed value: its band by the rectangular rule, and the rounding to the range's step.
    pub fn sd(&self, value: f64) -> f64 {
        let step = self
            .ranges
            .get(self.range_of(value))
            .map_or(0.0, |range| range.step);
        rectangular_sd(self.band(value)).hypot(resolution_sd(step))
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
