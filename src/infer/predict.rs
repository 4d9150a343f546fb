//! What every reading would be under given faults, and how it leans on each uncertain parameter.
//!
//! Sensitivities are adjoint: with z the response to one ampere at the meter's port and v the node voltages,
//! ∂v_meter/∂ln g = −g (z_a − z_b)(v_a − v_b) for a conductance g between a and b. Source: S. W. Director and
//! R. A. Rohrer, IEEE Transactions on Circuit Theory 16 (1969).

use super::{
    lower::{Measured, Model, Quantity},
    solve::{Base, Bench, Deviations, Effect, Fault, Regime, Solved, meter_port},
};

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
    /// Element of each of the last rows of `lean`.
    pub elements: Vec<usize>,
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
    volts: Vec<f64>,
    adjoint: Vec<f64>,
    pending: Vec<f64>,
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
            volts: Vec::new(),
            adjoint: Vec::new(),
            pending: Vec::new(),
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
        let model = self.bench.model;
        self.bench.make_room();
        let readings = model.measured.len();
        let source_rows = 4 * model.sources.len();
        out.value.clear();
        out.value.resize(readings, 0.0);
        out.settled = true;
        out.by_size.clear();
        out.by_size.resize(readings * faults.len(), 0.0);
        self.pending.clear();
        if lean {
            self.pending
                .resize((source_rows + model.elements.len()) * readings, 0.0);
        }
        for number in 0..self.batches.len() {
            let (stand, repairs) = (self.batches[number].stand, self.batches[number].repairs);
            let present: Vec<usize> = (0..faults.len())
                .filter(|&i| faults[i].present(repairs))
                .collect();
            let active: Vec<Fault> = present.iter().map(|&i| faults[i]).collect();
            let solved = self.bench.solve(stand, &active, deviations);
            out.settled &= solved.settled;
            let with = With {
                solved: &solved,
                active: &active,
                present: &present,
            };
            self.batch(number, &with, lean, out);
        }
        if lean {
            self.collect(source_rows, readings, out);
        }
    }

    /// Keeps the rows that matter: all of the sources, the gains, and elements whose effect is not lost in the display.
    fn collect(&self, source_rows: usize, readings: usize, out: &mut Prediction) {
        let model = self.bench.model;
        out.lean.clear();
        out.lean
            .extend_from_slice(&self.pending[..source_rows * readings]);
        for gain in 0..model.gains {
            out.lean.extend(model.measured.iter().map(|m| {
                if m.gain.1 == gain && !m.over {
                    m.gain.0 * m.value
                } else {
                    0.0
                }
            }));
        }
        out.elements.clear();
        let rows = self.pending[source_rows * readings..].chunks_exact(readings.max(1));
        for (element, row) in rows.enumerate() {
            let matters = row
                .iter()
                .zip(&model.measured)
                .any(|(lean, m)| lean.abs() > 0.02 * m.sd);
            if matters {
                out.lean.extend_from_slice(row);
                out.elements.push(element);
            }
        }
        out.rows = out.lean.len().checked_div(readings).unwrap_or(0);
    }

    fn batch(&mut self, number: usize, with: &With<'_>, lean: bool, out: &mut Prediction) {
        let model = self.bench.model;
        let total = model.measured.len();
        combine(
            &self.bench,
            with.solved,
            &self.bench.bases[with.solved.base].rest,
            &with.solved.w,
            &mut self.volts,
        );
        for &(reading, place) in &self.batches[number].readings {
            let measured = &model.measured[reading];
            let base = &self.bench.bases[with.solved.base];
            let (response, injected) = respond(
                model,
                base.source.len(),
                with.solved,
                &base.meter[place],
                with.active,
            );
            combine(
                &self.bench,
                with.solved,
                &base.meter[place],
                &injected,
                &mut self.adjoint,
            );
            let port = meter_port(model, measured.what);
            let own = port.of(&self.adjoint);
            let view = View {
                model,
                with,
                measured,
                response: &response,
                own,
            };
            let raw = view.value(port.of(&self.volts), &base.siemens);
            let loading = 1.0 / (1.0 + measured.loading * own);
            out.value[reading] = raw.0 * loading;
            let scale = raw.1 * loading;
            for (slot, &fault) in with.present.iter().enumerate() {
                out.by_size[fault * total + reading] =
                    scale * view.by_size(slot, &base.siemens, raw.0);
            }
            if !lean {
                continue;
            }
            for source in 0..model.sources.len() {
                for (k, change) in view.by_source(source, scale).into_iter().enumerate() {
                    self.pending[(4 * source + k) * total + reading] = change;
                }
            }
            let start = 4 * model.sources.len();
            for (row, element) in model.elements.iter().enumerate() {
                let mut change = view.by_element(
                    element,
                    view.effective(row, base.siemens[row]),
                    &self.adjoint,
                    &self.volts,
                );
                if let Quantity::Through(e) = measured.what
                    && e == row
                {
                    change += raw.0 / scale.max(1e-30);
                }
                let spread = if starved(base, model, row) {
                    STARVED_SPREAD
                } else {
                    element.spread
                };
                self.pending[(start + row) * total + reading] = change * spread * scale;
            }
            for (load, below) in model.electronic.iter().zip(base.below()) {
                let off = model.stands[measured.stand].off;
                if !below && !off {
                    let element = &model.elements[load.element];
                    let across = self.adjoint[element.a] - self.adjoint[element.b];
                    self.pending[(start + load.element) * total + reading] =
                        -load.draw * across * element.spread * scale;
                }
            }
        }
    }
}

/// Whether an element is an electronic load below its knee.
fn starved(base: &Base<'_>, model: &Model, row: usize) -> bool {
    model
        .electronic
        .iter()
        .zip(base.below())
        .any(|(load, &below)| below && load.element == row)
}

struct With<'a> {
    solved: &'a Solved,
    active: &'a [Fault],
    present: &'a [usize],
}

struct View<'a> {
    model: &'a Model,
    with: &'a With<'a>,
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
                for (slot, &index) in self.with.solved.which.iter().enumerate() {
                    if matches!(self.with.active[index].effect, Effect::Series(e) if e == element) {
                        g += self.with.solved.y[self.with.solved.sources + slot];
                    }
                }
                (g * port_volts, g)
            }
            Quantity::Output(source) => {
                let now = &self.with.solved.now[source];
                let u = self.with.solved.u[source];
                match self.with.solved.regime[source] {
                    Regime::Thevenin => ((now.volts - u) / now.ohms, -1.0 / now.ohms),
                    Regime::Limited => (now.limit_at(u), now.slope()),
                    Regime::Blocked | Regime::Off => (0.0, 0.0),
                }
            }
        }
    }

    fn by_source(&self, source: usize, scale: f64) -> [f64; 4] {
        let drawn = &self.model.sources[source];
        let solved = self.with.solved;
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
            .with
            .active
            .iter()
            .any(|fault| fault.effect == Effect::Series(row));
        if !faulted {
            return siemens;
        }
        let left: f64 = (self.with.active.iter())
            .filter(|fault| fault.effect == Effect::Series(row))
            .fold(siemens, |g, fault| g / (1.0 + g * fault.log_size.exp()));
        left * left / siemens
    }

    /// Change of the port's volts (or ohms) per logarithm of a fault's size.
    fn by_size(&self, slot: usize, siemens: &[f64], value: f64) -> f64 {
        let solved = self.with.solved;
        let fault = &self.with.active[slot];
        let size = fault.log_size.exp();
        let through = |change: f64| {
            let Some(place) = solved.which.iter().position(|&w| w == slot) else {
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

/// Response of every port to one ampere at a meter's port, and the currents that the ports then drive in.
fn respond(
    model: &Model,
    sources: usize,
    solved: &Solved,
    meter: &[f64],
    active: &[Fault],
) -> (
    [f64; crate::network::port::PORTS],
    [f64; crate::network::port::PORTS],
) {
    let mut response = [0.0; crate::network::port::PORTS];
    debug_assert!(sources >= solved.sources);
    for (i, source) in model.sources.iter().take(solved.sources).enumerate() {
        response[i] = meter[source.feed] - meter[source.ret];
    }
    for (slot, &index) in solved.which.iter().enumerate() {
        response[solved.sources + slot] = match active[index].effect {
            Effect::Shunt { port, .. } => port.of(meter),
            Effect::Series(e) => meter[model.elements[e].a] - meter[model.elements[e].b],
            Effect::Cut(_) | Effect::Weak(_) | Effect::Dead(_) | Effect::Early(_) => 0.0,
        };
    }
    solved.system.solve(&mut response);
    let mut injected = [0.0; crate::network::port::PORTS];
    for k in 0..solved.count {
        injected[k] = -solved.y[k] * response[k];
    }
    (response, injected)
}

/// start + Σ w column, over all nodes.
fn combine(
    bench: &Bench<'_>,
    solved: &Solved,
    start: &[f64],
    w: &[f64; crate::network::port::PORTS],
    out: &mut Vec<f64>,
) {
    out.clear();
    out.extend_from_slice(start);
    let base = &bench.bases[solved.base];
    for (k, &weight) in w.iter().enumerate().take(solved.count) {
        if weight != 0.0 {
            let column = if k < solved.sources {
                &base.source[k]
            } else {
                &solved.fault[k - solved.sources]
            };
            for (entry, z) in out.iter_mut().zip(column) {
                *entry += weight * z;
            }
        }
    }
}
