//! Two shorts that no plug that was parted tells apart: found wire by wire, by what falls along the wires between readings.
//!
//! Gross readings lump them together, since all that both do grossly is to pull the feed down. What tells how the current
//! divides is the trail of millivolts, so every two wires are tried with the covariance of the best single short: what
//! that leans on, the size of all shorts together among it, is integrated out, and the rest is two places and the division.

use std::collections::BTreeMap;

use super::{Hypothesis, Seeker, further::Offspring};
use crate::{
    fault::FaultKind,
    infer::{
        cluster::clusters,
        gauss::Cholesky,
        solve::{Deviations, Fault},
        weigh::Line,
    },
};

/// Wires of a cluster that are tried two by two; of more those that are best beside the single short (judgement).
const MOST_WIRES: usize = 32;
/// Pairs that are handed on to be fitted.
const HANDED_ON: usize = 12;
/// Logarithm of weight below the best so far at which a pair is not handed on: the fit is still to come.
const FAR: f64 = 25.0;
/// Steps towards the best places and division.
const STEPS: usize = 2;
/// Differences for slopes: of a fraction of a wire, and of the logarithm of the odds of the currents.
const AHEAD: [f64; 3] = [0.2, 0.2, 0.4];
/// Precisions that hold a step back where readings say nothing: wires are a few times this long, odds are within e².
const HELD: [f64; 3] = [10.0, 10.0, 0.5];
/// Farthest from an equal division, as logarithm of the odds: beyond that the second short is none to speak of.
const LOPSIDED: f64 = 3.0;
/// Least distance from the end of a wire, as a fraction.
const EDGE: f64 = 0.02;

/// A single short's fit that two are to stand for, and the readings linearised about it.
struct Base<'f> {
    log_size: f64,
    deviations: &'f [Deviations],
    low: bool,
    line: Line,
}

/// Two places and how the current divides: fractions of two wires, and the logarithm of the odds.
type Split = [f64; 3];

impl Seeker<'_, '_, '_> {
    /// Pairs of shorts to ground in wires of one cluster that are worth fitting, best first, beside the singles found.
    pub(super) fn along_the_trail(&mut self, singles: &[Hypothesis]) -> Vec<Offspring> {
        let mut found = Vec::new();
        for members in clusters(self.weigher.model(), self.candidates) {
            let wires = self.wires(&members);
            let own = singles.iter().filter(|h| members.contains(&h.faults[0]));
            let best = own.max_by(|a, b| a.log_weight.total_cmp(&b.log_weight));
            let (true, Some(best)) = (wires.len() > 1, best) else {
                continue;
            };
            let fit = &best.robust.best;
            let free = [self.candidates[best.faults[0]].size];
            self.weigher.predictor.bench.low = fit.low;
            let line = (self.weigher).linearise(&fit.faults, &free, &fit.deviations);
            let Some(line) = line else { continue };
            let base = Base {
                log_size: fit.faults[0].log_size,
                deviations: &fit.deviations,
                low: fit.low,
                line,
            };
            let wires = self.worth_trying(wires, best.faults[0], &base);
            let pairs: Vec<(usize, usize)> = (0..wires.len())
                .flat_map(|b| (0..b).map(move |a| (a, b)))
                .collect();
            let tried = self.both(pairs.len(), |me, job| {
                let (a, b) = pairs[job];
                me.divided([&wires[a], &wires[b]], &base)
            });
            found.extend(tried.into_iter().flatten().flatten());
        }
        found.retain(|pair: &Offspring| -pair.misfit >= self.most - FAR);
        found.sort_by(|a, b| a.misfit.total_cmp(&b.misfit).then(a.faults.cmp(&b.faults)));
        found.truncate(HANDED_ON);
        found
    }

    /// The stretches of each wire among some candidates for a short to ground.
    fn wires(&self, members: &[usize]) -> Vec<Vec<usize>> {
        let mut wires: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
        for &index in members {
            let candidate = &self.candidates[index];
            if let (FaultKind::ShortToGround, Some((wire, _))) = (candidate.kind, candidate.stretch)
            {
                wires.entry(wire).or_default().push(index);
            }
        }
        wires.into_values().collect()
    }

    /// All wires, or of many those that read best beside the single short itself.
    fn worth_trying(
        &mut self,
        wires: Vec<Vec<usize>>,
        single: usize,
        base: &Base<'_>,
    ) -> Vec<Vec<usize>> {
        if wires.len() <= MOST_WIRES {
            return wires;
        }
        let single = [single];
        let scores = self.both(wires.len(), |me, job| {
            let pair = me.divided([&single, &wires[job]], base);
            pair.map_or(f64::INFINITY, |pair| pair.misfit)
        });
        let mut ranked: Vec<(f64, Vec<usize>)> = (scores.into_iter())
            .map(|score| score.unwrap_or(f64::INFINITY))
            .zip(wires)
            .collect();
        ranked.sort_by(|a, b| a.0.total_cmp(&b.0).then_with(|| a.1.cmp(&b.1)));
        ranked.truncate(MOST_WIRES);
        ranked.into_iter().map(|(_, wire)| wire).collect()
    }

    /// Two wires with the current divided between them as the readings have it, to first order about the middle.
    fn divided(&mut self, wires: [&[usize]; 2], base: &Base<'_>) -> Option<Offspring> {
        self.weigher.predictor.bench.low = base.low;
        let middle = |wire: &[usize]| {
            let ends = |index: usize| self.candidates[index].ends();
            let low = ends(*wire.first()?)?.0;
            Some((low, ends(*wire.last()?)?.1))
        };
        let ends = [
            middle(wires[0]).unwrap_or((0.0, 1.0)),
            middle(wires[1]).unwrap_or((0.0, 1.0)),
        ];
        let mut at: Split = [
            0.5 * (ends[0].0 + ends[0].1),
            0.5 * (ends[1].0 + ends[1].1),
            0.0,
        ];
        for _ in 0..STEPS {
            let step = self.step(wires, base, &at)?;
            for (place, end) in ends.iter().enumerate() {
                let (low, high) = (end.0 + EDGE, end.1 - EDGE);
                at[place] = (at[place] + step[place]).clamp(low, high);
            }
            at[2] = (at[2] + step[2]).clamp(-LOPSIDED, LOPSIDED);
        }
        let (faults, list) = self.split(wires, base, &at);
        let values = self.read(&list, base);
        let score = self.weigher.score(&base.line, &values) + self.prior(&faults);
        score.is_finite().then(|| Offspring {
            misfit: -score,
            faults,
            list,
            deviations: base.deviations.to_vec(),
        })
    }

    /// The step of least squares: places and division against the readings that they have to explain.
    fn step(&mut self, wires: [&[usize]; 2], base: &Base<'_>, at: &Split) -> Option<Split> {
        let line = &base.line;
        let (_, list) = self.split(wires, base, at);
        let here = self.read(&list, base);
        let mut residual: Vec<f64> = (line.exact.iter().zip(&line.target))
            .map(|(&m, target)| target - here[m])
            .collect();
        line.cholesky.forward(&mut residual);
        let mut slopes: Vec<Vec<f64>> = Vec::with_capacity(3);
        for (place, ahead) in AHEAD.into_iter().enumerate() {
            let mut there = *at;
            // Towards the middle, where there is room.
            let ahead = if there[place] > 0.5 { -ahead } else { ahead };
            there[place] += ahead;
            let (_, list) = self.split(wires, base, &there);
            let values = self.read(&list, base);
            let mut slope: Vec<f64> = (line.exact.iter())
                .map(|&m| (values[m] - here[m]) / ahead)
                .collect();
            line.cholesky.forward(&mut slope);
            slopes.push(slope);
        }
        let product = |a: &[f64], b: &[f64]| a.iter().zip(b).map(|(a, b)| a * b).sum::<f64>();
        let mut normal = vec![0.0; 9];
        let mut step = [0.0; 3];
        for (i, slope) in slopes.iter().enumerate() {
            for (k, other) in slopes.iter().enumerate() {
                normal[3 * i + k] = product(slope, other);
            }
            normal[3 * i + i] += HELD[i];
            step[i] = product(slope, &residual);
        }
        Cholesky::new(3, normal)?.solve(&mut step);
        Some(step)
    }

    /// Candidates and faults for two places with the current divided between them; both together conduct as the single did.
    fn split(
        &self,
        wires: [&[usize]; 2],
        base: &Base<'_>,
        at: &Split,
    ) -> (Vec<usize>, Vec<Fault>) {
        let model = self.weigher.model();
        let shares = [at[2], -at[2]].map(|odds| 1.0 / (1.0 + (-odds).exp()));
        let mut faults = Vec::with_capacity(2);
        let mut list = Vec::with_capacity(2);
        for (place, wire) in wires.into_iter().enumerate() {
            let x = at[place];
            let holds = |&&index: &&usize| {
                let ends = self.candidates[index].ends();
                ends.is_none_or(|(low, high)| (low..=high).contains(&x))
            };
            let index = *wire.iter().find(holds).unwrap_or(&wire[0]);
            let candidate = &self.candidates[index];
            faults.push(index);
            list.push(Fault {
                effect: candidate.at(model, x),
                ..candidate.fault(base.log_size - shares[place].ln())
            });
        }
        (faults, list)
    }

    fn read(&mut self, list: &[Fault], base: &Base<'_>) -> Vec<f64> {
        let mut seen = std::mem::take(&mut self.weigher.prediction);
        (self.weigher.predictor).values(list, base.deviations, &mut seen);
        let values = seen.value.clone();
        self.weigher.prediction = seen;
        values
    }
}
