//! Single faults, through ever finer sieves: gross readings, a representative taken loosely, and every member about
//! one linearisation.

use super::{Hypothesis, Seeker};
use crate::infer::{
    candidate::Candidate,
    cluster::clusters,
    lower::{Measured, Model},
    solve::{Deviations, Effect, Fault},
    weigh::Fitted,
};

/// Logarithm of evidence, readings taken loosely, below the best at which a whole cluster is ruled out.
const RULED_OUT: f64 = 60.0;
/// Misfit by gross readings above the least at which a cluster is not fitted at all.
const GROSSLY_WORSE: f64 = 27.0;
/// The same from which a second size is worth a start of its own.
const SECOND_START: f64 = 6.0;
/// Cheap score below the best at which a member is not fitted by itself.
const SIEVED_OUT: f64 = 40.0;
/// Difference of a logarithm of size above which another start is another size.
const OTHER_SIZE: f64 = 1.5;
/// Difference of a logarithm of size under which two fits are one.
const SAME_SIZE: f64 = 0.3;
/// First score below the best at which a cluster is not scored a second time.
const FAR_OUT: f64 = 150.0;
/// Best members by cheap score that are fitted whatever their score: the score is rough where regimes change.
const ALWAYS_FITTED: usize = 60;
const HOPELESS: f64 = 25.0;
/// Logarithm of weight below the best at which the neighbours of a single are fitted.
const NEARBY: f64 = 10.0;

impl Seeker<'_, '_, '_> {
    /// Weighs what is left of every cluster after ever finer sieves: gross readings, the representative taken
    /// loosely, and each member by the covariance of the representative's fit.
    pub(super) fn singles(&mut self) -> Vec<Hypothesis> {
        let idle = self.idle.clone();
        let clusters = clusters(self.weigher.model(), self.candidates);
        let middle = |number: usize| clusters[number][clusters[number].len() / 2];
        let gross: Vec<(f64, Vec<f64>)> = self
            .both(clusters.len(), |me, number| {
                let one = me.gross(middle(number), me.least);
                me.least = me.least.min(one.0);
                one
            })
            .into_iter()
            .flatten()
            .collect();
        if gross.len() < clusters.len() {
            return Vec::new();
        }
        let starts: Vec<(usize, f64)> = (gross.iter().enumerate())
            .filter(|(_, one)| one.0 <= self.least + GROSSLY_WORSE)
            .flat_map(|(number, one)| one.1.iter().map(move |&start| (number, start)))
            .collect();
        self.weigher.loose = true;
        let loose = self.both(starts.len(), |me, job| {
            let (number, start) = starts[job];
            let fault = me.candidates[middle(number)].fault(start);
            me.weigh(&[middle(number)], &[fault], &idle)
        });
        self.weigher.loose = false;
        let mut gates: Vec<(f64, usize, Fitted)> = Vec::new();
        for (&(number, _), loose) in starts.iter().zip(loose) {
            let Some(loose) = loose.flatten() else {
                continue;
            };
            let loose = loose.robust;
            let size = |fit: &Fitted| fit.faults[0].log_size;
            let known = gates.iter().any(|(_, other, fit)| {
                *other == number && (size(fit) - size(&loose.best)).abs() < SAME_SIZE
            });
            if !known {
                gates.push((loose.log_evidence, number, loose.best));
            }
        }
        let most = gates.iter().map(|g| g.0).fold(f64::NEG_INFINITY, f64::max);
        gates.retain(|gate| gate.0 >= most - RULED_OUT);
        let mut first: Vec<Vec<Scored>> = self
            .both(gates.len(), |me, job| {
                let (_, number, loose) = &gates[job];
                me.about(&clusters[*number], middle(*number), loose, false)
            })
            .into_iter()
            .flatten()
            .flatten()
            .filter(|scored| !scored.is_empty())
            .collect();
        first.sort_by(|a, b| top(b).total_cmp(&top(a)).then(a[0].index.cmp(&b[0].index)));
        let most = first.first().map_or(f64::NEG_INFINITY, |best| top(best));
        let closer = self.both(first.len(), |me, job| {
            (top(&first[job]) >= most - FAR_OUT).then(|| me.closer(&first[job]))
        });
        let mut scored: Vec<Scored> = Vec::new();
        for (cluster, closer) in first.into_iter().zip(closer) {
            match closer.flatten().flatten() {
                // Where the strict fit ran away, the loose one says more.
                Some(second) => scored.extend(
                    cluster
                        .into_iter()
                        .zip(second)
                        .map(|(one, two)| if two.score >= one.score { two } else { one }),
                ),
                None => scored.extend(cluster),
            }
        }
        scored.sort_by(|a, b| b.score.total_cmp(&a.score).then(a.index.cmp(&b.index)));
        let most = scored.first().map_or(0.0, |s| s.score);
        let sieved = scored.iter().skip(ALWAYS_FITTED);
        let kept = sieved
            .take_while(|one| one.score >= most - SIEVED_OUT)
            .count();
        scored.truncate(ALWAYS_FITTED + kept);
        let weighed = self.both(scored.len(), |me, rank| {
            let one = &scored[rank];
            let hopeless = !me.uneasy && one.score < me.most - HOPELESS;
            (!hopeless).then(|| me.weigh(&[one.index], &[one.fault], &one.deviations))
        });
        let mut found: Vec<Hypothesis> = Vec::new();
        for next in weighed.into_iter().flatten().flatten().flatten() {
            // The same candidate may have been started from two sizes.
            match found.iter_mut().find(|h| h.faults == next.faults) {
                Some(same) if next.log_weight > same.log_weight => *same = next,
                Some(_) => {}
                None => found.push(next),
            }
        }
        self.spread_out(&mut found);
        found
    }

    /// Fits what lies beside each likely single, from where that one came to rest, until nothing likely has unfitted
    /// neighbours: the cheap scores are rough, and what explains the readings here nearly explains them next to it. What
    /// has a fit already that went astray gets this second start.
    fn spread_out(&mut self, found: &mut Vec<Hypothesis>) {
        let mut started = vec![false; self.candidates.len()];
        let mut place = vec![None; self.candidates.len()];
        for (at, single) in found.iter().enumerate() {
            place[single.faults[0]] = Some(at);
        }
        // Likeliest first among those that were not looked around yet, one ring of neighbours after the other.
        let mut ring: Vec<usize> = (0..found.len()).collect();
        while !ring.is_empty() && (self.go_on)() {
            let logs = found.iter().map(|h| h.log_weight);
            let most = logs.fold(f64::NEG_INFINITY, f64::max);
            ring.sort_by(|&a, &b| found[b].log_weight.total_cmp(&found[a].log_weight));
            let mut jobs: Vec<(usize, usize)> = Vec::new();
            for &here in ring
                .iter()
                .filter(|&&here| found[here].log_weight >= most - NEARBY)
            {
                for index in self.neighbours(found[here].faults[0]) {
                    let sound = |at: usize| !self.astray(&found[at], &found[here]);
                    if !started[index] && !place[index].is_some_and(sound) {
                        started[index] = true;
                        jobs.push((here, index));
                    }
                }
            }
            let next = self.both(jobs.len(), |me, job| {
                let (here, index) = jobs[job];
                let fit = &found[here].robust.best;
                let fault = me.candidates[index].fault(fit.faults[0].log_size);
                me.weigh(&[index], &[fault], &fit.deviations)
            });
            ring.clear();
            for one in next.into_iter().flatten().flatten() {
                match place[one.faults[0]] {
                    Some(at) if one.log_weight > found[at].log_weight => found[at] = one,
                    Some(_) => {}
                    None => {
                        ring.push(found.len());
                        found.push(one);
                    }
                }
            }
        }
    }

    /// Whether a fit ended somewhere else than it should: it did not come to rest, or it is hopeless beside a likely one on the
    /// same wire, along which the evidence runs without a break. A start on the far side of a supply's limit can do that.
    fn astray(&self, one: &Hypothesis, beside: &Hypothesis) -> bool {
        let wire = |h: &Hypothesis| self.candidates[h.faults[0]].stretch.map(|s| s.0);
        let same = wire(one).is_some() && wire(one) == wire(beside);
        !one.robust.best.settled || same && one.log_weight < beside.log_weight - NEARBY
    }

    /// Candidates of the same sort that share a node with one.
    pub(super) fn neighbours(&self, of: usize) -> Vec<usize> {
        let own = &self.candidates[of].effect;
        let alike = |effect: &Effect| std::mem::discriminant(effect) == std::mem::discriminant(own);
        let mut found: Vec<usize> = ends(self.weigher.model(), own)
            .flat_map(|node| self.at_node[node].iter().copied())
            .filter(|&index| alike(&self.candidates[index].effect))
            .collect();
        found.sort_unstable();
        found.dedup();
        found
    }

    /// Misfit of a candidate by gross readings only, and the sizes from which fits are worth starting. What is worse
    /// than `least` by more than can matter is not followed to its end.
    pub(super) fn gross(&mut self, index: usize, least: f64) -> (f64, Vec<f64>) {
        let sizes: Vec<f64> = match self.candidates[index].size {
            Some((mean, sd)) => (-8..=8).map(|k| mean + 0.35 * f64::from(k) * sd).collect(),
            None => vec![0.0],
        };
        let model = self.weigher.model();
        self.weigher.predictor.bench.rough = true;
        let mut prediction = std::mem::take(&mut self.weigher.prediction);
        let mut misfits: Vec<(f64, f64)> = Vec::with_capacity(sizes.len());
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
                    own = own.min(sum);
                    misfits.push((sum, size));
                }
            }
        }
        self.weigher.prediction = prediction;
        self.weigher.predictor.bench.rough = false;
        misfits.sort_by(|a, b| a.0.total_cmp(&b.0));
        let Some(&(least, first)) = misfits.first() else {
            return (f64::INFINITY, Vec::new());
        };
        // Further starts where quite other sizes explain the gross readings as well.
        let mut starts = vec![first];
        for &(misfit, size) in &misfits {
            let far = starts.iter().all(|s| (s - size).abs() > OTHER_SIZE);
            if far && starts.len() < 3 && misfit < least + SECOND_START {
                starts.push(size);
            }
        }
        (least, starts)
    }

    /// Scores the members of a cluster once more about the strict fit of the best of them.
    fn closer(&mut self, first: &[Scored]) -> Option<Vec<Scored>> {
        let all: Vec<usize> = (0..self.weigher.model().measured.len()).collect();
        let best = first
            .iter()
            .max_by(|a, b| a.score.total_cmp(&b.score).then(b.index.cmp(&a.index)))?;
        let free = [self.candidates[best.index].size];
        self.weigher.predictor.bench.low = best.low;
        let members: Vec<usize> = first.iter().map(|s| s.index).collect();
        self.weigher
            .fit(&[best.fault], &free, &all, &best.deviations)
            .and_then(|strict| self.about(&members, best.index, &strict, true))
    }

    /// Scores members of a cluster with the readings linearised about a fit of one of them.
    pub(super) fn about(
        &mut self,
        members: &[usize],
        of: usize,
        fit: &Fitted,
        whole: bool,
    ) -> Option<Vec<Scored>> {
        let model = self.weigher.model();
        self.weigher.predictor.bench.low = fit.low;
        let free = [self.candidates[of].size];
        let line = self
            .weigher
            .linearise(&fit.faults, &free, &fit.deviations)?;
        let mut prediction = std::mem::take(&mut self.weigher.prediction);
        let mut scored = Vec::with_capacity(members.len());
        let mut values = Vec::new();
        for &index in members {
            if !(self.go_on)() {
                break;
            }
            let candidate = &self.candidates[index];
            let places = match candidate.ends() {
                Some((low, high)) => [Some(low), Some(0.5 * (low + high)), Some(high)],
                None => [None; 3],
            };
            let mut best: Option<(f64, Fault)> = None;
            // The middle alone, or the whole of a stretch.
            let places = if places[0].is_some() && whole {
                &places[..]
            } else {
                &places[1..2]
            };
            for place in places {
                let effect = place.map_or(candidate.effect, |x| candidate.at(model, x));
                let fault = Fault {
                    effect,
                    ..candidate.fault(fit.faults[0].log_size)
                };
                self.weigher
                    .predictor
                    .predict(&[fault], &fit.deviations, false, &mut prediction);
                let score = self.weigher.score(&line, &prediction.value);
                if best.is_none_or(|(most, _)| score > most) {
                    best = Some((score, fault));
                    values.clone_from(&prediction.value);
                }
            }
            let Some((score, mut fault)) = best else {
                continue;
            };
            let mut deviations = fit.deviations.clone();
            self.weigher
                .step(&line, &values, &free, &mut fault, &mut deviations);
            scored.push(Scored {
                score: score + self.prior(&[index]),
                index,
                fault,
                deviations,
                low: fit.low,
            });
        }
        self.weigher.prediction = prediction;
        Some(scored)
    }
}

/// Misfit of a reading that is grossly off only: a third of the larger value is nothing, and none counts for much.
pub(super) fn gross_misfit(measured: &Measured, value: f64) -> f64 {
    if measured.over {
        return 0.0;
    }
    let scale = 0.3 * measured.value.abs().max(value.abs()) + 0.01 + measured.sd;
    let off = (measured.value - value) / scale;
    (off * off).min(9.0)
}

pub(super) fn top(scored: &[Scored]) -> f64 {
    scored
        .iter()
        .map(|s| s.score)
        .fold(f64::NEG_INFINITY, f64::max)
}

/// A candidate that has passed the coarse sieves.
pub(super) struct Scored {
    score: f64,
    index: usize,
    /// Fault and deviations from which a fit may start.
    fault: Fault,
    deviations: Vec<Deviations>,
    low: bool,
}

/// Nodes at which an effect works, ground left out.
fn ends<'e>(model: &Model, effect: &'e Effect) -> impl Iterator<Item = usize> + use<'e> {
    let ground = model.pattern.nodes;
    let (weights, pair) = match effect {
        Effect::Shunt { port, .. } => (port.weights(), None),
        Effect::Series(e) | Effect::Cut(e) => {
            let element = &model.elements[*e];
            (&[][..], Some([element.a, element.b]))
        }
        Effect::Weak(_) | Effect::Dead(_) | Effect::Early(_) => (&[][..], None),
    };
    (weights.iter().map(|weight| weight.0))
        .chain(pair.into_iter().flatten())
        .filter(move |&node| node != ground)
}

/// Which candidates work at each node.
pub(super) fn at_node(model: &Model, candidates: &[Candidate]) -> Vec<Vec<usize>> {
    let mut all = vec![Vec::new(); model.pattern.nodes];
    for (index, candidate) in candidates.iter().enumerate() {
        for node in ends(model, &candidate.effect) {
            all[node].push(index);
        }
    }
    all
}
