//! What every reading would be under given faults, and how it leans on each uncertain parameter.
//!
//! Sensitivities are adjoint: with z the response to one ampere at the meter's port and v the node voltages,
//! ∂v_meter/∂ln g = −g (z_a − z_b)(v_a − v_b) for a conductance g between a and b. Source: S. W. Director and
//! R. A. Rohrer, IEEE Transactions on Circuit Theory 16 (1969).

mod lean;
mod tap;
mod view;

use self::{
    lean::{Scratch, split},
    tap::taps,
    view::View,
};
use super::{
    lower::{Model, Quantity},
    solve::{Bench, Deviations, Fault, Regime, Solved, meter_port},
};
use crate::network::port::PORTS;

/// Spread of what an electronic load draws below its knee (judgement: nobody specifies it there).
pub const STARVED_SPREAD: f64 = 0.4;

/// Predictions of all readings.
#[derive(Clone, Debug, Default)]
pub struct Prediction {
    /// Predicted values, SI.
    pub value: Vec<f64>,
    /// For every uncertain parameter with a noticeable effect, the change of each reading per standard deviation;
    /// the deviations of the sources come first, always all of them.
    pub lean: Vec<f64>,
    /// Number of rows in `lean`; each row has one entry a reading.
    pub rows: usize,
    /// What the last rows of `lean` belong to.
    kept: Vec<Kept>,
    /// Change of each reading per natural logarithm of each fault's size; one row a fault.
    pub by_size: Vec<f64>,
    /// Whether every state came to agreement.
    pub settled: bool,
}

/// What a row of sensitivities belongs to.
#[derive(Clone, Copy, Debug)]
enum Kept {
    Strand(usize),
    Element(usize),
}

/// An element's part in a row of sensitivities.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Share {
    /// Row of [`Prediction::lean`].
    pub row: usize,
    /// Index of the element.
    pub element: usize,
    /// Its own sensitivity as a fraction of the row.
    pub share: f64,
}

/// Readings that share a state and a number of repairs.
#[derive(Clone, Debug)]
struct Batch {
    stand: usize,
    repairs: usize,
    /// Index of the reading and its place in the base's meter columns.
    readings: Vec<(usize, usize)>,
    /// Whether a current is read: beside a short on its wire that takes the column of the short.
    currents: bool,
}

/// Predicts the readings of one model.
#[derive(Clone, Debug)]
pub struct Predictor<'m> {
    /// The solved states.
    pub bench: Bench<'m>,
    batches: Vec<Batch>,
    solved: Solved,
    scratch: Scratch,
    /// A number for the regimes of all supplies in the states of the last prediction.
    pub(super) pattern: u64,
}

impl<'m> Predictor<'m> {
    /// A predictor over a model.
    pub fn new(model: &'m Model) -> Self {
        let bench = Bench::new(model);
        let mut batches: Vec<Batch> = Vec::new();
        for (stand, taken) in bench.taken.iter().enumerate() {
            for (place, &reading) in taken.iter().enumerate() {
                let repairs = model.measured[reading].repairs;
                match batches
                    .iter_mut()
                    .find(|b| b.stand == stand && b.repairs == repairs)
                {
                    Some(batch) => batch.readings.push((reading, place)),
                    None => batches.push(Batch {
                        stand,
                        repairs,
                        readings: vec![(reading, place)],
                        currents: false,
                    }),
                }
            }
        }
        for batch in &mut batches {
            batch.currents = (batch.readings.iter())
                .any(|&(m, _)| matches!(model.measured[m].what, Quantity::Through(_)));
        }
        Self {
            bench,
            batches,
            solved: Solved::nothing(),
            scratch: Scratch::default(),
            pattern: 0,
        }
    }

    /// Predicts every reading; with `lean`, the sensitivities too.
    pub fn predict(
        &mut self,
        faults: &[Fault],
        deviations: &[Deviations],
        lean: bool,
        out: &mut Prediction,
    ) {
        self.start(faults, lean, out);
        self.pattern = 0xcbf2_9ce4_8422_2325;
        for number in 0..self.batches.len() {
            self.batch(number, faults, deviations, lean, out);
            for regime in &self.solved.regime[..self.solved.sources] {
                self.pattern = (self.pattern ^ *regime as u64).wrapping_mul(0x0100_0000_01b3);
            }
        }
        if lean {
            self.collect(out);
        }
    }

    /// The elements behind the rows of a prediction's sensitivities.
    pub fn shares(&self, prediction: &Prediction) -> Vec<Share> {
        let first = prediction.rows - prediction.kept.len();
        let mut shares = Vec::new();
        for (place, kept) in prediction.kept.iter().enumerate() {
            let row = first + place;
            match *kept {
                Kept::Element(element) => shares.push(Share {
                    row,
                    element,
                    share: 1.0,
                }),
                Kept::Strand(strand) => {
                    let strand = &self.bench.strands.list[strand];
                    shares.extend(strand.members.iter().map(|&element| {
                        let one = &self.bench.model.elements[element];
                        Share {
                            row,
                            element,
                            share: one.spread / one.siemens / strand.sd_ohm,
                        }
                    }));
                }
            }
        }
        shares
    }

    /// Predicts values batch by batch until `enough` says, of all values and those just predicted, that it has seen
    /// enough; whether all were predicted.
    pub fn predict_until(
        &mut self,
        faults: &[Fault],
        deviations: &[Deviations],
        out: &mut Prediction,
        mut enough: impl FnMut(&[f64], &mut dyn Iterator<Item = usize>) -> bool,
    ) -> bool {
        self.start(faults, false, out);
        for number in 0..self.batches.len() {
            self.batch(number, faults, deviations, false, out);
            let mut readings = self.batches[number].readings.iter().map(|r| r.0);
            if enough(&out.value, &mut readings) {
                return false;
            }
        }
        true
    }

    /// Which regime every supply is in when each reading is taken, as a number that tells such patterns apart, and for
    /// each supply that reaches its limit nowhere how near it comes: the largest logarithm of current over typical limit.
    pub(super) fn regimes(
        &mut self,
        faults: &[Fault],
        deviations: &[Deviations],
    ) -> (u64, Vec<Option<f64>>) {
        let model = self.bench.model;
        self.bench.make_room();
        let mut pattern = 0xcbf2_9ce4_8422_2325_u64;
        let mut near = vec![Some(f64::NEG_INFINITY); model.sources.len()];
        let mut active = Vec::with_capacity(faults.len());
        for batch in &self.batches {
            active.clear();
            active.extend(faults.iter().filter(|f| f.present(batch.repairs)));
            let solved = &mut self.solved;
            (self.bench).solve_into(batch.stand, &active, deviations, false, solved);
            for (i, near) in near.iter_mut().enumerate().take(solved.sources) {
                let (now, u) = (&solved.now[i], solved.u[i]);
                pattern = (pattern ^ solved.regime[i] as u64).wrapping_mul(0x0100_0000_01b3);
                match solved.regime[i] {
                    Regime::Limited => *near = None,
                    Regime::Thevenin => {
                        let typical = -model.sources[i].limit_spread * deviations[i][2];
                        let asked = ((now.volts - u) / now.ohms / now.limit_at(u)).max(1e-9);
                        *near = near.map(|most| most.max(asked.ln() - typical));
                    }
                    Regime::Blocked | Regime::Off => {}
                }
            }
        }
        (pattern, near)
    }

    fn start(&mut self, faults: &[Fault], lean: bool, out: &mut Prediction) {
        let model = self.bench.model;
        self.bench.make_room();
        let readings = model.measured.len();
        let zero = |list: &mut Vec<f64>, count: usize| {
            list.clear();
            list.resize(count, 0.0);
        };
        zero(&mut out.value, readings);
        zero(&mut out.by_size, readings * faults.len());
        out.settled = true;
        if lean {
            let s = &mut self.scratch;
            split(model, &self.bench.strands, faults, &mut s.split);
            s.single.clear();
            for &strand in &s.split {
                s.single
                    .extend_from_slice(&self.bench.strands.list[strand].members);
            }
            // Every entry of these is written, so what stands there may stay.
            s.on_source.resize(readings * 4 * model.sources.len(), 0.0);
            (s.on_strand).resize(readings * self.bench.strands.list.len(), 0.0);
            s.on_single.resize(readings * s.single.len(), 0.0);
        }
    }

    /// Keeps the rows that matter: all of the sources, the gains, and strands whose effect is not lost in the display.
    fn collect(&mut self, out: &mut Prediction) {
        let model = self.bench.model;
        let s = &mut self.scratch;
        let readings = model.measured.len();
        out.lean.clear();
        out.kept.clear();
        out.lean.extend_from_slice(&s.on_source);
        for gain in 0..model.gains {
            out.lean.extend(model.measured.iter().map(|m| {
                if m.gain.1 == gain && !m.over {
                    m.gain.0 * m.value
                } else {
                    0.0
                }
            }));
        }
        let strands = self.bench.strands.list.len();
        s.most.clear();
        s.most.resize(strands, 0.0);
        for (row, m) in s
            .on_strand
            .chunks_exact(strands.max(1))
            .zip(&model.measured)
        {
            let scale = 1.0 / (0.02 * m.sd);
            for (most, lean) in s.most.iter_mut().zip(row) {
                *most = most.max(lean.abs() * scale);
            }
        }
        for (strand, most) in s.most.iter().enumerate() {
            if *most > 1.0 && !s.split.contains(&strand) {
                out.lean
                    .extend((0..readings).map(|m| s.on_strand[m * strands + strand]));
                out.kept.push(Kept::Strand(strand));
            }
        }
        let singles = s.single.len();
        for place in 0..singles {
            let column = |m: usize| s.on_single[m * singles + place];
            if (0..readings).any(|m| column(m).abs() > 0.02 * model.measured[m].sd) {
                out.lean.extend((0..readings).map(column));
                out.kept.push(Kept::Element(s.single[place]));
            }
        }
        out.rows = out.lean.len().checked_div(readings).unwrap_or(0);
    }

    fn batch(
        &mut self,
        number: usize,
        faults: &[Fault],
        deviations: &[Deviations],
        lean: bool,
        out: &mut Prediction,
    ) {
        let model = self.bench.model;
        let total = model.measured.len();
        let (stand, repairs) = (self.batches[number].stand, self.batches[number].repairs);
        let mut s = std::mem::take(&mut self.scratch);
        let mut active = std::mem::take(&mut s.active);
        s.present.clear();
        active.clear();
        for (index, fault) in faults.iter().enumerate() {
            if fault.present(repairs) {
                s.present.push(index);
                active.push(*fault);
            }
        }
        let solved = &mut self.solved;
        let columns = lean || self.batches[number].currents;
        self.bench
            .solve_into(stand, &active, deviations, columns, solved);
        let solved = &*solved;
        out.settled &= solved.settled;
        let base = &self.bench.bases[solved.base];
        if lean {
            s.prepare(&self.bench, solved, stand);
        }
        for &(reading, place) in &self.batches[number].readings {
            let measured = &model.measured[reading];
            let taps = taps(model, measured, &active, solved, &base.siemens);
            let mut tapped = std::mem::take(&mut s.tapped);
            let meter = match &taps {
                None => &base.meter[place],
                Some(taps) => {
                    tapped.clone_from(&base.meter[place]);
                    for (column, weight) in base.sum_of(solved, taps) {
                        for (entry, z) in tapped.iter_mut().zip(column) {
                            *entry += weight * z;
                        }
                    }
                    &tapped
                }
            };
            let seen = see(solved, meter);
            let port = meter_port(model, measured.what);
            let mut own = port.of(meter);
            let mut port_volts = port.of(&base.rest);
            let mut drawn_beside = 0.0;
            for k in 0..solved.count {
                own += seen.injected[k] * seen.open[k];
                port_volts += solved.w[k] * seen.open[k];
                if let Some(taps) = &taps {
                    port_volts += taps[k] * solved.ports[k].of(&base.rest);
                    drawn_beside += taps[k] * solved.u[k];
                }
            }
            let view = View {
                model,
                solved,
                active: &active,
                measured,
                response: &seen.response,
                own,
                taps: taps.as_ref(),
            };
            let raw = view.value(port_volts, &base.siemens);
            // What the wire carries from end to end; it alone leans on the wire's own ohms directly.
            let whole = raw.0 - raw.1 * drawn_beside;
            let loading = 1.0 / (1.0 + measured.loading * own);
            out.value[reading] = raw.0 * loading;
            let scale = raw.1 * loading;
            for (slot, &fault) in s.present.iter().enumerate() {
                out.by_size[fault * total + reading] =
                    scale * view.by_size(slot, &base.siemens, port_volts - drawn_beside);
            }
            if !lean {
                s.tapped = tapped;
                continue;
            }
            for source in 0..model.sources.len() {
                for (k, change) in view.by_source(source, scale).into_iter().enumerate() {
                    s.on_source[(4 * source + k) * total + reading] = change;
                }
            }
            s.by_strand(
                &self.bench,
                solved,
                meter,
                &seen.injected,
                &view,
                (whole, scale),
                reading,
            );
            s.by_single(&self.bench, solved, &view, (whole, scale), reading);
            s.tapped = tapped;
        }
        s.active = active;
        self.scratch = s;
    }
}

/// How the ports answer to one ampere at a meter's port.
struct Seen {
    /// Their voltages with nothing attached.
    open: [f64; PORTS],
    /// Their voltages with everything attached.
    response: [f64; PORTS],
    /// The currents that they then drive in.
    injected: [f64; PORTS],
}

fn see(solved: &Solved, meter: &[f64]) -> Seen {
    let mut open = [0.0; PORTS];
    for (entry, port) in open.iter_mut().zip(&solved.ports).take(solved.count) {
        *entry = port.of(meter);
    }
    let mut response = open;
    solved.system.solve(&mut response);
    let mut injected = [0.0; PORTS];
    for k in 0..solved.count {
        injected[k] = -solved.y[k] * response[k];
    }
    Seen {
        open,
        response,
        injected,
    }
}
