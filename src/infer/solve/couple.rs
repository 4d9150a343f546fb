//! What is attached at ports: supplies and faults, coupled into one small system until regimes and loads agree.

use super::{
    Bench, Deviations, Effect, Fault, Regime, SourceNow,
    bench::NONE,
    cutting::ROUGHLY_OPEN,
    knee::{NOBODY, STARVED},
    source::turn,
};
use crate::{
    circuit::MOST_SUPPLIES,
    infer::lower::{Element, Role},
    network::{Port, SmallSystem, port::PORTS},
};

/// A solved state.
#[derive(Clone, Copy, Debug)]
pub struct Solved {
    /// Index into [`Bench::bases`].
    pub base: usize,
    /// Ports: sources first, then faults.
    pub count: usize,
    /// Number of sources among them.
    pub sources: usize,
    /// Number of sources and faults among them; those behind belong to loads that are starved.
    pub(super) attached: usize,
    /// Which loads these are.
    pub(in crate::infer) starved: [usize; STARVED],
    /// The load that is open at a port, and so on no side of its knee.
    pub(super) gone: usize,
    /// Currents driven in at each port whatever its volts: a draw that is no more.
    pub(super) drawn: [f64; PORTS],
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
    pub(in crate::infer) ports: [Port; PORTS],
    /// Columns of the base and their weights, of which each fault port's column is the sum.
    pub(super) parts: [[(usize, f64); 2]; PORTS],
    /// Ohms that a port has to ground where its column was not asked for.
    pub(super) own: [Option<f64>; PORTS],
    /// Which fault (index in the list) each port belongs to.
    which: [usize; PORTS],
    /// Whether regimes and loads came to agreement.
    pub settled: bool,
}

impl Solved {
    /// Nothing solved yet.
    pub(in crate::infer) fn nothing() -> Self {
        Self {
            base: 0,
            count: 0,
            sources: 0,
            attached: 0,
            starved: NOBODY,
            gone: NONE,
            drawn: [0.0; PORTS],
            y: [0.0; PORTS],
            u: [0.0; PORTS],
            w: [0.0; PORTS],
            system: SmallSystem::nothing(),
            regime: [Regime::Off; PORTS],
            now: [SourceNow::NOTHING; PORTS],
            ports: [Port::between(0, 0); PORTS],
            parts: [[(NONE, 0.0); 2]; PORTS],
            own: [None; PORTS],
            which: [0; PORTS],
            settled: false,
        }
    }

    /// Which fault (index in the list) each fault port belongs to.
    pub fn which(&self) -> &[usize] {
        &self.which[self.sources..self.attached]
    }
}

/// Most sources that are solved for, so that ports are left for three faults.
pub(super) const MOST_SOURCES: usize = MOST_SUPPLIES;
const _: () = assert!(MOST_SOURCES + 3 <= PORTS);

impl Bench<'_> {
    /// Solves a state with the faults that are present in it.
    pub fn solve(&mut self, stand: usize, faults: &[Fault], deviations: &[Deviations]) -> Solved {
        let mut solved = Solved::nothing();
        self.everywhere = true;
        self.solve_into(stand, faults, deviations, true, &mut solved);
        self.everywhere = false;
        solved
    }

    /// The same, written over an earlier solution.
    ///
    /// Without `whole` the columns of fault ports that a value does not need are left out.
    pub(in crate::infer) fn solve_into(
        &mut self,
        stand: usize,
        faults: &[Fault],
        deviations: &[Deviations],
        whole: bool,
        solved: &mut Solved,
    ) {
        let model = self.model;
        let off = model.stands[stand].off;
        let limits = self.now(faults, deviations, solved);
        self.cut.clear();
        let mut in_series = 0;
        for fault in faults {
            match fault.effect {
                Effect::Cut(element) if !self.rough => self.cut.push(element),
                Effect::Series(_) => in_series += 1,
                _ => {}
            }
        }
        // An open by itself may be a port; with others in series nothing may be left between them.
        let alone = self.opens && !self.low && self.cut.len() + in_series == 1;
        let mut port = alone.then(|| self.cut.pop()).flatten();
        // A draw that grows with the volts and a supply that never gives more at more volts meet once only, so that it is the
        // same where the search for it starts: where it last ended. A supply that folds back may rest in two ways.
        let warm = 2 * stand + usize::from(self.unlimited);
        let known = Some(self.warm[warm].0).filter(|&base| base != NONE && !self.folds);
        let mut base = match known {
            Some(base) if self.cut.is_empty() => base,
            _ => {
                self.below.clear();
                match known {
                    Some(base) => (self.below).extend_from_slice(&self.bases[base].below),
                    None => (self.below).resize(model.electronic.len(), off || self.low),
                }
                self.base(stand)
            }
        };
        self.tried.clear();
        self.starved = NOBODY;
        if known == Some(base) && self.may_starve(stand, faults.len()) {
            self.starved = self.warm[warm].1;
        }
        loop {
            if let Some(element) = port {
                match self.left_of_cut(base, element) {
                    Some(left) => self.left = left,
                    None => {
                        port = None;
                        self.starved = NOBODY;
                        self.cut.push(element);
                        self.below.clone_from(&self.bases[base].below);
                        base = self.base(stand);
                    }
                }
            }
            for (now, limit) in solved.now.iter_mut().zip(limits) {
                now.limit = limit;
            }
            self.attach(base, faults, (off, whole), solved);
            self.couple(off, solved);
            if off || self.agrees(solved) {
                break;
            }
            self.tried.push((base, self.starved));
            let next = self.turned(stand, base, faults.len());
            if self.tried.contains(&next) || self.tried.len() > 8 {
                // A draw that hangs at its knee: both sides describe it equally well.
                solved.settled = self.tried.len() <= 8;
                return;
            }
            (base, self.starved) = next;
        }
        if self.cut.is_empty() && !self.folds {
            self.warm[warm] = self.worth_a_base(stand, base);
        }
    }

    /// The sources as faults and deviations have them, into a solution, and the sizes of the faults; gives the limits as stated.
    fn now(
        &mut self,
        faults: &[Fault],
        deviations: &[Deviations],
        solved: &mut Solved,
    ) -> [f64; MOST_SOURCES] {
        let mut limits = [0.0; MOST_SOURCES];
        let sources = &self.model.sources;
        for (i, source) in sources.iter().enumerate().take(MOST_SOURCES) {
            // The same deviations come state after state.
            let (of, plain) = &mut self.plain[i];
            if *of != deviations[i] {
                (*of, *plain) = (deviations[i], SourceNow::new(source, &deviations[i]));
            }
            solved.now[i] = plain.with(i, faults);
            if self.unlimited {
                solved.now[i].limit = f64::INFINITY;
            }
            limits[i] = solved.now[i].limit;
        }
        for (known, fault) in self.sizes.iter_mut().zip(faults) {
            if known.0 != fault.log_size {
                *known = (fault.log_size, fault.log_size.exp());
            }
        }
        limits
    }

    /// Puts the ports of supplies and faults into a solution, with what is attached at those of the faults.
    fn attach(
        &mut self,
        base_index: usize,
        faults: &[Fault],
        (off, whole): (bool, bool),
        solved: &mut Solved,
    ) {
        let model = self.model;
        solved.drawn = [0.0; PORTS];
        solved.gone = NONE;
        let sources = model.sources.len().min(MOST_SOURCES);
        for (port, source) in solved.ports.iter_mut().zip(&model.sources).take(sources) {
            *port = Port::between(source.feed, source.ret);
        }
        let mut count = sources;
        for (index, fault) in faults.iter().enumerate().take(PORTS - sources) {
            let size = self.sizes[index].1;
            let (port, conductance) = match fault.effect {
                Effect::Shunt { port, inner } => (port, 1.0 / (size + inner)),
                Effect::Series(e) | Effect::Cut(e)
                    if fault.effect == Effect::Series(e) || !self.cut.contains(&e) =>
                {
                    let element = &model.elements[e];
                    let before = self.bases[base_index].siemens[e];
                    let after = match fault.effect {
                        Effect::Series(_) => before / (1.0 + before * size),
                        _ if self.rough => before / (1.0 + before * ROUGHLY_OPEN),
                        _ => self.left,
                    };
                    if let (Role::Load(_), Effect::Cut(_)) = (element.role, fault.effect) {
                        let load = model.electronic.iter().position(|load| load.element == e);
                        solved.gone = load.unwrap_or(NONE);
                        // With the load goes its draw.
                        solved.drawn[count] = match load {
                            Some(load) if !off && !self.bases[base_index].below[load] => {
                                model.electronic[load].draw
                            }
                            _ => 0.0,
                        };
                    }
                    (Port::between(element.a, element.b), after - before)
                }
                Effect::Series(_)
                | Effect::Cut(_)
                | Effect::Weak(_)
                | Effect::Dead(_)
                | Effect::Early(_) => continue,
            };
            solved.ports[count] = port;
            solved.y[count] = conductance;
            solved.which[count] = index;
            count += 1;
        }
        solved.base = base_index;
        solved.count = count;
        solved.sources = sources;
        solved.attached = count;
        for k in sources..count {
            // Of a last place against ground a value needs what it has to itself only; the rest is reciprocal.
            let lean = !whole && k + 1 == count && self.ready(base_index);
            let own = match faults[solved.which[k]].effect {
                _ if !lean => None,
                Effect::Series(e) | Effect::Cut(e) => Some(self.around(base_index, e)),
                _ => self.bases[base_index].own(model, &solved.ports[k]),
            };
            solved.own[k] = own;
            solved.parts[k] = match own {
                Some(_) => [(NONE, 0.0); 2],
                None => self.parts(base_index, solved.ports[k]),
            };
        }
        self.starve(whole, solved);
    }

    /// Transfer resistances between the ports of a solution.
    fn ohms(&self, solved: &Solved) -> [[f64; PORTS]; PORTS] {
        let model = self.model;
        let base = &self.bases[solved.base];
        // Places on one wire share the part of it that leads to both.
        let shared = |one: &Port, two: &Port| {
            one.shared(two, |a, b| {
                let own = |e: &&Element| matches!(e.role, Role::Wire(_)) && (e.a, e.b) == (a, b);
                model.elements.iter().find(own).map(|e| 1.0 / e.siemens)
            })
        };
        let mut z = [[0.0; PORTS]; PORTS];
        #[allow(clippy::needless_range_loop, reason = "fills both halves at once")]
        for i in 0..solved.count {
            let port = &solved.ports[i];
            for (j, column) in base
                .source
                .iter()
                .enumerate()
                .take(solved.sources.min(i + 1))
            {
                let ohms = port.of(column);
                (z[i][j], z[j][i]) = (ohms, ohms);
            }
            for j in solved.sources..i {
                let other = &solved.ports[j];
                let ohms = if i < solved.attached {
                    base.transfer(solved, j, port) + shared(port, other)
                } else {
                    base.transfer(solved, i, other)
                };
                (z[i][j], z[j][i]) = (ohms, ohms);
            }
            if i >= solved.sources {
                z[i][i] = solved.own[i].unwrap_or_else(|| base.transfer(solved, i, port));
            }
        }
        z
    }

    /// Couples what is attached until every supply is in the regime that its volts tell. The first that is tried is always volts
    /// behind ohms: where next to nothing else hangs on a supply, what it would read without its ohms is rounding.
    fn couple(&self, off: bool, solved: &mut Solved) {
        let model = self.model;
        let (sources, count) = (solved.sources, solved.count);
        let base = &self.bases[solved.base];
        let z = self.ohms(solved);
        let mut regime = [Regime::Thevenin; PORTS];
        for (i, source) in solved.now.iter().enumerate().take(sources) {
            if off || source.dead {
                regime[i] = Regime::Off;
            } else if self.low && source.slope() > 0.0 {
                regime[i] = Regime::Limited;
            }
        }
        solved.settled = false;
        solved.w = [0.0; PORTS];
        let mut open = [0.0; PORTS];
        for (open, port) in open.iter_mut().zip(&solved.ports).take(count) {
            *open = port.of(&base.rest);
        }
        solved.u = open;
        let mut stated = [(0.0, 0.0); MOST_SOURCES];
        for (stated, now) in stated.iter_mut().zip(&solved.now) {
            *stated = (now.limit, now.short_circuit);
        }
        for _ in 0..8 {
            let mut j = solved.drawn;
            for i in 0..sources {
                let (a, b) = solved.now[i].line(regime[i]);
                j[i] = a;
                solved.y[i] = if off {
                    0.0
                } else {
                    b - base.siemens[model.elements.len() + i]
                };
            }
            if !solved.system.set(count, &z, &solved.y) {
                break;
            }
            let mut u = open;
            for (u, row) in u.iter_mut().zip(&z).take(count) {
                for (z, j) in row.iter().zip(j).take(count) {
                    *u += z * j;
                }
            }
            solved.system.solve(&mut u);
            for i in 0..count {
                solved.w[i] = j[i] - solved.y[i] * u[i];
            }
            let mut next = regime;
            let mut folded = false;
            for i in 0..sources {
                next[i] = turn(regime[i], &solved.now[i], u[i], model.sources[i].sinks);
                // A limit folds back as far as no volts and no farther: drawn below, it gives its short-circuit current.
                let limit = if u[i] < 0.0 && stated[i].0.is_finite() {
                    stated[i].1
                } else {
                    stated[i].0
                };
                folded |= regime[i] == Regime::Limited && limit != solved.now[i].limit;
                solved.now[i].limit = limit;
            }
            solved.u = u;
            if next == regime && !folded {
                solved.settled = true;
                break;
            }
            regime = next;
        }
        solved.regime = regime;
    }

    /// Size of one of the faults that were solved for last.
    pub(in crate::infer) fn size(&self, place: usize, faults: &[Fault]) -> f64 {
        let known = self.sizes.get(place).map(|known| known.1);
        known.unwrap_or_else(|| faults[place].log_size.exp())
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
