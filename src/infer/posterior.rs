//! From weighed hypotheses to what can be said: probabilities of things, of places along wires and of sizes.

use super::{
    candidate::{Candidate, STRETCHES},
    search::{Along, Hypothesis, Search, segment},
};
use crate::fault::{FaultKind, Site};

/// Cells of a stretch of wire.
pub const STRETCH_CELLS: usize = 10;
/// Cells of a whole wire.
pub const WIRE_CELLS: usize = STRETCHES * STRETCH_CELLS;
/// Probabilities are kept this far from 0 and 1: no evidence is that good.
pub const NEVER: f64 = 1e-6;

/// One thing with one kind of fault, over all hypotheses.
#[derive(Clone, Debug)]
pub struct Marginal {
    /// The thing.
    pub site: Site,
    /// What is wrong with it.
    pub kind: FaultKind,
    /// Probability that this fault is there now.
    pub probability: f64,
    /// Distribution of the logarithm of its size: points with masses, ascending.
    pub sizes: Vec<(f64, f64)>,
    /// Wire, and probability in each of its cells.
    pub cells: Option<(usize, Vec<f64>)>,
}

/// Everything that follows from the weights.
#[derive(Clone, Debug)]
pub struct Posterior {
    /// Probability of each hypothesis of the search.
    pub hypothesis: Vec<f64>,
    /// Likeliest first.
    pub marginals: Vec<Marginal>,
    /// No fault is there (any more).
    pub healthy: f64,
    /// Nothing on the sketch explains the readings.
    pub unexplained: f64,
    /// Probability that each reading is a mistake.
    pub mistaken: Vec<f64>,
}

/// Log densities of the cells of a candidate's stretch, relative to that at the fitted place as the readings have it.
pub fn stretch_cells(candidate: &Candidate, along: &Along) -> Vec<f64> {
    let stretch = candidate.stretch.map_or(0, |s| s.1);
    (0..STRETCH_CELLS)
        .map(|cell| {
            let x =
                (stretch as f64 + (cell as f64 + 0.5) / STRETCH_CELLS as f64) / STRETCHES as f64;
            let off = x - along.x;
            let looked = candidate.looked.get(cell).copied().unwrap_or(0.0);
            along.slope * off - 0.5 * along.curvature * off * off + looked
        })
        .collect()
}

/// Mean and variance of how a fitted logarithm of size moves when the place may be anywhere on its stretch: place and
/// ohms trade off, and a size that is given for the fitted place alone is too sure of itself.
fn wandering(candidate: &Candidate, along: &Along) -> (f64, f64) {
    let stretch = candidate.stretch.map_or(0, |s| s.1);
    let logs = stretch_cells(candidate, along);
    let most = logs.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let (mut sum, mut first, mut second) = (0.0, 0.0, 0.0);
    for (cell, log) in logs.iter().enumerate() {
        let x = (stretch as f64 + (cell as f64 + 0.5) / STRETCH_CELLS as f64) / STRETCHES as f64;
        let (weight, shift) = ((log - most).exp(), along.drift * (x - along.x));
        sum += weight;
        first += weight * shift;
        second += weight * shift * shift;
    }
    let mean = first / sum;
    (mean, (second / sum - mean * mean).max(0.0))
}

/// A probability kept off 0 and 1.
pub fn keep_off(probability: f64) -> f64 {
    probability.clamp(NEVER, 1.0 - NEVER)
}

/// Normalises a search.
pub fn posterior(
    search: &Search,
    candidates: &[Candidate],
    repairs: usize,
    readings: usize,
) -> Posterior {
    let most = search
        .hypotheses
        .iter()
        .map(|h| h.log_weight)
        .fold(search.unexplained, f64::max);
    let mut weight: Vec<f64> = search
        .hypotheses
        .iter()
        .map(|h| (h.log_weight - most).exp())
        .collect();
    let nothing = (search.unexplained - most).exp();
    let total = weight.iter().sum::<f64>() + nothing;
    for entry in &mut weight {
        *entry /= total;
    }
    let mut marginals: Vec<Marginal> = Vec::new();
    let mut healthy = 0.0;
    let mut mistaken = vec![0.0; readings];
    for (hypothesis, &p) in search.hypotheses.iter().zip(&weight) {
        for (entry, m) in mistaken.iter_mut().zip(&hypothesis.robust.mistaken) {
            *entry += p * m;
        }
        let mut sound = true;
        for (place, &index) in hypothesis.faults.iter().enumerate() {
            let candidate = &candidates[index];
            if !candidate.fault(0.0).present(repairs) {
                continue;
            }
            sound = false;
            let found = marginals
                .iter()
                .position(|m| m.site == candidate.site && m.kind == candidate.kind);
            let slot = found.unwrap_or_else(|| {
                marginals.push(Marginal {
                    site: candidate.site.clone(),
                    kind: candidate.kind,
                    probability: 0.0,
                    sizes: Vec::new(),
                    cells: candidate
                        .stretch
                        .map(|(wire, _)| (wire, vec![0.0; WIRE_CELLS])),
                });
                marginals.len() - 1
            });
            add(&mut marginals[slot], hypothesis, place, candidate, p);
        }
        if sound {
            healthy += p;
        }
    }
    for marginal in &mut marginals {
        marginal.probability = keep_off(marginal.probability);
        marginal.sizes.sort_by(|a, b| a.0.total_cmp(&b.0));
    }
    marginals.sort_by(|a, b| b.probability.total_cmp(&a.probability));
    Posterior {
        hypothesis: weight,
        marginals,
        healthy: keep_off(healthy),
        unexplained: keep_off(nothing / total),
        mistaken: mistaken.into_iter().map(keep_off).collect(),
    }
}

fn add(
    marginal: &mut Marginal,
    hypothesis: &Hypothesis,
    place: usize,
    candidate: &Candidate,
    p: f64,
) {
    marginal.probability += p;
    if let (Some((_, stretch)), Some((_, cells)), Some(along)) = (
        candidate.stretch,
        &mut marginal.cells,
        &hypothesis.along[place],
    ) {
        let logs = stretch_cells(candidate, along);
        let most = logs.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        let sum: f64 = logs.iter().map(|log| (log - most).exp()).sum();
        for (cell, log) in cells[stretch * STRETCH_CELLS..].iter_mut().zip(&logs) {
            *cell += p * (log - most).exp() / sum;
        }
    }
    let along = hypothesis.along[place].as_ref();
    let moved = along.map(|along| wandering(candidate, along));
    let sd = hypothesis.robust.best.size_sd[place];
    let points: Vec<(f64, f64)> = match moved {
        Some((shift, variance)) if sd > 0.0 && !hypothesis.sizes[place].is_empty() => {
            let middle = hypothesis.robust.best.faults[place].log_size;
            let wider = (1.0 + variance / (sd * sd)).sqrt();
            (hypothesis.sizes[place].iter())
                .map(|&(at, log)| (middle + shift + (at - middle) * wider, log))
                .collect()
        }
        _ => hypothesis.sizes[place].clone(),
    };
    if points.len() > 1 && p > 1e-9 {
        let masses: Vec<(f64, f64)> = points
            .windows(2)
            .map(|pair| (0.5 * (pair[0].0 + pair[1].0), segment(pair[0], pair[1])))
            .collect();
        let most = masses.iter().map(|m| m.1).fold(f64::NEG_INFINITY, f64::max);
        let sum: f64 = masses.iter().map(|m| (m.1 - most).exp()).sum();
        marginal.sizes.extend(
            masses
                .iter()
                .map(|&(at, log)| (at, p * (log - most).exp() / sum)),
        );
    }
}

/// Quantile of a list of points with masses, ascending.
pub fn quantile(points: &[(f64, f64)], level: f64) -> Option<f64> {
    let total: f64 = points.iter().map(|p| p.1).sum();
    let mut sum = 0.0;
    for (place, &(at, mass)) in points.iter().enumerate() {
        if sum + mass >= level * total {
            let before = if place == 0 { at } else { points[place - 1].0 };
            let after = points.get(place + 1).map_or(at, |p| p.0);
            let share = if mass > 0.0 {
                (level * total - sum) / mass
            } else {
                0.5
            };
            let (left, right) = (0.5 * (before + at), 0.5 * (at + after));
            return Some(left + (right - left) * share.clamp(0.0, 1.0));
        }
        sum += mass;
    }
    points.last().map(|p| p.0)
}
