//! How readings lean on what is uncertain: strand by strand, and element by element where a fault splits a strand.

use super::{STARVED_SPREAD, view::View};
use crate::{
    infer::{
        lower::{Model, Quantity},
        solve::{Base, Bench, Effect, Fault, Solved},
        strand::Strands,
    },
    network::port::PORTS,
};

/// Room that is used again for every prediction.
#[derive(Clone, Debug, Default)]
pub(super) struct Scratch {
    pub(super) present: Vec<usize>,
    pub(super) active: Vec<Fault>,
    /// Factor of each strand's lean in the present state, for volts.
    pub(super) push: Vec<f64>,
    /// What one ampere through the meter's port puts across each strand.
    pub(super) across: Vec<f64>,
    /// Volts across each element of a split strand, in the present state and for that ampere.
    pub(super) volts: Vec<f64>,
    pub(super) adjoint: Vec<f64>,
    /// Lean of each reading on the deviations of the sources, one row a reading.
    pub(super) on_source: Vec<f64>,
    /// Lean of each reading on each strand, one row a reading.
    pub(super) on_strand: Vec<f64>,
    /// Strands in which a fault sits, so that the current is not one any more, and their elements.
    pub(super) split: Vec<usize>,
    pub(super) single: Vec<usize>,
    /// Lean of each reading on those elements, one row a reading.
    pub(super) on_single: Vec<f64>,
    pub(super) most: Vec<f64>,
    /// Those strands and elements on which a reading leans noticeably.
    pub(super) places: Vec<usize>,
}

/// Strands in which a fault sits.
pub(super) fn split(model: &Model, strands: &Strands, faults: &[Fault], out: &mut Vec<usize>) {
    out.clear();
    let mut add = |strand: usize| {
        if !out.contains(&strand) {
            out.push(strand);
        }
    };
    for fault in faults {
        match fault.effect {
            // Also where the element is by itself: what its own spread does is changed by the ohms beside it.
            Effect::Series(element) | Effect::Cut(element) => add(strands.of[element]),
            Effect::Shunt { port, .. } => {
                for &(node, _) in port.weights() {
                    if let Some(strand) = strands.joint[node.min(model.pattern.nodes)] {
                        add(strand);
                    }
                }
            }
            Effect::Weak(_) | Effect::Dead(_) | Effect::Early(_) => {}
        }
    }
}

impl Scratch {
    /// Voltages of the present state across every strand, and across every element of a split one.
    pub(super) fn prepare(&mut self, bench: &Bench<'_>, solved: &Solved, stand: usize) {
        let model = bench.model;
        let base = &bench.bases[solved.base];
        add_up(base, solved, &base.rest, &solved.w, &mut self.push);
        across(
            (bench, solved, &self.single),
            &base.rest,
            &solved.w,
            &mut self.volts,
        );
        let strand = |load: usize| bench.strands.of[model.electronic[load].element];
        let starved = solved.starved.map(|load| match model.electronic.get(load) {
            Some(known) => {
                self.push[strand(load)] * -STARVED_SPREAD * model.elements[known.element].siemens
            }
            None => 0.0,
        });
        for (push, drive) in self.push.iter_mut().zip(&base.drive) {
            *push *= drive;
        }
        for (load, below) in model.electronic.iter().zip(base.below()) {
            if !below && !model.stands[stand].off {
                self.push[bench.strands.of[load.element]] =
                    -load.draw * model.elements[load.element].spread;
            }
        }
        for (load, push) in solved.starved.into_iter().zip(starved) {
            if load < model.electronic.len() {
                self.push[strand(load)] = push;
            }
        }
    }

    #[allow(clippy::too_many_arguments, reason = "one reading's part of one loop")]
    pub(super) fn by_strand(
        &mut self,
        bench: &Bench<'_>,
        solved: &Solved,
        meter: &[f64],
        injected: &[f64; PORTS],
        view: &View<'_>,
        (value, scale): (f64, f64),
        reading: usize,
    ) {
        let base = &bench.bases[solved.base];
        add_up(base, solved, meter, injected, &mut self.across);
        across(
            (bench, solved, &self.single),
            meter,
            injected,
            &mut self.adjoint,
        );
        let strands = base.drive.len();
        let across = &self.across;
        let row = &mut self.on_strand[reading * strands..(reading + 1) * strands];
        match view.measured.what {
            Quantity::Ohms(..) => {
                for ((entry, a), d) in row.iter_mut().zip(across).zip(&base.drive) {
                    *entry = scale * d * a * a;
                }
            }
            _ => {
                for ((entry, a), p) in row.iter_mut().zip(across).zip(&self.push) {
                    *entry = scale * p * a;
                }
            }
        }
        if let Quantity::Through(flow) = view.measured.what {
            row[bench.strands.of[flow.element]] +=
                value * bench.model.elements[flow.element].spread;
        }
    }

    /// The elements of split strands, one by one.
    pub(super) fn by_single(
        &mut self,
        bench: &Bench<'_>,
        solved: &Solved,
        view: &View<'_>,
        (value, scale): (f64, f64),
        reading: usize,
    ) {
        let base = &bench.bases[solved.base];
        let singles = self.single.len();
        for (place, &row) in self.single.iter().enumerate() {
            let element = &bench.model.elements[row];
            let left = view.effective(row, base.siemens[row]);
            let mut change = view.by_element(left, self.adjoint[place], self.volts[place]);
            if matches!(view.measured.what, Quantity::Through(flow) if flow.element == row)
                && scale != 0.0
            {
                change += value / scale;
            }
            self.on_single[reading * singles + place] = change * element.spread * scale;
        }
    }
}

/// start + Σ w column over the strands.
fn add_up(base: &Base<'_>, solved: &Solved, start: &[f64], w: &[f64; PORTS], out: &mut Vec<f64>) {
    let end = start.len() - base.below().len();
    let range = end - base.drive.len()..end;
    let start = &start[range.clone()];
    out.resize(start.len(), 0.0);
    let mut columns = (base.sum_of(solved, w)).map(|(column, w)| (&column[range.clone()], w));
    match (columns.next(), columns.next()) {
        (Some((one, x)), Some((two, y))) => {
            let both = one.iter().zip(two);
            for ((entry, start), (one, two)) in out.iter_mut().zip(start).zip(both) {
                *entry = start + x * one + y * two;
            }
        }
        (Some((one, x)), None) => {
            for ((entry, start), one) in out.iter_mut().zip(start).zip(one) {
                *entry = start + x * one;
            }
        }
        (None, _) => out.copy_from_slice(start),
    }
    for (column, weight) in columns {
        for (entry, z) in out.iter_mut().zip(column) {
            *entry += weight * z;
        }
    }
}

/// The same across each of some elements.
fn across(
    (bench, solved, elements): (&Bench<'_>, &Solved, &[usize]),
    start: &[f64],
    w: &[f64; PORTS],
    out: &mut Vec<f64>,
) {
    let base = &bench.bases[solved.base];
    out.clear();
    out.extend(elements.iter().map(|&row| {
        let element = &bench.model.elements[row];
        let over = |column: &[f64]| column[element.a] - column[element.b];
        base.sum_of(solved, w)
            .fold(over(start), |volts, (column, weight)| {
                volts + weight * over(column)
            })
    }));
}
