//! Further faults, grown from what fewer leave unexplained.
//!
//! Of two faults each explains a part of the readings. So what grows is what explains everything best, and also what
//! explains a part well, however far off the rest may be. Further faults are looked at cluster by cluster by the readings
//! that both together explain; the best are taken loosely, then wire by wire what only millivolts tell apart, then strictly;
//! then what lies beside the best is fitted.

use super::{Hypothesis, Seeker};
use crate::infer::{
    cluster::clusters,
    predict::Prediction,
    solve::{Deviations, Fault},
    weigh::Fitted,
};

/// Parents from which pairs and triples grow, and how many of the offspring are fitted. Singles are not integrated yet when
/// pairs grow from them, so that the last of the parents are as good as the first of the others; hence some more than would do.
pub(super) const PARENTS: [usize; 2] = [12, 6];
pub(super) const OFFSPRING: [usize; 2] = [24, 16];
/// Fits of two faults in whose clusters every wire is tried: of those from likely sizes and of divisions.
const FRAMES: [usize; 2] = [10, 4];
/// Pairs that are put together anew from those that share a fault: from how many, and how many (judgement).
const EXCHANGE: (usize, usize) = (10, 8);
/// Sets of faults that are tried without one of them.
const REDUCED: usize = 4;
/// Most that are fitted of those whose faults are of the same clusters.
const MOST_ALIKE: usize = 2;
/// Loose log weight below the best at which offspring is not fitted strictly.
const OUT_OF_REACH: f64 = 40.0;
/// Logarithm of weight below the best at which the neighbours of a pair are looked at, and at which they are fitted.
const NEARBY: f64 = 9.2;
/// Most neighbours that are fitted.
const NEIGHBOURS: usize = 64;
/// Longest step of a logarithm of size that is taken to first order.
const STEP: f64 = 0.8;
/// Half the misfit of one reading that is taken for a mistake rather than as evidence.
const MISTAKE: f64 = 9.0;

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
        // Divisions are moved to where they explain the readings best before they are compared, the others are not.
        let most_of = [most_offspring, most_offspring / 2];
        self.litters = most_of.map(Litter::new);
        let children = self.both(parents.len(), |me, job| {
            me.children(&parents[job], &clusters, &alike)
        });
        let mut offspring: [Vec<Offspring>; 2] = [Vec::new(), Vec::new()];
        for born in children.into_iter().flatten() {
            for (all, some) in offspring.iter_mut().zip(born) {
                all.extend(some);
            }
        }
        let [mut offspring, mut divided] = offspring;
        keep_best(&mut offspring, most_of[0], &alike);
        keep_best(&mut divided, most_of[1], &alike);
        let likely = offspring.len();
        offspring.append(&mut divided);
        let mut taken: Vec<Vec<usize>> = offspring.iter().map(|one| sorted(&one.faults)).collect();
        // The representatives of the best, taken loosely, then strictly.
        self.weigher.loose = true;
        let loose = self.both(offspring.len(), |me, job| {
            let child = &offspring[job];
            me.weigh(&child.faults, &child.list, &child.deviations)
        });
        self.weigher.loose = false;
        let (first, second) = loose.split_at(likely);
        let apart = [first, second].map(|some| {
            let mut some: Vec<&Hypothesis> = some.iter().flatten().flatten().collect();
            some.sort_by(|a, b| b.log_weight.total_cmp(&a.log_weight));
            some
        });
        let mut loose: Vec<&Hypothesis> = apart.iter().flatten().copied().collect();
        loose.sort_by(|a, b| b.log_weight.total_cmp(&a.log_weight));
        // The same faults may have started from likely sizes and from a division.
        let mut seen: Vec<Vec<usize>> = Vec::new();
        loose.retain(|one| is_new(&mut seen, &one.faults));
        let most = loose.first().map_or(0.0, |one| one.log_weight);
        let near = |one: &&Hypothesis| one.log_weight >= most - OUT_OF_REACH;
        loose.retain(near);
        let strict = self.both(loose.len(), |me, job| {
            let fit = &loose[job].robust.best;
            me.weigh(&loose[job].faults, &fit.faults, &fit.deviations)
        });
        let strict: Vec<Hypothesis> = strict.into_iter().flatten().flatten().collect();
        if parents.iter().all(|parent| parent.faults.len() < 2) {
            // Both sorts have their share: what fits a division well is a crowd.
            for (mut some, frames) in apart.into_iter().zip(FRAMES) {
                some.retain(near);
                beyond.extend(self.in_every_wire(&some, frames, &clusters, &alike));
            }
            beyond.extend(exchanged(&strict));
        }
        beyond.retain(|pair| !self.same(&pair.faults) && is_new(&mut taken, &pair.faults));
        let further = self.both(beyond.len(), |me, job| {
            let pair = &beyond[job];
            me.weigh(&pair.faults, &pair.list, &pair.deviations)
        });
        let further = further.into_iter().flatten().flatten();
        let mut found: Vec<Hypothesis> = strict.into_iter().chain(further).collect();
        self.beside(&mut found, taken);
        found
    }

    /// What the likeliest sets are without one of their faults, as far as that is not known: a fault that only helped on the way
    /// is not needed.
    pub(super) fn without_one(
        &mut self,
        sets: &[Hypothesis],
        known: &[Hypothesis],
    ) -> Vec<Hypothesis> {
        let mut ranked: Vec<&Hypothesis> = sets.iter().collect();
        ranked.sort_by(|a, b| b.log_weight.total_cmp(&a.log_weight));
        ranked.truncate(REDUCED);
        let mut taken: Vec<Vec<usize>> = known.iter().map(|one| sorted(&one.faults)).collect();
        let mut jobs: Vec<(Vec<usize>, Vec<Fault>, &[Deviations])> = Vec::new();
        for one in ranked {
            let fit = &one.robust.best;
            for place in 0..one.faults.len() {
                let (mut faults, mut list) = (one.faults.clone(), fit.faults.clone());
                faults.remove(place);
                list.remove(place);
                if is_new(&mut taken, &faults) {
                    jobs.push((faults, list, &fit.deviations));
                }
            }
        }
        let found = self.both(jobs.len(), |me, job| {
            let (faults, list, deviations) = &jobs[job];
            me.weigh(faults, list, deviations)
        });
        found.into_iter().flatten().flatten().collect()
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

/// What two likely pairs that share a fault do not share, together: where one place stood for each of two faults in turn, beside
/// the other, the two make the pair.
fn exchanged(pairs: &[Hypothesis]) -> Vec<Offspring> {
    let mut ranked: Vec<&Hypothesis> = pairs.iter().filter(|h| h.faults.len() == 2).collect();
    ranked.sort_by(|a, b| b.log_weight.total_cmp(&a.log_weight));
    ranked.truncate(EXCHANGE.0);
    let mut found = Vec::new();
    for (number, one) in ranked.iter().enumerate() {
        for other in &ranked[..number] {
            for (a, b) in [(0, 0), (0, 1), (1, 0), (1, 1)] {
                if one.faults[1 - a] != other.faults[1 - b] || one.faults[a] == other.faults[b] {
                    continue;
                }
                let (own, its) = (&one.robust.best, &other.robust.best);
                found.push(Offspring {
                    misfit: -one.log_weight,
                    faults: vec![other.faults[b], one.faults[a]],
                    list: vec![its.faults[b], own.faults[a]],
                    deviations: its.deviations.clone(),
                });
            }
        }
    }
    found.truncate(EXCHANGE.1);
    found
}

/// Keeps so many that explain most, few whose faults are of the same clusters, and no faults twice.
fn keep_best(offspring: &mut Vec<Offspring>, most: usize, alike: &[usize]) {
    offspring.sort_by(|a, b| a.misfit.total_cmp(&b.misfit));
    let mut taken: Vec<Vec<usize>> = Vec::new();
    let mut frames: Vec<Vec<usize>> = Vec::new();
    offspring.retain(|child| {
        let frame = frame(&child.faults, alike);
        let same = frames.iter().filter(|other| **other == frame).count();
        let fresh = frames.len() < most && same < MOST_ALIKE && is_new(&mut taken, &child.faults);
        if fresh {
            frames.push(frame);
        }
        fresh
    });
}

/// Whether these faults, in any order, are not among those taken; then they are from now on.
fn is_new(taken: &mut Vec<Vec<usize>>, faults: &[usize]) -> bool {
    let faults = sorted(faults);
    let new = !taken.contains(&faults);
    if new {
        taken.push(faults);
    }
    new
}

/// The clusters of some faults.
pub(super) fn frame(faults: &[usize], alike: &[usize]) -> Vec<usize> {
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
    pub(super) fn most(&self) -> f64 {
        if self.best.len() < self.size {
            return f64::INFINITY;
        }
        self.best.last().map_or(f64::INFINITY, |last| last.0)
    }

    pub(super) fn add(&mut self, misfit: f64, faults: Vec<usize>) {
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
