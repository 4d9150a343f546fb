//! Single faults, through ever finer sieves: gross readings, a representative taken loosely, and every member about
//! one linearisation.

use super::{Along, Hypothesis, Seeker, gross::Gross, standing::Crowd};
use crate::infer::{
    candidate::Candidate,
    cluster::clusters,
    lower::Model,
    solve::{Deviations, Effect, Fault},
    weigh::{Fitted, Line},
};

/// Logarithm of evidence, readings taken loosely, below the best at which a whole cluster is ruled out.
const RULED_OUT: f64 = 60.0;
/// Cheap score below the best at which a member is not fitted by itself.
const SIEVED_OUT: f64 = 40.0;
/// Difference of a logarithm of size under which two fits are one.
const SAME_SIZE: f64 = 0.3;
/// First score below the best at which a cluster is not scored a second time.
const FAR_OUT: f64 = 150.0;
/// Best members by cheap score that are fitted whatever their score: the score is rough where regimes change.
const ALWAYS_FITTED: usize = 60;
/// Cheap score below the best from which a member stands on that score, and most members that are fitted before their
/// neighbours are (judgement; `tests/cases.rs` holds the result).
const STANDS: f64 = 12.0;
const MOST_FITTED: usize = 320;
/// Step from where the readings were linearised under which a score is taken for a fit.
const AS_GOOD: f64 = 0.25;
const HOPELESS: f64 = 25.0;
/// Members of a cluster that a thread scores in one go.
const SHARE: usize = 24;
/// Logarithm of weight below the best at which the neighbours of a single are fitted.
const NEARBY: f64 = 10.0;

impl Seeker<'_, '_, '_> {
    /// Weighs what is left of every cluster after ever finer sieves: gross readings, the representative taken
    /// loosely, and each member by the covariance of the representative's fit.
    ///
    /// What is far below the best by the last sieve, and what is too much where the readings tell little apart, is not
    /// fitted: it comes as a list of its own, by its score.
    pub(super) fn singles(&mut self) -> (Vec<Hypothesis>, Crowd) {
        let clusters = clusters(self.weigher.model(), self.candidates);
        self.weigher.predictor.bench.expect(clusters.len());
        let gross: Vec<Gross> = self
            .both(clusters.len(), |me, number| {
                let one = me.gross(middle(&clusters[number]), me.least);
                me.least = me.least.min(one.misfit);
                one
            })
            .into_iter()
            .flatten()
            .collect();
        if gross.len() < clusters.len() {
            return (Vec::new(), Crowd::default());
        }
        let (clusters, gross) = self.possible(clusters, gross);
        let gates = self.gates(&clusters, &gross);
        let scored = self.scored(&clusters, &gates);
        let most = scored.first().map_or(0.0, |s| s.score);
        // Close to where the readings were linearised a score is as good as a fit.
        let worth = |(rank, one): &(usize, &Scored)| {
            *rank < ALWAYS_FITTED || one.score >= most - STANDS && one.step > AS_GOOD
        };
        let fitted = scored.iter().enumerate().filter(worth);
        let fitted: Vec<&Scored> = fitted.map(|one| one.1).take(MOST_FITTED).collect();
        let weighed = self.both(fitted.len(), |me, rank| {
            let one = fitted[rank];
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
        let mut stands = vec![false; self.candidates.len()];
        for one in scored.iter().filter(|one| one.step <= AS_GOOD) {
            stands[one.index] = true;
        }
        self.spread_out(&mut found, &stands);
        (found, Crowd { scored })
    }

    /// The fits of each cluster's representative, readings taken loosely, that are not ruled out beside the best: cluster and fit.
    fn gates(&mut self, clusters: &[Vec<usize>], gross: &[Gross]) -> Vec<(usize, Fitted)> {
        let idle = self.idle.clone();
        let starts: Vec<(usize, f64)> = (gross.iter().enumerate())
            .flat_map(|(number, one)| one.starts.iter().map(move |&start| (number, start)))
            .collect();
        self.weigher.loose = true;
        let loose = self.both(starts.len(), |me, job| {
            let (number, start) = starts[job];
            let of = middle(&clusters[number]);
            me.weigh(&[of], &[me.candidates[of].fault(start)], &idle)
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
        gates.into_iter().map(|gate| (gate.1, gate.2)).collect()
    }

    /// The members of all clusters that are not ruled out, scored about the loose fit of the representative and again about the
    /// strict fit of the best member; best first.
    fn scored(&mut self, clusters: &[Vec<usize>], gates: &[(usize, Fitted)]) -> Vec<Scored> {
        let lists: Vec<&[usize]> = gates.iter().map(|gate| &clusters[gate.0][..]).collect();
        let fits: Vec<Option<(usize, Fitted)>> = (gates.iter())
            .map(|(number, fit)| Some((middle(&clusters[*number]), fit.clone())))
            .collect();
        let mut first = self.about_each(&lists, &fits, false);
        first.retain(|scored| !scored.is_empty());
        first.sort_by(|a, b| top(b).total_cmp(&top(a)).then(a[0].index.cmp(&b[0].index)));
        let most = first.first().map_or(f64::NEG_INFINITY, |best| top(best));
        let strict = self.both(first.len(), |me, job| {
            (top(&first[job]) >= most - FAR_OUT).then(|| me.strict(&first[job]))
        });
        let strict: Vec<_> = strict
            .into_iter()
            .map(|one| one.flatten().flatten())
            .collect();
        let members: Vec<Vec<usize>> = (first.iter())
            .map(|cluster| cluster.iter().map(|one| one.index).collect())
            .collect();
        let lists: Vec<&[usize]> = members.iter().map(|list| &list[..]).collect();
        let second = self.about_each(&lists, &strict, true);
        let mut scored: Vec<Scored> = Vec::new();
        for (number, (cluster, second)) in first.into_iter().zip(second).enumerate() {
            let from = scored.len();
            // Where the strict fit ran away, the loose one says more.
            let mut second = second.into_iter();
            scored.extend(cluster.into_iter().map(|one| match second.next() {
                Some(two) if two.score >= one.score => two,
                _ => one,
            }));
            for one in &mut scored[from..] {
                one.cluster = number;
            }
        }
        scored.sort_by(|a, b| b.score.total_cmp(&a.score).then(a.index.cmp(&b.index)));
        let most = scored.first().map_or(0.0, |s| s.score);
        let sieved = scored.iter().skip(ALWAYS_FITTED);
        let kept = sieved
            .take_while(|one| one.score >= most - SIEVED_OUT)
            .count();
        scored.truncate(ALWAYS_FITTED + kept);
        scored
    }

    /// Fits what lies beside each likely single, from where that one came to rest, until nothing likely has unfitted
    /// neighbours: the cheap scores are rough, and what explains the readings here nearly explains them next to it. What
    /// has a fit already that went astray gets this second start; what stands on a good score needs none.
    fn spread_out(&mut self, found: &mut Vec<Hypothesis>, stands: &[bool]) {
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
                    if !started[index] && !place[index].map_or(stands[index], sound) {
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

    /// The strict fit of the best member of a cluster, and which it is.
    fn strict(&mut self, first: &[Scored]) -> Option<(usize, Fitted)> {
        let all: Vec<usize> = (0..self.weigher.model().measured.len()).collect();
        let best = first
            .iter()
            .max_by(|a, b| a.score.total_cmp(&b.score).then(b.index.cmp(&a.index)))?;
        let free = [self.candidates[best.index].size];
        self.weigher.predictor.bench.low = best.low;
        let strict = self
            .weigher
            .fit(&[best.fault], &free, &all, &best.deviations)?;
        Some((best.index, strict))
    }

    /// Scores the members of clusters, each about the fit of one of its own; of those without a fit, none. Both threads share
    /// the members of a cluster, since one cluster may hold most of them.
    fn about_each(
        &mut self,
        lists: &[&[usize]],
        fits: &[Option<(usize, Fitted)>],
        whole: bool,
    ) -> Vec<Vec<Scored>> {
        let lines = self.both(fits.len(), |me, job| {
            let (of, fit) = fits[job].as_ref()?;
            let free = [me.candidates[*of].size];
            me.weigher.predictor.bench.low = fit.low;
            me.weigher.linearise(&fit.faults, &free, &fit.deviations)
        });
        let lines: Vec<Option<Line>> = lines.into_iter().map(Option::flatten).collect();
        let mut shares: Vec<(usize, &[usize])> = Vec::new();
        for (number, list) in lists.iter().enumerate() {
            shares.extend(list.chunks(SHARE).map(|share| (number, share)));
        }
        let scored = self.both(shares.len(), |me, job| {
            let (number, share) = shares[job];
            let (of, fit) = fits[number].as_ref()?;
            Some(me.about(share, *of, fit, lines[number].as_ref()?, whole))
        });
        let mut all: Vec<Vec<Scored>> = lists.iter().map(|_| Vec::new()).collect();
        for (&(number, _), scored) in shares.iter().zip(scored) {
            all[number].extend(scored.flatten().into_iter().flatten());
        }
        all
    }

    /// Scores members of a cluster with the readings linearised about a fit of one of them.
    pub(super) fn about(
        &mut self,
        members: &[usize],
        of: usize,
        fit: &Fitted,
        line: &Line,
        whole: bool,
    ) -> Vec<Scored> {
        let model = self.weigher.model();
        self.weigher.predictor.bench.low = fit.low;
        let free = [self.candidates[of].size];
        let mut prediction = std::mem::take(&mut self.weigher.prediction);
        let mut scored = Vec::with_capacity(members.len());
        let mut values = Vec::new();
        // Where one stretch of a wire ends the next begins.
        let mut end: Option<(Fault, f64)> = None;
        let mut at_end = Vec::new();
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
            let mut run = Vec::new();
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
                let score = match end {
                    Some((other, score)) if other == fault => {
                        prediction.value.clone_from(&at_end);
                        score
                    }
                    _ => {
                        let predictor = &mut self.weigher.predictor;
                        predictor.values(&[fault], &fit.deviations, &mut prediction);
                        self.weigher.score(line, &prediction.value)
                    }
                };
                run.push(score);
                if best.is_none_or(|(most, _)| score > most) {
                    best = Some((score, fault));
                    values.clone_from(&prediction.value);
                }
                if run.len() == 3 {
                    end = Some((fault, score));
                    at_end.clone_from(&prediction.value);
                }
            }
            let Some((score, mut fault)) = best else {
                continue;
            };
            let mut deviations = fit.deviations.clone();
            let along = candidate
                .ends()
                .map(|ends| run_along(ends, &run, fault.effect));
            let step = self
                .weigher
                .step(line, &values, &free, &mut fault, &mut deviations);
            scored.push(Scored {
                along,
                step,
                score: score + self.prior(&[index]),
                index,
                fault,
                deviations,
                low: fit.low,
                cluster: 0,
            });
        }
        self.weigher.prediction = prediction;
        scored
    }
}

/// The member that stands for a cluster.
fn middle(cluster: &[usize]) -> usize {
    cluster[cluster.len() / 2]
}

pub(super) fn top(scored: &[Scored]) -> f64 {
    scored
        .iter()
        .map(|s| s.score)
        .fold(f64::NEG_INFINITY, f64::max)
}

/// A candidate that has passed the coarse sieves.
pub(super) struct Scored {
    pub(super) score: f64,
    pub(super) index: usize,
    /// Fault and deviations from which a fit may start.
    pub(super) fault: Fault,
    pub(super) deviations: Vec<Deviations>,
    low: bool,
    /// How the score runs along its stretch.
    pub(super) along: Option<Along>,
    /// How far it is from where the readings were linearised, in standard deviations or logarithms of size.
    step: f64,
    /// Which of the clusters it is in.
    pub(super) cluster: usize,
}

/// The parabola through the scores at both ends and the middle of a stretch, about where an effect sits on it; flat where
/// only the middle was scored.
fn run_along((low, high): (f64, f64), scores: &[f64], at: Effect) -> Along {
    let middle = 0.5 * (low + high);
    let x = at.fraction().unwrap_or(middle);
    let (slope, curvature) = match *scores {
        [first, second, third] => {
            let half = middle - low;
            let curvature = -(first - 2.0 * second + third) / (half * half);
            let slope = (third - first) / (2.0 * half);
            (slope - curvature * (x - middle), curvature)
        }
        _ => (0.0, 0.0),
    };
    Along {
        x,
        slope,
        curvature,
        drift: 0.0,
    }
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
