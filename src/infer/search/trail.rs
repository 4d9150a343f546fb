//! Faults that only the trail of millivolts along the wires tells apart: found wire by wire, where gross readings see none.
//!
//! Gross readings lump together all shorts that no parted plug tells apart, since all they do grossly is to pull the feed
//! down, and one wire stands for all of them. Where two faults are together that one is mostly the wrong one. So every wire
//! is tried in its stead, with the covariance of a fit that is near: what that leans on, the sizes among it, is integrated
//! out, and what is left to find is the places, for two such shorts how the current divides between them, and for a short with a
//! bad joint which one that is.

use std::collections::BTreeMap;

use super::{Hypothesis, Seeker, further::Offspring};
use crate::{
    fault::FaultKind,
    infer::{
        cluster::clusters,
        gauss::{Cholesky, dot},
        solve::{Deviations, Effect, Fault},
        weigh::{Fitted, Line, SizePrior},
    },
};

/// Wires of a cluster that are tried two by two; of more those that are best beside the single short (judgement).
const MOST_WIRES: usize = 32;
/// Wires of one cluster that are kept while those of the other are tried.
const KEPT: usize = 2;
/// Pairs that are handed on to be fitted.
const HANDED_ON: usize = 12;
/// Logarithm of weight below the best so far at which a pair is not handed on: the fit is still to come.
const FAR: f64 = 25.0;
/// Steps towards the best places and division.
const STEPS: usize = 2;
/// Ohms and squares below which there are none to divide by.
const NOTHING: f64 = 1e-9;
/// Standard deviations of its prior within which a bad joint starts.
const LIKELY: f64 = 2.0;
/// Farthest from an equal division, as logarithm of the odds: beyond that the second short is none to speak of.
const LOPSIDED: f64 = 3.0;
/// Least distance from the end of a wire, as a fraction.
const EDGE: f64 = 0.02;

/// The readings linearised about a fit.
struct Base<'f> {
    fit: &'f Fitted,
    line: Line,
}

/// Something to find: between which values, over what difference its slope is taken, and the precision that holds it back
/// where the readings say nothing.
#[derive(Clone, Copy)]
struct Way {
    ends: (f64, f64),
    ahead: f64,
    held: f64,
}

impl Way {
    /// A place along a stretch of wire, as a fraction.
    fn along((low, high): (f64, f64)) -> Self {
        Self {
            ends: (low + EDGE, high - EDGE),
            ahead: 0.2,
            held: 10.0,
        }
    }

    /// How a current divides, as logarithm of the odds.
    fn division() -> Self {
        Self {
            ends: (-LOPSIDED, LOPSIDED),
            ahead: 0.4,
            held: 0.5,
        }
    }

    fn middle(&self) -> f64 {
        0.5 * (self.ends.0 + self.ends.1)
    }
}

/// Candidates and faults where everything that is to be found has its value.
type Placed = (Vec<usize>, Vec<Fault>);

fn best_first(pairs: &mut [Offspring]) {
    pairs.sort_by(|a, b| (a.misfit.total_cmp(&b.misfit)).then_with(|| a.faults.cmp(&b.faults)));
}

impl Seeker<'_, '_, '_> {
    /// Pairs that are worth fitting, best first, beside the singles found: two shorts to ground in wires of one cluster, and one
    /// with a bad joint anywhere.
    pub(super) fn beside_a_single(&mut self, singles: &[Hypothesis]) -> Vec<Offspring> {
        let mut found = Vec::new();
        let series = self.series();
        for members in clusters(self.weigher.model(), self.candidates) {
            let wires = self.wires(&members);
            let own = singles.iter().filter(|h| members.contains(&h.faults[0]));
            let best = own.max_by(|a, b| a.log_weight.total_cmp(&b.log_weight));
            let (true, Some(best)) = (wires.len() > 1, best) else {
                continue;
            };
            let Some(base) = self.base(best) else {
                continue;
            };
            let wires = self.worth_trying(wires, best.faults[0], &base);
            let joints = self.both(wires.len(), |me, job| {
                me.joints(&wires[job], &base, &series)
            });
            found.extend(joints.into_iter().flatten().flatten());
            let pairs: Vec<(usize, usize)> = (0..wires.len())
                .flat_map(|b| (0..b).map(move |a| (a, b)))
                .collect();
            let tried = self.both(pairs.len(), |me, job| {
                let (a, b) = pairs[job];
                me.divided([&wires[a], &wires[b]], &base)
            });
            found.extend(tried.into_iter().flatten().flatten());
        }
        self.handed_on(found)
    }

    /// Pairs that are worth fitting, best first, beside those that were fitted loosely: each short to ground of theirs in
    /// every wire of its cluster, for so many sets of clusters.
    pub(super) fn in_every_wire(
        &mut self,
        loose: &[&Hypothesis],
        frames: usize,
        clusters: &[Vec<usize>],
        alike: &[usize],
    ) -> Vec<Offspring> {
        let mut seen: Vec<Vec<usize>> = Vec::new();
        let mut found = Vec::new();
        for pair in loose {
            let own: Vec<usize> = pair.faults.iter().map(|&index| alike[index]).collect();
            let mut key = own.clone();
            key.sort_unstable();
            if seen.len() == frames || seen.contains(&key) {
                continue;
            }
            seen.push(key);
            let Some(base) = self.base(pair) else {
                continue;
            };
            let wires: Vec<Vec<Vec<usize>>> = (pair.faults.iter().zip(&own))
                .map(|(&index, &number)| match self.candidates[index].kind {
                    FaultKind::ShortToGround | FaultKind::DrawsTooMuch => {
                        self.wires(&clusters[number])
                    }
                    _ => Vec::new(),
                })
                .collect();
            let start: Placed = (pair.faults.clone(), base.fit.faults.clone());
            for first in 0..wires.len() {
                let mut best = self.instead(&start, first, &wires[first], &base);
                best.truncate(KEPT);
                for second in (0..wires.len()).filter(|&second| second != first) {
                    for one in &best {
                        let placed = (one.faults.clone(), one.list.clone());
                        found.extend(self.instead(&placed, second, &wires[second], &base));
                    }
                }
                found.append(&mut best);
            }
        }
        self.handed_on(found)
    }

    /// The likeliest candidate for a bad joint in each element.
    fn series(&self) -> Vec<Option<usize>> {
        let mut series: Vec<Option<usize>> = vec![None; self.weigher.model().elements.len()];
        for (index, candidate) in self.candidates.iter().enumerate() {
            if let (Effect::Series(element), Some(_)) = (candidate.effect, candidate.size) {
                let known = &mut series[element];
                if known.is_none_or(|one| self.candidates[one].weight < candidate.weight) {
                    *known = Some(index);
                }
            }
        }
        series
    }

    /// A short in a wire beside a bad joint anywhere: more ohms in one element move all readings of a linear network along one
    /// direction, which the sensitivities to that element give, so that one look at the short serves for all joints.
    fn joints(
        &mut self,
        wire: &[usize],
        base: &Base<'_>,
        series: &[Option<usize>],
    ) -> Vec<Offspring> {
        let size = base.fit.faults[0].log_size;
        let ways = [Way::along(self.ends(wire))];
        let at = |me: &Self, at: &[f64]| {
            let (index, fault) = me.placed(wire, at[0], size);
            (vec![index], vec![fault])
        };
        let Some(short) = self.best(base, &ways, &at) else {
            return Vec::new();
        };
        let free = [self.candidates[short.faults[0]].size];
        let line = (self.weigher).linearise(&short.list, &free, &short.deviations);
        let Some(line) = line else { return Vec::new() };
        let white = |of: &dyn Fn(usize) -> f64| {
            let mut column: Vec<f64> = line.exact.iter().map(|&m| of(m)).collect();
            line.cholesky.forward(&mut column);
            column
        };
        let moved = {
            let x = short.list[0].effect.fraction().unwrap_or(0.5);
            let ahead = ways[0].ahead.copysign(ways[0].middle() - x);
            let (_, fault) = self.placed(wire, x + ahead, size);
            let values = self.read(&[fault], &short.deviations);
            white(&|m| (values[m] - line.at.value[m]) / ahead)
        };
        // The place may move with it.
        let held = ways[0].held + dot(&moved, &moved);
        let freed = |mut column: Vec<f64>| {
            let share = dot(&moved, &column) / held;
            for (entry, along) in column.iter_mut().zip(&moved) {
                *entry -= share * along;
            }
            column
        };
        let mut residual: Vec<f64> = (line.exact.iter().zip(&line.target))
            .map(|(&m, target)| target - line.at.value[m])
            .collect();
        line.cholesky.forward(&mut residual);
        let residual = freed(residual);
        let plain = -0.5 * (dot(&residual, &residual) + line.constant);
        let mut found: Vec<Offspring> = Vec::new();
        let mut row = usize::MAX;
        for share in self.weigher.predictor.shares(&line.at) {
            let Some(joint) = series[share.element] else {
                continue;
            };
            // The members of a strand move the readings alike; the likeliest of them comes by its neighbours.
            if share.row == row {
                continue;
            }
            row = share.row;
            let column = freed(white(&|m| line.at.leans(m)[row]));
            let square = dot(&column, &column);
            let product = dot(&column, &residual);
            let gain = product * product / (square + NOTHING);
            let element = &self.weigher.model().elements[share.element];
            let ohms = (product / (square + NOTHING)).abs() * element.spread
                / (element.siemens * share.share);
            let candidate = &self.candidates[joint];
            let (mean, sd) = candidate.size.unwrap_or((0.0, 1.0));
            let size = ohms
                .max(NOTHING)
                .ln()
                .clamp(mean - LIKELY * sd, mean + LIKELY * sd);
            let faults = vec![short.faults[0], joint];
            let score = plain + 0.5 * gain + self.prior(&faults);
            found.push(Offspring {
                misfit: -score,
                faults,
                list: vec![short.list[0], candidate.fault(size)],
                deviations: short.deviations.clone(),
            });
        }
        best_first(&mut found);
        found.truncate(KEPT);
        found
    }

    fn handed_on(&self, mut found: Vec<Offspring>) -> Vec<Offspring> {
        found.retain(|pair| -pair.misfit >= self.most - FAR && !self.same(&pair.faults));
        best_first(&mut found);
        let mut seen: Vec<Vec<usize>> = Vec::new();
        found.retain(|pair| {
            let mut key = pair.faults.clone();
            key.sort_unstable();
            let fresh = seen.len() < HANDED_ON && !seen.contains(&key);
            if fresh {
                seen.push(key);
            }
            fresh
        });
        found
    }

    fn base<'f>(&mut self, of: &'f Hypothesis) -> Option<Base<'f>> {
        let fit = &of.robust.best;
        let free: Vec<Option<SizePrior>> = (of.faults.iter())
            .map(|&f| self.candidates[f].size)
            .collect();
        self.weigher.predictor.bench.low = fit.low;
        let line = (self.weigher).linearise(&fit.faults, &free, &fit.deviations)?;
        Some(Base { fit, line })
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

    /// Two wires with the current of the single divided between them; both together conduct as it did.
    fn divided(&mut self, wires: [&[usize]; 2], base: &Base<'_>) -> Option<Offspring> {
        let ways = [
            Way::along(self.ends(wires[0])),
            Way::along(self.ends(wires[1])),
            Way::division(),
        ];
        self.best(base, &ways, &|me, at| {
            let shares = [at[2], -at[2]].map(|odds| 1.0 / (1.0 + (-odds).exp()));
            let mut placed = Placed::default();
            for (place, wire) in wires.into_iter().enumerate() {
                let size = base.fit.faults[0].log_size - shares[place].ln();
                let (index, fault) = me.placed(wire, at[place], size);
                placed.0.push(index);
                placed.1.push(fault);
            }
            placed
        })
    }

    /// One of some faults in each of some wires instead of where it is, best first.
    fn instead(
        &mut self,
        start: &Placed,
        place: usize,
        wires: &[Vec<usize>],
        base: &Base<'_>,
    ) -> Vec<Offspring> {
        let tried = self.both(wires.len(), |me, job| {
            let ways = [Way::along(me.ends(&wires[job]))];
            me.best(base, &ways, &|me, at| {
                let (mut faults, mut list) = start.clone();
                let size = list[place].log_size;
                (faults[place], list[place]) = me.placed(&wires[job], at[0], size);
                (faults, list)
            })
        });
        let mut tried: Vec<Offspring> = tried.into_iter().flatten().flatten().collect();
        best_first(&mut tried);
        tried
    }

    /// Fractions between which some stretches of a wire run; the whole of it where a fault has no place along a wire.
    fn ends(&self, wire: &[usize]) -> (f64, f64) {
        let ends = |index: Option<&usize>| self.candidates[*index?].ends();
        match (ends(wire.first()), ends(wire.last())) {
            (Some((low, _)), Some((_, high))) => (low, high),
            _ => (0.0, 1.0),
        }
    }

    /// The stretch of a wire that holds a place, and the fault there.
    fn placed(&self, wire: &[usize], x: f64, log_size: f64) -> (usize, Fault) {
        let holds = |&&index: &&usize| {
            let ends = self.candidates[index].ends();
            ends.is_none_or(|(low, high)| (low..=high).contains(&x))
        };
        let index = *wire.iter().find(holds).unwrap_or(&wire[0]);
        let candidate = &self.candidates[index];
        let effect = candidate.at(self.weigher.model(), x);
        let fault = Fault {
            effect,
            ..candidate.fault(log_size)
        };
        (index, fault)
    }

    /// The best of what can be found on some ways, from the middle of each, by least squares on the line.
    fn best(
        &mut self,
        base: &Base<'_>,
        ways: &[Way],
        placed: &dyn Fn(&Self, &[f64]) -> Placed,
    ) -> Option<Offspring> {
        self.weigher.predictor.bench.low = base.fit.low;
        let mut at: Vec<f64> = ways.iter().map(Way::middle).collect();
        for _ in 0..STEPS {
            let step = self.step(base, ways, &at, placed)?;
            for ((value, step), way) in at.iter_mut().zip(step).zip(ways) {
                *value = (*value + step).clamp(way.ends.0, way.ends.1);
            }
        }
        let (faults, list) = placed(self, &at);
        let values = self.read(&list, &base.fit.deviations);
        let score = self.weigher.score(&base.line, &values) + self.prior(&faults);
        score.is_finite().then(|| Offspring {
            misfit: -score,
            faults,
            list,
            deviations: base.fit.deviations.clone(),
        })
    }

    /// The step of least squares from `at`.
    fn step(
        &mut self,
        base: &Base<'_>,
        ways: &[Way],
        at: &[f64],
        placed: &dyn Fn(&Self, &[f64]) -> Placed,
    ) -> Option<Vec<f64>> {
        let line = &base.line;
        let here = self.read(&placed(self, at).1, &base.fit.deviations);
        let mut residual: Vec<f64> = (line.exact.iter().zip(&line.target))
            .map(|(&m, target)| target - here[m])
            .collect();
        line.cholesky.forward(&mut residual);
        let mut slopes: Vec<Vec<f64>> = Vec::with_capacity(ways.len());
        for (place, way) in ways.iter().enumerate() {
            let mut there = at.to_vec();
            // Towards the middle, where there is room.
            let ahead = way.ahead.copysign(way.middle() - there[place]);
            there[place] += ahead;
            let values = self.read(&placed(self, &there).1, &base.fit.deviations);
            let mut slope: Vec<f64> = (line.exact.iter())
                .map(|&m| (values[m] - here[m]) / ahead)
                .collect();
            line.cholesky.forward(&mut slope);
            slopes.push(slope);
        }
        let mut normal = Vec::with_capacity(ways.len() * ways.len());
        for (i, (slope, way)) in slopes.iter().zip(ways).enumerate() {
            for (k, other) in slopes.iter().enumerate() {
                normal.push(dot(slope, other) + if i == k { way.held } else { 0.0 });
            }
        }
        let mut step: Vec<f64> = slopes.iter().map(|slope| dot(slope, &residual)).collect();
        Cholesky::new(ways.len(), normal)?.solve(&mut step);
        Some(step)
    }

    pub(super) fn read(&mut self, list: &[Fault], deviations: &[Deviations]) -> Vec<f64> {
        let mut seen = std::mem::take(&mut self.weigher.prediction);
        (self.weigher.predictor).values(list, deviations, &mut seen);
        let values = seen.value.clone();
        self.weigher.prediction = seen;
        values
    }
}
