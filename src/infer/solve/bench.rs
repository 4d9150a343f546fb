//! States factorised once, with the columns that were asked for.

use std::collections::BTreeMap;

use super::{
    Deviations, Solved, SourceNow,
    knee::{NOBODY, STARVED, of_volts},
    meter_port,
};
use crate::{
    infer::{
        lower::{Model, PARTED},
        strand::Strands,
    },
    network::{Factor, Near, Port, port::PORTS},
};

/// A state factorised with given electronic loads below their knee.
///
/// A column holds the voltages of all nodes and ground for one ampere at a port, then those across every strand, then
/// those across every electronic load.
#[derive(Clone, Debug)]
pub struct Base<'m> {
    /// State it belongs to.
    pub stand: usize,
    pub(super) below: Vec<bool>,
    pub(super) cut: Vec<usize>,
    /// Conductances in effect.
    pub siemens: Vec<f64>,
    pub(super) factor: Factor<'m>,
    /// Column from load currents and rails alone.
    pub rest: Vec<f64>,
    /// Column of every source port.
    pub source: Vec<Vec<f64>>,
    /// Column of every reading taken in this state; parallel to [`Bench::taken`].
    pub meter: Vec<Vec<f64>>,
    /// Current through each strand per volt across it and standard deviation of its logarithm, with its sign.
    pub(in crate::infer) drive: Vec<f64>,
    /// What a place has to itself, and the voltage at every node for an ampere through each electronic load, node by
    /// node: filled when values alone have been asked for often enough.
    near: Option<Near>,
    at_load: Vec<f64>,
    ready: bool,
    /// Ohms across each element that was asked for, it and all others conducting; else not a number.
    pub(super) around: Vec<f64>,
    /// Columns of fault ports that were asked for: of a node against ground, of two nodes, of anything else.
    store: Vec<Vec<f64>>,
    at_node: Vec<usize>,
    at_pair: BTreeMap<(usize, usize), usize>,
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
    /// Whether an open may be taken for a very high resistance, which needs no factorisation of its own: what hangs behind
    /// it in the air then reads some millivolts instead of nothing.
    pub rough: bool,
    /// Elements that carry one current.
    pub(in crate::infer) strands: Strands,
    by_stand: Vec<Vec<(u64, usize)>>,
    pub(super) at_loads: Vec<f64>,
    pub(super) kept: usize,
    room: usize,
    pub(super) below: Vec<bool>,
    pub(super) cut: Vec<usize>,
    /// Conductance that is left of an open that is taken as a port, S.
    pub(super) left: f64,
    /// Whether the volts of every node are wanted, and not of the meters alone.
    pub(super) everywhere: bool,
    /// Whether an open may be a port at all: a supply that gives nothing is open too, and between the two may be nothing.
    pub(super) opens: bool,
    pub(super) tried: Vec<(usize, [usize; STARVED])>,
    /// Loads that are below their knee although the base has them above, and how often that was so of each base.
    pub(super) starved: [usize; STARVED],
    pub(super) often: BTreeMap<(usize, [usize; STARVED]), usize>,
    /// Whether nothing but volts is read in each state.
    pub(super) volts: Vec<bool>,
    /// Whether supplies are taken to have no limit.
    pub(in crate::infer) unlimited: bool,
    /// The base on which the search for agreement last ended in each state without a cut, with limits and without, the loads
    /// starved beyond it, and whether a supply folds back.
    pub(super) warm: Vec<(usize, [usize; STARVED])>,
    pub(super) folds: bool,
    /// Sources without faults at the deviations they were last asked for, and exponentials of the last sizes.
    pub(super) plain: Vec<(Deviations, SourceNow)>,
    pub(super) sizes: [(f64, f64); PORTS],
}

/// Numbers in factorised states and their columns that are kept at most (32 MB), or this many times what the states
/// themselves need, if that is more.
const KEPT: usize = 4_000_000;
const KEPT_TIMES: usize = 3;

/// Most numbers that all states together may need for doing without columns of faults (128 MB).
const READY: usize = 16_000_000;

/// Columns of faults from which on a base is made ready to do without them: about as much work as one for each electronic
/// load.
const ENOUGH: usize = 16;

/// No column yet.
pub(super) const NONE: usize = usize::MAX;

/// Nothing to start from yet.
const NOWHERE: (usize, [usize; STARVED]) = (NONE, NOBODY);

impl Base<'_> {
    /// Adds the voltages across all electronic loads for the current driven in at a fault's port.
    pub(super) fn add_at_loads(&self, solved: &Solved, k: usize, out: &mut [f64]) {
        let mut add = |from: &[f64], amperes: f64| {
            for (volts, z) in out.iter_mut().zip(from) {
                *volts += amperes * z;
            }
        };
        let loads = self.below.len();
        if solved.own[k].is_some() || self.of_load(solved, k).is_some() {
            for &(node, weight) in solved.ports[k].weights() {
                add(&self.at_load[node * loads..][..loads], solved.w[k] * weight);
            }
            return;
        }
        for (column, weight) in solved.parts[k] {
            if weight != 0.0 {
                let column = &self.store[column];
                add(&column[column.len() - loads..], solved.w[k] * weight);
            }
        }
    }

    /// The load that a port starves, where no column of it was asked for.
    fn of_load(&self, solved: &Solved, k: usize) -> Option<usize> {
        let place = k.checked_sub(solved.attached)?;
        (solved.parts[k][0].0 == NONE).then(|| solved.starved[place])
    }

    /// Ohms that a place has to ground, from what its own nodes have; `None` where that would subtract digits away.
    pub(super) fn own(&self, model: &Model, port: &Port) -> Option<f64> {
        let (near, pattern) = (self.near.as_ref()?, &model.pattern);
        let to = |one, two| near.between(pattern, one, two);
        match *port.weights() {
            [(a, 1.0), (b, -1.0)] if b == pattern.nodes => to(a, a),
            [(a, wa), (b, wb), (ground, _)] if ground == pattern.nodes => {
                Some(wa * wa * to(a, a)? + 2.0 * wa * wb * to(a, b)? + wb * wb * to(b, b)?)
            }
            _ => None,
        }
    }

    /// Which electronic loads are below their knee.
    pub fn below(&self) -> &[bool] {
        &self.below
    }

    /// Voltage at a port for one ampere at a port of a solution.
    pub fn transfer(&self, solved: &Solved, from: usize, to: &Port) -> f64 {
        if from < solved.sources {
            return to.of(&self.source[from]);
        }
        if let Some(load) = self.of_load(solved, from) {
            let loads = self.below.len();
            let at = |&(node, weight): &(usize, f64)| weight * self.at_load[node * loads + load];
            return to.weights().iter().map(at).sum();
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
    pub(in crate::infer) fn sum_of<'a>(
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
        let plain = |taken: &Vec<usize>| taken.iter().all(|&m| of_volts(&model.measured[m].what));
        let volts = taken.iter().map(plain).collect();
        let mut bench = Self {
            model,
            bases: Vec::new(),
            taken,
            low: false,
            rough: false,
            strands: Strands::new(model),
            by_stand: vec![Vec::new(); model.stands.len()],
            kept: 0,
            room: 0,
            at_loads: Vec::new(),
            below: Vec::new(),
            cut: Vec::new(),
            left: 0.0,
            everywhere: false,
            opens: matches!(model.sources[..], [one] if one.sinks || model.rails.is_empty()),
            tried: Vec::new(),
            starved: NOBODY,
            often: BTreeMap::new(),
            volts,
            unlimited: false,
            warm: vec![NOWHERE; 2 * model.stands.len()],
            folds: (model.sources.iter()).any(|source| source.limit > source.short_circuit),
            plain: (model.sources.iter())
                .map(|source| ([0.0; 4], SourceNow::new(source, &[0.0; 4])))
                .collect(),
            sizes: [(0.0, 1.0); PORTS],
        };
        let columns: usize = (bench.taken.iter())
            .map(|taken| taken.len() + model.sources.len() + 2)
            .sum();
        let long = model.pattern.nodes + 1 + bench.strands.list.len() + model.electronic.len();
        bench.room = KEPT.max(KEPT_TIMES * columns * long);
        bench
    }

    /// Forgets what was factorised when there is much of it, the columns of faults first. Call it between solutions only.
    pub fn make_room(&mut self) {
        if self.kept <= self.room {
            return;
        }
        for base in &mut self.bases {
            let columns: usize = base.store.iter().map(Vec::len).sum();
            self.kept -= columns;
            base.store.clear();
            base.at_node.fill(NONE);
            base.at_pair.clear();
            base.at_port.clear();
        }
        if self.kept > self.room / 2 {
            self.bases.clear();
            for list in &mut self.by_stand {
                list.clear();
            }
            self.warm.fill(NOWHERE);
            self.often.clear();
            self.kept = 0;
        }
    }

    /// Solves for one ampere at a port, and takes the voltages across strands and loads.
    pub(super) fn fill(&self, factor: &Factor<'_>, mut column: Vec<f64>) -> Vec<f64> {
        factor.solve(&mut column);
        self.strands.append(self.model, &mut column);
        column
    }

    pub(super) fn unit(&self, port: &Port) -> Vec<f64> {
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

    /// The key of the base with `self.below` and `self.cut`, and that base where it is factorised already.
    pub(super) fn known(&self, stand: usize) -> (u64, Option<usize>) {
        let (key, exact) = key(&self.below, &self.cut);
        let same = |&&(other, at): &&(u64, usize)| {
            other == key
                && (exact || {
                    let base = &self.bases[at];
                    base.below == self.below && base.cut == self.cut
                })
        };
        let found = self.by_stand[stand].iter().find(same);
        (key, found.map(|found| found.1))
    }

    /// The base with `self.below` and `self.cut`.
    pub(super) fn base(&mut self, stand: usize) -> usize {
        let (key, found) = self.known(stand);
        if let Some(found) = found {
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
            below: self.below.clone(),
            cut: self.cut.clone(),
            siemens,
            factor,
            rest,
            source,
            meter,
            drive,
            near: None,
            at_load: Vec::new(),
            ready: false,
            around: Vec::new(),
            store: Vec::new(),
            at_node: vec![NONE; model.pattern.nodes],
            at_pair: BTreeMap::new(),
            at_port: Vec::new(),
        });
        self.by_stand[stand].push((key, self.bases.len() - 1));
        self.bases.len() - 1
    }

    /// Makes all that is factorised ready for the values of so many faults, where that pays.
    pub(in crate::infer) fn expect(&mut self, faults: usize) {
        for base in 0..self.bases.len() {
            if faults >= ENOUGH && !self.bases[base].ready {
                self.get_ready(base);
            }
        }
    }

    /// Whether a base is ready for values alone; it gets so once that many columns have been asked of it that it pays.
    pub(super) fn ready(&mut self, base: usize) -> bool {
        let known = &self.bases[base];
        known.ready || known.store.len() >= ENOUGH && self.get_ready(base)
    }

    fn get_ready(&mut self, base: usize) -> bool {
        let model = self.model;
        let (nodes, loads) = (model.pattern.nodes + 1, model.electronic.len());
        if nodes * loads * model.stands.len() > READY {
            return false;
        }
        self.near(base);
        let own = &mut self.bases[base];
        own.at_load.resize(nodes * loads, 0.0);
        for (place, load) in model.electronic.iter().enumerate() {
            let element = &model.elements[load.element];
            let column = own.factor.column(&Port::between(element.a, element.b));
            for (volts, row) in column.iter().zip(own.at_load.chunks_exact_mut(loads)) {
                row[place] = *volts;
            }
        }
        own.ready = true;
        true
    }

    pub(super) fn near(&mut self, base: usize) -> &Near {
        let own = &mut self.bases[base];
        let factor = &own.factor;
        own.near.get_or_insert_with(|| factor.near())
    }

    /// Column of an arbitrary port in a base.
    pub fn column(&self, base: usize, port: &Port) -> Vec<f64> {
        self.bases[base].factor.column(port)
    }

    /// Index of a stored column of a base.
    pub(super) fn stored(&mut self, base: usize, port: Port) -> usize {
        let ground = self.model.pattern.nodes;
        let pair = match *port.weights() {
            [(one, 1.0), (two, -1.0)] => Some((one, two)),
            _ => None,
        };
        let single = pair.filter(|&(one, two)| two == ground && one < ground);
        let own = &self.bases[base];
        let known = match (single, pair) {
            (Some((node, _)), _) => own.at_node[node],
            (None, Some(pair)) => own.at_pair.get(&pair).copied().unwrap_or(NONE),
            (None, None) => (own.at_port.iter())
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
        match (single, pair) {
            (Some((node, _)), _) => base.at_node[node] = index,
            (None, Some(pair)) => {
                base.at_pair.insert(pair, index);
            }
            (None, None) => base.at_port.push((port, index)),
        }
        index
    }

    /// A port's column as a sum of stored ones: a place along a wire against ground is made of the wire's two ends.
    pub(super) fn parts(&mut self, base: usize, port: Port) -> [(usize, f64); 2] {
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
}

/// A number that tells the bases of a state apart, and whether it does so for certain: up to 32 loads and one cut are
/// written out in it, more go through FNV-1a.
pub(super) fn key(below: &[bool], cut: &[usize]) -> (u64, bool) {
    if below.len() <= 32 && cut.len() <= 1 && cut.iter().all(|&c| c < 1 << 30) {
        let cut = cut.first().map_or(0, |&c| c as u64 + 1);
        let bits = below.iter().fold(0, |bits, &b| bits << 1 | u64::from(b));
        return (cut << 32 | bits, true);
    }
    let parts = (below.iter().map(|&b| u64::from(b))).chain(cut.iter().map(|&c| c as u64));
    let hash = parts.fold(0xcbf2_9ce4_8422_2325, |hash: u64, part| {
        (hash ^ part).wrapping_mul(0x0100_0000_01b3)
    });
    (hash, false)
}
