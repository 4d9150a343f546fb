//! Outcomes for people: neighbouring outcomes that leave about the same are one, and what each would leave is named.

use super::{
    plan::{Belief, entropy},
    ways::{Place, Ways},
};
use crate::{
    fault::{FaultKind, Site},
    infer::posterior::keep_off,
};
use serde::Serialize;

/// Most outcomes that are told.
const TOLD: usize = 4;
/// Share of a test's information that may be lost by telling fewer outcomes.
const LOST: f64 = 0.06;
/// Things that are named for each outcome.
const NAMED: usize = 3;

/// A thing that an outcome would leave in question.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Remaining {
    /// The thing.
    pub site: Site,
    /// What would be wrong with it.
    pub kind: FaultKind,
    /// Its probability after this outcome.
    pub probability: f64,
}

/// One outcome of a test.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Outcome {
    /// Lower end, in the unit of the reading; none for the lowest outcome.
    pub above: Option<f64>,
    /// Upper end; none for the highest outcome.
    pub below: Option<f64>,
    /// What it would most likely show.
    pub about: f64,
    /// Probability of this outcome.
    pub probability: f64,
    /// What would remain, likeliest first.
    pub remaining: Vec<Remaining>,
    /// Probability after this outcome that nothing is wrong.
    pub healthy: f64,
    /// Bits that would remain open.
    pub bits: f64,
}

/// Edges, table and means of one look.
pub struct Shown<'a> {
    /// Edges between the fine outcomes.
    pub edges: &'a [f64],
    /// Probability of each fine outcome (rows) under each way.
    pub likely: &'a [f64],
    /// Expected value under each way.
    pub mean: &'a [f64],
}

struct Band {
    from: usize,
    upto: usize,
    joint: Vec<f64>,
    masses: Vec<f64>,
    total: f64,
    /// Bits left by this outcome times its probability.
    left: f64,
}

impl Band {
    fn new(from: usize, upto: usize, joint: Vec<f64>, masses: Vec<f64>) -> Self {
        let total = joint.iter().sum();
        Self {
            left: entropy(&masses, total),
            total,
            from,
            upto,
            joint,
            masses,
        }
    }
}

/// Merges fine outcomes into a few.
pub fn told(shown: &Shown<'_>, belief: &Belief, ways: &Ways<'_>) -> Vec<Outcome> {
    let columns = belief.weight.len();
    let mut bands: Vec<Band> = shown
        .likely
        .chunks_exact(columns.max(1))
        .enumerate()
        .map(|(row, likely)| {
            let joint: Vec<f64> = likely
                .iter()
                .zip(&belief.weight)
                .map(|(l, w)| l * w)
                .collect();
            let masses = belief.masses(&joint);
            Band::new(row, row, joint, masses)
        })
        .collect();
    let before = entropy(&belief.masses(&belief.weight), 1.0);
    let gained = (before - bands.iter().map(|band| band.left).sum::<f64>()).max(1e-9);
    let mut lost = 0.0;
    // What it costs to take each for one with the next; a merger changes two of these.
    let mut costs: Vec<f64> = bands.windows(2).map(|two| cost(&two[0], &two[1])).collect();
    while bands.len() > 1 {
        let cheapest = (costs.iter().copied().zip(0..)).min_by(|a, b| a.0.total_cmp(&b.0));
        let Some((least, at)) = cheapest else { break };
        if bands.len() <= TOLD && lost + least > LOST * gained {
            break;
        }
        lost += least;
        let next = bands.remove(at + 1);
        join(&mut bands[at], &next);
        costs.remove(at);
        for place in at.saturating_sub(1)..(at + 1).min(costs.len()) {
            costs[place] = cost(&bands[place], &bands[place + 1]);
        }
    }
    bands
        .iter()
        .map(|band| outcome(band, shown, ways))
        .collect()
}

fn cost(a: &Band, b: &Band) -> f64 {
    let masses: Vec<f64> = a.masses.iter().zip(&b.masses).map(|(x, y)| x + y).collect();
    (entropy(&masses, a.total + b.total) - a.left - b.left).max(0.0)
}

fn join(a: &mut Band, b: &Band) {
    let sum = |one: &[f64], two: &[f64]| one.iter().zip(two).map(|(x, y)| x + y).collect();
    *a = Band::new(
        a.from,
        b.upto,
        sum(&a.joint, &b.joint),
        sum(&a.masses, &b.masses),
    );
}

fn outcome(band: &Band, shown: &Shown<'_>, ways: &Ways<'_>) -> Outcome {
    let total = band.total.max(1e-300);
    let above = band.from.checked_sub(1).map(|i| shown.edges[i]);
    let below = shown.edges.get(band.upto).copied();
    let mean = band
        .joint
        .iter()
        .zip(shown.mean)
        .map(|(j, m)| j * m)
        .sum::<f64>()
        / total;
    let about = mean
        .max(above.unwrap_or(f64::NEG_INFINITY))
        .min(below.unwrap_or(f64::INFINITY));
    Outcome {
        above,
        below,
        about,
        probability: keep_off(total),
        remaining: remaining(band, ways, total),
        healthy: healthy(band, ways, total),
        bits: (band.left / total).max(0.0),
    }
}

fn healthy(band: &Band, ways: &Ways<'_>, total: f64) -> f64 {
    let sound = (ways.places.iter().zip(&band.masses))
        .filter(|(place, _)| **place == Place::Healthy)
        .map(|(_, mass)| mass)
        .sum::<f64>();
    keep_off(sound / total)
}

fn remaining(band: &Band, ways: &Ways<'_>, total: f64) -> Vec<Remaining> {
    let mut sum: Vec<Remaining> = Vec::new();
    for ((place, kinds), mass) in ways.places.iter().zip(&ways.kinds).zip(&band.masses) {
        let Place::Faults(faults) = place else {
            continue;
        };
        for ((site, ..), &kind) in faults.iter().zip(kinds) {
            let probability = mass / total;
            match sum.iter_mut().find(|r| r.site == *site) {
                Some(same) => same.probability += probability,
                None => sum.push(Remaining {
                    site: site.clone(),
                    kind,
                    probability,
                }),
            }
        }
    }
    sum.sort_by(|a, b| b.probability.total_cmp(&a.probability));
    sum.retain(|r| r.probability > 0.02);
    sum.truncate(NAMED);
    for one in &mut sum {
        one.probability = keep_off(one.probability);
    }
    sum
}
