//! The first sieve: what readings say that are taken so loosely that only gross differences count.

use super::Seeker;
use crate::infer::lower::Measured;

/// Misfit by gross readings above the least at which a cluster is not fitted at all.
const GROSSLY_WORSE: f64 = 27.0;
/// The same from which a second size is worth a start of its own.
const SECOND_START: f64 = 6.0;
/// Clusters up to which each is followed by itself (judgement).
const MOST_CLUSTERS: usize = 200;
/// Beyond that: share of the gross allowance within which two clusters of a kind read alike and are weighed as one
/// (judgement).
const MERGED: f64 = 0.05;
/// Difference of a logarithm of size above which another start is another size.
const OTHER_SIZE: f64 = 1.5;

impl Seeker<'_, '_, '_> {
    /// Misfit of a candidate by gross readings only, and the sizes from which fits are worth starting. What is worse
    /// than `least` by more than can matter is not followed to its end.
    pub(super) fn gross(&mut self, index: usize, least: f64) -> Gross {
        let sizes: Vec<f64> = match self.candidates[index].size {
            Some((mean, sd)) => (-8..=8).map(|k| mean + 0.35 * f64::from(k) * sd).collect(),
            None => vec![0.0],
        };
        let model = self.weigher.model();
        self.weigher.predictor.bench.rough = true;
        let mut prediction = std::mem::take(&mut self.weigher.prediction);
        let mut misfits: Vec<(f64, f64)> = Vec::with_capacity(sizes.len());
        let mut best = Vec::new();
        let mut own = f64::INFINITY;
        let folds = model.sources.iter().any(|s| s.limit > s.short_circuit);
        for size in sizes {
            let fault = self.candidates[index].fault(size);
            for low in [false, true] {
                if low && !folds {
                    break;
                }
                self.weigher.predictor.bench.low = low;
                let bound = own.min(least + GROSSLY_WORSE) + SECOND_START;
                let mut sum = 0.0;
                let whole = self.weigher.predictor.predict_until(
                    &[fault],
                    &self.idle,
                    &mut prediction,
                    |values, readings| {
                        sum += readings
                            .map(|m| gross_misfit(&model.measured[m], values[m]))
                            .sum::<f64>();
                        sum > bound
                    },
                );
                if whole {
                    if sum < own {
                        best.clone_from(&prediction.value);
                    }
                    own = own.min(sum);
                    misfits.push((sum, size));
                }
            }
        }
        self.weigher.prediction = prediction;
        self.weigher.predictor.bench.rough = false;
        misfits.sort_by(|a, b| a.0.total_cmp(&b.0));
        let Some(&(least, first)) = misfits.first() else {
            return Gross {
                misfit: f64::INFINITY,
                starts: Vec::new(),
                values: best,
            };
        };
        // Further starts where quite other sizes explain the gross readings as well.
        let mut starts = vec![first];
        for &(misfit, size) in &misfits {
            let far = starts.iter().all(|s| (s - size).abs() > OTHER_SIZE);
            if far && starts.len() < 3 && misfit < least + SECOND_START {
                starts.push(size);
            }
        }
        Gross {
            misfit: least,
            starts,
            values: best,
        }
    }

    /// What is not grossly worse than the best. Where that is a crowd, clusters of one kind that read almost the same are one.
    pub(super) fn possible(
        &self,
        clusters: Vec<Vec<usize>>,
        gross: Vec<Gross>,
    ) -> (Vec<Vec<usize>>, Vec<Gross>) {
        let measured = &self.weigher.model().measured;
        let kind = |members: &[usize]| {
            let candidate = &self.candidates[members[members.len() / 2]];
            let effect = std::mem::discriminant(&candidate.effect);
            (effect, candidate.size, candidate.life)
        };
        let near = |own: &Gross| own.misfit <= self.least + GROSSLY_WORSE;
        let crowd = gross.iter().filter(|own| near(own)).count() > MOST_CLUSTERS;
        let mut lists: Vec<Vec<usize>> = Vec::new();
        let mut kept: Vec<Gross> = Vec::new();
        for (members, own) in clusters.into_iter().zip(gross) {
            if !near(&own) {
                continue;
            }
            let same = |at: &usize| {
                let (list, other): (&Vec<usize>, &Gross) = (&lists[*at], &kept[*at]);
                let close = |m: usize| {
                    let scale = gross_scale(&measured[m], own.values[m]);
                    ((own.values[m] - other.values[m]) / scale).abs() < MERGED
                };
                own.starts == other.starts
                    && kind(list) == kind(&members)
                    && (0..measured.len()).all(close)
            };
            match (0..kept.len()).filter(|_| crowd).find(same) {
                Some(at) => lists[at].extend(members),
                None => {
                    lists.push(members);
                    kept.push(own);
                }
            }
        }
        (lists, kept)
    }
}

/// Misfit of a reading that is grossly off only: a third of the larger value is nothing, and none counts for much.
pub(super) fn gross_misfit(measured: &Measured, value: f64) -> f64 {
    if measured.over {
        return 0.0;
    }
    let off = (measured.value - value) / gross_scale(measured, value);
    (off * off).min(9.0)
}

fn gross_scale(measured: &Measured, value: f64) -> f64 {
    0.3 * measured.value.abs().max(value.abs()) + 0.01 + measured.sd
}

/// What gross readings say of a candidate.
pub(super) struct Gross {
    pub(super) misfit: f64,
    /// Sizes from which fits are worth starting.
    pub(super) starts: Vec<f64>,
    /// What would be read with the first of them.
    values: Vec<f64>,
}
