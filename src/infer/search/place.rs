//! One set of faults: fitted, moved along its wires to where it fits best, and weighed.

use super::{Along, Hypothesis, Seeker, Settled, refine::bell};
use crate::infer::{
    gauss::{log_normal_cdf, log_sum},
    lower::Source,
    posterior::stretch_cells,
    robust::Robust,
    solve::{Deviations, Fault},
    weigh::{Fitted, SizePrior},
};

/// Deviations of the limits from which fits start: which regime each state is in can hinge on them.
const LIMIT_STARTS: [f64; 8] = [0.0, -2.0, 2.0, -0.3, -0.6, -1.0, 0.5, 1.0];
/// How many of them are needed to see that no regime hinges on the limits.
const ENDS: usize = 3;
/// Logarithm of weight below the best so far under which a fit is given up after its first look, and under which a cheap
/// score is not followed when the best explains everything.
const GIVEN_UP: f64 = 60.0;
/// The same under which no other start is tried for what remains unexplained.
const OUT_OF_SIGHT: f64 = 20.0;
/// Most steps along a wire.
const WALKS: usize = 3;
/// Differences of log evidence, of a logarithm of size or a deviation, and of a place within which two fits are one: what is
/// left of a brisk fit's last step.
const SAME_REST: (f64, f64, f64) = (0.01, 0.1, 0.02);

/// Deviations with the limits moved.
fn ease(deviations: &[Deviations], by: f64) -> Vec<Deviations> {
    let moved = |&[volts, ohms, limit, short]: &Deviations| [volts, ohms, limit + by, short + by];
    deviations.iter().map(moved).collect()
}

/// Whether two fits of the same faults to all readings came to the same rest, with the limits in the same place: one that is
/// not reached may be when a reading is left out.
fn same_rest(sources: &[Source], one: &Fitted, two: &Fitted) -> bool {
    let (evidence, step, place) = SAME_REST;
    let near = |a: f64, b: f64, most: f64| (a - b).abs() < most;
    let at = |fault: &Fault| fault.effect.fraction().unwrap_or(0.0);
    one.settled
        && two.settled
        && near(one.log_evidence, two.log_evidence, evidence)
        && near(one.chi_squared, two.chi_squared, 2.0 * evidence)
        && (one.faults.iter().zip(&two.faults))
            .all(|(a, b)| near(a.log_size, b.log_size, step) && near(at(a), at(b), place))
        && (sources
            .iter()
            .zip(one.deviations.iter().zip(&two.deviations)))
        .all(|(source, (a, b))| {
            // A constant limit is one number, so it has one deviation.
            let folds = usize::from(source.limit != source.short_circuit);
            (0..3 + folds).all(|k| near(a[k], b[k], step))
        })
}

impl Seeker<'_, '_, '_> {
    /// Fits a set of faults from a start and weighs it.
    pub(super) fn weigh(
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
        let led = faults.len() == 1 && !self.uneasy && !self.weigher.loose;
        self.weigher.floor = if led {
            self.most - GIVEN_UP - self.prior(faults)
        } else {
            f64::NEG_INFINITY
        };
        let limited = (self.weigher.model().sources.iter()).any(|s| s.limit.is_finite());
        for low in [false, true] {
            if low && !two_rests {
                break;
            }
            self.weigher.predictor.bench.low = low;
            let mut patterns = Vec::new();
            let mut rests = Vec::new();
            for (number, eased) in LIMIT_STARTS.into_iter().enumerate() {
                if number == ENDS && patterns.len() < 2 {
                    break;
                }
                let start = ease(deviations, eased);
                if limited {
                    // Where no state changes its regime another start has nothing to add, unless something remains
                    // unexplained.
                    let pattern = self.weigher.predictor.regimes(list, &start).0;
                    let strained = |(robust, _): &(Robust, _)| {
                        let near =
                            self.prior(faults) + robust.log_evidence > self.most - OUT_OF_SIGHT;
                        near && self.strained(robust)
                    };
                    let known = patterns.contains(&pattern);
                    let again = number < ENDS && best.as_ref().map_or(!led, strained);
                    if eased != 0.0 && known && !again {
                        continue;
                    }
                    if !known {
                        patterns.push(pattern);
                    }
                } else if eased != 0.0 {
                    break;
                }
                let Some((mut robust, along)) =
                    self.fit_in_place(faults, list, &free, &start, &mut rests)
                else {
                    continue;
                };
                robust.log_evidence += self.below_limit(&robust.best);
                // Of several faults a fit that came to no rest can promise more than there is; alone, others stand beside it.
                let rest = |one: &Robust| (faults.len() == 1 || one.best.settled, one.log_evidence);
                if (best.as_ref()).is_none_or(|(b, _)| rest(&robust) > rest(b)) {
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

    /// Logarithm of the probability that the limits are as high as a fit needs them that reaches them nowhere.
    fn below_limit(&mut self, fit: &Fitted) -> f64 {
        let sources = &self.weigher.model().sources;
        if sources.iter().all(|s| s.limit.is_infinite()) {
            return 0.0;
        }
        self.weigher.predictor.bench.low = fit.low;
        let (_, near) = (self.weigher.predictor).regimes(&fit.faults, &fit.deviations);
        (sources.iter().zip(near))
            .filter(|(source, _)| source.limit.is_finite() && source.limit_spread > 0.0)
            .filter_map(|(source, near)| Some(log_normal_cdf(-near? / source.limit_spread)))
            .sum()
    }

    /// Weighs faults of given sizes in every pattern of regimes that the limits allow, and takes the best.
    pub(super) fn robust_anyhow(
        &mut self,
        faults: &[Fault],
        free: &[Option<SizePrior>],
        start: &[Deviations],
    ) -> Option<Robust> {
        let mut best: Option<Robust> = None;
        let mut patterns = Vec::new();
        for (number, eased) in LIMIT_STARTS.into_iter().enumerate() {
            if number == ENDS && patterns.len() < 2 {
                break;
            }
            let start = ease(start, eased);
            let pattern = self.weigher.predictor.regimes(faults, &start).0;
            if patterns.contains(&pattern) {
                continue;
            }
            patterns.push(pattern);
            let Some(mut robust) = self.weigher.robust(faults, free, &start) else {
                continue;
            };
            robust.log_evidence += self.below_limit(&robust.best);
            if (best.as_ref()).is_none_or(|b| robust.log_evidence > b.log_evidence) {
                best = Some(robust);
            }
        }
        best
    }

    /// Whether every state keeps its regime wherever the limits may be.
    pub(super) fn one_regime(&mut self, fit: &Fitted) -> bool {
        self.weigher.predictor.bench.low = fit.low;
        let mut pattern = |eased| {
            let start = ease(&fit.deviations, eased);
            self.weigher.predictor.regimes(&fit.faults, &start).0
        };
        let own = pattern(0.0);
        LIMIT_STARTS[..ENDS]
            .iter()
            .all(|&eased| pattern(eased) == own)
    }

    /// Whether a fit leaves readings aside or fits badly, and a limit that starts elsewhere could change that.
    pub(super) fn strained(&self, robust: &Robust) -> bool {
        let model = self.weigher.model();
        model.sources.iter().any(|s| s.limit.is_finite()) && self.is_uneasy(robust)
    }

    /// Fits faults and moves those on wires to where they fit best, in the rest that the bench is set to. `None` also where an
    /// earlier start came to rest there: what follows from it is the same.
    pub(super) fn fit_in_place(
        &mut self,
        faults: &[usize],
        list: &[Fault],
        free: &[Option<SizePrior>],
        deviations: &[Deviations],
        rests: &mut Vec<Fitted>,
    ) -> Option<(Robust, Vec<Option<Along>>)> {
        let mut seen = self.settle(faults, list.to_vec(), free, deviations)?;
        if let Some(fit) = &seen.fit {
            let sources = &self.weigher.model().sources;
            if rests.iter().any(|rest| same_rest(sources, rest, fit)) {
                return None;
            }
            rests.push(fit.clone());
        }
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
    pub(super) fn settle(
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
    pub(super) fn spread_along(&self, faults: &[usize], along: &[Option<Along>]) -> f64 {
        faults
            .iter()
            .zip(along)
            .filter_map(|(&f, along)| Some((&self.candidates[f], along.as_ref()?)))
            .map(|(candidate, along)| {
                let cells = stretch_cells(candidate, along);
                log_sum(cells.iter().copied()) - (cells.len() as f64).ln()
            })
            .sum()
    }

    /// The faults moved along their stretches to where they fit best; `None` where that gains nothing.
    pub(super) fn walk(
        &self,
        faults: &[usize],
        best: &Fitted,
        along: &[Option<Along>],
    ) -> Option<Vec<Fault>> {
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

    /// How the density runs along each stretch of wire about the fitted place.
    pub(super) fn look_along(&mut self, faults: &[usize], best: &Fitted) -> Vec<Option<Along>> {
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
                    .values(&faults, &best.deviations, &mut prediction);
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
            // How readings lean on the size must be what S was made with: in a direction that S leaves almost no room to, what
            // another place would lean differently is magnified beyond all measure.
            let leaning = &best.by_size[place];
            let both: f64 = leaning.iter().zip(&change).map(|(c, d)| c * d).sum();
            let drift = candidate.size.map_or(0.0, |(_, sd)| -sd * sd * both);
            *along = Some(Along {
                x,
                slope,
                curvature,
                drift,
            });
        }
        all
    }

    /// Whether a folding supply rests differently when it comes from nothing, at least at these sizes.
    pub(super) fn two_rests(&mut self, faults: &[Fault]) -> bool {
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
                .values(faults, &self.idle, &mut prediction);
            values.push(prediction.value.clone());
        }
        self.weigher.prediction = prediction;
        values[0]
            .iter()
            .zip(&values[1])
            .any(|(a, b)| (a - b).abs() > 1e-6)
    }
}
