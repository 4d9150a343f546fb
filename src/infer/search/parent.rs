//! From what further faults grow, and what is looked at beside it.
//!
//! Of two faults each explains a part of the readings. So what grows is what explains everything best, what explains a part
//! well, and what a reading points at that the best leave aside.

use super::{
    Hypothesis, Seeker,
    further::{Offspring, frame},
    gross::gross_misfit,
};
use crate::infer::{
    cluster::clusters,
    lower::Measured,
    solve::{Deviations, Effect, Fault},
};

/// Shunts of one cluster that stand for it (judgement).
const STAND_FOR: usize = 6;
/// Sizes at which a further fault is looked at, in standard deviations of its prior.
const SIZES: [f64; 6] = [-1.5, -0.9, -0.3, 0.3, 0.9, 1.5];
/// The same for a fault that may be the first of two.
const SINGLY: [f64; 11] = [
    -1.75, -1.4, -1.05, -0.7, -0.35, 0.0, 0.35, 0.7, 1.05, 1.4, 1.75,
];
/// Changes of the logarithm of the parent's last size: it may have stood for both.
const SHARED: [f64; 2] = [0.0, 0.9];
/// How the current of a short is divided between it and a further one: logarithms of the odds.
const DIVISIONS: [f64; 6] = [-2.5, -1.5, -0.5, 0.5, 1.5, 2.5];
/// Misfit a reading by which a coarse division may lie behind and still be moved to where it explains the readings best.
const COARSE: f64 = 1.0;
/// Steps towards the best sizes of a division, the longest one, the difference that slopes are taken over, and the
/// precision that holds a size back where the readings say nothing.
const MOVES: usize = 3;
const LONGEST: f64 = 0.6;
const AHEAD: f64 = 0.05;
const HELD: f64 = 0.05;
/// Misfit by gross readings from which on a reading is none that single faults explain.
const LEFT_ASIDE: f64 = 0.2;
/// Share of what is left unexplained of a reading from which on it points at a single fault, and most that it points at
/// (judgement, like the numbers above; `tests/faults_together.rs` holds the result).
const POINTS: f64 = 0.5;
const MOST_POINTED: usize = 4;

/// What is there already when a further fault is looked for.
pub(super) struct Parent {
    pub(super) faults: Vec<usize>,
    pub(super) list: Vec<Fault>,
    deviations: Vec<Deviations>,
}

impl Parent {
    fn of(weighed: &Hypothesis) -> Self {
        let fit = &weighed.robust.best;
        Self {
            faults: weighed.faults.clone(),
            list: fit.faults.clone(),
            deviations: fit.deviations.clone(),
        }
    }
}

/// Sizes to start from and what they come to: misfit, faults, and whether folding supplies are in their lower rest.
type Start = (f64, Vec<Fault>, bool);

impl Seeker<'_, '_, '_> {
    /// The likeliest of what was weighed, and among single faults those that explain a part of the readings well, be the
    /// rest as far off as it may.
    pub(super) fn parents(
        &mut self,
        weighed: &[Hypothesis],
        most: usize,
        alike: &[usize],
    ) -> Vec<Parent> {
        let mut ranked: Vec<&Hypothesis> = weighed.iter().collect();
        ranked.sort_by(|a, b| b.log_weight.total_cmp(&a.log_weight));
        let mut seen: Vec<Vec<usize>> = Vec::new();
        ranked.retain(|one| {
            let key: Vec<usize> = one.faults.iter().map(|&f| alike[f]).collect();
            // A healthy circuit is no parent: its children are the singles.
            let fresh = !key.is_empty() && !seen.contains(&key);
            if fresh {
                seen.push(key);
            }
            fresh
        });
        let best = ranked.iter().take(most);
        let mut found: Vec<Parent> = best.map(|one| Parent::of(one)).collect();
        if weighed.iter().all(|h| h.faults.len() < 2) {
            for at in self
                .pointed_at(&ranked)
                .into_iter()
                .filter(|&at| at >= most)
            {
                found.push(Parent::of(ranked[at]));
            }
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

    /// Which of some single faults, one of each cluster, best first, a reading points at that most of them leave aside: with
    /// these there, and with nothing else, it would lie on the side on which it does. Of many sensors on one feed nearly each
    /// explains all readings but those that parted its plug, so that the best alone need not be the right ones.
    fn pointed_at(&mut self, singles: &[&Hypothesis]) -> Vec<usize> {
        let read: Vec<Vec<f64>> = (singles.iter())
            .map(|single| {
                let fit = &single.robust.best;
                self.weigher.predictor.bench.low = fit.low;
                self.read(&fit.faults, &fit.deviations)
            })
            .collect();
        let mut pointed: Vec<usize> = Vec::new();
        for (m, measured) in self.weigher.model().measured.iter().enumerate() {
            let mut sorted: Vec<f64> = read.iter().map(|values| values[m]).collect();
            sorted.sort_by(f64::total_cmp);
            let Some(&middle) = sorted.get(sorted.len() / 2) else {
                break;
            };
            if gross_misfit(measured, middle) < LEFT_ASIDE {
                continue;
            }
            let share = |values: &[f64]| (values[m] - middle) / (measured.value - middle);
            let explain = (0..read.len()).filter(|&at| share(&read[at]) >= POINTS);
            for at in explain.take(MOST_POINTED) {
                if !pointed.contains(&at) {
                    pointed.push(at);
                }
            }
        }
        pointed.truncate(2 * MOST_POINTED);
        pointed
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

    /// Looks at what stands for each cluster of further faults beside a parent, by the readings that both explain well: with
    /// likely sizes, and with the current of the parent divided between both.
    pub(super) fn children(
        &mut self,
        parent: &Parent,
        clusters: &[Vec<usize>],
        alike: &[usize],
    ) -> [Vec<Offspring>; 2] {
        let mut offspring = [Vec::new(), Vec::new()];
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
            // What is worse than as many others as are fitted is not followed to its end.
            let prior = self.prior(&faults);
            let most = self.litters.each_ref().map(|litter| litter.most() + prior);
            let starts = self.best_starts(parent, one, most);
            for (way, (misfit, list, _)) in starts.into_iter().enumerate() {
                if misfit.is_finite() && !list.is_empty() {
                    let misfit = misfit - prior;
                    self.litters[way].add(misfit, frame(&faults, alike));
                    offspring[way].push(Offspring {
                        misfit,
                        faults: faults.clone(),
                        list,
                        deviations: parent.deviations.clone(),
                    });
                }
            }
        }
        self.weigher.predictor.bench.rough = false;
        offspring
    }

    /// The sizes from which a further fault beside a parent explains the readings best, if they come to less than `most`: likely
    /// ones, and those of a division.
    fn best_starts(&mut self, parent: &Parent, one: usize, most: [f64; 2]) -> [Start; 2] {
        let candidate = &self.candidates[one];
        let last = parent.list.len() - 1;
        let own = parent.list[last];
        let shunt = |effect: &Effect| matches!(effect, Effect::Shunt { .. });
        let divides = shunt(&own.effect) && shunt(&candidate.effect) && candidate.size.is_some();
        let with = |change: f64, size: f64| {
            let mut list = parent.list.clone();
            list[last].log_size += change;
            list.push(candidate.fault(size));
            list
        };
        let [mut likely, mut divided] = most.map(|most| (most, Vec::new(), false));
        let sizes = candidate.size.map_or(&SIZES[..1], |_| &SIZES);
        // Ohms in parallel are each more than both together, ohms in series less; how two in parallel divide comes by itself.
        let shared = if shunt(&own.effect) { 1.0 } else { -1.0 };
        let steps = if divides { &SHARED[..1] } else { &SHARED[..] };
        for step in steps {
            for at in sizes {
                let size = candidate.size.map_or(0.0, |(mean, sd)| mean + at * sd);
                self.look_from(&mut likely, &with(shared * step, size), &parent.deviations);
            }
        }
        if divides {
            let readings = self.weigher.model().measured.len() as f64;
            let most = divided.0;
            divided.0 += COARSE * readings;
            for odds in DIVISIONS {
                let more = f64::exp(odds).ln_1p();
                let list = with(more, own.log_size + more - odds);
                self.look_from(&mut divided, &list, &parent.deviations);
            }
            self.even_out(&mut divided, &parent.deviations);
            if divided.0 >= most {
                divided.1.clear();
            }
        }
        [likely, divided]
    }

    /// Keeps sizes that explain the readings better than those before.
    fn look_from(&mut self, best: &mut Start, list: &[Fault], deviations: &[Deviations]) {
        let folds = (self.weigher.model().sources.iter()).any(|s| s.limit > s.short_circuit);
        for low in [false, true] {
            if low && !folds {
                break;
            }
            self.weigher.predictor.bench.low = low;
            let misfit = self.part(list, deviations, best.0);
            if misfit < best.0 {
                *best = (misfit, list.to_vec(), low);
            }
        }
    }

    /// Moves the last two sizes to where they explain most readings: least squares, those far off counting little, in a few
    /// steps (iteratively reweighted; Holland and Welsch, Communications in Statistics A6, 1977).
    fn even_out(&mut self, best: &mut Start, deviations: &[Deviations]) {
        let Some(last) = best.1.len().checked_sub(1) else {
            return;
        };
        self.weigher.predictor.bench.low = best.2;
        for _ in 0..MOVES {
            let off = self.off(&best.1, deviations);
            let slopes = [last - 1, last].map(|place| {
                let mut list = best.1.clone();
                list[place].log_size += AHEAD;
                let moved = self.off(&list, deviations);
                let slopes = moved.iter().zip(&off).map(|(to, from)| (to - from) / AHEAD);
                slopes.collect::<Vec<f64>>()
            });
            let sum = |of: &dyn Fn(usize) -> f64| -> f64 {
                let weighed = (off.iter().enumerate()).map(|(m, z)| of(m) / (1.0 + z * z));
                weighed.sum()
            };
            let [a, b] = &slopes;
            let (aa, bb) = (HELD + sum(&|m| a[m] * a[m]), HELD + sum(&|m| b[m] * b[m]));
            let ab = sum(&|m| a[m] * b[m]);
            let (left_a, left_b) = (sum(&|m| a[m] * off[m]), sum(&|m| b[m] * off[m]));
            let whole = aa * bb - ab * ab;
            let mut list = best.1.clone();
            for (place, step) in [
                (last - 1, (ab * left_b - bb * left_a) / whole),
                (last, (ab * left_a - aa * left_b) / whole),
            ] {
                if !step.is_finite() {
                    return;
                }
                list[place].log_size += step.clamp(-LONGEST, LONGEST);
            }
            let misfit = self.part(&list, deviations, best.0);
            if misfit >= best.0 {
                return;
            }
            (best.0, best.1) = (misfit, list);
        }
    }

    /// How far each reading is off, taken loosely.
    fn off(&mut self, list: &[Fault], deviations: &[Deviations]) -> Vec<f64> {
        let values = self.read(list, deviations);
        let readings = self.weigher.model().measured.iter().zip(values);
        readings
            .map(|(measured, value)| loosely(measured, value))
            .collect()
    }

    /// How badly faults explain the readings, those far off counting little more than those off: Σ ln(1 + z²). What comes
    /// above `most` is not followed to its end.
    pub(super) fn part(&mut self, list: &[Fault], deviations: &[Deviations], most: f64) -> f64 {
        let model = self.weigher.model();
        let mut seen = std::mem::take(&mut self.weigher.prediction);
        let mut sum = 0.0;
        (self.weigher.predictor).predict_until(list, deviations, &mut seen, |values, readings| {
            sum += readings
                .map(|m| loosely(&model.measured[m], values[m]).powi(2).ln_1p())
                .sum::<f64>();
            sum > most
        });
        self.weigher.prediction = seen;
        sum
    }
}

/// By how many of its spreads a reading is off that is taken loosely; nothing for one that is over its range.
fn loosely(measured: &Measured, value: f64) -> f64 {
    if measured.over {
        return 0.0;
    }
    (measured.value - value) / (0.03 * measured.value.abs() + 0.004 + measured.sd)
}
