//! Evidence when each reading may be a mistake.
//!
//! The sum over which readings are mistaken runs along the chain that leaves out, one by one, the reading that fits
//! worst; the single leave-outs beside the chain come from leave-one-out densities at no further solve.

use super::{
    gauss::log_sum,
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
    let normal = |at: f64, sd: f64| {
        let z = (measured.value - at) / sd;
        (-0.5 * z * z).exp() / (sd * (2.0 * std::f64::consts::PI).sqrt())
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
struct Unit {
    members: Vec<usize>,
    price_each: f64,
}

/// Every reading by itself; but where a supply can shut down, all readings of one state that show nothing are one
/// event: it was off, and nobody noted it.
fn units(model: &Model) -> Vec<Unit> {
    /// Volts that count as nothing, and the odds of a state in which the supply had shut down (judgement).
    const NOTHING: f64 = 0.002;
    const SHUT_DOWN: f64 = 0.05;
    let odds = (PRIORS.mistaken_reading / (1.0 - PRIORS.mistaken_reading)).ln();
    let can_shut_down = model
        .sources
        .iter()
        .any(|s| s.latches || s.limit > s.short_circuit);
    let dead = |m: &Measured| {
        can_shut_down && matches!(m.what, Quantity::Volts(_)) && m.value.abs() < NOTHING
    };
    model
        .measured
        .iter()
        .enumerate()
        .map(|(index, own)| {
            let same = |m: &Measured| m.stand == own.stand && m.repairs == own.repairs;
            let all_dead = model.measured.iter().filter(|m| same(m)).all(dead);
            if all_dead {
                let members: Vec<usize> = model
                    .measured
                    .iter()
                    .enumerate()
                    .filter(|(_, m)| same(m))
                    .map(|(i, _)| i)
                    .collect();
                let z = own.value / (0.5 * NOTHING);
                let density =
                    -0.5 * z * z - (0.5 * NOTHING * (2.0 * std::f64::consts::PI).sqrt()).ln();
                let price_each = SHUT_DOWN.ln() / members.len() as f64 + density;
                Unit {
                    members,
                    price_each,
                }
            } else {
                Unit {
                    members: vec![index],
                    price_each: odds + mistake_density(model, own),
                }
            }
        })
        .collect()
}

impl Weigher<'_> {
    /// Fits faults and sums over mistakes. `limit` bounds the number of mistakes that are tried.
    pub fn robust(
        &mut self,
        faults: &[Fault],
        free: &[Option<SizePrior>],
        start: &[Deviations],
        limit: usize,
    ) -> Option<Robust> {
        let model = self.model();
        let total = model.measured.len();
        let units = units(model);
        let limit = limit.min(MOST_MISTAKES).min(total / 2);
        let mut used: Vec<usize> = (0..total).collect();
        let mut aside: Vec<usize> = Vec::new();
        let mut left_out = 0;
        let mut price = 0.0;
        let mut terms: Vec<(f64, Vec<usize>)> = Vec::new();
        let mut best: Option<(f64, Fitted)> = None;
        let mut faults = faults.to_vec();
        let mut start = start.to_vec();
        while let Some(fitted) = self.fit(&faults, free, &used, &start) {
            let here = price + fitted.log_evidence;
            let single = Self::leave_one_out(&fitted);
            let gains: Vec<(usize, f64)> = fitted
                .used
                .iter()
                .zip(&single)
                .map(|(&m, own)| (m, units[m].price_each - own))
                .collect();
            terms.push((here, aside.clone()));
            let worst = gains.iter().copied().max_by(|a, b| a.1.total_cmp(&b.1));
            let go_on = left_out < limit && worst.is_some_and(|(_, gain)| gain > WORTH_REFITTING);
            for &(m, gain) in &gains {
                if !(go_on && worst.is_some_and(|(w, _)| w == m)) {
                    let mut set = aside.clone();
                    set.push(m);
                    terms.push((here + gain.min(WORTH_REFITTING), set));
                }
            }
            if best.as_ref().is_none_or(|(most, _)| here > *most) {
                best = Some((here, fitted.clone()));
            }
            let Some((worst, _)) = worst.filter(|_| go_on) else {
                break;
            };
            for &m in &units[worst].members {
                price += units[m].price_each;
                aside.push(m);
            }
            left_out += 1;
            used.retain(|m| !units[worst].members.contains(m));
            faults.clone_from(&fitted.faults);
            start = fitted.deviations;
        }
        let log_evidence = log_sum(terms.iter().map(|t| t.0));
        let mut mistaken = vec![0.0; total];
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
