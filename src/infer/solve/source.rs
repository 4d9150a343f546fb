//! A supply as it is in a state, and how it works there.

use super::{Deviations, Effect, Fault, LIMIT};
use crate::infer::lower::Source;

/// How a source works in a solution.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Regime {
    /// Volts behind a resistance.
    Thevenin,
    /// At its limit.
    Limited,
    /// Giving nothing, since it cannot take current.
    Blocked,
    /// Switched off or dead.
    Off,
}

/// A source with its faults and deviations applied.
#[derive(Clone, Copy, Debug)]
pub struct SourceNow {
    /// Open-circuit volts.
    pub volts: f64,
    /// Source ohms.
    pub ohms: f64,
    /// Limit at nominal volts, A.
    pub limit: f64,
    /// Short-circuit current, A.
    pub short_circuit: f64,
    /// Nominal volts, at which `limit` applies.
    pub nominal: f64,
    /// Gives nothing.
    pub dead: bool,
}

impl SourceNow {
    pub(super) const NOTHING: Self = Self {
        volts: 0.0,
        ohms: 1.0,
        limit: 0.0,
        short_circuit: 0.0,
        nominal: 1.0,
        dead: true,
    };

    /// A source without faults.
    pub(super) fn new(source: &Source, deviations: &Deviations) -> Self {
        // A constant limit is one number, so it has one deviation.
        let fold = if source.limit == source.short_circuit {
            2
        } else {
            3
        };
        Self {
            volts: source.volts.0 + source.volts.1 * deviations[0],
            ohms: source.ohms.0 * (source.ohms.1 * deviations[1]).exp(),
            limit: source.limit * (source.limit_spread * deviations[LIMIT]).exp(),
            short_circuit: source.short_circuit * (source.limit_spread * deviations[fold]).exp(),
            nominal: source.volts.0,
            dead: false,
        }
    }

    /// The source number `index` under faults.
    pub(super) fn with(mut self, index: usize, faults: &[Fault]) -> Self {
        for fault in faults {
            match fault.effect {
                Effect::Weak(s) if s == index => self.volts *= fault.log_size.exp(),
                Effect::Early(s) if s == index => {
                    self.limit *= fault.log_size.exp();
                    self.short_circuit *= fault.log_size.exp();
                }
                Effect::Dead(s) if s == index => self.dead = true,
                _ => {}
            }
        }
        self
    }

    /// Slope of the limit over output volts, S (positive for foldback).
    pub fn slope(&self) -> f64 {
        if self.limit.is_finite() {
            (self.limit - self.short_circuit) / self.nominal
        } else {
            0.0
        }
    }

    /// Limit at an output voltage.
    pub fn limit_at(&self, volts: f64) -> f64 {
        if self.limit.is_finite() {
            self.short_circuit + self.slope() * volts
        } else {
            f64::INFINITY
        }
    }

    /// Output current a − b v: (a, b).
    pub(super) fn line(&self, regime: Regime) -> (f64, f64) {
        match regime {
            Regime::Thevenin => (self.volts / self.ohms, 1.0 / self.ohms),
            Regime::Limited => (self.short_circuit, -self.slope()),
            Regime::Blocked | Regime::Off => (0.0, 0.0),
        }
    }
}

/// The regime that a source goes to from where it is.
pub(super) fn turn(regime: Regime, source: &SourceNow, volts: f64, sinks: bool) -> Regime {
    let thevenin = (source.volts - volts) / source.ohms;
    match regime {
        Regime::Off => Regime::Off,
        Regime::Thevenin | Regime::Limited | Regime::Blocked => {
            let slack = 1e-9 * source.volts.abs() / source.ohms;
            if thevenin > source.limit_at(volts) + slack {
                Regime::Limited
            } else if thevenin < -slack && !sinks {
                Regime::Blocked
            } else {
                Regime::Thevenin
            }
        }
    }
}
