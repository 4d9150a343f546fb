//! The ways in which things may be, as points with weights: faults, where along a wire, and how large.

use std::collections::BTreeMap;

use super::price;
use crate::{
    circuit::Circuit,
    fault::{FaultKind, Site},
    infer::{
        candidate::{Candidate, STRETCHES},
        posterior::{Posterior, STRETCH_CELLS, quantile, stretch_cells},
        search::{Hypothesis, Search},
    },
};

/// Share of the probability that is followed, and how many hypotheses at most.
const FOLLOWED: f64 = 0.997;
const HYPOTHESES: usize = 70;
/// Parts of a stretch of wire that are told apart.
const PARTS: usize = 5;
/// Standard deviation of a logarithm of size above which a size is followed at three values.
const WIDE: f64 = 0.35;
/// Weight below which a way is dropped.
const SLIGHT: f64 = 2e-5;
/// Minutes until one is sure that nothing is wrong, or that the sketch is.
const SURE: f64 = 15.0;
const SKETCH_AGAIN: f64 = 60.0;

/// One way in which things may be.
#[derive(Clone, Copy, Debug)]
pub struct Way {
    /// Index of its root.
    pub root: usize,
    /// How far along its wire it is from where the root was fitted (fraction of the wire).
    pub off: f64,
    /// Probability.
    pub weight: f64,
    /// Index of its place.
    pub place: usize,
}

/// A hypothesis with its sizes as fitted, or with its one size held at a value.
#[derive(Clone, Copy, Debug)]
pub struct Root<'s> {
    /// The hypothesis; `None` for “nothing on this sketch explains it”.
    pub hypothesis: Option<&'s Hypothesis>,
    /// Its index in the search.
    pub index: Option<usize>,
    /// Logarithm at which its size is held.
    pub held: Option<f64>,
}

/// A place that would be opened: parts with the kind of fault there, and which part of a wire.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Place {
    /// Faults together: site, whether on something that is not drawn, and the part of a wire.
    Faults(Vec<(Site, bool, Option<usize>)>),
    /// Nothing is wrong.
    Healthy,
    /// Not on this sketch.
    Elsewhere,
}

/// What it takes to open up one fault's part of a place.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Work {
    /// Minutes.
    pub minutes: f64,
    /// Whether it was looked at before, in vain.
    pub again: bool,
}

/// All ways with their places.
#[derive(Clone, Debug, Default)]
pub struct Ways<'s> {
    /// Roots.
    pub roots: Vec<Root<'s>>,
    /// Ways.
    pub ways: Vec<Way>,
    /// Places.
    pub places: Vec<Place>,
    /// Minutes to open each place.
    pub opening: Vec<f64>,
    /// Kinds of the faults at each place, parallel to them.
    pub kinds: Vec<Vec<FaultKind>>,
    /// What opening up each fault of a place takes, parallel to them.
    pub works: Vec<Vec<Work>>,
}

/// Splits the likely hypotheses of a search into ways.
pub fn ways<'s>(
    circuit: &Circuit,
    candidates: &[Candidate],
    search: &'s Search,
    posterior: &Posterior,
    repairs: usize,
) -> Ways<'s> {
    let mut order: Vec<usize> = (0..search.hypotheses.len()).collect();
    order.sort_by(|&a, &b| {
        posterior.hypothesis[b]
            .total_cmp(&posterior.hypothesis[a])
            .then(a.cmp(&b))
    });
    let mut all = Ways::default();
    let mut known: BTreeMap<Place, usize> = BTreeMap::new();
    let mut sum = 0.0;
    for &index in order.iter().take(HYPOTHESES) {
        if sum > FOLLOWED {
            break;
        }
        let probability = posterior.hypothesis[index];
        sum += probability;
        let hypothesis = &search.hypotheses[index];
        let mut present: Vec<&Candidate> = hypothesis
            .faults
            .iter()
            .map(|&f| &candidates[f])
            .filter(|c| c.fault(0.0).present(repairs))
            .collect();
        present.sort_by(|a, b| (&a.site, a.kind).cmp(&(&b.site, b.kind)));
        for (held, share) in sizes(hypothesis) {
            all.roots.push(Root {
                hypothesis: Some(hypothesis),
                index: Some(index),
                held,
            });
            for (off, part, weight) in along(hypothesis, candidates) {
                let place = place(&present, part);
                let kinds: Vec<FaultKind> = present.iter().map(|c| c.kind).collect();
                let at = *known.entry(place.clone()).or_insert_with(|| {
                    let works: Vec<Work> = (present.iter())
                        .map(|candidate| work(circuit, candidate, part))
                        .collect();
                    all.opening.push(match place {
                        Place::Healthy => SURE,
                        _ => works.iter().map(|work| work.minutes).sum(),
                    });
                    all.places.push(place.clone());
                    all.kinds.push(kinds);
                    all.works.push(works);
                    all.places.len() - 1
                });
                all.ways.push(Way {
                    root: all.roots.len() - 1,
                    off,
                    weight: probability * share * weight,
                    place: at,
                });
            }
        }
    }
    all.roots.push(Root {
        hypothesis: None,
        index: None,
        held: None,
    });
    all.places.push(Place::Elsewhere);
    all.opening.push(SKETCH_AGAIN);
    all.kinds.push(Vec::new());
    all.works.push(Vec::new());
    all.ways.push(Way {
        root: all.roots.len() - 1,
        off: 0.0,
        weight: posterior.unexplained,
        place: all.places.len() - 1,
    });
    all.ways.retain(|way| way.weight > SLIGHT);
    let total: f64 = all.ways.iter().map(|way| way.weight).sum();
    for way in &mut all.ways {
        way.weight /= total.max(1e-300);
    }
    all
}

/// The size as fitted, or three sizes of equal probability where it is little known.
fn sizes(hypothesis: &Hypothesis) -> Vec<(Option<f64>, f64)> {
    let ([_], [sd], [points]) = (
        &hypothesis.faults[..],
        &hypothesis.robust.best.size_sd[..],
        &hypothesis.sizes[..],
    ) else {
        return vec![(None, 1.0)];
    };
    if *sd < WIDE || points.len() < 3 {
        return vec![(None, 1.0)];
    }
    let most = points.iter().map(|p| p.1).fold(f64::NEG_INFINITY, f64::max);
    let masses: Vec<(f64, f64)> = points
        .iter()
        .enumerate()
        .map(|(i, &(at, log))| {
            let before = points[i.saturating_sub(1)].0;
            let after = points[(i + 1).min(points.len() - 1)].0;
            (at, (log - most).exp() * 0.5 * (after - before))
        })
        .collect();
    [1.0 / 6.0, 0.5, 5.0 / 6.0]
        .iter()
        .filter_map(|&level| quantile(&masses, level))
        .map(|at| (Some(at), 1.0 / 3.0))
        .collect()
}

/// Parts of the stretch on which a single fault sits: distance from the fitted place, part of the wire, share.
fn along(hypothesis: &Hypothesis, candidates: &[Candidate]) -> Vec<(f64, Option<usize>, f64)> {
    let whole = vec![(0.0, None, 1.0)];
    let ([index], [Some(along)]) = (&hypothesis.faults[..], &hypothesis.along[..]) else {
        return whole;
    };
    let Some((_, stretch)) = candidates[*index].stretch else {
        return whole;
    };
    let logs = stretch_cells(&candidates[*index], along);
    let most = logs.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let cells: Vec<f64> = logs.iter().map(|log| (log - most).exp()).collect();
    let total: f64 = cells.iter().sum();
    let width = STRETCH_CELLS / PARTS;
    cells
        .chunks(width)
        .enumerate()
        .map(|(part, cells)| {
            let middle = (part as f64 + 0.5) / PARTS as f64;
            let x = (stretch as f64 + middle) / STRETCHES as f64;
            let share = cells.iter().sum::<f64>() / total;
            (x - along.x, Some(stretch * PARTS + part), share)
        })
        .collect()
}

fn place(present: &[&Candidate], part: Option<usize>) -> Place {
    if present.is_empty() {
        return Place::Healthy;
    }
    let fault = |c: &&Candidate| (c.site.clone(), c.kind == FaultKind::UndrawnShort, part);
    Place::Faults(present.iter().map(fault).collect())
}

fn work(circuit: &Circuit, candidate: &Candidate, part: Option<usize>) -> Work {
    let share = part.map_or(1.0, |_| 1.0 / (STRETCHES * PARTS) as f64);
    let once = price::open(circuit, &candidate.site, candidate.kind, share);
    let again = looked_at(candidate, part);
    Work {
        minutes: if again { once * price::AGAIN } else { once },
        again,
    }
}

/// Whether most of a place was looked at before, in vain.
fn looked_at(candidate: &Candidate, part: Option<usize>) -> bool {
    let cells = part.map_or(0..1, |part| {
        let width = STRETCH_CELLS / PARTS;
        let first = part % PARTS * width;
        first..first + width
    });
    let looked = cells.filter_map(|cell| candidate.looked.get(cell));
    looked.fold(0.0, |most, log| log.min(most)) < -std::f64::consts::LN_2
}

/// Metres along a wire at which a part of it begins and ends, as fractions.
pub fn fractions(part: usize) -> (f64, f64) {
    let all = (STRETCHES * PARTS) as f64;
    (part as f64 / all, (part + 1) as f64 / all)
}
