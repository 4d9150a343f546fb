//! Evidence when each reading may be a mistake.
//!
//! The sum over which readings are mistaken runs along the chain that leaves out, one by one, the reading that fits
//! worst; the single leave-outs beside the chain come from leave-one-out densities at no further solve.

use std::{borrow::Cow, f64::consts::PI};

use super::{
    gauss::{Cholesky, log_sum},
    lower::{Measured, Model, Quantity},
    solve::{Deviations, Fault},
    weigh::{Fitted, SizePrior, Weigher},
};
use crate::fault::PRIORS;

/// Most readings that are taken to be mistaken together.
const MOST_MISTAKES: usize = 4;
/// Gain (natural logarithm) from which a mistaken reading is left out and the rest is fitted anew.
const WORTH_REFITTING: f64 = 1.0;

/// Evidence of one hypothesis over all ways in which readings may be mistaken.
#[derive(Clone, Debug)]
pub struct Robust {
    /// Natural logarithm of the total evidence.
    pub log_evidence: f64,
    /// The fit with the largest share.
    pub best: Fitted,
    /// Probability, under this hypothesis, that each reading is a mistake.
    pub mistaken: Vec<f64>,
}

/// Log density of what a mistaken meter shows: half anything within the range of the sources, a quarter nothing
/// (no contact), a quarter about the nominal volts (another plug state). Judgement.
pub fn mistake_density(model: &Model, measured: &Measured) -> f64 {
    if measured.over {
        return measured.log_luck();
    }
    let normal = |at: f64, sd: f64| {
        let z = (measured.value - at) / sd;
        (-0.5 * z * z).exp() / (sd * (2.0 * PI).sqrt())
    };
    match measured.what {
        Quantity::Volts(_) => {
            let most = model.most_volts;
            let anything = 1.0 / (2.2 * most);
            let nothing = normal(0.0, 0.003);
            let nominal = model
                .sources
                .first()
                .map_or(0.0, |s| normal(s.volts.0, 0.03 * s.volts.0));
            (0.5 * anything + 0.25 * nothing + 0.25 * nominal).ln()
        }
        // Ohms and amperes: one over the value, over six decades.
        _ => -(measured.value.abs().max(1e-4) * 14.0).ln(),
    }
}

/// Readings that are mistaken together, and what each costs.
#[derive(Clone, Debug)]
pub(super) struct Unit {
    members: Vec<usize>,
    price_each: f64,
    /// That a supply had shut down, and not a mistake.
    shut_down: bool,
    /// What is taken off each price where the faults do not overload the supply.
    idle_each: f64,
}

/// Most units that are left out together. That a supply had latched off is asked even of a single reading.
fn most_mistakes(units: &[Unit], latches: bool) -> usize {
    let off = latches && units.iter().any(|unit| unit.shut_down);
    MOST_MISTAKES.min(units.len() / 2).max(usize::from(off))
}

/// Volts that count as nothing.
const NOTHING: f64 = 0.002;
/// Chance that a supply had shut down unnoticed in a state in which everything reads nothing: where nothing was noted of
/// the key, where it was cycled, and where it was not although an overload came before (judgement).
const SHUT_DOWN: f64 = 0.05;
const SHUT_DOWN_AGAIN: f64 = 0.01;
const STILL_SHUT_DOWN: f64 = 0.5;
/// The same of a supply that is known to latch, off since an overload that was read, the key not noted. Where none was
/// read, it is off wherever the faults overload it, key or not, and seldom elsewhere (judgement).
const LATCHED: f64 = 0.3;
const LATCHES: f64 = 0.8;
/// Share of the nominal volts under which faults overload a supply, as far as a reading of it tells (judgement).
const OVERLOADS: f64 = 0.9;
/// Share of the nominal volts under which a reading may have been an overload (judgement).
const OVERLOADED: f64 = 0.5;

/// Readings that show nothing together with one of them, if its supply may have shut down: all of its state, and of a
/// supply that latches all in a row without a cycled key. With the chance that it had, and the chance where the faults do
/// not overload it.
fn shut_down(
    model: &Model,
    index: usize,
    dead: &dyn Fn(&Measured) -> bool,
) -> Option<(Vec<usize>, f64, f64)> {
    let own = &model.measured[index];
    let latches = model.sources.iter().any(|s| s.latches);
    let was_low = |m: &Measured| {
        let nominal = model.sources.iter().map(|s| s.volts.0).fold(0.0, f64::max);
        matches!(m.what, Quantity::Volts(_)) && !m.over && m.value.abs() < OVERLOADED * nominal
    };
    if latches && own.key != Some(true) && dead(own) {
        // It stays off from an overload on until the key is cycled, whatever is unplugged meanwhile.
        let still = |m: &&Measured| m.key != Some(true) && m.repairs == own.repairs && dead(m);
        let before = model.measured[..index]
            .iter()
            .rev()
            .take_while(still)
            .count();
        let after = model.measured[index + 1..].iter().take_while(still).count();
        let first = index - before;
        let noted = own.key == Some(false);
        let overloaded = model.measured[..first].last().is_some_and(was_low);
        let (chance, idle) = match (overloaded, noted) {
            (true, true) => (STILL_SHUT_DOWN, STILL_SHUT_DOWN),
            (true, false) => (LATCHED, LATCHED),
            (false, _) => (LATCHES, SHUT_DOWN),
        };
        return Some(((first..=index + after).collect(), chance, idle));
    }
    let same = |m: &Measured| m.stand == own.stand && m.repairs == own.repairs && m.key == own.key;
    let members: Vec<usize> = (0..model.measured.len())
        .filter(|&i| same(&model.measured[i]))
        .collect();
    let (chance, idle) = match (own.key, latches) {
        (Some(true), true) => (LATCHES, SHUT_DOWN_AGAIN),
        (Some(true), false) => (SHUT_DOWN_AGAIN, SHUT_DOWN_AGAIN),
        _ => (SHUT_DOWN, SHUT_DOWN),
    };
    (members.iter().all(|&i| dead(&model.measured[i]))).then_some((members, chance, idle))
}

/// Every reading by itself; but where a supply can shut down, all readings of one state that show nothing are one
/// event: it was off, and nobody noted it.
pub(super) fn units(model: &Model) -> Vec<Unit> {
    let odds = (PRIORS.mistaken_reading / (1.0 - PRIORS.mistaken_reading)).ln();
    let can_shut_down = model
        .sources
        .iter()
        .any(|s| s.latches || s.limit > s.short_circuit);
    let dead = |m: &Measured| {
        can_shut_down && matches!(m.what, Quantity::Volts(_)) && !m.over && m.value.abs() < NOTHING
    };
    model
        .measured
        .iter()
        .enumerate()
        .map(|(index, own)| {
            if let Some((members, chance, idle)) = shut_down(model, index, &dead) {
                // What a supply shows that has latched off is as sharp as what a dead one shows.
                let latches = model.sources.iter().any(|s| s.latches);
                let sd = if latches {
                    own.sd.hypot(own.value)
                } else {
                    0.5 * NOTHING
                };
                let z = own.value / sd;
                let density = -0.5 * z * z - (sd * (2.0 * PI).sqrt()).ln();
                let count = members.len() as f64;
                let price_each = chance.ln() / count + density;
                Unit {
                    members,
                    price_each,
                    shut_down: true,
                    idle_each: (idle / chance).ln() / count,
                }
            } else {
                Unit {
                    members: vec![index],
                    price_each: odds + mistake_density(model, own),
                    shut_down: false,
                    idle_each: 0.0,
                }
            }
        })
        .collect()
}

/// Log density of some readings given all others: readings that share a cause agree with each other, so that one alone is
/// no surprise beside the rest. With P their block of S⁻¹ and q their pull, N(P⁻¹ q; 0, P⁻¹).
fn together(inverse: &[f64], pull: &[f64], some: &[usize]) -> f64 {
    let order = pull.len();
    let count = some.len();
    let block = some
        .iter()
        .flat_map(|&i| some.iter().map(move |&k| inverse[i * order + k]))
        .collect();
    // Not a number where nothing can be said: such a unit is not left out.
    let Some(precision) = Cholesky::new(count, block) else {
        return f64::INFINITY;
    };
    let own: Vec<f64> = some.iter().map(|&i| pull[i]).collect();
    let mut residual = own.clone();
    precision.solve(&mut residual);
    let chi: f64 = own.iter().zip(&residual).map(|(q, r)| q * r).sum();
    -0.5 * (chi + count as f64 * (2.0 * PI).ln() - precision.log_det())
}

/// Log evidence that a fit of all readings could come to by leaving out those that fit worst, the others keeping their
/// linearisation: each reading left out is a rank-one change of S⁻¹.
fn hope(
    mut hope: f64,
    used: &[usize],
    mut inverse: Cow<'_, [f64]>,
    mut pull: Vec<f64>,
    units: &[Unit],
    limit: usize,
) -> f64 {
    let order = used.len();
    let mut there = vec![true; order];
    for _ in 0..limit {
        let gain = |i: usize| {
            let unit = &units[used[i]];
            if unit.members.len() > 1 {
                let own: Vec<usize> = (0..order)
                    .filter(|&k| there[k] && unit.members.contains(&used[k]))
                    .collect();
                return unit.price_each * own.len() as f64 - together(&inverse, &pull, &own);
            }
            let precision = inverse[i * order + i];
            let own = -0.5 * ((2.0 * PI / precision).ln() + pull[i] * pull[i] / precision);
            unit.price_each - own
        };
        let best = (0..order)
            .filter(|&i| there[i])
            .map(|i| (gain(i), i))
            .max_by(|a, b| a.0.total_cmp(&b.0));
        let Some((_, worst)) = best.filter(|best| best.0 > 0.0) else {
            break;
        };
        for i in 0..order {
            if !there[i] || !units[used[worst]].members.contains(&used[i]) {
                continue;
            }
            let precision = inverse[i * order + i];
            let own = -0.5 * ((2.0 * PI / precision).ln() + pull[i] * pull[i] / precision);
            hope += units[used[i]].price_each - own;
            there[i] = false;
            let row: Vec<f64> = inverse[i * order..(i + 1) * order].to_vec();
            let drawn = pull[i] / precision;
            let inverse = inverse.to_mut();
            for (k, &with) in row.iter().enumerate().filter(|(k, _)| there[*k]) {
                pull[k] -= with * drawn;
                let share = with / precision;
                for (entry, other) in inverse[k * order..(k + 1) * order].iter_mut().zip(&row) {
                    *entry -= share * other;
                }
            }
        }
    }
    hope
}

impl Weigher<'_> {
    /// Log evidence that a fit of all readings could come to with mistakes allowed for, at no further solve.
    pub(super) fn hope(
        &self,
        evidence: f64,
        used: &[usize],
        inverse: Cow<'_, [f64]>,
        pull: Vec<f64>,
    ) -> f64 {
        let limit = self.most_mistakes();
        hope(evidence, used, inverse, pull, &self.units, limit)
    }

    fn most_mistakes(&self) -> usize {
        let latches = self.model().sources.iter().any(|s| s.latches);
        most_mistakes(&self.units, latches)
    }

    /// What each unit costs under a fit: that a supply had latched off is likely only where its faults overload it.
    fn prices(&mut self, fitted: &Fitted) -> Vec<f64> {
        let stated = self.units.iter().map(|unit| unit.price_each);
        let mut prices: Vec<f64> = stated.collect();
        if self.units.iter().all(|unit| unit.idle_each == 0.0) {
            return prices;
        }
        self.predictor.bench.low = fitted.low;
        self.predictor
            .values(&fitted.faults, &fitted.deviations, &mut self.prediction);
        let sources = &self.model().sources;
        let nominal = sources.iter().map(|s| s.volts.0).fold(0.0, f64::max);
        for (unit, price) in self.units.iter().zip(&mut prices) {
            let first = unit
                .members
                .first()
                .map_or(0.0, |&m| self.prediction.value[m]);
            if first.abs() > OVERLOADS * nominal {
                *price += unit.idle_each;
            }
        }
        prices
    }

    /// What leaving out each unit of a fit's readings gains, under the first of its members.
    fn gains(&self, fitted: &Fitted, prices: &[f64]) -> Vec<(usize, f64)> {
        let single = Self::leave_one_out(fitted);
        let several = |m: &usize| self.units[*m].members.len() > 1;
        let inverse = if fitted.used.iter().any(several) {
            fitted.cholesky.inverse()
        } else {
            Vec::new()
        };
        let used = &fitted.used;
        (used.iter().zip(&single))
            .filter_map(|(&m, own)| {
                let unit = &self.units[m];
                if unit.members.len() == 1 {
                    return Some((m, prices[m] - own));
                }
                let places: Vec<usize> = (0..used.len())
                    .filter(|&k| unit.members.contains(&used[k]))
                    .collect();
                let first = places.first().is_some_and(|&k| used[k] == m);
                first.then(|| {
                    let price = prices[m] * places.len() as f64;
                    (m, price - together(&inverse, &fitted.pull, &places))
                })
            })
            .collect()
    }

    /// Fits faults and sums over mistakes.
    pub fn robust(
        &mut self,
        faults: &[Fault],
        free: &[Option<SizePrior>],
        start: &[Deviations],
    ) -> Option<Robust> {
        self.robust_from(None, faults, free, start)
    }

    /// The same where the fit to all readings is known already.
    pub(super) fn robust_from(
        &mut self,
        mut known: Option<Fitted>,
        faults: &[Fault],
        free: &[Option<SizePrior>],
        start: &[Deviations],
    ) -> Option<Robust> {
        let model = self.model();
        let total = model.measured.len();
        let limit = self.most_mistakes();
        let mut used: Vec<usize> = (0..total).collect();
        let mut aside: Vec<usize> = Vec::new();
        let mut left_out = 0;
        let mut price = 0.0;
        let mut terms: Vec<(f64, Vec<usize>)> = Vec::new();
        // Probability that each reading that is no number says nothing, by the fit with the largest share.
        let mut doubts = vec![0.0; total];
        let no_numbers = model.measured.iter().any(|m| m.over);
        let mut best: Option<(f64, Fitted)> = None;
        let mut faults = faults.to_vec();
        let mut start = start.to_vec();
        while let Some(fitted) = (known.take()).or_else(|| self.fit(&faults, free, &used, &start)) {
            let here = price + fitted.log_evidence;
            if aside.is_empty() && self.floor > f64::NEG_INFINITY {
                let inverse = Cow::Owned(fitted.cholesky.inverse());
                let pull = fitted.pull.clone();
                if self.hope(fitted.log_evidence, &fitted.used, inverse, pull) < self.floor {
                    return None;
                }
            }
            let prices = self.prices(&fitted);
            let gains = self.gains(&fitted, &prices);
            terms.push((here, aside.clone()));
            let worst = gains.iter().copied().max_by(|a, b| a.1.total_cmp(&b.1));
            let go_on = left_out < limit && worst.is_some_and(|(_, gain)| gain > WORTH_REFITTING);
            for &(m, gain) in &gains {
                if !(go_on && worst.is_some_and(|(w, _)| w == m)) {
                    let mut set = aside.clone();
                    let members = self.units[m].members.iter();
                    set.extend(members.filter(|m| fitted.used.contains(m)));
                    terms.push((here + gain.min(WORTH_REFITTING), set));
                }
            }
            if best.as_ref().is_none_or(|(most, _)| here > *most) {
                if no_numbers {
                    doubts = self.doubts(&fitted);
                }
                best = Some((here, fitted.clone()));
            }
            let Some((worst, _)) = worst.filter(|_| go_on) else {
                break;
            };
            for &m in &self.units[worst].members {
                price += prices[m];
                aside.push(m);
            }
            left_out += 1;
            used.retain(|m| !self.units[worst].members.contains(m));
            faults.clone_from(&fitted.faults);
            start = fitted.deviations;
        }
        let log_evidence = log_sum(terms.iter().map(|t| t.0));
        let mut mistaken = doubts;
        for (term, set) in &terms {
            for &m in set {
                mistaken[m] += (term - log_evidence).exp();
            }
        }
        best.map(|(_, best)| Robust {
            log_evidence,
            best,
            mistaken,
        })
    }
}
