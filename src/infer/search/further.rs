//! Further faults, grown from what fewer leave unexplained.
//!
//! Of two faults each explains a part of the readings. So what grows is what explains everything best, and also what
//! explains a part well, however far off the rest may be. Further faults are looked at cluster by cluster by the readings
//! that both together explain; the best are taken loosely, then wire by wire what only millivolts tell apart, then strictly;
//! then what lies beside the best is fitted.

use super::{Hypothesis, Seeker};
use crate::infer::{
    cluster::clusters,
    lower::Measured,
    predict::Prediction,
    solve::{Deviations, Effect, Fault},
    weigh::Fitted,
};

/// Parents from which pairs and triples grow, and how many of the offspring are fitted. Singles are not integrated yet when
/// pairs grow from them, so that the last of the parents are as good as the first of the others; hence some more than would do.
pub(super) const PARENTS: [usize; 2] = [12, 6];
pub(super) const OFFSPRING: [usize; 2] = [24, 16];
/// Shunts of one cluster that stand for it (judgement).
const STAND_FOR: usize = 6;
/// Most that are fitted of those whose faults are of the same clusters.
const MOST_ALIKE: usize = 2;
/// Loose log weight below the best at which offspring is not fitted strictly.
const OUT_OF_REACH: f64 = 40.0;
/// Logarithm of weight below the best at which the neighbours of a pair are looked at, and at which they are fitted.
const NEARBY: f64 = 9.2;
/// Most neighbours that are fitted.
const NEIGHBOURS: usize = 64;
/// Sizes at which a further fault is looked at, in standard deviations of its prior.
const SIZES: [f64; 6] = [-1.5, -0.9, -0.3, 0.3, 0.9, 1.5];
/// The same for a fault that may be the first of two.
const SINGLY: [f64; 11] = [
    -1.75, -1.4, -1.05, -0.7, -0.35, 0.0, 0.35, 0.7, 1.05, 1.4, 1.75,
];
/// Changes of the logarithm of the parent's last size: it may have stood for both.
const SHARED: [f64; 2] = [0.0, 0.9];
/// Longest step of a logarithm of size that is taken to first order.
const STEP: f64 = 0.8;
/// Half the misfit of one reading that is taken for a mistake rather than as evidence.
const MISTAKE: f64 = 9.0;

/// What is there already when a further fault is looked for.
struct Parent {
    faults: Vec<usize>,
    list: Vec<Fault>,
    deviations: Vec<Deviations>,
}

impl Seeker<'_, '_, '_> {
    /// Adds one more fault to what explains the readings best, or a part of them; what is worth fitting beyond that comes
    /// with it.
    pub(super) fn grow(
        &mut self,
        parents: &[Hypothesis],
        mut beyond: Vec<Offspring>,
        most_parents: usize,
        most_offspring: usize,
    ) -> Vec<Hypothesis> {
        let clusters = clusters(self.weigher.model(), self.candidates);
        let alike = self.alike(&clusters);
        let parents = self.parents(parents, most_parents, &alike);
        self.litter = Litter::new(most_offspring);
        let children = self.both(parents.len(), |me, job| {
            me.children(&parents[job], &clusters, &alike)
        });
        let mut offspring: Vec<Offspring> = children.into_iter().flatten().flatten().collect();
        offspring.sort_by(|a, b| a.misfit.total_cmp(&b.misfit));
        // The representatives of the best, taken loosely, then strictly.
        let mut taken: Vec<Vec<usize>> = Vec::new();
        let mut frames: Vec<Vec<usize>> = Vec::new();
        offspring.retain(|child| {
            let faults = sorted(&child.faults);
            let frame = frame(&child.faults, &alike);
            let same = frames.iter().filter(|other| **other == frame).count();
            let fresh =
                taken.len() < most_offspring && same < MOST_ALIKE && !taken.contains(&faults);
            if fresh {
                taken.push(faults);
                frames.push(frame);
            }
            fresh
        });
        self.weigher.loose = true;
        let loose = self.both(offspring.len(), |me, job| {
            let child = &offspring[job];
            me.weigh(&child.faults, &child.list, &child.deviations)
        });
        self.weigher.loose = false;
        let mut loose: Vec<Hypothesis> = loose.into_iter().flatten().flatten().collect();
        loose.sort_by(|a, b| b.log_weight.total_cmp(&a.log_weight));
        let most = loose.first().map_or(0.0, |one| one.log_weight);
        loose.retain(|one| one.log_weight >= most - OUT_OF_REACH);
        let strict = self.both(loose.len(), |me, job| {
            let fit = &loose[job].robust.best;
            me.weigh(&loose[job].faults, &fit.faults, &fit.deviations)
        });
        if parents.iter().all(|parent| parent.faults.len() < 2) {
            beyond.extend(self.in_every_wire(&loose, &clusters, &alike));
        }
        beyond.retain(|pair| {
            let faults = sorted(&pair.faults);
            let fresh = !taken.contains(&faults);
            if fresh {
                taken.push(faults);
            }
            fresh
        });
        let further = self.both(beyond.len(), |me, job| {
            let pair = &beyond[job];
            me.weigh(&pair.faults, &pair.list, &pair.deviations)
        });
        let mut found: Vec<Hypothesis> = (strict.into_iter().chain(further))
            .flatten()
            .flatten()
            .collect();
        self.beside(&mut found, taken);
        found
    }

    /// Fits what lies beside each likely set of faults, one of them moved at a time, from where that set came to rest.
    fn beside(&mut self, found: &mut Vec<Hypothesis>, mut taken: Vec<Vec<usize>>) {
        let mut looked = 0;
        let mut fitted = 0;
        let mut order: Vec<usize> = (0..found.len()).collect();
        while looked < order.len() {
            order[looked..].sort_by(|&a, &b| found[b].log_weight.total_cmp(&found[a].log_weight));
            let here = found[order[looked]].clone();
            looked += 1;
            if here.log_weight < self.most - NEARBY {
                break;
            }
            let fit = &here.robust.best;
            let line = Line::new(self, fit);
            let mut jobs: Vec<(Vec<usize>, Vec<Fault>)> = Vec::new();
            for place in 0..here.faults.len() {
                let own = here.faults[place];
                for index in self.neighbours(own) {
                    let mut faults = here.faults.clone();
                    faults[place] = index;
                    let key = sorted(&faults);
                    if taken.contains(&key) || self.same(&faults) {
                        continue;
                    }
                    let mut list = fit.faults.clone();
                    list[place] = self.candidates[index].fault(list[place].log_size);
                    let score = self.look(&line, &faults, &list, &fit.deviations);
                    let change = self.prior(&faults) - self.prior(&here.faults);
                    if here.log_weight + score + line.own + change < self.most - NEARBY {
                        continue;
                    }
                    taken.push(key);
                    jobs.push((faults, list));
                }
            }
            jobs.truncate(NEIGHBOURS - fitted);
            fitted += jobs.len();
            let next = self.both(jobs.len(), |me, job| {
                let (faults, list) = &jobs[job];
                me.weigh(faults, list, &fit.deviations)
            });
            let next = next.into_iter().flatten().flatten();
            order.extend(found.len()..found.len() + next.clone().count());
            found.extend(next);
            if fitted >= NEIGHBOURS || !(self.go_on)() {
                return;
            }
        }
    }

    /// Those of a cluster that stand for it beside another fault: the middle, but of shunts several, since what lies before an
    /// open or a bad joint and what lies behind it is one cluster for all other readings.
    fn stand_for<'l>(&self, members: &'l [usize]) -> impl Iterator<Item = usize> + use<'l> {
        let shunts = matches!(self.candidates[members[0]].effect, Effect::Shunt { .. });
        let count = if shunts {
            STAND_FOR.min(members.len())
        } else {
            1
        };
        (0..count).map(move |k| members[(2 * k + 1) * members.len() / (2 * count)])
    }

    /// The number of the cluster of each candidate.
    fn alike(&self, clusters: &[Vec<usize>]) -> Vec<usize> {
        let mut alike = vec![0; self.candidates.len()];
        for (number, members) in clusters.iter().enumerate() {
            for &index in members {
                alike[index] = number;
            }
        }
        alike
    }

    /// Whether a thing appears twice with the same kind of fault.
    pub(super) fn same(&self, faults: &[usize]) -> bool {
        let key = |f: usize| (&self.candidates[f].site, self.candidates[f].kind);
        let stretch = |f: usize| self.candidates[f].stretch;
        faults.iter().enumerate().any(|(place, &one)| {
            faults[..place]
                .iter()
                .any(|&two| key(one) == key(two) && stretch(one) == stretch(two))
        })
    }

    /// The likeliest of what was weighed, and among single faults those that explain a part of the readings well, be the
    /// rest as far off as it may.
    fn parents(&mut self, weighed: &[Hypothesis], most: usize, alike: &[usize]) -> Vec<Parent> {
        let mut ranked: Vec<&Hypothesis> = weighed.iter().collect();
        ranked.sort_by(|a, b| b.log_weight.total_cmp(&a.log_weight));
        let mut seen: Vec<Vec<usize>> = Vec::new();
        let mut found: Vec<Parent> = Vec::new();
        for one in ranked {
            let key: Vec<usize> = one.faults.iter().map(|&f| alike[f]).collect();
            // A healthy circuit is no parent: its children are the singles.
            if key.is_empty() || seen.contains(&key) {
                continue;
            }
            seen.push(key);
            if seen.len() > most {
                break;
            }
            let fit = &one.robust.best;
            found.push(Parent {
                faults: one.faults.clone(),
                list: fit.faults.clone(),
                deviations: fit.deviations.clone(),
            });
        }
        if weighed.iter().all(|h| h.faults.len() < 2) {
            let partly = std::mem::take(&mut self.partly);
            for &(_, index, size) in partly.iter().take(most) {
                if found.iter().any(|parent| parent.faults[0] == index) {
                    continue;
                }
                found.push(Parent {
                    faults: vec![index],
                    list: vec![self.candidates[index].fault(size)],
                    deviations: self.idle.clone(),
                });
            }
        }
        found
    }

    /// Looks for single faults that explain a part of the readings well.
    pub(super) fn explain_a_part(&mut self) {
        let clusters = clusters(self.weigher.model(), self.candidates);
        let seen = self.both(clusters.len(), |me, job| {
            let bench = &mut me.weigher.predictor.bench;
            (bench.low, bench.rough) = (false, true);
            let middle = clusters[job][clusters[job].len() / 2];
            let candidate = &me.candidates[middle];
            let sizes = match candidate.size {
                Some((mean, sd)) => SINGLY.map(|at| mean + at * sd).to_vec(),
                None => vec![0.0],
            };
            let idle = me.idle.clone();
            let misfits = sizes.into_iter().map(|size| {
                let misfit = me.part(&[candidate.fault(size)], &idle, f64::INFINITY);
                (misfit - candidate.weight.ln(), middle, size)
            });
            let best = misfits.min_by(|a, b| a.0.total_cmp(&b.0));
            me.weigher.predictor.bench.rough = false;
            best
        });
        let mut found: Vec<(f64, usize, f64)> = seen.into_iter().flatten().flatten().collect();
        found.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        self.partly = found;
    }

    /// Looks at what stands for each cluster of further faults beside a parent, by the readings that both explain well.
    fn children(
        &mut self,
        parent: &Parent,
        clusters: &[Vec<usize>],
        alike: &[usize],
    ) -> Vec<Offspring> {
        let mut offspring = Vec::new();
        let last = parent.list.len() - 1;
        // Ohms in parallel are each more than both together, ohms in series less.
        let shared = match parent.list[last].effect {
            Effect::Shunt { .. } => 1.0,
            _ => -1.0,
        };
        let folds = (self.weigher.model().sources.iter()).any(|s| s.limit > s.short_circuit);
        self.weigher.predictor.bench.rough = true;
        let standing: Vec<usize> = (clusters.iter())
            .flat_map(|members| self.stand_for(members))
            .collect();
        for one in standing {
            if !(self.go_on)() {
                break;
            }
            let mut faults = parent.faults.clone();
            faults.push(one);
            if self.same(&faults) {
                continue;
            }
            let candidate = &self.candidates[one];
            let sizes = candidate.size.map_or(&SIZES[..1], |_| &SIZES);
            // What is worse than as many others as are fitted is not followed to its end.
            let prior = self.prior(&faults);
            let mut best = (self.litter.most() + prior, Vec::new());
            for step in SHARED {
                for at in sizes {
                    let size = candidate.size.map_or(0.0, |(mean, sd)| mean + at * sd);
                    let mut list = parent.list.clone();
                    list[last].log_size += shared * step;
                    list.push(candidate.fault(size));
                    for low in [false, true] {
                        if low && !folds {
                            break;
                        }
                        self.weigher.predictor.bench.low = low;
                        let misfit = self.part(&list, &parent.deviations, best.0);
                        if misfit < best.0 {
                            best = (misfit, list.clone());
                        }
                    }
                }
            }
            let (misfit, list) = best;
            if misfit.is_finite() && !list.is_empty() {
                let misfit = misfit - prior;
                self.litter.add(misfit, frame(&faults, alike));
                offspring.push(Offspring {
                    misfit,
                    faults,
                    list,
                    deviations: parent.deviations.clone(),
                });
            }
        }
        self.weigher.predictor.bench.rough = false;
        offspring
    }

    /// How badly faults explain the readings, those far off counting little more than those off: Σ ln(1 + z²). What comes
    /// above `most` is not followed to its end.
    pub(super) fn part(&mut self, list: &[Fault], deviations: &[Deviations], most: f64) -> f64 {
        let model = self.weigher.model();
        let mut seen = std::mem::take(&mut self.weigher.prediction);
        let mut sum = 0.0;
        (self.weigher.predictor).predict_until(list, deviations, &mut seen, |values, readings| {
            sum += readings
                .map(|m| partial_misfit(&model.measured[m], values[m]))
                .sum::<f64>();
            sum > most
        });
        self.weigher.prediction = seen;
        sum
    }

    /// −χ²/2 of a set of faults by a line, at the sizes that are best to first order, the worst reading left out where that
    /// helps.
    fn look(
        &mut self,
        line: &Line,
        faults: &[usize],
        list: &[Fault],
        deviations: &[Deviations],
    ) -> f64 {
        let model = self.weigher.model();
        let mut seen: Prediction = std::mem::take(&mut self.weigher.prediction);
        (self.weigher.predictor).predict(list, deviations, false, &mut seen);
        let total = model.measured.len();
        let readings = line.used.iter().zip(&line.target);
        let mut white: Vec<f64> = readings
            .map(|(&m, target)| target - seen.value[m])
            .collect();
        line.cholesky.forward(&mut white);
        // One size after the other; the last one, which the line does not know yet, first.
        for place in (0..list.len()).rev() {
            let Some((mean, sd)) = self.candidates[faults[place]].size else {
                continue;
            };
            let mut change: Vec<f64> = (line.used.iter())
                .map(|&m| seen.by_size[place * total + m])
                .collect();
            line.cholesky.forward(&mut change);
            let product: f64 = white.iter().zip(&change).map(|(a, b)| a * b).sum();
            let square: f64 = change.iter().map(|x| x * x).sum();
            let at = list[place].log_size;
            let step = (product / (square + 0.1)).clamp(-STEP, STEP);
            let step = (at + step).clamp(mean - 4.0 * sd, mean + 4.0 * sd) - at;
            for (entry, x) in white.iter_mut().zip(&change) {
                *entry -= step * x;
            }
        }
        self.weigher.prediction = seen;
        line.score(&white)
    }
}

/// ln(1 + z²) of a reading taken loosely; nothing for one that is over its range.
fn partial_misfit(measured: &Measured, value: f64) -> f64 {
    if measured.over {
        return 0.0;
    }
    let z = (measured.value - value) / (0.03 * measured.value.abs() + 0.004 + measured.sd);
    (z * z).ln_1p()
}

/// The clusters of some faults.
fn frame(faults: &[usize], alike: &[usize]) -> Vec<usize> {
    let numbers: Vec<usize> = faults.iter().map(|&f| alike[f]).collect();
    sorted(&numbers)
}

fn sorted(faults: &[usize]) -> Vec<usize> {
    let mut faults = faults.to_vec();
    faults.sort_unstable();
    faults
}

/// A fit's covariance, and the readings, to score what differs from it by one fault.
struct Line {
    used: Vec<usize>,
    target: Vec<f64>,
    cholesky: crate::infer::gauss::Cholesky,
    precision: Vec<f64>,
    /// What the fit itself has for its misfit, half of it.
    own: f64,
}

impl Line {
    fn new(seeker: &Seeker<'_, '_, '_>, fit: &Fitted) -> Self {
        let model = seeker.weigher.model();
        Self {
            target: fit.used.iter().map(|&m| model.measured[m].value).collect(),
            used: fit.used.clone(),
            precision: fit.cholesky.inverse_diagonal(),
            cholesky: fit.cholesky.clone(),
            own: 0.5 * fit.chi_squared,
        }
    }

    /// −χ²/2 of whitened residuals, with the worst reading left out where that helps.
    fn score(&self, white: &[f64]) -> f64 {
        let chi: f64 = white.iter().map(|x| x * x).sum();
        if !chi.is_finite() {
            return f64::NEG_INFINITY;
        }
        let mut pull = white.to_vec();
        self.cholesky.backward(&mut pull);
        let worst = (pull.iter().zip(&self.precision))
            .map(|(q, p)| q * q / p)
            .fold(0.0, f64::max);
        -0.5 * chi.min(chi - worst + 2.0 * MISTAKE)
    }
}

/// The sets of faults that fit best so far, no set twice.
#[derive(Clone, Default)]
pub(super) struct Litter {
    size: usize,
    best: Vec<(f64, Vec<usize>)>,
}

impl Litter {
    /// Of no more than so many sets.
    pub(super) fn new(size: usize) -> Self {
        let best = Vec::new();
        Self { size, best }
    }

    /// Misfit from which on a set is none of them.
    fn most(&self) -> f64 {
        if self.best.len() < self.size {
            return f64::INFINITY;
        }
        self.best.last().map_or(f64::INFINITY, |last| last.0)
    }

    fn add(&mut self, misfit: f64, faults: Vec<usize>) {
        match self.best.iter_mut().find(|one| one.1 == faults) {
            Some(same) => same.0 = same.0.min(misfit),
            None => self.best.push((misfit, faults)),
        }
        self.best.sort_by(|a, b| a.0.total_cmp(&b.0));
        self.best.truncate(self.size);
    }
}

/// A set of faults that is worth fitting, and where to start.
pub(super) struct Offspring {
    pub(super) misfit: f64,
    pub(super) faults: Vec<usize>,
    pub(super) list: Vec<Fault>,
    pub(super) deviations: Vec<Deviations>,
}
