//! What every reading would be under given faults, and how it leans on each uncertain parameter.
//!
//! Sensitivities are adjoint: with z the response to one ampere at the meter's port and v the node voltages,
//! ∂v_meter/∂ln g = −g (z_a − z_b)(v_a − v_b) for a conductance g between a and b. Source: S. W. Director and
//! R. A. Rohrer, IEEE Transactions on Circuit Theory 16 (1969).

mod lean;
mod limit;
mod tap;
mod view;

use self::{
    lean::{Scratch, split},
    limit::{Asked, NO_PATTERN, with},
    tap::taps,
    view::View,
};
use super::{
    gauss::LANES,
    lower::{Model, Quantity},
    solve::{Bench, Deviations, Fault, Solved, meter_port},
};
use crate::network::port::PORTS;

/// Spread of what an electronic load draws below its knee (judgement: nobody specifies it there).
pub const STARVED_SPREAD: f64 = 0.4;

/// Standard deviation of the current that a meter's input and insulation drive where a lead touches nothing that is fed
/// or grounded (A; memory: meters for the hand and the bench are stated with some 30 pA): 0.3 mV over 10 MΩ. Elsewhere it
/// does nothing.
const STRAY: f64 = 3e-11;

/// Predictions of all readings.
#[derive(Clone, Debug, Default)]
pub struct Prediction {
    /// Predicted values, SI.
    pub value: Vec<f64>,
    /// For each reading, its change per standard deviation of every uncertain parameter with a noticeable effect; the
    /// deviations of the sources come first, always all of them. See [`Prediction::leans`].
    lean: Vec<f64>,
    /// Number of such parameters.
    pub rows: usize,
    /// Entries of `lean` for each reading, those above `rows` zero.
    pub width: usize,
    /// What the last of the parameters belong to.
    kept: Vec<Kept>,
    /// Change of each reading per natural logarithm of each fault's size; one row a fault.
    pub by_size: Vec<f64>,
    /// For each reading of volts, the standard deviation of what stray current shows, V; else 0.
    pub stray: Vec<f64>,
    /// Whether every state came to agreement.
    pub settled: bool,
}

impl Prediction {
    /// How a reading leans on each uncertain parameter, filled up with zeros to a multiple of [`LANES`].
    pub fn leans(&self, reading: usize) -> &[f64] {
        &self.lean[reading * self.width..(reading + 1) * self.width]
    }
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
    /// Its place among [`Prediction::leans`].
    pub row: usize,
    /// Index of the element.
    pub element: usize,
    /// Its own sensitivity as a fraction of the row.
    pub share: f64,
}

/// How much is wanted of a prediction: values alone, also how they lean on the sizes of faults, or on everything.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Want {
    Values,
    Sizes,
    Leans,
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
    /// What was last asked of a supply without a limit.
    asked: Asked,
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
            asked: Asked::default(),
        }
    }

    /// Predicts every reading, and how it leans on the sizes of faults; with `lean`, on everything.
    pub fn predict(
        &mut self,
        faults: &[Fault],
        deviations: &[Deviations],
        lean: bool,
        out: &mut Prediction,
    ) {
        let want = if lean { Want::Leans } else { Want::Sizes };
        self.start(faults, want, out);
        self.pattern = NO_PATTERN;
        for number in 0..self.batches.len() {
            self.batch(number, faults, deviations, want, out);
            for &regime in &self.solved.regime[..self.solved.sources] {
                self.pattern = with(self.pattern, regime);
            }
        }
        if lean {
            self.collect(out);
        }
    }

    /// Predicts values and nothing else.
    pub fn values(&mut self, faults: &[Fault], deviations: &[Deviations], out: &mut Prediction) {
        self.predict_until(faults, deviations, out, |_, _| false);
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
        self.start(faults, Want::Values, out);
        for number in 0..self.batches.len() {
            self.batch(number, faults, deviations, Want::Values, out);
            let mut readings = self.batches[number].readings.iter().map(|r| r.0);
            if enough(&out.value, &mut readings) {
                return false;
            }
        }
        true
    }

    fn start(&mut self, faults: &[Fault], want: Want, out: &mut Prediction) {
        let model = self.bench.model;
        self.bench.make_room();
        let readings = model.measured.len();
        let zero = |list: &mut Vec<f64>, count: usize| {
            list.clear();
            list.resize(count, 0.0);
        };
        zero(&mut out.value, readings);
        let (stray, by_size) = match want {
            Want::Values => (0, 0),
            Want::Sizes | Want::Leans => (readings, readings * faults.len()),
        };
        zero(&mut out.stray, stray);
        zero(&mut out.by_size, by_size);
        out.settled = true;
        if want == Want::Leans {
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
        out.kept.clear();
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
                let lean = lean.abs() * scale;
                *most = if lean > *most { lean } else { *most };
            }
        }
        let matters = |&(strand, most): &(usize, &f64)| *most > 1.0 && !s.split.contains(&strand);
        s.places.clear();
        (s.places).extend(s.most.iter().enumerate().filter(matters).map(|one| one.0));
        let singles = s.single.len();
        let whole = s.places.len();
        s.places.extend((0..singles).filter(|&place| {
            (s.on_single.iter().skip(place).step_by(singles.max(1)))
                .zip(&model.measured)
                .any(|(lean, m)| lean.abs() > 0.02 * m.sd)
        }));
        let (strands_kept, singles_kept) = s.places.split_at(whole);
        (out.kept).extend(strands_kept.iter().map(|&strand| Kept::Strand(strand)));
        (out.kept).extend(
            singles_kept
                .iter()
                .map(|&place| Kept::Element(s.single[place])),
        );
        let on_source = 4 * model.sources.len();
        let first = on_source + model.gains;
        out.rows = first + out.kept.len();
        out.width = out.rows.next_multiple_of(LANES);
        out.lean.clear();
        out.lean.reserve(readings * out.width);
        for (reading, m) in model.measured.iter().enumerate() {
            let own = &s.on_source[reading * on_source..(reading + 1) * on_source];
            out.lean.extend_from_slice(own);
            let gain = if m.over { 0.0 } else { m.gain.0 * m.value };
            let own = |number: usize| if number == m.gain.1 { gain } else { 0.0 };
            out.lean.extend((0..model.gains).map(own));
            let own = &s.on_strand[reading * strands..(reading + 1) * strands];
            out.lean
                .extend(strands_kept.iter().map(|&place| own[place]));
            let own = &s.on_single[reading * singles..(reading + 1) * singles];
            out.lean
                .extend(singles_kept.iter().map(|&place| own[place]));
            out.lean.resize((reading + 1) * out.width, 0.0);
        }
    }

    fn batch(
        &mut self,
        number: usize,
        faults: &[Fault],
        deviations: &[Deviations],
        want: Want,
        out: &mut Prediction,
    ) {
        let Self {
            bench,
            batches,
            solved,
            scratch: s,
            ..
        } = self;
        let batch = &batches[number];
        let model = bench.model;
        let total = model.measured.len();
        let mut some = std::mem::take(&mut s.active);
        s.present.clear();
        (s.present).extend((0..faults.len()).filter(|&index| faults[index].present(batch.repairs)));
        let active = if s.present.len() == faults.len() {
            faults
        } else {
            some.clear();
            some.extend(s.present.iter().map(|&index| faults[index]));
            &some
        };
        let lean = want == Want::Leans;
        bench.solve_into(
            batch.stand,
            active,
            deviations,
            lean || batch.currents,
            solved,
        );
        let solved = &*solved;
        out.settled &= solved.settled;
        let base = &bench.bases[solved.base];
        if lean {
            s.prepare(bench, solved, batch.stand);
        }
        for &(reading, place) in &batch.readings {
            let measured = &model.measured[reading];
            let taps = taps(model, measured, active, solved, &base.siemens);
            let mut tapped = Vec::new();
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
            let port = meter_port(model, measured.what);
            let seen = see(solved, meter);
            let mut own = port.of(meter);
            let mut port_volts = port.of(&base.rest);
            let mut drawn_beside = 0.0;
            for k in 0..solved.count {
                own += seen.injected[k] * seen.open[k];
                port_volts += solved.w[k] * seen.open[k];
            }
            if let Some(taps) = &taps {
                for (k, share) in taps.iter().enumerate().take(solved.count) {
                    port_volts += share * solved.ports[k].of(&base.rest);
                    drawn_beside += share * solved.u[k];
                }
            }
            let view = View {
                model,
                solved,
                active,
                measured,
                response: &seen.response,
                own,
                taps: taps.as_ref(),
            };
            let raw = view.value(port_volts, &base.siemens);
            let loading = 1.0 / (1.0 + measured.loading * own);
            out.value[reading] = raw.0 * loading;
            if want == Want::Values {
                continue;
            }
            // What the wire carries from end to end; it alone leans on the wire's own ohms directly.
            let whole = raw.0 - raw.1 * drawn_beside;
            if matches!(measured.what, Quantity::Volts(_)) {
                out.stray[reading] = STRAY * own.abs() * loading;
            }
            let scale = raw.1 * loading;
            for (slot, &fault) in s.present.iter().enumerate() {
                let size = bench.size(slot, active);
                out.by_size[fault * total + reading] =
                    scale * view.by_size((slot, size), &base.siemens, port_volts - drawn_beside);
            }
            if !lean {
                continue;
            }
            let on_source = 4 * model.sources.len();
            let row = &mut s.on_source[reading * on_source..(reading + 1) * on_source];
            for (source, entries) in row.chunks_exact_mut(4).enumerate() {
                entries.copy_from_slice(&view.by_source(source, scale));
            }
            s.by_strand(
                bench,
                solved,
                meter,
                &seen.injected,
                &view,
                (whole, scale),
                reading,
            );
            s.by_single(bench, solved, &view, (whole, scale), reading);
        }
        s.active = some;
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
