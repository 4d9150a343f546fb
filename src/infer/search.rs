//! The search over faults: singles first, then pairs and triples grown from what they leave unexplained.

use super::{
    candidate::Candidate,
    gauss::log_sum,
    lower::Model,
    robust::{Robust, mistake_density},
    solve::{Deviations, Fault},
    weigh::{Fitted, SizePrior, Weigher},
};
use crate::fault::PRIORS;

/// Logarithm of weight below the best at which a hypothesis is no longer looked at closely.
const CLOSE: f64 = 14.0;
/// Tail probability of the best single's misfit under which further faults are looked for.
const UNEASY: f64 = 0.05;
/// Logarithms of size at which fits start, in standard deviations of the prior.
const STARTS: [f64; 5] = [-1.6, -0.8, 0.0, 0.8, 1.6];
/// Parents from which pairs and triples grow, and how many of the offspring are fitted.
const PARENTS: [usize; 2] = [30, 10];
const OFFSPRING: [usize; 2] = [64, 32];

/// Where along a stretch: slope and curvature of the log density over the fraction of the wire, about its middle.
pub type Along = Option<(f64, f64)>;

/// Faults present together, weighed.
#[derive(Clone, Debug)]
pub struct Hypothesis {
    /// Indices of the candidates; none for a healthy circuit.
    pub faults: Vec<usize>,
    /// Natural logarithm of prior weight times evidence.
    pub log_weight: f64,
    /// Fit and mistakes.
    pub robust: Robust,
    /// For each fault, its logarithm of size with log density, ascending; empty when it has no size.
    pub sizes: Vec<Vec<(f64, f64)>>,
    /// For each fault on a stretch of wire, how the density runs along it.
    pub along: Vec<Along>,
}

/// Result of a search.
#[derive(Clone, Debug)]
pub struct Search {
    /// Weighed hypotheses in a fixed order.
    pub hypotheses: Vec<Hypothesis>,
    /// Log weight of “nothing on this sketch explains the readings”.
    pub unexplained: f64,
}

/// Runs the whole search. Cost: linear in candidates and readings for singles.
pub fn search(model: &Model, candidates: &[Candidate]) -> Search {
    let total: f64 = candidates.iter().map(|c| c.weight).sum::<f64>().max(1e-300);
    let mut seeker = Seeker {
        candidates,
        log_total: total.ln(),
        weigher: Weigher::new(model),
        idle: vec![[0.0; 4]; model.sources.len()],
    };
    let mut hypotheses: Vec<Hypothesis> = seeker.healthy().into_iter().collect();
    let mut singles = seeker.singles();
    let uneasy = |found: &[Hypothesis]| {
        best(found).is_none_or(|best| {
            let aside = model.measured.len() - best.robust.best.used.len() > over(model);
            aside || tail(&best.robust.best) < UNEASY
        })
    };
    if uneasy(&singles) && uneasy(&hypotheses) && !model.measured.is_empty() {
        let pairs = seeker.grow(&singles, PARENTS[0], OFFSPRING[0]);
        if uneasy(&pairs) {
            let triples = seeker.grow(&pairs, PARENTS[1], OFFSPRING[1]);
            hypotheses.extend(triples);
        }
        hypotheses.extend(pairs);
    }
    seeker.refine(&mut singles, &hypotheses);
    hypotheses.extend(singles);
    seeker.look_along(&mut hypotheses);
    let unexplained = PRIORS.unexplained.ln()
        + model
            .measured
            .iter()
            .map(|m| mistake_density(model, m))
            .sum::<f64>();
    Search {
        hypotheses,
        unexplained,
    }
}

fn over(model: &Model) -> usize {
    model.measured.iter().filter(|m| m.over).count()
}

fn best(found: &[Hypothesis]) -> Option<&Hypothesis> {
    found
        .iter()
        .max_by(|a, b| a.log_weight.total_cmp(&b.log_weight))
}

/// Probability of a sum of squares at least as large, by Wilson and Hilferty's cube-root normal approximation
/// (Proceedings of the National Academy of Sciences 17, 1931).
pub fn tail(fitted: &Fitted) -> f64 {
    let n = fitted.used.len().max(1) as f64;
    let spread = 2.0 / (9.0 * n);
    let z = ((fitted.chi_squared / n).max(0.0).cbrt() - (1.0 - spread)) / spread.sqrt();
    super::gauss::log_normal_cdf(-z).exp()
}

/// A set of faults that is worth fitting, and where to start.
struct Offspring {
    score: f64,
    faults: Vec<usize>,
    sizes: Vec<f64>,
    deviations: Vec<Deviations>,
}

struct Seeker<'m, 'c> {
    candidates: &'c [Candidate],
    log_total: f64,
    weigher: Weigher<'m>,
    idle: Vec<Deviations>,
}

impl Seeker<'_, '_> {
    fn healthy(&mut self) -> Option<Hypothesis> {
        let idle = self.idle.clone();
        let robust = self.robust(&[], &[], &idle)?;
        let log_weight = PRIORS.healthy.ln() + robust.log_evidence;
        Some(Hypothesis {
            faults: Vec::new(),
            log_weight,
            robust,
            sizes: Vec::new(),
            along: Vec::new(),
        })
    }

    /// Evidence; a folding supply may be in either of its rests, so both are tried at even odds.
    fn robust(
        &mut self,
        faults: &[Fault],
        free: &[Option<SizePrior>],
        start: &[Deviations],
    ) -> Option<Robust> {
        let folds = self
            .weigher
            .model()
            .sources
            .iter()
            .any(|s| s.limit > s.short_circuit);
        self.weigher.predictor.bench.low = false;
        let high = self.weigher.robust(faults, free, start, usize::MAX);
        if !folds {
            return high;
        }
        self.weigher.predictor.bench.low = true;
        let low = self.weigher.robust(faults, free, start, usize::MAX);
        let better = match (high, low) {
            (Some(high), Some(low)) if low.log_evidence > high.log_evidence => low,
            (Some(high), _) => high,
            (None, low) => low?,
        };
        self.weigher.predictor.bench.low = better.best.low;
        Some(Robust {
            log_evidence: better.log_evidence - std::f64::consts::LN_2,
            ..better
        })
    }

    fn prior(&self, faults: &[usize]) -> f64 {
        let more = faults.len().saturating_sub(1) as f64;
        faults
            .iter()
            .map(|&f| self.candidates[f].weight.ln() - self.log_total)
            .sum::<f64>()
            + more * PRIORS.another_fault.ln()
    }

    /// Fits a set of faults from a start and weighs it.
    fn weigh(
        &mut self,
        faults: &[usize],
        starts: &[f64],
        deviations: &[Deviations],
    ) -> Option<Hypothesis> {
        let list: Vec<Fault> = faults
            .iter()
            .zip(starts)
            .map(|(&f, &size)| self.candidates[f].fault(size))
            .collect();
        let free: Vec<Option<SizePrior>> =
            faults.iter().map(|&f| self.candidates[f].size).collect();
        let robust = self.robust(&list, &free, deviations)?;
        let log_weight = self.prior(faults) + robust.log_evidence;
        let sizes = robust
            .best
            .faults
            .iter()
            .zip(&robust.best.size_sd)
            .map(|(fault, &sd)| bell(fault.log_size, sd))
            .collect();
        Some(Hypothesis {
            faults: faults.to_vec(),
            log_weight,
            robust,
            sizes,
            along: vec![None; faults.len()],
        })
    }

    fn singles(&mut self) -> Vec<Hypothesis> {
        let mut found = Vec::with_capacity(self.candidates.len());
        for index in 0..self.candidates.len() {
            let idle = self.idle.clone();
            let starts: Vec<f64> = match self.candidates[index].size {
                Some((mean, sd)) => STARTS.iter().map(|s| mean + s * sd).collect(),
                None => vec![0.0],
            };
            let mut best: Option<Hypothesis> = None;
            for start in starts {
                let Some(one) = self.weigh(&[index], &[start], &idle) else {
                    continue;
                };
                if best.as_ref().is_none_or(|b| one.log_weight > b.log_weight) {
                    best = Some(one);
                }
            }
            found.extend(best);
        }
        found
    }

    /// Replaces Laplace's approximation of the likely singles by an integral over a grid that follows the weight.
    fn refine(&mut self, singles: &mut [Hypothesis], others: &[Hypothesis]) {
        let most = singles
            .iter()
            .chain(others)
            .map(|h| h.log_weight)
            .fold(f64::NEG_INFINITY, f64::max);
        for single in singles.iter_mut().filter(|h| h.log_weight > most - CLOSE) {
            let [index] = single.faults[..] else { continue };
            if let Some(prior) = self.candidates[index].size {
                self.integrate(index, prior, single);
            }
        }
    }

    fn integrate(&mut self, index: usize, prior: SizePrior, single: &mut Hypothesis) {
        let (mean, sd) = prior;
        let mode = single.robust.best.faults[0].log_size;
        let width = single.robust.best.size_sd[0].clamp(0.004, 0.6);
        let mut grid: Vec<(f64, f64)> = Vec::new();
        let mut mistaken: Vec<Vec<f64>> = Vec::new();
        let density = |me: &mut Self, at: f64, start: &[Deviations]| {
            let z = (at - mean) / sd;
            let prior = -0.5 * z * z - (sd * (2.0 * std::f64::consts::PI).sqrt()).ln();
            let fault = me.candidates[index].fault(at);
            let robust = me.robust(&[fault], &[None], start)?;
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
        let evidence = integral(&sorted);
        single.log_weight = self.prior(&[index]) + evidence;
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

    /// Adds one more fault to the likeliest parents.
    fn grow(
        &mut self,
        parents: &[Hypothesis],
        most_parents: usize,
        most_offspring: usize,
    ) -> Vec<Hypothesis> {
        let mut ranked: Vec<&Hypothesis> = parents.iter().collect();
        ranked.sort_by(|a, b| b.log_weight.total_cmp(&a.log_weight));
        let mut seen: Vec<Vec<(&crate::fault::Site, crate::fault::FaultKind)>> = Vec::new();
        let mut offspring: Vec<Offspring> = Vec::new();
        for parent in ranked {
            let key: Vec<_> = parent
                .faults
                .iter()
                .map(|&f| (&self.candidates[f].site, self.candidates[f].kind))
                .collect();
            if seen.contains(&key) {
                continue;
            }
            seen.push(key);
            if seen.len() > most_parents {
                break;
            }
            offspring.extend(self.children(parent));
        }
        offspring.sort_by(|a, b| b.score.total_cmp(&a.score));
        let mut taken: Vec<Vec<usize>> = Vec::new();
        let mut found = Vec::new();
        for child in offspring {
            let mut faults = child.faults.clone();
            faults.sort_unstable();
            if taken.contains(&faults) {
                continue;
            }
            taken.push(faults);
            if taken.len() > most_offspring {
                break;
            }
            found.extend(self.weigh(&child.faults, &child.sizes, &child.deviations));
        }
        found
    }

    /// Cheap scores of a parent with every further fault: the parent's covariance, a new prediction.
    fn children(&mut self, parent: &Hypothesis) -> Vec<Offspring> {
        let model = self.weigher.model();
        let all: Vec<usize> = (0..model.measured.len()).collect();
        let start = &parent.robust.best;
        let free: Vec<Option<SizePrior>> = parent
            .faults
            .iter()
            .map(|&f| self.candidates[f].size)
            .collect();
        let Some(fitted) = self
            .weigher
            .fit(&start.faults, &free, &all, &start.deviations)
        else {
            return Vec::new();
        };
        let precision = fitted.cholesky.inverse_diagonal();
        let mut children = Vec::new();
        // Both where the parent fits best with everything, and where it fits best with what it cannot explain left out.
        for base in [&fitted, start] {
            for (index, candidate) in self.candidates.iter().enumerate() {
                let same = parent.faults.iter().any(|&f| {
                    self.candidates[f].site == candidate.site
                        && self.candidates[f].kind == candidate.kind
                });
                if same || candidate.stretch.is_some_and(|(_, stretch)| stretch != 1) {
                    continue;
                }
                let sizes: Vec<f64> = match candidate.size {
                    Some((mean, sd)) => [-1.2, -0.6, 0.0, 0.6, 1.2]
                        .iter()
                        .map(|s| mean + s * sd)
                        .collect(),
                    None => vec![0.0],
                };
                let mut best: Option<(f64, f64)> = None;
                for size in sizes {
                    let mut faults = base.faults.clone();
                    faults.push(candidate.fault(size));
                    let mut prediction = std::mem::take(&mut self.weigher.prediction);
                    self.weigher.predictor.predict(
                        &faults,
                        &base.deviations,
                        false,
                        &mut prediction,
                    );
                    let score = cheap_score(model, &prediction.value, &fitted, &precision);
                    self.weigher.prediction = prediction;
                    if best.is_none_or(|(most, _)| score > most) {
                        best = Some((score, size));
                    }
                }
                if let Some((score, size)) = best {
                    let mut faults = parent.faults.clone();
                    faults.push(index);
                    let mut sizes: Vec<f64> = base.faults.iter().map(|f| f.log_size).collect();
                    sizes.push(size);
                    children.push(Offspring {
                        score: score + self.prior(&faults),
                        faults,
                        sizes,
                        deviations: base.deviations.clone(),
                    });
                }
            }
        }
        children
    }

    /// How the density runs along each stretch of wire.
    fn look_along(&mut self, hypotheses: &mut [Hypothesis]) {
        let most = hypotheses
            .iter()
            .map(|h| h.log_weight)
            .fold(f64::NEG_INFINITY, f64::max);
        let model = self.weigher.model();
        for hypothesis in hypotheses
            .iter_mut()
            .filter(|h| h.log_weight > most - CLOSE)
        {
            let best = &hypothesis.robust.best;
            self.weigher.predictor.bench.low = best.low;
            for (place, &index) in hypothesis.faults.iter().enumerate() {
                let candidate = &self.candidates[index];
                let Some((low, high)) = candidate.ends(model) else {
                    continue;
                };
                let mut ends = [Vec::new(), Vec::new()];
                for (end, effect) in ends.iter_mut().zip([low, high]) {
                    let mut faults = best.faults.clone();
                    faults[place].effect = effect;
                    let mut prediction = std::mem::take(&mut self.weigher.prediction);
                    self.weigher.predictor.predict(
                        &faults,
                        &best.deviations,
                        false,
                        &mut prediction,
                    );
                    end.clone_from(&prediction.value);
                    self.weigher.prediction = prediction;
                }
                let width = 1.0 / super::candidate::STRETCHES as f64;
                let mut change: Vec<f64> = best
                    .used
                    .iter()
                    .map(|&m| (ends[1][m] - ends[0][m]) / width)
                    .collect();
                let slope = change.iter().zip(&best.pull).map(|(d, q)| d * q).sum();
                best.cholesky.forward(&mut change);
                let curvature = change.iter().map(|d| d * d).sum();
                hypothesis.along[place] = Some((slope, curvature));
                let cells = super::posterior::stretch_cells(Some((slope, curvature)));
                hypothesis.log_weight += log_sum(cells.iter().copied()) - (cells.len() as f64).ln();
            }
        }
    }
}

/// −χ²/2 of new values under a parent's covariance, with the worst reading left out where that helps.
fn cheap_score(model: &Model, values: &[f64], fitted: &Fitted, precision: &[f64]) -> f64 {
    let mut pull: Vec<f64> = fitted
        .used
        .iter()
        .map(|&m| model.measured[m].value - values[m])
        .collect();
    let residual = pull.clone();
    fitted.cholesky.solve(&mut pull);
    let chi: f64 = residual.iter().zip(&pull).map(|(r, q)| r * q).sum();
    let worst = pull
        .iter()
        .zip(precision)
        .map(|(q, p)| q * q / p)
        .fold(0.0, f64::max);
    if chi.is_finite() {
        -0.5 * chi.min(chi - worst + 18.0)
    } else {
        f64::NEG_INFINITY
    }
}

/// A normal density as a short list of points.
fn bell(mean: f64, sd: f64) -> Vec<(f64, f64)> {
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
