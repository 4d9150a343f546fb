//! The search over faults: singles first, then pairs and triples grown from what they leave unexplained.

use super::{
    candidate::Candidate,
    cluster::clusters,
    gauss::log_sum,
    lower::{Measured, Model},
    robust::{Robust, mistake_density},
    solve::{Deviations, Fault},
    weigh::{Fitted, SizePrior, Weigher},
};
use crate::fault::PRIORS;

/// Logarithm of weight below the best at which a hypothesis is no longer looked at closely.
const CLOSE: f64 = 14.0;
/// Tail probability of the best single's misfit under which further faults are looked for.
const UNEASY: f64 = 0.05;
/// Logarithm of evidence, readings taken loosely, below the best at which a whole cluster is ruled out.
const RULED_OUT: f64 = 60.0;
/// Misfit by gross readings above the least at which a cluster is not fitted at all.
const GROSSLY_WORSE: f64 = 27.0;
/// The same from which a second size is worth a start of its own.
const SECOND_START: f64 = 6.0;
/// Cheap score below the best at which a member is not fitted by itself.
const SIEVED_OUT: f64 = 40.0;
/// Best members by cheap score that are fitted whatever their score: the score is rough where regimes change.
const ALWAYS_FITTED: usize = 60;
/// Deviation of the limits from which a strained fit starts again: which regime each state is in can hinge on it.
const LIMIT_START: f64 = 1.5;
/// Logarithm of weight below the best so far under which a fit is given up after its first look, and under which a cheap
/// score is not followed when the best explains everything.
const GIVEN_UP: f64 = 60.0;
const HOPELESS: f64 = 25.0;
/// Most steps along a wire.
const WALKS: usize = 3;
/// Parents from which pairs and triples grow, and how many of the offspring are fitted.
const PARENTS: [usize; 2] = [30, 10];
const OFFSPRING: [usize; 2] = [64, 32];

/// Where along a stretch of wire: the fitted fraction, and slope and curvature of the log density there.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Along {
    /// Fraction of the wire.
    pub x: f64,
    /// d ln p / dx.
    pub slope: f64,
    /// −d² ln p / dx².
    pub curvature: f64,
}

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
    /// For each fault on a stretch of wire, where on it.
    pub along: Vec<Option<Along>>,
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
        most: f64::NEG_INFINITY,
        uneasy: true,
    };
    let mut hypotheses: Vec<Hypothesis> = seeker.healthy().into_iter().collect();
    let mut singles = seeker.singles();
    let uneasy = |seeker: &Seeker<'_, '_>, found: &[Hypothesis]| {
        best(found).is_none_or(|best| seeker.is_uneasy(&best.robust))
    };
    if uneasy(&seeker, &singles) && uneasy(&seeker, &hypotheses) && !model.measured.is_empty() {
        let pairs = seeker.grow(&singles, PARENTS[0], OFFSPRING[0]);
        if uneasy(&seeker, &pairs) {
            let triples = seeker.grow(&pairs, PARENTS[1], OFFSPRING[1]);
            hypotheses.extend(triples);
        }
        hypotheses.extend(pairs);
    }
    seeker.refine(&mut singles, &hypotheses);
    hypotheses.extend(singles);
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
    list: Vec<Fault>,
    deviations: Vec<Deviations>,
}

/// A candidate that has passed the coarse sieves.
struct Scored {
    score: f64,
    index: usize,
    /// Fault and deviations from which a fit may start.
    fault: Fault,
    deviations: Vec<Deviations>,
}

/// Faults moved along their stretches to where they fit all readings best.
struct Settled {
    list: Vec<Fault>,
    deviations: Vec<Deviations>,
    /// The fit there, and how the density runs about it, if the last step was to look and not to move.
    fit: Option<Fitted>,
    along: Option<Vec<Option<Along>>>,
}

struct Seeker<'m, 'c> {
    candidates: &'c [Candidate],
    log_total: f64,
    weigher: Weigher<'m>,
    idle: Vec<Deviations>,
    /// Largest log weight so far, and whether that fit is none to be content with.
    most: f64,
    uneasy: bool,
}

impl Seeker<'_, '_> {
    fn healthy(&mut self) -> Option<Hypothesis> {
        let idle = self.idle.clone();
        self.weigher.predictor.bench.low = false;
        let robust = self.weigher.robust(&[], &[], &idle)?;
        let log_weight = PRIORS.healthy.ln() + robust.log_evidence;
        Some(Hypothesis {
            faults: Vec::new(),
            log_weight,
            robust,
            sizes: Vec::new(),
            along: Vec::new(),
        })
    }

    /// Whether a folding supply rests differently when it comes from nothing, at least at these sizes.
    fn two_rests(&mut self, faults: &[Fault]) -> bool {
        if !self
            .weigher
            .model()
            .sources
            .iter()
            .any(|s| s.limit > s.short_circuit)
        {
            return false;
        }
        let mut prediction = std::mem::take(&mut self.weigher.prediction);
        let mut values = Vec::new();
        for low in [false, true] {
            self.weigher.predictor.bench.low = low;
            self.weigher
                .predictor
                .predict(faults, &self.idle, false, &mut prediction);
            values.push(prediction.value.clone());
        }
        self.weigher.prediction = prediction;
        values[0]
            .iter()
            .zip(&values[1])
            .any(|(a, b)| (a - b).abs() > 1e-6)
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
        list: &[Fault],
        deviations: &[Deviations],
    ) -> Option<Hypothesis> {
        let free: Vec<Option<SizePrior>> =
            faults.iter().map(|&f| self.candidates[f].size).collect();
        let two_rests = self.two_rests(list);
        let mut best: Option<(Robust, Vec<Option<Along>>)> = None;
        // Further faults start from far off, and without a good fit nothing is hopeless beside it.
        self.weigher.floor = if faults.len() == 1 && !self.uneasy {
            self.most - GIVEN_UP - self.prior(faults)
        } else {
            f64::NEG_INFINITY
        };
        for low in [false, true] {
            if low && !two_rests {
                break;
            }
            self.weigher.predictor.bench.low = low;
            for eased in [0.0, LIMIT_START, -LIMIT_START] {
                // Where the first start explains everything, the others have nothing to add.
                if eased != 0.0
                    && best
                        .as_ref()
                        .is_some_and(|(robust, _)| !self.strained(robust))
                {
                    break;
                }
                let mut start = deviations.to_vec();
                for source in &mut start {
                    source[2] += eased;
                    source[3] += eased;
                }
                let found = self.fit_in_place(faults, list, &free, &start);
                if let Some((robust, along)) = found
                    && best
                        .as_ref()
                        .is_none_or(|(b, _)| robust.log_evidence > b.log_evidence)
                {
                    best = Some((robust, along));
                }
            }
        }
        let (mut robust, along) = best?;
        if two_rests {
            robust.log_evidence -= std::f64::consts::LN_2;
        }
        let log_weight =
            self.prior(faults) + robust.log_evidence + self.spread_along(faults, &along);
        if log_weight > self.most && !self.weigher.loose {
            self.most = log_weight;
            self.uneasy = self.is_uneasy(&robust);
        }
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
            along,
        })
    }

    /// Whether a fit leaves readings aside or fits badly, and a limit that starts elsewhere could change that.
    fn strained(&self, robust: &Robust) -> bool {
        let model = self.weigher.model();
        model.sources.iter().any(|s| s.limit.is_finite()) && self.is_uneasy(robust)
    }

    /// Whether a fit leaves readings aside or fits badly.
    fn is_uneasy(&self, robust: &Robust) -> bool {
        let model = self.weigher.model();
        let aside = model.measured.len() - robust.best.used.len() > over(model);
        aside || tail(&robust.best) < UNEASY
    }

    /// Fits faults and moves those on wires to where they fit best, in the rest that the bench is set to.
    fn fit_in_place(
        &mut self,
        faults: &[usize],
        list: &[Fault],
        free: &[Option<SizePrior>],
        deviations: &[Deviations],
    ) -> Option<(Robust, Vec<Option<Along>>)> {
        let mut seen = self.settle(faults, list.to_vec(), free, deviations)?;
        let first = seen.fit.take();
        let known = first.as_ref().map(|fit| (fit.log_evidence, fit.used.len()));
        let mut robust = self
            .weigher
            .robust_from(first, &seen.list, free, &seen.deviations)?;
        let same = known == Some((robust.best.log_evidence, robust.best.used.len()));
        let mut along = match seen.along {
            Some(along) if same => along,
            _ => self.look_along(faults, &robust.best),
        };
        for _ in 0..WALKS {
            let Some(list) = self.walk(faults, &robust.best, &along) else {
                break;
            };
            let start = robust.best.deviations.clone();
            let Some(next) = self.weigher.robust(&list, free, &start) else {
                break;
            };
            if next.log_evidence < robust.log_evidence {
                break;
            }
            robust = next;
            along = self.look_along(faults, &robust.best);
        }
        Some((robust, along))
    }

    /// Moves the faults along their stretches to where they fit all readings best, mistakes not yet allowed for: a
    /// reading that only fits at the right place must not be taken for a mistake at the wrong one.
    fn settle(
        &mut self,
        faults: &[usize],
        mut list: Vec<Fault>,
        free: &[Option<SizePrior>],
        deviations: &[Deviations],
    ) -> Option<Settled> {
        let mut start = deviations.to_vec();
        let all: Vec<usize> = (0..self.weigher.model().measured.len()).collect();
        for _ in 0..WALKS {
            let best = self.weigher.fit(&list, free, &all, &start)?;
            let along = self.look_along(faults, &best);
            start.clone_from(&best.deviations);
            match self.walk(faults, &best, &along) {
                Some(moved) => list = moved,
                None => {
                    return Some(Settled {
                        list: best.faults.clone(),
                        deviations: start,
                        fit: Some(best),
                        along: Some(along),
                    });
                }
            }
        }
        Some(Settled {
            list,
            deviations: start,
            fit: None,
            along: None,
        })
    }

    /// Logarithm of the mean density along the stretches against that at the fitted places.
    fn spread_along(&self, faults: &[usize], along: &[Option<Along>]) -> f64 {
        faults
            .iter()
            .zip(along)
            .filter_map(|(&f, along)| Some((self.candidates[f].stretch?.1, along.as_ref()?)))
            .map(|(stretch, along)| {
                let cells = super::posterior::stretch_cells(stretch, along);
                log_sum(cells.iter().copied()) - (cells.len() as f64).ln()
            })
            .sum()
    }

    /// The faults moved along their stretches to where they fit best; `None` where that gains nothing.
    fn walk(&self, faults: &[usize], best: &Fitted, along: &[Option<Along>]) -> Option<Vec<Fault>> {
        let model = self.weigher.model();
        let mut list = best.faults.clone();
        let mut gain = 0.0;
        for ((fault, &index), along) in list.iter_mut().zip(faults).zip(along) {
            let candidate = &self.candidates[index];
            let (Some(along), Some((low, high))) = (along, candidate.ends()) else {
                continue;
            };
            let to = (along.x + along.slope / along.curvature.max(1e-9)).clamp(low, high);
            let off = to - along.x;
            gain += along.slope * off - 0.5 * along.curvature * off * off;
            fault.effect = candidate.at(model, to);
        }
        (gain > 0.3).then_some(list)
    }

    /// Weighs what is left of every cluster after ever finer sieves: gross readings, the representative taken
    /// loosely, and each member by the covariance of the representative's fit.
    fn singles(&mut self) -> Vec<Hypothesis> {
        let idle = self.idle.clone();
        let clusters = clusters(self.weigher.model(), self.candidates);
        let mut least = f64::INFINITY;
        let mut gross: Vec<(f64, Vec<f64>)> = Vec::with_capacity(clusters.len());
        for members in &clusters {
            let one = self.gross(members[members.len() / 2], least);
            least = least.min(one.0);
            gross.push(one);
        }
        let mut gates: Vec<(f64, usize, Fitted)> = Vec::new();
        self.weigher.loose = true;
        for (number, members) in clusters.iter().enumerate() {
            if gross[number].0 > least + GROSSLY_WORSE {
                continue;
            }
            let middle = members[members.len() / 2];
            let best = gross[number]
                .1
                .iter()
                .filter_map(|&start| {
                    let fault = self.candidates[middle].fault(start);
                    self.weigh(&[middle], &[fault], &idle)
                })
                .map(|h| h.robust)
                .max_by(|a, b| a.log_evidence.total_cmp(&b.log_evidence));
            gates.extend(best.map(|best| (best.log_evidence, number, best.best)));
        }
        self.weigher.loose = false;
        let most = gates.iter().map(|g| g.0).fold(f64::NEG_INFINITY, f64::max);
        let mut scored: Vec<Scored> = Vec::new();
        for (_, number, start) in gates.iter().filter(|g| g.0 >= most - RULED_OUT) {
            self.sieve(&clusters[*number], start, &mut scored);
        }
        scored.sort_by(|a, b| b.score.total_cmp(&a.score).then(a.index.cmp(&b.index)));
        let most = scored.first().map_or(0.0, |s| s.score);
        let mut found = Vec::new();
        for (rank, one) in scored.into_iter().enumerate() {
            if rank >= ALWAYS_FITTED && one.score < most - SIEVED_OUT {
                break;
            }
            if !self.uneasy && one.score < self.most - HOPELESS {
                break;
            }
            found.extend(self.weigh(&[one.index], &[one.fault], &one.deviations));
        }
        found
    }

    /// Misfit of a candidate by gross readings only, and the sizes from which fits are worth starting. What is worse
    /// than `least` by more than can matter is not followed to its end.
    fn gross(&mut self, index: usize, least: f64) -> (f64, Vec<f64>) {
        let sizes: Vec<f64> = match self.candidates[index].size {
            Some((mean, sd)) => (-8..=8).map(|k| mean + 0.35 * f64::from(k) * sd).collect(),
            None => vec![0.0],
        };
        let model = self.weigher.model();
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
        misfits.sort_by(|a, b| a.0.total_cmp(&b.0));
        let Some(&(least, first)) = misfits.first() else {
            return (f64::INFINITY, Vec::new());
        };
        // A second start where another size explains the gross readings as well.
        let other = misfits
            .iter()
            .find(|m| m.1 != first && m.0 < least + SECOND_START)
            .map(|m| m.1);
        (least, std::iter::once(first).chain(other).collect())
    }

    /// Scores the members of a cluster about the loose fit of its representative, and once more about the strict fit
    /// of the best of them.
    fn sieve(&mut self, members: &[usize], loose: &Fitted, scored: &mut Vec<Scored>) {
        let all: Vec<usize> = (0..self.weigher.model().measured.len()).collect();
        let middle = members[members.len() / 2];
        let Some(first) = self.about(members, middle, loose) else {
            return;
        };
        let best = first
            .iter()
            .max_by(|a, b| a.score.total_cmp(&b.score).then(b.index.cmp(&a.index)));
        let Some(best) = best else { return };
        let free = [self.candidates[best.index].size];
        let strict = self
            .weigher
            .fit(&[best.fault], &free, &all, &best.deviations)
            .and_then(|strict| self.about(members, best.index, &strict));
        let Some(second) = strict else {
            scored.extend(first);
            return;
        };
        // Where the strict fit ran away, the loose one says more.
        scored.extend(
            first
                .into_iter()
                .zip(second)
                .map(|(one, two)| if two.score >= one.score { two } else { one }),
        );
    }

    /// Scores members of a cluster with the readings linearised about a fit of one of them.
    fn about(&mut self, members: &[usize], of: usize, fit: &Fitted) -> Option<Vec<Scored>> {
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
            let candidate = &self.candidates[index];
            let places = match candidate.ends() {
                Some((low, high)) => [Some(low), Some(0.5 * (low + high)), Some(high)],
                None => [None; 3],
            };
            let mut best: Option<(f64, Fault)> = None;
            for place in &places[..if places[0].is_none() { 1 } else { 3 }] {
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
            });
        }
        self.weigher.prediction = prediction;
        Some(scored)
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
            let robust = me.weigher.robust(&[fault], &[None], start)?;
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
            found.extend(self.weigh(&child.faults, &child.list, &child.deviations));
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

    /// How the density runs along each stretch of wire about the fitted place.
    fn look_along(&mut self, faults: &[usize], best: &Fitted) -> Vec<Option<Along>> {
        let model = self.weigher.model();
        self.weigher.predictor.bench.low = best.low;
        let mut all = vec![None; faults.len()];
        for (place, (&index, along)) in faults.iter().zip(&mut all).enumerate() {
            let candidate = &self.candidates[index];
            let (Some((low, high)), Some(x)) =
                (candidate.ends(), best.faults[place].effect.fraction())
            else {
                continue;
            };
            let mut ends = [Vec::new(), Vec::new()];
            for (end, x) in ends.iter_mut().zip([low, high]) {
                let mut faults = best.faults.clone();
                faults[place].effect = candidate.at(model, x);
                let mut prediction = std::mem::take(&mut self.weigher.prediction);
                self.weigher
                    .predictor
                    .predict(&faults, &best.deviations, false, &mut prediction);
                end.clone_from(&prediction.value);
                self.weigher.prediction = prediction;
            }
            let mut change: Vec<f64> = best
                .used
                .iter()
                .map(|&m| (ends[1][m] - ends[0][m]) / (high - low))
                .collect();
            let slope = change.iter().zip(&best.pull).map(|(d, q)| d * q).sum();
            best.cholesky.forward(&mut change);
            let curvature = change.iter().map(|d| d * d).sum();
            *along = Some(Along {
                x,
                slope,
                curvature,
            });
        }
        all
    }
}

/// Misfit of a reading that is grossly off only: a third of the larger value is nothing, and none counts for much.
fn gross_misfit(measured: &Measured, value: f64) -> f64 {
    if measured.over {
        return 0.0;
    }
    let scale = 0.3 * measured.value.abs().max(value.abs()) + 0.01 + measured.sd;
    let off = (measured.value - value) / scale;
    (off * off).min(9.0)
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
