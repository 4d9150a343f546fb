//! Further faults, grown from what fewer leave unexplained.

use super::{Hypothesis, Seeker};
use crate::infer::{
    lower::Model,
    solve::{Deviations, Fault},
    weigh::{Fitted, SizePrior},
};

/// Parents from which pairs and triples grow, and how many of the offspring are fitted.
pub(super) const PARENTS: [usize; 2] = [30, 10];
pub(super) const OFFSPRING: [usize; 2] = [64, 32];

impl Seeker<'_, '_, '_> {
    /// Adds one more fault to the likeliest parents.
    pub(super) fn grow(
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
            // A healthy circuit is no parent: its children are the singles.
            if key.is_empty() || seen.contains(&key) {
                continue;
            }
            seen.push(key);
            if seen.len() > most_parents || !(self.go_on)() {
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
            if taken.len() > most_offspring || !(self.go_on)() {
                break;
            }
            found.extend(self.weigh(&child.faults, &child.list, &child.deviations));
        }
        found
    }

    /// Cheap scores of a parent with every further fault: the parent's covariance, a new prediction.
    pub(super) fn children(&mut self, parent: &Hypothesis) -> Vec<Offspring> {
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
                    let mut list = base.faults.clone();
                    list.push(candidate.fault(size));
                    children.push(Offspring {
                        score: score + self.prior(&faults),
                        faults,
                        list,
                        deviations: base.deviations.clone(),
                    });
                }
            }
        }
        children
    }
}

/// −χ²/2 of new values under a parent's covariance, with the worst reading left out where that helps.
pub(super) fn cheap_score(
    model: &Model,
    values: &[f64],
    fitted: &Fitted,
    precision: &[f64],
) -> f64 {
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

/// A set of faults that is worth fitting, and where to start.
pub(super) struct Offspring {
    score: f64,
    faults: Vec<usize>,
    list: Vec<Fault>,
    deviations: Vec<Deviations>,
}
