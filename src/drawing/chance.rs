//! How probability lies along the metres of a drawing: wires by their cells, other parts where they stand.

use std::collections::HashMap;

use super::{Harness, Run};
use crate::{diagnosis::Findings, fault::FaultKind};

/// Probability of a wire below which it is passed over.
const FAINT: f64 = 0.004;
/// Cells of a wire for what its readings cannot place.
const EVEN: usize = 12;
/// Most bins.
const BINS: usize = 4_000;

/// A stretch of the metres.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Bin {
    /// First metre.
    pub from: f64,
    /// Last metre.
    pub to: f64,
    /// Probability that a fault lies in it, on any lane (several faults together count each).
    pub all: f64,
    /// The share of it that lies on what the answer names.
    pub top: f64,
}

/// The probability of every part, put together once for an answer.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Spread {
    parts: HashMap<String, f64>,
    wires: HashMap<String, Vec<f64>>,
}

impl Spread {
    /// Of an answer. Costs one look at each suspect and each density.
    pub fn of(findings: &Findings) -> Self {
        let mut parts: HashMap<String, f64> = HashMap::new();
        let mut even: HashMap<&str, f64> = HashMap::new();
        for suspect in &findings.suspects {
            let part = &suspect.site.part;
            *parts.entry(part.clone()).or_default() += suspect.probability;
            let along = suspect.site.pin.is_none();
            // The density of a wire's shorts holds them already.
            let short = suspect.kind == FaultKind::ShortToGround;
            if along {
                let even = even.entry(part).or_default();
                *even += if short { 0.0 } else { suspect.probability };
            }
        }
        let densities = findings.densities.iter().rev();
        let mut cells: HashMap<&str, &[f64]> = HashMap::new();
        for density in densities.filter(|density| !density.cells.is_empty()) {
            cells.insert(&density.wire, &density.cells);
            even.entry(&density.wire).or_default();
        }
        let wires = even.into_iter().filter_map(|(wire, even)| {
            let short = cells.get(wire);
            let mut cells = short.map_or_else(|| vec![0.0; EVEN], |cells| cells.to_vec());
            let share = even / cells.len() as f64;
            cells.iter_mut().for_each(|cell| *cell += share);
            let sum: f64 = cells.iter().sum();
            (sum.is_finite() && sum >= FAINT).then(|| (wire.to_owned(), cells))
        });
        Self {
            wires: wires.collect(),
            parts,
        }
    }

    /// Probability per cell of a wire, from its `from` end: the densities of shorts and, spread evenly, whatever else it
    /// is suspected of. None for a wire that is hardly suspected.
    pub fn wire(&self, id: &str) -> Option<&[f64]> {
        self.wires.get(id).map(Vec::as_slice)
    }

    /// Probability that something is wrong with a part, its pins included.
    pub fn part(&self, id: &str) -> f64 {
        self.parts.get(id).copied().unwrap_or(0.0).min(1.0)
    }
}

/// Sums the probability in stretches of `step` metres from the module to the end of the harness; `named` are the parts that
/// the answer names. Before anything was read nothing is under suspicion, and there are none.
pub fn along(
    harness: &Harness,
    findings: &Findings,
    (chances, named): (&Spread, &[&str]),
    step: f64,
) -> Vec<Bin> {
    if findings.fit.readings == 0 || !(step > 0.0 && harness.x_max.is_finite()) {
        return Vec::new();
    }
    let count = ((harness.x_max / step).ceil().max(1.0) as usize).min(BINS);
    let mut bins: Vec<Bin> = (0..count)
        .map(|k| Bin {
            from: k as f64 * step,
            to: (k + 1) as f64 * step,
            ..Bin::default()
        })
        .collect();
    let top = |part: &str| named.contains(&part);
    let mut put = |from: f64, to: f64, probability: f64, part: &str| {
        let (from, to) = (from.min(to).max(0.0), from.max(to).max(0.0));
        let first = ((from / step) as usize).min(count - 1);
        let last = ((to / step) as usize).min(count - 1);
        for bin in &mut bins[first..=last] {
            let share = if to - from > 1e-9 {
                ((to.min(bin.to) - from.max(bin.from)) / (to - from)).clamp(0.0, 1.0)
            } else {
                1.0 / (last - first + 1) as f64
            };
            bin.all += share * probability;
            if top(part) {
                bin.top += share * probability;
            }
        }
    };
    for run in &harness.runs {
        if let Some(cells) = chances.wire(&run.id) {
            spread(run, cells, |from, to, probability| {
                put(from, to, probability, &run.id);
            });
        }
    }
    for part in &harness.parts {
        put(part.at.x, part.at.x, chances.part(&part.id), &part.id);
    }
    bins
}

fn spread(run: &Run, cells: &[f64], mut put: impl FnMut(f64, f64, f64)) {
    let count = cells.len() as f64;
    for (k, probability) in cells.iter().enumerate() {
        let from = run.at(k as f64 / count).x;
        let to = run.at((k + 1) as f64 / count).x;
        put(from, to, *probability);
    }
}
