//! One state of the circuit under given faults: supply regimes and electronic loads brought to agreement.

use crate::network::{Factor, Port, SmallSystem, port::PORTS};

use super::lower::{Model, PARTED, Quantity, Source};

/// What a fault does to the network.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Effect {
    /// A resistance across a port, behind `inner` ohms.
    Shunt {
        /// Where.
        port: Port,
        /// Resistance that stands in series for the place along a wire.
        inner: f64,
    },
    /// Resistance added in series with an element.
    Series(usize),
    /// An element that no longer conducts.
    Cut(usize),
    /// A source whose volts are multiplied.
    Weak(usize),
    /// A source that gives nothing.
    Dead(usize),
    /// A source whose limit is multiplied.
    Early(usize),
}

impl Effect {
    /// Fraction of the wire at which a shunt sits, if it sits on a wire.
    pub fn fraction(&self) -> Option<f64> {
        match self {
            Self::Shunt { port, .. } => match port.weights() {
                [_, (_, x), _] => Some(*x),
                _ => None,
            },
            _ => None,
        }
    }
}

/// An effect with the logarithm of its size: ohms of a shunt or series resistance, or the factor on the source.
#[derive(Clone, Copy, Debug)]
pub struct Fault {
    /// What it does.
    pub effect: Effect,
    /// Natural logarithm of its size; unused for cuts and dead sources.
    pub log_size: f64,
    /// It is there in readings taken after this many repairs or more …
    pub from: usize,
    /// … and after this many or fewer.
    pub until: usize,
}

impl Fault {
    /// Whether it is there in a reading taken after `repairs` repairs.
    pub fn present(&self, repairs: usize) -> bool {
        (self.from..=self.until).contains(&repairs)
    }
}

/// Standardised deviations of a source's volts, ohms, limit and short-circuit current.
pub type Deviations = [f64; 4];

/// A state factorised with given electronic loads below their knee.
#[derive(Clone, Debug)]
pub struct Base<'m> {
    /// State it belongs to.
    pub stand: usize,
    below: Vec<bool>,
    cut: Vec<usize>,
    /// Conductances in effect.
    pub siemens: Vec<f64>,
    factor: Factor<'m>,
    /// Node voltages from load currents and rails alone.
    pub rest: Vec<f64>,
    /// Column of every source port.
    pub source: Vec<Vec<f64>>,
    /// Column of every reading taken in this state; parallel to [`Bench::taken`].
    pub meter: Vec<Vec<f64>>,
}

/// A model with what has been factorised so far.
#[derive(Clone, Debug)]
pub struct Bench<'m> {
    /// The model.
    pub model: &'m Model,
    /// Factorised states.
    pub bases: Vec<Base<'m>>,
    /// Readings taken in each state.
    pub taken: Vec<Vec<usize>>,
    /// Where a folding supply has two ways to come to rest, whether it is in the lower one: it never started.
    pub low: bool,
}

/// Factorised states that are kept at most.
const KEPT: usize = 400;

/// How a source works in a solution.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Regime {
    /// Volts behind a resistance.
    Thevenin,
    /// At its limit.
    Limited,
    /// Giving nothing, since it cannot take current.
    Blocked,
    /// Switched off or dead.
    Off,
}

/// A source with its faults and deviations applied.
#[derive(Clone, Copy, Debug)]
pub struct SourceNow {
    /// Open-circuit volts.
    pub volts: f64,
    /// Source ohms.
    pub ohms: f64,
    /// Limit at nominal volts, A.
    pub limit: f64,
    /// Short-circuit current, A.
    pub short_circuit: f64,
    /// Nominal volts, at which `limit` applies.
    pub nominal: f64,
    /// Gives nothing.
    pub dead: bool,
}

impl SourceNow {
    fn new(index: usize, source: &Source, deviations: &Deviations, faults: &[Fault]) -> Self {
        // A constant limit is one number, so it has one deviation.
        let fold = if source.limit == source.short_circuit {
            2
        } else {
            3
        };
        let mut now = Self {
            volts: source.volts.0 + source.volts.1 * deviations[0],
            ohms: source.ohms.0 * (source.ohms.1 * deviations[1]).exp(),
            limit: source.limit * (source.limit_spread * deviations[2]).exp(),
            short_circuit: source.short_circuit * (source.limit_spread * deviations[fold]).exp(),
            nominal: source.volts.0,
            dead: false,
        };
        for fault in faults {
            match fault.effect {
                Effect::Weak(s) if s == index => now.volts *= fault.log_size.exp(),
                Effect::Early(s) if s == index => {
                    now.limit *= fault.log_size.exp();
                    now.short_circuit *= fault.log_size.exp();
                }
                Effect::Dead(s) if s == index => now.dead = true,
                _ => {}
            }
        }
        now
    }

    /// Slope of the limit over output volts, S (positive for foldback).
    pub fn slope(&self) -> f64 {
        if self.limit.is_finite() {
            (self.limit - self.short_circuit) / self.nominal
        } else {
            0.0
        }
    }

    /// Limit at an output voltage.
    pub fn limit_at(&self, volts: f64) -> f64 {
        if self.limit.is_finite() {
            self.short_circuit + self.slope() * volts
        } else {
            f64::INFINITY
        }
    }

    /// Output current a − b v: (a, b).
    fn line(&self, regime: Regime) -> (f64, f64) {
        match regime {
            Regime::Thevenin => (self.volts / self.ohms, 1.0 / self.ohms),
            Regime::Limited => (self.short_circuit, -self.slope()),
            Regime::Blocked | Regime::Off => (0.0, 0.0),
        }
    }
}

/// A solved state.
#[derive(Clone, Debug)]
pub struct Solved {
    /// Index into [`Bench::bases`].
    pub base: usize,
    /// Ports: sources first, then faults.
    pub count: usize,
    /// Number of sources among them.
    pub sources: usize,
    /// Conductance attached at each port beyond the base, S.
    pub y: [f64; PORTS],
    /// Port voltages.
    pub u: [f64; PORTS],
    /// Currents driven in at each port beyond the base.
    pub w: [f64; PORTS],
    /// The coupling.
    pub system: SmallSystem,
    /// Regime of each source.
    pub regime: [Regime; PORTS],
    /// Sources as they are now.
    pub now: Vec<SourceNow>,
    /// Column of each fault's port.
    pub fault: Vec<Vec<f64>>,
    /// Which fault (index in the list) each fault port belongs to.
    pub which: Vec<usize>,
    /// Whether regimes and loads came to agreement.
    pub settled: bool,
}

impl Base<'_> {
    /// Which electronic loads are below their knee.
    pub fn below(&self) -> &[bool] {
        &self.below
    }
}

impl<'m> Bench<'m> {
    /// An empty bench over a model.
    pub fn new(model: &'m Model) -> Self {
        let mut taken = vec![Vec::new(); model.stands.len()];
        for (index, measured) in model.measured.iter().enumerate() {
            taken[measured.stand].push(index);
        }
        Self {
            model,
            bases: Vec::new(),
            taken,
            low: false,
        }
    }

    /// Forgets what was factorised when there is much of it. Call it between solutions only.
    pub fn make_room(&mut self) {
        if self.bases.len() > KEPT {
            self.bases.clear();
        }
    }

    fn base(&mut self, stand: usize, below: &[bool], cut: &[usize]) -> usize {
        let same = |b: &Base<'_>| b.stand == stand && b.below == below && b.cut == cut;
        if let Some(found) = self.bases.iter().position(same) {
            return found;
        }
        let model = self.model;
        let off = model.stands[stand].off;
        let mut siemens = model.stands[stand].siemens.clone();
        let mut rest = vec![0.0; model.pattern.nodes + 1];
        for (load, &below) in model.electronic.iter().zip(below) {
            let element = &model.elements[load.element];
            if below {
                siemens[load.element] = element.siemens;
            } else if !off && !cut.contains(&load.element) {
                rest[element.a] -= load.draw;
                rest[element.b] += load.draw;
            }
        }
        for &element in cut {
            siemens[element] = siemens[element].min(PARTED);
        }
        if !off {
            for &(element, volts) in &model.rails {
                let element = &model.elements[element];
                rest[element.a] += volts * element.siemens;
            }
        }
        let factor = Factor::new(&model.pattern, &siemens)
            .expect("every node has a leak to ground, so nothing floats");
        factor.solve(&mut rest);
        let source = model
            .sources
            .iter()
            .map(|s| factor.column(&Port::between(s.feed, s.ret)))
            .collect();
        let meter = self.taken[stand]
            .iter()
            .map(|&m| factor.column(&meter_port(model, model.measured[m].what)))
            .collect();
        self.bases.push(Base {
            stand,
            below: below.to_vec(),
            cut: cut.to_vec(),
            siemens,
            factor,
            rest,
            source,
            meter,
        });
        self.bases.len() - 1
    }

    /// Column of an arbitrary port in a base.
    pub fn column(&self, base: usize, port: &Port) -> Vec<f64> {
        self.bases[base].factor.column(port)
    }

    /// Solves a state with the faults that are present in it.
    pub fn solve(&mut self, stand: usize, faults: &[Fault], deviations: &[Deviations]) -> Solved {
        let model = self.model;
        let off = model.stands[stand].off;
        let now: Vec<SourceNow> = model
            .sources
            .iter()
            .enumerate()
            .map(|(i, s)| SourceNow::new(i, s, &deviations[i], faults))
            .collect();
        let cut: Vec<usize> = faults
            .iter()
            .filter_map(|fault| match fault.effect {
                Effect::Cut(element) => Some(element),
                _ => None,
            })
            .collect();
        let mut base = self.base(stand, &vec![off || self.low; model.electronic.len()], &cut);
        let mut tried = Vec::with_capacity(4);
        loop {
            let mut solved = self.couple(base, faults, now.clone(), off);
            let below: Vec<bool> = model
                .electronic
                .iter()
                .map(|load| {
                    let element = &model.elements[load.element];
                    off || self.voltage(&solved, element.a) - self.voltage(&solved, element.b)
                        < load.knee
                })
                .collect();
            tried.push(base);
            if below == self.bases[base].below {
                return solved;
            }
            let next = self.base(stand, &below, &cut);
            if tried.contains(&next) || tried.len() > 8 {
                // A draw that hangs at its knee: both sides describe it equally well.
                solved.settled = tried.len() <= 8;
                return solved;
            }
            base = next;
        }
    }

    fn couple(
        &self,
        base_index: usize,
        faults: &[Fault],
        now: Vec<SourceNow>,
        off: bool,
    ) -> Solved {
        let base = &self.bases[base_index];
        let model = self.model;
        let sources = model.sources.len().min(PORTS - 3);
        let mut columns: Vec<Vec<f64>> = Vec::with_capacity(faults.len());
        let mut which = Vec::with_capacity(faults.len());
        let mut ports = [Port::between(0, 0); PORTS];
        let mut y = [0.0; PORTS];
        for (i, source) in model.sources.iter().take(sources).enumerate() {
            ports[i] = Port::between(source.feed, source.ret);
        }
        let mut count = sources;
        for (index, fault) in faults.iter().enumerate().take(PORTS - sources) {
            let size = fault.log_size.exp();
            let (port, conductance) = match fault.effect {
                Effect::Shunt { port, inner } => (port, 1.0 / (size + inner)),
                Effect::Series(e) => {
                    let element = &model.elements[e];
                    let before = base.siemens[e];
                    (
                        Port::between(element.a, element.b),
                        before / (1.0 + before * size) - before,
                    )
                }
                Effect::Cut(_) | Effect::Weak(_) | Effect::Dead(_) | Effect::Early(_) => continue,
            };
            ports[count] = port;
            y[count] = conductance;
            let column = base.factor.column(&port);
            columns.push(column);
            which.push(index);
            count += 1;
        }
        let mut z = [[0.0; PORTS]; PORTS];
        let mut open = [0.0; PORTS];
        for i in 0..count {
            open[i] = ports[i].of(&base.rest);
            for j in 0..count {
                let column = if j < sources {
                    &base.source[j]
                } else {
                    &columns[j - sources]
                };
                z[i][j] = ports[i].of(column);
            }
        }
        let base_siemens = |s: usize| base.siemens[model.elements.len() + s];
        let mut regime = [Regime::Thevenin; PORTS];
        for (i, source) in now.iter().enumerate().take(sources) {
            if off || source.dead {
                regime[i] = Regime::Off;
            } else if self.low && source.slope() > 0.0 {
                regime[i] = Regime::Limited;
            }
        }
        let mut settled = false;
        let mut result = None;
        for _ in 0..8 {
            let mut j = [0.0; PORTS];
            for i in 0..sources {
                let (a, b) = now[i].line(regime[i]);
                j[i] = a;
                y[i] = b - base_siemens(i);
                if off {
                    y[i] = 0.0;
                }
            }
            let Some(system) = SmallSystem::new(count, &z, &y) else {
                break;
            };
            let mut u = open;
            for i in 0..count {
                u[i] += (0..count).map(|k| z[i][k] * j[k]).sum::<f64>();
            }
            system.solve(&mut u);
            let mut w = [0.0; PORTS];
            for i in 0..count {
                w[i] = j[i] - y[i] * u[i];
            }
            let mut next = regime;
            for i in 0..sources {
                next[i] = turn(regime[i], &now[i], u[i], model.sources[i].sinks);
            }
            result = Some((u, w, system));
            if next == regime {
                settled = true;
                break;
            }
            regime = next;
        }
        let (u, w, system) = result.unwrap_or_else(|| {
            let idle = SmallSystem::new(0, &z, &y).expect("an empty system is regular");
            (open, [0.0; PORTS], idle)
        });
        Solved {
            base: base_index,
            count,
            sources,
            y,
            u,
            w,
            system,
            regime,
            now,
            fault: columns,
            which,
            settled,
        }
    }

    /// Voltage of a node in a solution.
    pub fn voltage(&self, solved: &Solved, node: usize) -> f64 {
        let base = &self.bases[solved.base];
        let mut volts = base.rest[node];
        for i in 0..solved.count {
            let column = if i < solved.sources {
                &base.source[i]
            } else {
                &solved.fault[i - solved.sources]
            };
            volts += column[node] * solved.w[i];
        }
        volts
    }
}

/// The regime that a source goes to from where it is.
fn turn(regime: Regime, source: &SourceNow, volts: f64, sinks: bool) -> Regime {
    let thevenin = (source.volts - volts) / source.ohms;
    match regime {
        Regime::Off => Regime::Off,
        Regime::Thevenin | Regime::Limited | Regime::Blocked => {
            let slack = 1e-9 * source.volts.abs() / source.ohms;
            if thevenin > source.limit_at(volts) + slack {
                Regime::Limited
            } else if thevenin < -slack && !sinks {
                Regime::Blocked
            } else {
                Regime::Thevenin
            }
        }
    }
}

/// The port whose transfer resistances a measurement needs.
pub fn meter_port(model: &Model, what: Quantity) -> Port {
    match what {
        Quantity::Volts(port) | Quantity::Ohms(port, _) => port,
        Quantity::Through(element) => {
            Port::between(model.elements[element].a, model.elements[element].b)
        }
        Quantity::Output(source) => {
            Port::between(model.sources[source].feed, model.sources[source].ret)
        }
    }
}
