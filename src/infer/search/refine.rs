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

/// Differences of a logarithm of size or of its spread, of evidence, of chi-squared and of a deviation within which one
/// integral stands for two (judgement: theirs then differed by less than 0.01 on a feed of 40 sensors).
const ALIKE: f64 = 0.1;

/// A single fault by the integral of another one that rests where it does.
fn beside(own: &Hypothesis, lead: &Hypothesis, refined: &Hypothesis) -> Hypothesis {
    let mut next = own.clone();
    let change = refined.robust.log_evidence - lead.robust.log_evidence;
    next.log_weight += change;
    next.robust.log_evidence += change;
    next.robust.mistaken.clone_from(&refined.robust.mistaken);
    let size = |h: &Hypothesis| h.robust.best.faults[0].log_size;
    let moved = size(own) - size(lead);
    next.sizes = vec![
        refined.sizes[0]
            .iter()
            .map(|&(at, log)| (at + moved, log))
            .collect(),
    ];
    next
}

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
        let leads = self.leads(singles, near);
        let refined = self.both(leads.len(), |me, job| {
            let single = &singles[leads[job].0];
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
        for ((lead, followers), refined) in leads.into_iter().zip(refined) {
            let Some(refined) = refined.flatten() else {
                continue;
            };
            for place in followers {
                singles[place] = beside(&singles[place], &singles[lead], &refined);
            }
            singles[lead] = refined;
        }
    }

    /// Shares out singles, by their places, among those that are to be integrated: each leads those that rest where it does, and
    /// whose integrals differ from the approximation by as much.
    fn leads(&self, singles: &[Hypothesis], mut near: Vec<usize>) -> Vec<(usize, Vec<usize>)> {
        // Likeliest first: what they say weighs most.
        near.sort_by(|&a, &b| {
            (singles[b].log_weight)
                .total_cmp(&singles[a].log_weight)
                .then(a.cmp(&b))
        });
        let mut leads: Vec<(usize, Vec<usize>)> = Vec::new();
        for place in near {
            let own = &singles[place];
            let like = |lead: &&mut (usize, Vec<usize>)| self.rest_alike(&singles[lead.0], own);
            match leads.iter_mut().find(like) {
                Some(lead) => lead.1.push(place),
                None => leads.push((place, Vec::new())),
            }
        }
        leads
    }

    /// Whether two singles of one kind explain the readings in the same way: with nearly the same size, as well known, the same
    /// readings and the supplies in the same place.
    fn rest_alike(&self, one: &Hypothesis, two: &Hypothesis) -> bool {
        let kind = |h: &Hypothesis| self.candidates[h.faults[0]].kind;
        let prior = |h: &Hypothesis| self.candidates[h.faults[0]].size;
        let (a, b) = (&one.robust.best, &two.robust.best);
        let near = |a: f64, b: f64| (a - b).abs() < ALIKE;
        kind(one) == kind(two)
            && prior(one) == prior(two)
            && a.low == b.low
            && a.settled == b.settled
            && a.used == b.used
            && near(a.faults[0].log_size, b.faults[0].log_size)
            && near(a.size_sd[0].ln(), b.size_sd[0].ln())
            && near(one.robust.log_evidence, two.robust.log_evidence)
            && near(a.chi_squared, b.chi_squared)
            && (a
                .deviations
                .iter()
                .flatten()
                .zip(b.deviations.iter().flatten()))
            .all(|(a, b)| near(*a, *b))
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
