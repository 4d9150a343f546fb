//! How probability lies along the metres of a drawing: wires by their cells, other parts where they stand.

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
    /// The share of it that lies on the likeliest part.
    pub top: f64,
}

/// Probability per cell of a wire, from its `from` end: the densities of shorts and, spread evenly, whatever else it is
/// suspected of. None for a wire that is hardly suspected.
pub fn cells(findings: &Findings, wire: &str) -> Option<Vec<f64>> {
    let even: f64 = findings
        .suspects
        .iter()
        .filter(|s| s.site.part == wire && s.site.pin.is_none())
        .filter(|s| s.kind != FaultKind::ShortToGround)
        .map(|s| s.probability)
        .sum();
    let short = findings
        .densities
        .iter()
        .find(|density| density.wire == wire && !density.cells.is_empty());
    let mut cells = short.map_or_else(|| vec![0.0; EVEN], |density| density.cells.clone());
    let share = even / cells.len() as f64;
    for cell in &mut cells {
        *cell += share;
    }
    let sum: f64 = cells.iter().sum();
    (sum.is_finite() && sum >= FAINT).then_some(cells)
}

/// Sums the probability in stretches of `step` metres from the module to the end of the harness. Before anything was
/// read nothing is under suspicion, and there are none.
pub fn along(harness: &Harness, findings: &Findings, step: f64) -> Vec<Bin> {
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
    let top = findings.suspects.first().map(|top| top.site.part.as_str());
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
            if top == Some(part) {
                bin.top += share * probability;
            }
        }
    };
    for run in &harness.runs {
        if let Some(cells) = cells(findings, &run.id) {
            spread(run, &cells, |from, to, probability| {
                put(from, to, probability, &run.id);
            });
        }
    }
    for part in &harness.parts {
        let own = findings.suspects.iter().filter(|s| s.site.part == part.id);
        let probability: f64 = own.map(|s| s.probability).sum();
        put(part.at.x, part.at.x, probability.min(1.0), &part.id);
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
