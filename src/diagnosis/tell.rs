//! What was weighed as plain findings: suspects with place and ohms, densities, combinations, readings.

use super::{
    Combination, Fit, Interval, Mistake, Position, Predicted, ReadingFinding, Suspect, WireDensity,
    hinge::Hinge,
};
use crate::{
    circuit::Circuit,
    fault::Site,
    infer::{
        candidate::Candidate,
        lower::Model,
        outlook::Outlook,
        posterior::{Marginal, Posterior, keep_off, quantile},
        search::{Hypothesis, Search, tail},
        weigh::Weigher,
    },
};

/// Suspects below this probability are not listed.
const WORTH_LISTING: f64 = 5e-4;
/// Combinations that are listed.
const COMBINATIONS: usize = 12;

/// An expected value as it is told.
pub(super) fn predicted(outlook: &Outlook) -> Predicted {
    Predicted {
        mean: outlook.mean,
        sd: outlook.sd,
    }
}

/// How well the likeliest explains the readings.
pub(super) fn fit(ranked: &[&Hypothesis], readings: usize) -> Fit {
    match ranked.first() {
        Some(best) if readings > 0 => Fit {
            tail: tail(&best.robust.best),
            chi_squared: best.robust.best.chi_squared,
            readings,
        },
        _ => Fit {
            tail: 0.5,
            chi_squared: 0.0,
            readings,
        },
    }
}

/// The middle and the 90 % interval of weighted points.
fn interval(points: &[(f64, f64)], map: impl Fn(f64) -> f64) -> Option<Interval> {
    Some(Interval {
        low: map(quantile(points, 0.05)?),
        median: map(quantile(points, 0.5)?),
        high: map(quantile(points, 0.95)?),
    })
}

/// What is suspected, likeliest first, with its ohms and its place.
pub(super) fn suspects(circuit: &Circuit, post: &Posterior) -> Vec<Suspect> {
    use crate::fault::FaultKind::{LimitsEarly, SupplyLow};
    post.marginals
        .iter()
        .filter(|m| m.probability >= WORTH_LISTING)
        .map(|m| Suspect {
            site: m.site.clone(),
            kind: m.kind,
            probability: m.probability,
            resistance: match m.kind {
                SupplyLow | LimitsEarly => None,
                _ => interval(&m.sizes, f64::exp),
            },
            position: position(circuit, m),
            group: 0,
        })
        .collect()
}

fn position(circuit: &Circuit, marginal: &Marginal) -> Option<Position> {
    let (wire, cells) = marginal.cells.as_ref()?;
    let wire = circuit.wires.get(*wire)?;
    let length = wire.length_or_assumed();
    let step = length / cells.len() as f64;
    let points: Vec<(f64, f64)> = cells
        .iter()
        .enumerate()
        .map(|(i, &p)| ((i as f64 + 0.5) * step, p))
        .collect();
    Some(Position {
        from: wire.from.clone(),
        to: wire.to.clone(),
        metres: interval(&points, |x| x.clamp(0.0, length))?,
        length,
    })
}

/// The probability along each wire.
pub(super) fn densities(circuit: &Circuit, post: &Posterior) -> Vec<WireDensity> {
    post.marginals
        .iter()
        .filter_map(|m| {
            let (wire, cells) = m.cells.as_ref()?;
            Some(WireDensity {
                wire: circuit.wires.get(*wire)?.id.clone(),
                cells: cells.clone(),
            })
        })
        .collect()
}

/// Density per decade on a grid of a twentieth of a decade.
pub(super) fn resistance(marginal: &Marginal) -> Vec<(f64, f64)> {
    const STEP: f64 = std::f64::consts::LN_10 / 20.0;
    let total: f64 = marginal.sizes.iter().map(|s| s.1).sum();
    let (Some(first), Some(last)) = (marginal.sizes.first(), marginal.sizes.last()) else {
        return Vec::new();
    };
    let bins = (((last.0 - first.0) / STEP).ceil() as usize + 1).min(400);
    let mut density = vec![0.0; bins + 1];
    for &(at, mass) in &marginal.sizes {
        let place = ((at - first.0) / STEP).clamp(0.0, bins as f64);
        let low = place.floor() as usize;
        let share = place - low as f64;
        density[low] += (1.0 - share) * mass;
        density[(low + 1).min(bins)] += share * mass;
    }
    density
        .into_iter()
        .enumerate()
        .map(|(i, mass)| {
            (
                (first.0 + i as f64 * STEP).exp(),
                20.0 * mass / total.max(1e-300),
            )
        })
        .collect()
}

/// Faults that are there together, likeliest first.
pub(super) fn combinations(
    found: &Search,
    post: &Posterior,
    list: &[Candidate],
    repairs: usize,
) -> Vec<Combination> {
    let mut all: Vec<Combination> = Vec::new();
    for (hypothesis, &probability) in found.hypotheses.iter().zip(&post.hypothesis) {
        let mut faults: Vec<_> = hypothesis
            .faults
            .iter()
            .filter(|&&f| list[f].fault(0.0).present(repairs))
            .map(|&f| (list[f].site.clone(), list[f].kind))
            .collect();
        faults.sort();
        match all.iter_mut().find(|c| c.faults == faults) {
            Some(same) => same.probability += probability,
            None => all.push(Combination {
                faults,
                probability,
            }),
        }
    }
    all.sort_by(|a, b| b.probability.total_cmp(&a.probability));
    all.truncate(COMBINATIONS);
    for combination in &mut all {
        combination.probability = keep_off(combination.probability);
    }
    all
}

/// The likeliest hypothesis and the likeliest one that blames something else.
fn rivals<'h>(
    ranked: &[&'h Hypothesis],
    list: &[Candidate],
) -> Option<(&'h Hypothesis, &'h Hypothesis)> {
    let sites = |h: &Hypothesis| {
        h.faults
            .iter()
            .map(|&f| &list[f].site)
            .cloned()
            .collect::<Vec<Site>>()
    };
    let best = *ranked.first()?;
    let own = sites(best);
    let rival = ranked.iter().copied().find(|h| sites(h) != own)?;
    Some((best, rival))
}

/// What is found about each reading.
pub(super) fn readings(
    model: &Model,
    post: &Posterior,
    ranked: &[&Hypothesis],
    list: &[Candidate],
    (before, hinges, after): (&[Outlook], &[Hinge], Option<&[Outlook]>),
    mistakes: Vec<Option<Mistake>>,
) -> Vec<ReadingFinding> {
    let mut seen = (model.measured.iter().any(|m| m.over)).then(|| Weigher::new(model));
    let mut own = |hypothesis: &Hypothesis| {
        let fit = &hypothesis.robust.best;
        let single = Weigher::leave_one_out(fit);
        let mut all = vec![None; model.measured.len()];
        for (&m, log) in fit.used.iter().zip(single) {
            all[m] = Some(log);
        }
        // What is no number speaks by the chance of what was seen.
        if let Some(chances) = seen.as_mut().map(|weigher| weigher.log_chances(fit)) {
            for (m, log) in chances.into_iter().enumerate() {
                if model.measured[m].over {
                    all[m] = Some(log);
                }
            }
        }
        all
    };
    let pair = rivals(ranked, list).map(|(a, b)| (own(a), own(b)));
    model
        .measured
        .iter()
        .zip(mistakes)
        .enumerate()
        .map(|(m, (measured, mistake))| {
            let bits = pair.as_ref().map_or(0.0, |(a, b)| match (a[m], b[m]) {
                (Some(a), Some(b)) => (a - b) / std::f64::consts::LN_2,
                _ => 0.0,
            });
            ReadingFinding {
                entry: measured.entry,
                healthy: predicted(&before[m]),
                hinges: hinges[m],
                suspected: after.map(|after| predicted(&after[m])),
                bits: bits.clamp(-99.0, 99.0),
                mistaken: post.mistaken[m],
                mistake,
            }
        })
        .collect()
}
