//! One suspect at its best fit in one state of the circuit, solved: where the numbers of a worked sum come from.
//!
//! The fit settles the sizes of the faults and how far each supply, wire, contact and load is from its nominal value;
//! the state is then solved with all of it, the meter of the chosen reading included.

use super::best_fit::{BestFit, Named};
use crate::{
    circuit::Point,
    diagnosis::{Findings, Question},
    fault::{FaultKind, Site},
    infer::{
        lower::Model,
        solve::{Bench, Deviations, Effect, Fault, Regime, Solved},
    },
    network::{Port, SmallSystem, port::PORTS},
    quantity::units::ohms,
    reading::{Attached, Entry, Kind, Reading, State},
};

/// What is solved, and in which state.
#[derive(Debug)]
pub struct Scene {
    model: Model,
    /// The faults that are there, the suspect's own first; none for a healthy circuit.
    faults: Vec<Fault>,
    deviations: Vec<Deviations>,
    low: bool,
    stand: usize,
    /// Names of the faults beside the suspect's own that are there in this state.
    pub others: Vec<(Site, FaultKind)>,
    /// Fraction of the wire at which the suspect's own fault sits, from the wire's `from` end.
    pub fraction: Option<f64>,
}

/// Voltages and currents of a state.
#[derive(Debug)]
pub struct Numbers {
    solved: Solved,
    volts: Vec<f64>,
    /// The port across which the suspect's own fault lies, if it is a shunt.
    pub shunt: Option<Shunt>,
}

/// A fault between two places.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Shunt {
    /// Volts across the rest of the circuit there with the fault taken away, everything else staying as it is.
    pub open_volts: f64,
    /// Ohms behind which they stand.
    pub behind: f64,
    /// Ohms of the fault.
    pub ohms: f64,
    /// Current through it, A.
    pub amperes: f64,
    /// Volts of the other side (ground, a return, a rail, another wire) to battery negative.
    pub far: f64,
}

impl Shunt {
    /// Volts across the fault.
    pub fn volts(&self) -> f64 {
        self.amperes * self.ohms
    }
}

impl Scene {
    /// Prepares a suspect (`None`: nothing wrong, and every part as it should be) in the state of a log line (`None`:
    /// as the circuit stands now). Cost: lowering, and a fit.
    ///
    /// Returns `None` where the log line is no reading or the suspect is not on the sketch.
    pub fn new(
        question: &Question<'_>,
        findings: &Findings,
        suspect: Option<usize>,
        entry: Option<usize>,
    ) -> Option<Self> {
        let state = match entry {
            Some(entry) => measured_state(question, reading_at(question, entry)?),
            None => State {
                supply_off: false,
                ..question.now.clone()
            },
        };
        let repairs = |upto: usize| {
            question.log[..upto]
                .iter()
                .filter(|line| matches!(line, Entry::Repair(_)))
                .count()
        };
        let by_then = repairs(entry.unwrap_or(question.log.len()));
        let mut model = Model::new(question.circuit, question.meter, question.log, &[state]);
        let stand = *model.ahead.first()?;
        let Some(suspect) = suspect else {
            return Some(Self {
                deviations: vec![[0.0; 4]; model.sources.len()],
                low: false,
                model,
                faults: Vec::new(),
                stand,
                others: Vec::new(),
                fraction: None,
            });
        };
        let BestFit { set, fitted } = BestFit::of(question, findings, &mut model, suspect)?;
        let there: Vec<usize> = (0..set.len())
            .filter(|&i| fitted.faults[i].present(by_then))
            .collect();
        Some(Self {
            model,
            faults: there.iter().map(|&i| fitted.faults[i]).collect(),
            deviations: fitted.deviations,
            low: fitted.low,
            stand,
            others: there
                .iter()
                .filter(|&&i| i > 0)
                .map(|&i| (set[i].site.clone(), set[i].kind))
                .collect(),
            fraction: set.first().and_then(Named::fraction),
        })
    }

    /// Whether the suspect's own fault is there in this state.
    pub fn is_there(&self) -> bool {
        !self.faults.is_empty() && self.faults.len() > self.others.len()
    }

    /// Current through the suspect's own fault in this state, A; `None` where its kind has none.
    pub fn current(&self) -> Option<f64> {
        let numbers = self.solve();
        match self.own()?.effect {
            Effect::Shunt { .. } => numbers.shunt.map(|shunt| shunt.amperes.abs()),
            Effect::Series(row) => {
                let element = &self.model.elements[row];
                let lost = numbers.node(element.a) - numbers.node(element.b);
                let ohms = 1.0 / self.conductance(row) + self.own()?.log_size.exp();
                Some((lost / ohms).abs())
            }
            Effect::Cut(_) | Effect::Weak(_) | Effect::Dead(_) | Effect::Early(_) => None,
        }
    }

    /// Solves the state with all faults.
    pub fn solve(&self) -> Numbers {
        self.solve_with(&self.faults)
    }

    /// Solves the state without the suspect's own fault; those beside it stay.
    pub fn solve_without(&self) -> Numbers {
        let own = usize::from(self.is_there());
        self.solve_with(&self.faults[own..])
    }

    fn solve_with(&self, faults: &[Fault]) -> Numbers {
        let mut bench = Bench::new(&self.model);
        bench.low = self.low;
        let solved = bench.solve(self.stand, faults, &self.deviations);
        let volts: Vec<f64> = (0..self.model.pattern.nodes)
            .map(|node| bench.voltage(&solved, node))
            .chain([0.0])
            .collect();
        let own = faults.first().filter(|_| self.is_there());
        let shunt = own.and_then(|fault| self.shunt(&bench, &solved, faults, fault, &volts));
        Numbers {
            solved,
            volts,
            shunt,
        }
    }

    /// The first fault as a resistance across the linear circuit at its operating point.
    fn shunt(
        &self,
        bench: &Bench<'_>,
        solved: &Solved,
        faults: &[Fault],
        own: &Fault,
        volts: &[f64],
    ) -> Option<Shunt> {
        let Effect::Shunt { port, inner } = own.effect else {
            return None;
        };
        let slot = solved.sources + solved.which().iter().position(|&which| which == 0)?;
        let base = &bench.bases[solved.base];
        let mut ports: Vec<Port> = self
            .model
            .sources
            .iter()
            .take(solved.sources)
            .map(|source| Port::between(source.feed, source.ret))
            .collect();
        for &which in solved.which() {
            ports.push(match faults[which].effect {
                Effect::Shunt { port, .. } => port,
                Effect::Series(e) | Effect::Cut(e) => {
                    Port::between(self.model.elements[e].a, self.model.elements[e].b)
                }
                Effect::Weak(_) | Effect::Dead(_) | Effect::Early(_) => return None,
            });
        }
        let mut z = [[0.0; PORTS]; PORTS];
        let mut open = [0.0; PORTS];
        let mut y = solved.y;
        let mut driven = [0.0; PORTS];
        y[slot] = 0.0;
        for (i, port_i) in ports.iter().enumerate() {
            open[i] = port_i.of(&base.rest);
            driven[i] = solved.w[i] + solved.y[i] * solved.u[i];
            for (j, entry) in z[i].iter_mut().enumerate().take(ports.len()) {
                *entry = base.transfer(solved, j, port_i);
            }
        }
        driven[slot] = 0.0;
        let system = SmallSystem::new(ports.len(), &z, &y)?;
        let mut u = open;
        let mut one = [0.0; PORTS];
        for i in 0..ports.len() {
            u[i] += (0..ports.len()).map(|k| z[i][k] * driven[k]).sum::<f64>();
            one[i] = z[i][slot];
        }
        system.solve(&mut u);
        system.solve(&mut one);
        let ohms = own.log_size.exp();
        let far = -port
            .weights()
            .iter()
            .filter(|(_, weight)| *weight < 0.0)
            .map(|&(node, weight)| weight * volts[node])
            .sum::<f64>();
        Some(Shunt {
            open_volts: u[slot],
            behind: one[slot] + inner,
            ohms,
            amperes: u[slot] / (one[slot] + inner + ohms),
            far: far + 0.0,
        })
    }

    /// The model as it was fitted.
    pub fn model(&self) -> &Model {
        &self.model
    }

    /// Conductance of an element in this state without faults, S.
    pub fn conductance(&self, row: usize) -> f64 {
        self.model.stands[self.stand].siemens[row]
    }

    /// The suspect's own fault, if it is there in this state.
    pub fn own(&self) -> Option<&Fault> {
        self.faults.first().filter(|_| self.is_there())
    }

    /// Ohms that a meter would see between two points with the supply off, without its leads; infinite where nothing
    /// joins them.
    pub fn ohms_between(&self, red: &Point, black: &Point, with_own: bool) -> Option<f64> {
        let (&a, &b) = (self.model.nodes.get(red)?, self.model.nodes.get(black)?);
        let own = usize::from(self.is_there() && !with_own);
        let faults = &self.faults[own..];
        let mut bench = Bench::new(&self.model);
        bench.low = self.low;
        let solved = bench.solve(self.stand, faults, &self.deviations);
        let port = Port::between(a, b);
        let column = bench.column(solved.base, &port);
        let mut response = [0.0; PORTS];
        let mut seen = port.of(&column);
        for (place, &which) in solved.which().iter().enumerate() {
            response[solved.sources + place] = match faults[which].effect {
                Effect::Shunt { port, .. } => port.of(&column),
                Effect::Series(e) | Effect::Cut(e) => {
                    column[self.model.elements[e].a] - column[self.model.elements[e].b]
                }
                Effect::Weak(_) | Effect::Dead(_) | Effect::Early(_) => 0.0,
            };
        }
        for (i, source) in self.model.sources.iter().take(solved.sources).enumerate() {
            response[i] = column[source.feed] - column[source.ret];
        }
        let transfer = response;
        solved.system.solve(&mut response);
        for k in 0..solved.count {
            seen -= transfer[k] * solved.y[k] * response[k];
        }
        Some(seen)
    }
}

impl Numbers {
    /// Volts of a node to battery negative.
    pub fn node(&self, node: usize) -> f64 {
        self.volts[node]
    }

    /// Volts between two points.
    pub fn between(&self, scene: &Scene, red: &Point, black: &Point) -> Option<f64> {
        let (&a, &b) = (scene.model.nodes.get(red)?, scene.model.nodes.get(black)?);
        Some(self.volts[a] - self.volts[b])
    }

    /// How a supply works.
    pub fn regime(&self, source: usize) -> Regime {
        self.solved.regime[source]
    }

    /// Volts between a supply's pins.
    pub fn pin(&self, source: usize) -> f64 {
        self.solved.u[source]
    }

    /// A supply's open-circuit volts and its ohms.
    pub fn behind(&self, source: usize) -> (f64, f64) {
        let now = &self.solved.now[source];
        (now.volts, now.ohms)
    }

    /// Current at which a supply limits at its present volts, A; infinite when it does not.
    pub fn limit(&self, source: usize) -> f64 {
        self.solved.now[source].limit_at(self.solved.u[source])
    }

    /// Current out of a supply, A.
    pub fn output(&self, source: usize) -> f64 {
        let now = &self.solved.now[source];
        match self.solved.regime[source] {
            Regime::Thevenin => (now.volts - self.solved.u[source]) / now.ohms,
            Regime::Limited => now.limit_at(self.solved.u[source]),
            Regime::Blocked | Regime::Off => 0.0,
        }
    }

    /// Number of supplies that were solved.
    pub fn sources(&self) -> usize {
        self.solved.sources
    }
}

/// The reading at a log line.
pub fn reading_at<'a>(question: &Question<'a>, entry: usize) -> Option<&'a Reading> {
    match question.log.get(entry)? {
        Entry::Reading(reading) => Some(reading),
        Entry::Repair(_) | Entry::Inspection(_) => None,
    }
}

/// The state of a reading with its meter in it: 10 MΩ matter behind the last strand of a wire.
fn measured_state(question: &Question<'_>, reading: &Reading) -> State {
    let mut state = reading.stood();
    match reading.kind {
        Kind::Volts => state.attached.push(Attached {
            from: reading.red.clone(),
            to: reading.black.clone(),
            resistance: question.meter.input.max(ohms(1.0)),
        }),
        Kind::Ohms => state.supply_off = true,
        Kind::Amperes | Kind::Clamp | Kind::Lamp(_) | Kind::Scan => {}
    }
    state
}
