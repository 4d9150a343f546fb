//! What the readings say of the supplies themselves: volts, source resistance and limits, as stated and as they are now.

use serde::Serialize;

use super::Interval;
use crate::{
    circuit::Circuit,
    infer::{
        candidate::Candidate,
        lower::Model,
        outlook::Outlook,
        search::Hypothesis,
        solve::LIMIT,
        weigh::{SizePrior, Weigher},
    },
};

/// Hypotheses that are looked at, and the share of probability at which that is enough.
const LOOKED_AT: usize = 8;
const ENOUGH: f64 = 0.95;
/// Half of the central 90 % of a normal distribution, in standard deviations.
const CENTRAL_90: f64 = 1.645;
/// Share of what was stated, on its own scale, from which a parameter counts as narrowed.
const NARROWED: f64 = 0.7;

/// A parameter before and after the readings; 90 % intervals.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Narrowed {
    /// As the sketch states it; a broad default where it states nothing.
    pub stated: Interval,
    /// With the readings.
    pub now: Interval,
    /// Whether the readings narrowed it.
    pub narrowed: bool,
}

/// One supply.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct SupplyFinding {
    /// Its designation.
    pub supply: String,
    /// Volts with nothing drawn.
    pub volts: Narrowed,
    /// Source resistance, Ω.
    pub source_ohm: Narrowed,
    /// Current limit at nominal volts, A; none where it does not limit.
    pub limit_a: Option<Narrowed>,
    /// Current into a dead short, A, where the limit folds back.
    pub short_circuit_a: Option<Narrowed>,
}

/// One for each supply, over the likeliest hypotheses. Empty while nothing was read.
pub(super) fn supplies(
    circuit: &Circuit,
    model: &Model,
    ranked: &[(&Hypothesis, f64)],
    list: &[Candidate],
) -> Vec<SupplyFinding> {
    if model.measured.is_empty() {
        return Vec::new();
    }
    let mut weigher = Weigher::new(model);
    let mut sums = vec![[(0.0, 0.0); 4]; model.sources.len()];
    let mut total = 0.0;
    for &(hypothesis, weight) in ranked.iter().take(LOOKED_AT) {
        let free: Vec<Option<SizePrior>> =
            hypothesis.faults.iter().map(|&f| list[f].size).collect();
        let seen = weigher.sources(&hypothesis.robust.best, &free);
        for (sum, seen) in sums.iter_mut().zip(&seen) {
            for (sum, Outlook { mean, sd }) in sum.iter_mut().zip(seen) {
                sum.0 += weight * mean;
                sum.1 += weight * (sd * sd + mean * mean);
            }
        }
        total += weight;
        if total > ENOUGH {
            break;
        }
    }
    if !(total.is_finite() && total > 0.0) {
        return Vec::new();
    }
    let parts = circuit.supplies.iter().zip(&model.sources).zip(&sums);
    parts
        .map(|((supply, source), sums)| {
            let now = sums.map(|(first, second)| {
                let mean = first / total;
                (mean, (second / total - mean * mean).max(0.0).sqrt())
            });
            let (volts, ohms) = (source.volts, source.ohms);
            let limits = source.limit.is_finite();
            let folds = limits && source.limit > source.short_circuit;
            let spread = source.limit_spread;
            SupplyFinding {
                supply: supply.id.clone(),
                volts: narrowed(now[0], |d| volts.0 + volts.1 * d),
                source_ohm: narrowed(now[1], |d| ohms.0 * (ohms.1 * d).exp()),
                limit_a: limits
                    .then(|| narrowed(now[LIMIT], |d| source.limit * (spread * d).exp())),
                short_circuit_a: folds
                    .then(|| narrowed(now[3], |d| source.short_circuit * (spread * d).exp())),
            }
        })
        .collect()
}

fn narrowed((mean, sd): (f64, f64), scale: impl Fn(f64) -> f64) -> Narrowed {
    let interval = |mean: f64, sd: f64| Interval {
        low: scale(mean - CENTRAL_90 * sd),
        median: scale(mean),
        high: scale(mean + CENTRAL_90 * sd),
    };
    Narrowed {
        stated: interval(0.0, 1.0),
        now: interval(mean, sd),
        narrowed: sd < NARROWED,
    }
}
