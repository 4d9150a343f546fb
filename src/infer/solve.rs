//! One state of the circuit under given faults: supply regimes and electronic loads brought to agreement.

use crate::network::{Factor, Port, SmallSystem, port::PORTS};

use super::{
    lower::{Model, PARTED, Quantity, Source},
    strand::Strands,
};

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
///
/// A column holds the voltages of all nodes and ground for one ampere at a port, then those across every strand, then
/// those across every electronic load.
#[derive(Clone, Debug)]
pub struct Base<'m> {
    /// State it belongs to.
    pub stand: usize,
    /// Short for the next two.
    key: u64,
    below: Vec<bool>,
    cut: Vec<usize>,
    /// Conductances in effect.
    pub siemens: Vec<f64>,
    factor: Factor<'m>,
    /// Column from load currents and rails alone.
    pub rest: Vec<f64>,
    /// Column of every source port.
    pub source: Vec<Vec<f64>>,
    /// Column of every reading taken in this state; parallel to [`Bench::taken`].
    pub meter: Vec<Vec<f64>>,
    /// Current through each strand per volt across it and standard deviation of its logarithm, with its sign.
    pub(super) drive: Vec<f64>,
    /// Columns of fault ports that were asked for.
    store: Vec<Vec<f64>>,
    at_node: Vec<usize>,
    at_port: Vec<(Port, usize)>,
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
    /// Elements that carry one current.
    pub(super) strands: Strands,
    by_stand: Vec<Vec<usize>>,
    kept: usize,
    below: Vec<bool>,
    cut: Vec<usize>,
    tried: Vec<usize>,
}

/// Numbers in factorised states and their columns that are kept at most (32 MB).
const KEPT: usize = 4_000_000;
/// No column yet.
const NONE: usize = usize::MAX;

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

/// Most sources that are solved for, so that ports are left for faults.
const MOST_SOURCES: usize = PORTS - 3;

impl SourceNow {
    const NOTHING: Self = Self {
        volts: 0.0,
        ohms: 1.0,
        limit: 0.0,
        short_circuit: 0.0,
        nominal: 1.0,
        dead: true,
    };

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
#[derive(Clone, Copy, Debug)]
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
    pub now: [SourceNow; PORTS],
    /// Where each port is.
    pub(super) ports: [Port; PORTS],
    /// Columns of the base and their weights, of which each fault port's column is the sum.
    parts: [[(usize, f64); 2]; PORTS],
    /// Which fault (index in the list) each port belongs to.
    which: [usize; PORTS],
    /// Whether regimes and loads came to agreement.
    pub settled: bool,
}

impl Solved {
    /// Which fault (index in the list) each fault port belongs to.
    pub fn which(&self) -> &[usize] {
        &self.which[self.sources..self.count]
    }
}

impl Base<'_> {
    /// Which electronic loads are below their knee.
    pub fn below(&self) -> &[bool] {
        &self.below
    }

    /// Voltage at a port for one ampere at a port of a solution.
    pub fn transfer(&self, solved: &Solved, from: usize, to: &Port) -> f64 {
        if from < solved.sources {
            return to.of(&self.source[from]);
        }
        let sum = |&(column, weight): &(usize, f64)| {
            if weight == 0.0 {
                0.0
            } else {
                weight * to.of(&self.store[column])
            }
        };
        solved.parts[from].iter().map(sum).sum()
    }

    /// The columns whose weighted sum, with the currents at the ports, is added to another.
    pub(super) fn sum_of<'a>(
        &'a self,
        solved: &'a Solved,
        w: &'a [f64; PORTS],
    ) -> impl Iterator<Item = (&'a [f64], f64)> + 'a {
        let sources = (0..solved.sources).map(|k| (&self.source[k][..], w[k]));
        let faults = (solved.sources..solved.count).flat_map(move |k| {
            let part = move |(column, weight): (usize, f64)| (column, weight * w[k]);
            let known = |(column, weight): (usize, f64)| {
                (weight != 0.0).then(|| (&self.store[column][..], weight))
            };
            solved.parts[k].into_iter().map(part).filter_map(known)
        });
        sources.chain(faults).filter(|part| part.1 != 0.0)
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
            strands: Strands::new(model),
            by_stand: vec![Vec::new(); model.stands.len()],
            kept: 0,
            below: Vec::new(),
            cut: Vec::new(),
            tried: Vec::new(),
        }
    }

    /// Forgets what was factorised when there is much of it. Call it between solutions only.
    pub fn make_room(&mut self) {
        if self.kept > KEPT {
            self.bases.clear();
            for list in &mut self.by_stand {
                list.clear();
            }
            self.kept = 0;
        }
    }

    /// Solves for one ampere at a port, and takes the voltages across strands and loads.
    fn fill(&self, factor: &Factor<'_>, mut column: Vec<f64>) -> Vec<f64> {
        factor.solve(&mut column);
        self.strands.append(self.model, &mut column);
        column
    }

    fn unit(&self, port: &Port) -> Vec<f64> {
        let model = self.model;
        let nodes = model.pattern.nodes + 1;
        let mut column =
            Vec::with_capacity(nodes + self.strands.list.len() + model.electronic.len());
        column.resize(nodes, 0.0);
        for &(node, weight) in port.weights() {
            column[node] += weight;
        }
        column
    }

    /// The base with `self.below` and `self.cut`.
    fn base(&mut self, stand: usize) -> usize {
        let key = key(&self.below, &self.cut);
        let same = |&&at: &&usize| {
            let base = &self.bases[at];
            base.key == key && base.below == self.below && base.cut == self.cut
        };
        if let Some(&found) = self.by_stand[stand].iter().find(same) {
            return found;
        }
        let model = self.model;
        let off = model.stands[stand].off;
        let mut siemens = model.stands[stand].siemens.clone();
        let mut rest = self.unit(&Port::between(0, 0));
        for (load, &below) in model.electronic.iter().zip(&self.below) {
            let element = &model.elements[load.element];
            if off {
                continue;
            }
            if below {
                siemens[load.element] = element.siemens;
            } else if !self.cut.contains(&load.element) {
                rest[element.a] -= load.draw;
                rest[element.b] += load.draw;
            }
        }
        for &element in &self.cut {
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
        let rest = self.fill(&factor, rest);
        let column = |port: &Port| self.fill(&factor, self.unit(port));
        let source: Vec<Vec<f64>> = model
            .sources
            .iter()
            .map(|s| column(&Port::between(s.feed, s.ret)))
            .collect();
        let meter: Vec<Vec<f64>> = self.taken[stand]
            .iter()
            .map(|&m| column(&meter_port(model, model.measured[m].what)))
            .collect();
        let drive = self.strands.drive(model, &siemens, &self.below);
        self.kept += (source.len() + meter.len() + 2) * rest.len();
        self.bases.push(Base {
            stand,
            key,
            below: self.below.clone(),
            cut: self.cut.clone(),
            siemens,
            factor,
            rest,
            source,
            meter,
            drive,
            store: Vec::new(),
            at_node: vec![NONE; model.pattern.nodes],
            at_port: Vec::new(),
        });
        self.by_stand[stand].push(self.bases.len() - 1);
        self.bases.len() - 1
    }

    /// Column of an arbitrary port in a base.
    pub fn column(&self, base: usize, port: &Port) -> Vec<f64> {
        self.bases[base].factor.column(port)
    }

    /// Index of a stored column of a base.
    fn stored(&mut self, base: usize, port: Port) -> usize {
        let ground = self.model.pattern.nodes;
        let single = match *port.weights() {
            [(node, 1.0), (to, -1.0)] if to == ground && node < ground => Some(node),
            _ => None,
        };
        let known = match single {
            Some(node) => self.bases[base].at_node[node],
            None => (self.bases[base].at_port.iter())
                .find(|(other, _)| *other == port)
                .map_or(NONE, |&(_, column)| column),
        };
        if known != NONE {
            return known;
        }
        let column = self.fill(&self.bases[base].factor, self.unit(&port));
        self.kept += column.len();
        let base = &mut self.bases[base];
        base.store.push(column);
        let index = base.store.len() - 1;
        match single {
            Some(node) => base.at_node[node] = index,
            None => base.at_port.push((port, index)),
        }
        index
    }

    /// A port's column as a sum of stored ones: a place along a wire against ground is made of the wire's two ends.
    fn parts(&mut self, base: usize, port: Port) -> [(usize, f64); 2] {
        let ground = self.model.pattern.nodes;
        if let [(a, near), (b, far), (to, _)] = *port.weights()
            && to == ground
        {
            let mut part = |node: usize, weight: f64| {
                if node == ground || weight == 0.0 {
                    (NONE, 0.0)
                } else {
                    (self.stored(base, Port::between(node, ground)), weight)
                }
            };
            [part(a, near), part(b, far)]
        } else {
            [(self.stored(base, port), 1.0), (NONE, 0.0)]
        }
    }

    /// Solves a state with the faults that are present in it.
    pub fn solve(&mut self, stand: usize, faults: &[Fault], deviations: &[Deviations]) -> Solved {
        let model = self.model;
        let off = model.stands[stand].off;
        let mut now = [SourceNow::NOTHING; PORTS];
        for (i, source) in model.sources.iter().enumerate().take(MOST_SOURCES) {
            now[i] = SourceNow::new(i, source, &deviations[i], faults);
        }
        self.cut.clear();
        for fault in faults {
            if let Effect::Cut(element) = fault.effect {
                self.cut.push(element);
            }
        }
        self.below.clear();
        self.below.resize(model.electronic.len(), off || self.low);
        let mut base = self.base(stand);
        self.tried.clear();
        loop {
            let mut solved = self.couple(base, faults, &now, off);
            self.compare(&solved, off);
            self.tried.push(base);
            if self.below == self.bases[base].below {
                return solved;
            }
            let next = self.base(stand);
            if self.tried.contains(&next) || self.tried.len() > 8 {
                // A draw that hangs at its knee: both sides describe it equally well.
                solved.settled = self.tried.len() <= 8;
                return solved;
            }
            base = next;
        }
    }

    /// Which electronic loads are below their knee in a solution, into `self.below`.
    fn compare(&mut self, solved: &Solved, off: bool) {
        let model = self.model;
        let base = &self.bases[solved.base];
        self.below.clear();
        if off {
            self.below.resize(model.electronic.len(), true);
            return;
        }
        let start = base.rest.len() - model.electronic.len();
        for (number, load) in model.electronic.iter().enumerate() {
            let mut volts = base.rest[start + number];
            for (column, weight) in base.sum_of(solved, &solved.w) {
                volts += weight * column[start + number];
            }
            self.below.push(volts < load.knee);
        }
    }

    fn couple(
        &mut self,
        base_index: usize,
        faults: &[Fault],
        now: &[SourceNow; PORTS],
        off: bool,
    ) -> Solved {
        let model = self.model;
        let sources = model.sources.len().min(MOST_SOURCES);
        let mut which = [0; PORTS];
        let mut ports = [Port::between(0, 0); PORTS];
        let mut parts = [[(NONE, 0.0); 2]; PORTS];
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
                    let before = self.bases[base_index].siemens[e];
                    (
                        Port::between(element.a, element.b),
                        before / (1.0 + before * size) - before,
                    )
                }
                Effect::Cut(_) | Effect::Weak(_) | Effect::Dead(_) | Effect::Early(_) => continue,
            };
            ports[count] = port;
            y[count] = conductance;
            parts[count] = self.parts(base_index, port);
            which[count] = index;
            count += 1;
        }
        let mut regime = [Regime::Thevenin; PORTS];
        for (i, source) in now.iter().enumerate().take(sources) {
            if off || source.dead {
                regime[i] = Regime::Off;
            } else if self.low && source.slope() > 0.0 {
                regime[i] = Regime::Limited;
            }
        }
        let mut solved = Solved {
            base: base_index,
            count,
            sources,
            y,
            u: [0.0; PORTS],
            w: [0.0; PORTS],
            system: SmallSystem::nothing(),
            regime,
            now: *now,
            ports,
            parts,
            which,
            settled: false,
        };
        let base = &self.bases[base_index];
        let mut z = [[0.0; PORTS]; PORTS];
        let mut open = [0.0; PORTS];
        for i in 0..count {
            open[i] = ports[i].of(&base.rest);
            for (j, entry) in z[i].iter_mut().enumerate().take(count) {
                *entry = base.transfer(&solved, j, &ports[i]);
            }
        }
        solved.u = open;
        for _ in 0..8 {
            let mut j = [0.0; PORTS];
            for i in 0..sources {
                let (a, b) = now[i].line(regime[i]);
                j[i] = a;
                y[i] = if off {
                    0.0
                } else {
                    b - base.siemens[model.elements.len() + i]
                };
            }
            let Some(system) = SmallSystem::new(count, &z, &y) else {
                break;
            };
            let mut u = open;
            for i in 0..count {
                u[i] += (0..sources).map(|k| z[i][k] * j[k]).sum::<f64>();
            }
            system.solve(&mut u);
            for i in 0..count {
                solved.w[i] = j[i] - y[i] * u[i];
            }
            let mut next = regime;
            for i in 0..sources {
                next[i] = turn(regime[i], &now[i], u[i], model.sources[i].sinks);
            }
            solved.u = u;
            solved.y = y;
            solved.system = system;
            if next == regime {
                solved.settled = true;
                break;
            }
            regime = next;
        }
        solved.regime = regime;
        solved
    }

    /// Voltage of a node in a solution.
    pub fn voltage(&self, solved: &Solved, node: usize) -> f64 {
        let base = &self.bases[solved.base];
        base.sum_of(solved, &solved.w)
            .fold(base.rest[node], |volts, (column, weight)| {
                volts + weight * column[node]
            })
    }
}

/// A number that tells most bases of a state apart (FNV-1a).
fn key(below: &[bool], cut: &[usize]) -> u64 {
    let parts = below
        .iter()
        .map(|&b| u64::from(b))
        .chain(cut.iter().map(|&c| c as u64));
    parts.fold(0xcbf2_9ce4_8422_2325, |hash, part| {
        (hash ^ part).wrapping_mul(0x0100_0000_01b3)
    })
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
