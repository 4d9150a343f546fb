//! What every reading would be under given faults, and how it leans on each uncertain parameter.
//!
//! Sensitivities are adjoint: with z the response to one ampere at the meter's port and v the node voltages,
//! ∂v_meter/∂ln g = −g (z_a − z_b)(v_a − v_b) for a conductance g between a and b. Source: S. W. Director and
//! R. A. Rohrer, IEEE Transactions on Circuit Theory 16 (1969).

use super::{
    lower::{Measured, Model, Quantity},
    solve::{Base, Bench, Deviations, Effect, Fault, Regime, Solved, meter_port},
    strand::Strands,
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
    /// Change of each reading per natural logarithm of each fault's size; one row a fault.
    pub by_size: Vec<f64>,
    /// Whether every state came to agreement.
    pub settled: bool,
}

/// Readings that share a state and a number of repairs.
#[derive(Clone, Debug)]
struct Batch {
    stand: usize,
    repairs: usize,
    /// Index of the reading and its place in the base's meter columns.
    readings: Vec<(usize, usize)>,
}

/// Predicts the readings of one model.
#[derive(Clone, Debug)]
pub struct Predictor<'m> {
    /// The solved states.
    pub bench: Bench<'m>,
    batches: Vec<Batch>,
    solved: Solved,
    scratch: Scratch,
}

/// Room that is used again for every prediction.
#[derive(Clone, Debug, Default)]
struct Scratch {
    present: Vec<usize>,
    active: Vec<Fault>,
    /// Factor of each strand's lean in the present state, for volts.
    push: Vec<f64>,
    volts: Vec<f64>,
    adjoint: Vec<f64>,
    /// Lean of each reading on the deviations of the sources.
    on_source: Vec<f64>,
    /// Lean of each reading on each strand, one row a reading.
    on_strand: Vec<f64>,
    /// Strands in which a fault sits, so that the current is not one any more, and their elements.
    split: Vec<usize>,
    single: Vec<usize>,
    /// Lean of each reading on those elements, one row a reading.
    on_single: Vec<f64>,
    most: Vec<f64>,
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
                    }),
                }
            }
        }
        Self {
            bench,
            batches,
            solved: Solved::nothing(),
            scratch: Scratch::default(),
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
        for number in 0..self.batches.len() {
            self.batch(number, faults, deviations, lean, out);
        }
        if lean {
            self.collect(out);
        }
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
            zero(&mut s.on_source, readings * 4 * model.sources.len());
            zero(&mut s.on_strand, readings * self.bench.strands.list.len());
            zero(&mut s.on_single, readings * s.single.len());
        }
    }

    /// Keeps the rows that matter: all of the sources, the gains, and strands whose effect is not lost in the display.
    fn collect(&mut self, out: &mut Prediction) {
        let model = self.bench.model;
        let s = &mut self.scratch;
        let readings = model.measured.len();
        out.lean.clear();
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
            }
        }
        let singles = s.single.len();
        for place in 0..singles {
            let column = |m: usize| s.on_single[m * singles + place];
            if (0..readings).any(|m| column(m).abs() > 0.02 * model.measured[m].sd) {
                out.lean.extend((0..readings).map(column));
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
        self.bench.solve_into(stand, &active, deviations, solved);
        let solved = &*solved;
        out.settled &= solved.settled;
        let base = &self.bench.bases[solved.base];
        if lean {
            s.prepare(&self.bench, solved, stand);
        }
        for &(reading, place) in &self.batches[number].readings {
            let measured = &model.measured[reading];
            let meter = &base.meter[place];
            let seen = see(solved, meter);
            let port = meter_port(model, measured.what);
            let mut own = port.of(meter);
            let mut port_volts = port.of(&base.rest);
            for k in 0..solved.count {
                own += seen.injected[k] * seen.open[k];
                port_volts += solved.w[k] * seen.open[k];
            }
            let view = View {
                model,
                solved: solved,
                active: &active,
                measured,
                response: &seen.response,
                own,
            };
            let raw = view.value(port_volts, &base.siemens);
            let loading = 1.0 / (1.0 + measured.loading * own);
            out.value[reading] = raw.0 * loading;
            let scale = raw.1 * loading;
            for (slot, &fault) in s.present.iter().enumerate() {
                out.by_size[fault * total + reading] =
                    scale * view.by_size(slot, &base.siemens, raw.0);
            }
            if !lean {
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
                (raw.0, scale),
                reading,
            );
            s.by_single(&self.bench, solved, &view, (raw.0, scale), reading);
        }
        s.active = active;
        self.scratch = s;
    }
}

/// Strands in which a fault sits.
fn split(model: &Model, strands: &Strands, faults: &[Fault], out: &mut Vec<usize>) {
    out.clear();
    let mut add = |strand: usize| {
        if strands.list[strand].members.len() > 1 && !out.contains(&strand) {
            out.push(strand);
        }
    };
    for fault in faults {
        match fault.effect {
            Effect::Series(element) => add(strands.of[element]),
            Effect::Shunt { port, .. } => {
                for &(node, _) in port.weights() {
                    if let Some(strand) = strands.joint[node.min(model.pattern.nodes)] {
                        add(strand);
                    }
                }
            }
            Effect::Cut(_) | Effect::Weak(_) | Effect::Dead(_) | Effect::Early(_) => {}
        }
    }
}

impl Scratch {
    /// Voltages of the present state across every strand, and at every node where a strand is split.
    fn prepare(&mut self, bench: &Bench<'_>, solved: &Solved, stand: usize) {
        let model = bench.model;
        let base = &bench.bases[solved.base];
        let whole = !self.single.is_empty();
        add_up(
            base,
            solved,
            &base.rest,
            &solved.w,
            whole,
            bench,
            &mut self.volts,
        );
        self.push.clear();
        let across = &self.volts[self.volts.len() - base.drive.len()..];
        self.push
            .extend(base.drive.iter().zip(across).map(|(d, v)| d * v));
        for (load, below) in model.electronic.iter().zip(base.below()) {
            if !below && !model.stands[stand].off {
                self.push[bench.strands.of[load.element]] =
                    -load.draw * model.elements[load.element].spread;
            }
        }
    }

    #[allow(clippy::too_many_arguments, reason = "one reading's part of one loop")]
    fn by_strand(
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
        let whole = !self.single.is_empty();
        add_up(
            base,
            solved,
            meter,
            injected,
            whole,
            bench,
            &mut self.adjoint,
        );
        let strands = base.drive.len();
        let across = &self.adjoint[self.adjoint.len() - strands..];
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
        if let Quantity::Through(element) = view.measured.what {
            row[bench.strands.of[element]] += value * bench.model.elements[element].spread;
        }
    }

    /// The elements of split strands, one by one.
    fn by_single(
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
            let mut change = view.by_element(element, left, &self.adjoint, &self.volts);
            if matches!(view.measured.what, Quantity::Through(e) if e == row) {
                change += value / scale.max(1e-30);
            }
            self.on_single[reading * singles + place] = change * element.spread * scale;
        }
    }
}

/// start + Σ w column: over the strands, and with `whole` over all nodes before them.
fn add_up(
    base: &Base<'_>,
    solved: &Solved,
    start: &[f64],
    w: &[f64; PORTS],
    whole: bool,
    bench: &Bench<'_>,
    out: &mut Vec<f64>,
) {
    let nodes = bench.model.pattern.nodes + 1;
    let end = nodes + base.drive.len();
    let range = if whole { 0..end } else { nodes..end };
    out.clear();
    out.extend_from_slice(&start[range.clone()]);
    for (column, weight) in base.sum_of(solved, w) {
        for (entry, z) in out.iter_mut().zip(&column[range.clone()]) {
            *entry += weight * z;
        }
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

struct View<'a> {
    model: &'a Model,
    solved: &'a Solved,
    active: &'a [Fault],
    measured: &'a Measured,
    response: &'a [f64],
    own: f64,
}

impl View<'_> {
    /// Value before the meter's loading, and its change per volt of the port.
    fn value(&self, port_volts: f64, siemens: &[f64]) -> (f64, f64) {
        match self.measured.what {
            Quantity::Volts(_) => (port_volts, 1.0),
            Quantity::Ohms(_, lead) => (self.own + lead, 1.0),
            Quantity::Through(element) => {
                let mut g = siemens[element];
                for (slot, &index) in self.solved.which().iter().enumerate() {
                    if matches!(self.active[index].effect, Effect::Series(e) if e == element) {
                        g += self.solved.y[self.solved.sources + slot];
                    }
                }
                (g * port_volts, g)
            }
            Quantity::Output(source) => {
                let now = &self.solved.now[source];
                let u = self.solved.u[source];
                match self.solved.regime[source] {
                    Regime::Thevenin => ((now.volts - u) / now.ohms, -1.0 / now.ohms),
                    Regime::Limited => (now.limit_at(u), now.slope()),
                    Regime::Blocked | Regime::Off => (0.0, 0.0),
                }
            }
        }
    }

    fn by_source(&self, source: usize, scale: f64) -> [f64; 4] {
        let drawn = &self.model.sources[source];
        let solved = self.solved;
        if source >= solved.sources {
            return [0.0; 4];
        }
        let (now, u) = (&solved.now[source], solved.u[source]);
        let current = match solved.regime[source] {
            Regime::Thevenin => {
                let factor = if drawn.volts.0 == 0.0 {
                    1.0
                } else {
                    now.volts / drawn.volts.0
                };
                [
                    drawn.volts.1 * factor.min(1.0) / now.ohms,
                    -(now.volts - u) / now.ohms * drawn.ohms.1,
                    0.0,
                    0.0,
                ]
            }
            Regime::Limited => {
                let ratio = if drawn.limit == drawn.short_circuit {
                    None
                } else {
                    Some(u / now.nominal)
                };
                match ratio {
                    None => [0.0, 0.0, now.limit * drawn.limit_spread, 0.0],
                    Some(ratio) => [
                        0.0,
                        0.0,
                        now.limit * ratio * drawn.limit_spread,
                        now.short_circuit * (1.0 - ratio) * drawn.limit_spread,
                    ],
                }
            }
            Regime::Blocked | Regime::Off => [0.0; 4],
        };
        let direct = match self.measured.what {
            Quantity::Output(s) if s == source => 1.0,
            _ => 0.0,
        };
        current.map(|change| change * (self.response[source] * scale + direct))
    }

    fn by_element(
        &self,
        element: &super::lower::Element,
        siemens: f64,
        adjoint: &[f64],
        volts: &[f64],
    ) -> f64 {
        let across = adjoint[element.a] - adjoint[element.b];
        match self.measured.what {
            Quantity::Ohms(..) => -siemens * across * across,
            _ => -siemens * across * (volts[element.a] - volts[element.b]),
        }
    }

    /// What a change of an element's own conductance g does at its ends: g itself, or g'²/g where a fault in series
    /// leaves g' of it, since dg'/dln g = g'²/g for 1/g' = 1/g + R.
    fn effective(&self, row: usize, siemens: f64) -> f64 {
        let faulted = self
            .active
            .iter()
            .any(|fault| fault.effect == Effect::Series(row));
        if !faulted {
            return siemens;
        }
        let left: f64 = (self.active.iter())
            .filter(|fault| fault.effect == Effect::Series(row))
            .fold(siemens, |g, fault| g / (1.0 + g * fault.log_size.exp()));
        left * left / siemens
    }

    /// Change of the port's volts (or ohms) per logarithm of a fault's size.
    fn by_size(&self, slot: usize, siemens: &[f64], value: f64) -> f64 {
        let solved = self.solved;
        let fault = &self.active[slot];
        let size = fault.log_size.exp();
        let through = |change: f64| {
            let Some(place) = solved.which().iter().position(|&w| w == slot) else {
                return 0.0;
            };
            let k = solved.sources + place;
            match self.measured.what {
                Quantity::Ohms(..) => -self.response[k] * self.response[k] * change,
                _ => -self.response[k] * solved.u[k] * change,
            }
        };
        match fault.effect {
            Effect::Shunt { inner, .. } => through(-size / (size + inner).powi(2)),
            Effect::Series(element) => {
                let before = siemens[element];
                let after = before / (1.0 + before * size);
                through(-size * after * after)
                    + if matches!(self.measured.what, Quantity::Through(e) if e == element) {
                        -size * after * value / after.max(1e-30)
                    } else {
                        0.0
                    }
            }
            Effect::Weak(source) if solved.regime[source] == Regime::Thevenin => {
                let now = &solved.now[source];
                self.response[source] * now.volts / now.ohms
            }
            Effect::Early(source) if solved.regime[source] == Regime::Limited => {
                self.response[source] * solved.now[source].limit_at(solved.u[source])
            }
            Effect::Weak(_) | Effect::Early(_) | Effect::Cut(_) | Effect::Dead(_) => 0.0,
        }
    }
}
