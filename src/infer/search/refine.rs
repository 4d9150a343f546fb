//! Integrals over size where the normal approximation is not good enough.

use super::{Hypothesis, Seeker};
use crate::infer::{
    gauss::log_sum,
    solve::{Deviations, Fault},
    weigh::SizePrior,
};

/// Logarithm of weight below the best at which a hypothesis is no longer looked at closely.
const CLOSE: f64 = 14.0;
/// Standard deviation of a logarithm of size below which Laplace's approximation is left as it is.
const NARROW: f64 = 0.06;

impl Seeker<'_, '_, '_> {
    /// Replaces Laplace's approximation of the likely singles by an integral over a grid that follows the weight.
    pub(super) fn refine(&mut self, singles: &mut [Hypothesis], others: &[Hypothesis]) {
        let most = singles
            .iter()
            .chain(others)
            .map(|h| h.log_weight)
            .fold(f64::NEG_INFINITY, f64::max);
        let near: Vec<usize> = (0..singles.len())
            .filter(|&place| singles[place].log_weight > most - CLOSE)
            .collect();
        let refined = self.both(near.len(), |me, job| {
            let single = &singles[near[job]];
            let [index] = single.faults[..] else {
                return None;
            };
            // A narrow peak that explains every reading in one regime is as normal as the approximation has it.
            let narrow = single.robust.best.size_sd[0] < NARROW
                && !me.is_uneasy(&single.robust)
                && me.one_regime(&single.robust.best);
            let prior = me.candidates[index].size.filter(|_| !narrow)?;
            let mut single = single.clone();
            me.integrate(index, prior, &mut single);
            Some(single)
        });
        for (&place, refined) in near.iter().zip(refined) {
            if let Some(refined) = refined.flatten() {
                singles[place] = refined;
            }
        }
    }

    pub(super) fn integrate(&mut self, index: usize, prior: SizePrior, single: &mut Hypothesis) {
        let (mean, sd) = prior;
        let fitted = single.robust.best.faults[0];
        let halved = if self.two_rests(&[fitted]) {
            std::f64::consts::LN_2
        } else {
            0.0
        };
        self.weigher.predictor.bench.low = single.robust.best.low;
        let mode = fitted.log_size;
        let width = single.robust.best.size_sd[0].clamp(0.004, 0.6);
        let mut grid: Vec<(f64, f64)> = Vec::new();
        let mut mistaken: Vec<Vec<f64>> = Vec::new();
        self.weigher.floor = f64::NEG_INFINITY;
        let density = |me: &mut Self, at: f64, start: &[Deviations]| {
            let z = (at - mean) / sd;
            let prior = -0.5 * z * z - (sd * (2.0 * std::f64::consts::PI).sqrt()).ln();
            let fault = Fault {
                log_size: at,
                ..fitted
            };
            let robust = me.robust_anyhow(&[fault], &[None], start)?;
            Some((prior + robust.log_evidence, robust))
        };
        let start = single.robust.best.deviations.clone();
        let mut top = f64::NEG_INFINITY;
        for direction in [1.0, -1.0] {
            let mut at = if direction > 0.0 {
                mode
            } else {
                mode - 0.6 * width
            };
            let mut step = 0.6 * width;
            let mut deviations = start.clone();
            while (at - mean).abs() <= 4.0 * sd {
                let Some((log, robust)) = density(self, at, &deviations) else {
                    break;
                };
                top = top.max(log);
                deviations = robust.best.deviations;
                grid.push((at, log));
                mistaken.push(robust.mistaken);
                if log < top - 10.0 {
                    break;
                }
                at += direction * step;
                step = (step * 1.15).min(0.5);
            }
        }
        if grid.len() < 3 {
            return;
        }
        let mut order: Vec<usize> = (0..grid.len()).collect();
        order.sort_by(|&a, &b| grid[a].0.total_cmp(&grid[b].0));
        let sorted: Vec<(f64, f64)> = order.iter().map(|&i| grid[i]).collect();
        let evidence = integral(&sorted) - halved;
        single.log_weight =
            self.prior(&[index]) + evidence + self.spread_along(&[index], &single.along);
        single.robust.log_evidence = evidence;
        for (m, entry) in single.robust.mistaken.iter_mut().enumerate() {
            let (mut sum, mut weight) = (0.0, 0.0);
            for (place, &i) in order.iter().enumerate() {
                let before = sorted[place.saturating_sub(1)].0;
                let after = sorted[(place + 1).min(sorted.len() - 1)].0;
                let mass = (sorted[place].1 - top).exp() * 0.5 * (after - before);
                sum += mass * mistaken[i][m];
                weight += mass;
            }
            *entry = sum / weight.max(1e-300);
        }
        single.sizes = vec![sorted];
    }
}

/// A normal density as a short list of points.
pub(super) fn bell(mean: f64, sd: f64) -> Vec<(f64, f64)> {
    if sd <= 0.0 {
        return Vec::new();
    }
    (-6..=6)
        .map(|k| {
            let z = 0.5 * f64::from(k);
            (mean + z * sd, -0.5 * z * z)
        })
        .collect()
}

/// ln ∫ exp(f) over points (x, f), f being linear between them.
pub fn integral(points: &[(f64, f64)]) -> f64 {
    log_sum(
        points
            .windows(2)
            .map(|pair| segment(pair[0], pair[1]))
            .collect::<Vec<_>>(),
    )
}

/// ln ∫ exp(f) over one segment on which f is linear.
pub fn segment((x0, f0): (f64, f64), (x1, f1): (f64, f64)) -> f64 {
    let (high, drop) = (f0.max(f1), (f0 - f1).abs());
    let mean = if drop < 1e-6 {
        1.0 - 0.5 * drop
    } else {
        -(-drop).exp_m1() / drop
    };
    high + (mean * (x1 - x0)).max(1e-300).ln()
}
