//! Lowering: circuit, meter and log become one numbered network, its states and its measurements.

use std::collections::BTreeMap;

use crate::{
    circuit::{Circuit, LimitMode, LoadModel, Point, Terminal},
    network::{Branch, Pattern, Port},
    quantity::units::{as_amperes, as_ohms, as_volts},
    reading::{Entry, Kind, Meter, Reading, State, Value},
};

/// Conductance that stands for insulation, so that nothing floats (S).
pub const LEAK: f64 = 1e-13;
/// The same where no meter is named: what hangs in the air shall read nothing (S).
const LOOKED_AT: f64 = 1e-9;
/// Conductance of a pin that is parted (S).
pub const PARTED: f64 = 1e-13;
/// Smallest resistance that a drawn element is given, so that a joint of 0 Ω stays a number.
const LEAST_OHM: f64 = 1e-6;
/// Spread (one standard deviation of the logarithm) of wires, contacts and straps (judgement).
const WIRE_SPREAD: f64 = 0.06;
const CONTACT_SPREAD: f64 = 0.45;
const UNKNOWN_LENGTH_SPREAD: f64 = 0.6;
/// Share of its knee down to which an electronic load is taken to draw its full current. A knee is stated where the
/// draw is certainly constant; below, it falls off late and nobody says how (judgement).
const FALLS_OFF: f64 = 0.4;

/// What an element of the network is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Role {
    /// Index of the wire.
    Wire(usize),
    /// Index of the connector and of its pin.
    Pin(usize, usize),
    /// Index of the ground.
    Strap(usize),
    /// Index of the fuse.
    Fuse(usize),
    /// Index of the load.
    Load(usize),
    /// Index of the rail.
    Rail(usize),
    /// Joins feed pins inside the module, or holds a signal tap.
    Inner,
}

/// One conductance with its spread.
#[derive(Clone, Copy, Debug)]
pub struct Element {
    /// What it is.
    pub role: Role,
    /// One node.
    pub a: usize,
    /// The other.
    pub b: usize,
    /// Conductance with everything plugged, S.
    pub siemens: f64,
    /// Standard deviation of its logarithm.
    pub spread: f64,
}

/// An electronic load: index of its element, draw and knee.
#[derive(Clone, Copy, Debug)]
pub struct Electronic {
    /// Its element, which is live below the knee only.
    pub element: usize,
    /// Draw above the knee, A.
    pub draw: f64,
    /// Knee, V.
    pub knee: f64,
}

/// A supply's nodes, parameters and spreads.
#[derive(Clone, Copy, Debug)]
pub struct Source {
    /// Node of the feed bus.
    pub feed: usize,
    /// Node of the return pin.
    pub ret: usize,
    /// Open-circuit volts and their standard deviation.
    pub volts: (f64, f64),
    /// Source ohms and the standard deviation of their logarithm.
    pub ohms: (f64, f64),
    /// Limit at nominal volts, A; infinite when there is none.
    pub limit: f64,
    /// Current into a dead short, A.
    pub short_circuit: f64,
    /// Standard deviation of the limits' logarithms.
    pub limit_spread: f64,
    /// Whether it takes current back.
    pub sinks: bool,
    /// Whether it latches off or retries.
    pub latches: bool,
}

/// One distinct electrical state.
#[derive(Clone, Debug, PartialEq)]
pub struct Stand {
    /// Conductances of all branches with every electronic load above its knee.
    pub siemens: Vec<f64>,
    /// Whether the supplies are off.
    pub off: bool,
}

/// One measurement, lowered.
#[derive(Clone, Copy, Debug)]
pub struct Measured {
    /// Index in the log.
    pub entry: usize,
    /// Index of the state.
    pub stand: usize,
    /// What is read.
    pub what: Quantity,
    /// Value in SI units.
    pub value: f64,
    /// Standard deviation of what is drawn anew for each reading.
    pub sd: f64,
    /// Relative standard deviation of the gain, and which gain.
    pub gain: (f64, usize),
    /// Value is a lower bound.
    pub over: bool,
    /// Number of repairs made before.
    pub repairs: usize,
    /// Conductance of the meter across the port, S.
    pub loading: f64,
}

/// What a meter does.
#[derive(Clone, Copy, Debug)]
pub enum Quantity {
    /// Volts across a port.
    Volts(Port),
    /// Ohms across a port, with the lead resistance.
    Ohms(Port, f64),
    /// Current through an element from a to b.
    Through(usize),
    /// Current out of a supply.
    Output(usize),
}

/// The numbered model.
#[derive(Clone, Debug)]
pub struct Model {
    /// Node of every point; ground is the number of nodes.
    pub nodes: BTreeMap<Point, usize>,
    /// Structure of the network: elements, then source branches, then leaks.
    pub pattern: Pattern,
    /// Conductances.
    pub elements: Vec<Element>,
    /// Electronic loads.
    pub electronic: Vec<Electronic>,
    /// Supplies.
    pub sources: Vec<Source>,
    /// Rails: element and volts.
    pub rails: Vec<(usize, f64)>,
    /// States of the readings, then the present one.
    pub stands: Vec<Stand>,
    /// Readings.
    pub measured: Vec<Measured>,
    /// Index of each state that was asked for beside those of the readings.
    pub ahead: Vec<usize>,
    /// Distinct gains.
    pub gains: usize,
    /// Repairs in order: number of repairs before, part.
    pub repairs: Vec<String>,
    /// Readings that could not be used: log index and why.
    pub unusable: Vec<(usize, String)>,
    /// Largest source volts.
    pub most_volts: f64,
}

impl Model {
    /// Lowers a circuit, a meter, a log and further states to look at. Whatever refers to something that is not drawn is left
    /// out and named in `unusable`.
    pub fn new(circuit: &Circuit, meter: &Meter, log: &[Entry], ahead: &[State]) -> Self {
        let mut build = Build::default();
        build.parts(circuit);
        let ground = build.nodes.len();
        let fix = |node: usize| if node == usize::MAX { ground } else { node };
        for element in &mut build.elements {
            element.a = fix(element.a);
            element.b = fix(element.b);
        }
        for source in &mut build.sources {
            source.feed = fix(source.feed);
            source.ret = fix(source.ret);
        }
        build.nodes.insert(Point::battery_negative(), ground);
        let mut branches: Vec<Branch> = build
            .elements
            .iter()
            .map(|e| Branch { a: e.a, b: e.b })
            .collect();
        branches.extend(build.sources.iter().map(|s| Branch {
            a: s.feed,
            b: s.ret,
        }));
        branches.extend((0..ground).map(|node| Branch { a: node, b: ground }));
        let mut attached: Vec<(usize, usize)> = Vec::new();
        for state in log
            .iter()
            .filter_map(reading_of)
            .map(|r| &r.state)
            .chain(ahead)
        {
            for load in &state.attached {
                if let (Some(&a), Some(&b)) =
                    (build.nodes.get(&load.from), build.nodes.get(&load.to))
                    && !attached.contains(&(a, b))
                {
                    attached.push((a, b));
                }
            }
        }
        branches.extend(attached.iter().map(|&(a, b)| Branch { a, b }));
        let most_volts = build
            .sources
            .iter()
            .map(|s| s.volts.0)
            .chain(build.rails.iter().map(|r| r.1))
            .fold(1.0, f64::max);
        let mut model = Self {
            pattern: Pattern::new(ground, branches),
            nodes: build.nodes,
            elements: build.elements,
            electronic: build.electronic,
            sources: build.sources,
            rails: build.rails,
            stands: Vec::new(),
            measured: Vec::new(),
            ahead: Vec::new(),
            gains: 0,
            repairs: Vec::new(),
            unusable: Vec::new(),
            most_volts,
        };
        let mut gains = BTreeMap::new();
        for (entry, line) in log.iter().enumerate() {
            match line {
                Entry::Repair(repair) => model.repairs.push(repair.part.clone()),
                Entry::Reading(reading) if reading.set_aside => {}
                Entry::Reading(reading) => {
                    match model.measure(circuit, meter, entry, reading, &attached, &mut gains) {
                        Ok(measured) => model.measured.push(measured),
                        Err(why) => model.unusable.push((entry, why)),
                    }
                }
            }
        }
        model.gains = gains.len();
        model.ahead = ahead
            .iter()
            .map(|state| model.stand(circuit, state, &attached, state.supply_off, LOOKED_AT))
            .collect();
        model
    }

    fn stand(
        &mut self,
        circuit: &Circuit,
        state: &State,
        attached: &[(usize, usize)],
        off: bool,
        leak: f64,
    ) -> usize {
        let mut siemens: Vec<f64> = self
            .elements
            .iter()
            .map(|element| match element.role {
                Role::Pin(c, _) if state.unplugged.contains(&circuit.connectors[c].id) => PARTED,
                Role::Load(l)
                    if matches!(circuit.loads[l].model, LoadModel::Electronic { .. }) && !off =>
                {
                    0.0
                }
                Role::Load(l) if off && circuit.loads[l].blocks_ohmmeter => 0.0,
                _ => element.siemens,
            })
            .collect();
        siemens.extend(
            self.sources
                .iter()
                .map(|s| if off { 1e-9 } else { 1.0 / s.ohms.0 }),
        );
        siemens.extend((0..self.pattern.nodes).map(|_| leak));
        siemens.extend(attached.iter().map(|pair| {
            state
                .attached
                .iter()
                .filter(|load| {
                    self.nodes.get(&load.from) == Some(&pair.0)
                        && self.nodes.get(&load.to) == Some(&pair.1)
                })
                .map(|load| 1.0 / as_ohms(load.resistance).max(LEAST_OHM))
                .sum::<f64>()
        }));
        let stand = Stand { siemens, off };
        if let Some(same) = self.stands.iter().position(|other| *other == stand) {
            return same;
        }
        self.stands.push(stand);
        self.stands.len() - 1
    }

    fn measure(
        &mut self,
        circuit: &Circuit,
        meter: &Meter,
        entry: usize,
        reading: &Reading,
        attached: &[(usize, usize)],
        gains: &mut BTreeMap<(u8, usize), usize>,
    ) -> Result<Measured, String> {
        let node = |point: &Point| {
            self.nodes
                .get(point)
                .copied()
                .ok_or_else(|| format!("{point} is not on the sketch"))
        };
        if let Some(unknown) = reading.state.unknown.iter().next() {
            return Err(format!("nobody noted whether {unknown} was plugged"));
        }
        let (value, over, width) = match reading.value {
            Value::Exactly(value) => (value, false, 0.0),
            Value::Between(low, high) => (0.5 * (low + high), false, (high - low).abs()),
            Value::OverRange { above } => {
                let top = meter.ranges.last().map_or(60.0, |range| range.top);
                (
                    above.unwrap_or(if reading.kind == Kind::Ohms {
                        40e6
                    } else {
                        top
                    }),
                    true,
                    0.0,
                )
            }
        };
        if !value.is_finite() {
            return Err("its value is not a number".to_owned());
        }
        let (red, black) = (node(&reading.red)?, node(&reading.black)?);
        let port = Port::between(red, black);
        let counts = |step: f64| {
            let spec = meter.counts * step;
            (spec * spec / 3.0 + step * step / 12.0 + width * width / 12.0).sqrt()
        };
        let relative = meter.percent / 100.0 / 3f64.sqrt();
        let decade_step = 10f64.powf(value.abs().max(1e-4).log10().floor() - 3.0);
        let (what, sd, range, relative, loading) = match reading.kind {
            Kind::Volts => {
                let range = meter.range_of(value);
                let step = meter.ranges.get(range).map_or(0.001, |r| r.step);
                (
                    Quantity::Volts(port),
                    counts(step),
                    (0, range),
                    relative,
                    1.0 / as_ohms(meter.input).max(1.0),
                )
            }
            Kind::Ohms => {
                let step = decade_step.max(0.1);
                (
                    Quantity::Ohms(port, as_ohms(meter.lead)),
                    counts(step),
                    (1, 0),
                    relative * 2.0,
                    0.0,
                )
            }
            Kind::Amperes => {
                let sd = counts(decade_step.max(1e-5));
                (
                    self.through(circuit, &reading.red)?,
                    sd,
                    (2, 0),
                    relative * 2.0,
                    0.0,
                )
            }
        };
        let next = gains.len();
        let gain = *gains.entry(range).or_insert(next);
        let off = reading.state.supply_off || reading.kind == Kind::Ohms;
        let stand = self.stand(circuit, &reading.state, attached, off, LEAK);
        Ok(Measured {
            entry,
            stand,
            what,
            value,
            sd,
            gain: (relative, gain),
            over,
            repairs: self.repairs.len(),
            loading,
        })
    }

    fn through(&self, circuit: &Circuit, red: &Point) -> Result<Quantity, String> {
        if let Some(index) = circuit.supplies.iter().position(|s| s.id == red.part) {
            return Ok(Quantity::Output(index));
        }
        let pin = match red.terminal {
            Terminal::Near(pin) | Terminal::Far(pin) => usize::from(pin) - 1,
            _ => {
                return Err(format!(
                    "current can be read at a supply or a connector pin, not at {red}"
                ));
            }
        };
        self.elements
            .iter()
            .position(|e| matches!(e.role, Role::Pin(c, p) if circuit.connectors[c].id == red.part && p == pin))
            .map(Quantity::Through)
            .ok_or_else(|| format!("{red} is not on the sketch"))
    }
}

fn reading_of(entry: &Entry) -> Option<&Reading> {
    match entry {
        Entry::Reading(reading) => Some(reading),
        Entry::Repair(_) => None,
    }
}

#[derive(Default)]
struct Build {
    nodes: BTreeMap<Point, usize>,
    elements: Vec<Element>,
    electronic: Vec<Electronic>,
    sources: Vec<Source>,
    rails: Vec<(usize, f64)>,
}

impl Build {
    /// Number of a point, `usize::MAX` for ground until all are numbered.
    fn node(&mut self, point: &Point) -> usize {
        if point.is_battery_negative() {
            return usize::MAX;
        }
        let next = self.nodes.len();
        *self.nodes.entry(point.clone()).or_insert(next)
    }

    fn element(&mut self, role: Role, a: usize, b: usize, ohm: f64, spread: f64) -> usize {
        let siemens = 1.0 / ohm.max(LEAST_OHM);
        self.elements.push(Element {
            role,
            a,
            b,
            siemens,
            spread,
        });
        self.elements.len() - 1
    }

    fn parts(&mut self, circuit: &Circuit) {
        for supply in &circuit.supplies {
            let feed = self.node(&Point::new(&supply.id, Terminal::Feed(1)));
            let ret = self.node(&Point::new(&supply.id, Terminal::Return));
            for pin in 2..=supply.feed_pins {
                let other = self.node(&Point::new(&supply.id, Terminal::Feed(pin)));
                self.element(Role::Inner, feed, other, 0.01, CONTACT_SPREAD);
            }
            self.sources.push(source(supply, feed, ret));
        }
        for (index, wire) in circuit.wires.iter().enumerate() {
            let (a, b) = (self.node(&wire.from), self.node(&wire.to));
            let spread = if wire.length.is_some() {
                WIRE_SPREAD
            } else {
                UNKNOWN_LENGTH_SPREAD
            };
            self.element(Role::Wire(index), a, b, as_ohms(wire.resistance()), spread);
        }
        for (index, connector) in circuit.connectors.iter().enumerate() {
            for (pin, contact) in connector.pins.iter().enumerate().take(250) {
                let number = pin as u8 + 1;
                let near = self.node(&Point::new(&connector.id, Terminal::Near(number)));
                let far = self.node(&Point::new(&connector.id, Terminal::Far(number)));
                self.element(
                    Role::Pin(index, pin),
                    near,
                    far,
                    as_ohms(contact.contact),
                    CONTACT_SPREAD,
                );
            }
        }
        for splice in &circuit.splices {
            self.node(&Point::new(&splice.id, Terminal::Only));
        }
        for (index, ground) in circuit.grounds.iter().enumerate() {
            let at = self.node(&ground.at);
            self.element(
                Role::Strap(index),
                at,
                usize::MAX,
                as_ohms(ground.strap),
                CONTACT_SPREAD,
            );
        }
        for (index, fuse) in circuit.fuses.iter().enumerate() {
            let a = self.node(&Point::new(&fuse.id, Terminal::In));
            let b = self.node(&Point::new(&fuse.id, Terminal::Out));
            self.element(
                Role::Fuse(index),
                a,
                b,
                as_ohms(fuse.resistance),
                CONTACT_SPREAD,
            );
        }
        for (index, rail) in circuit.rails.iter().enumerate() {
            let node = self.node(&Point::new(&rail.id, Terminal::Only));
            let element = self.element(
                Role::Rail(index),
                node,
                usize::MAX,
                as_ohms(rail.source),
                0.3,
            );
            self.rails.push((element, as_volts(rail.potential)));
        }
        for (index, load) in circuit.loads.iter().enumerate() {
            self.load(index, load);
        }
    }

    fn load(&mut self, index: usize, load: &crate::circuit::Load) {
        let (a, b) = (self.node(&load.feed), self.node(&load.ret));
        let spread = (load.spread_percent / 100.0).clamp(0.001, 2.0);
        match load.model {
            LoadModel::Resistive { resistance } => {
                self.element(Role::Load(index), a, b, as_ohms(resistance), spread);
            }
            LoadModel::Electronic { draw, knee } => {
                let draw = as_amperes(draw).max(1e-9);
                let knee = FALLS_OFF * as_volts(knee).max(1e-3);
                let element = self.element(Role::Load(index), a, b, knee / draw, spread);
                self.electronic.push(Electronic {
                    element,
                    draw,
                    knee,
                });
            }
        }
        if let Some(fraction) = load.signal_fraction {
            // The tap is a divider so light that it does not load the feed.
            let tap = self.node(&Point::new(&load.id, Terminal::Signal));
            let fraction = fraction.clamp(1e-6, 1.0 - 1e-6);
            self.element(Role::Inner, a, tap, 1e5 * (1.0 - fraction), 0.001);
            self.element(Role::Inner, tap, b, 1e5 * fraction, 0.001);
        }
    }
}

/// Parameters of a supply; what is unknown gets a broad default (judgement): 2 Ω within a factor of 4, a limit of
/// 100 mA within a factor of 3.
fn source(supply: &crate::circuit::Supply, feed: usize, ret: usize) -> Source {
    let nominal = as_volts(supply.nominal);
    let spread = |factor: f64| 0.6 * factor.max(1.01).ln();
    let ohms = match supply.source {
        Some(source) => (as_ohms(source).max(1e-3), spread(supply.source_factor)),
        None => (2.0, spread(4.0)),
    };
    let known = |amps: Option<crate::quantity::Amperes>, default: f64| {
        amps.map_or(default, |a| as_amperes(a).max(1e-6))
    };
    let (limit, short_circuit, limit_spread) = match supply.limit {
        LimitMode::None => (f64::INFINITY, f64::INFINITY, 0.0),
        LimitMode::Unknown => (0.1, 0.1, spread(4.0)),
        LimitMode::Constant { limit } => {
            let value = known(limit, 0.1);
            (
                value,
                value,
                spread(if limit.is_some() {
                    supply.limit_factor
                } else {
                    3.0
                }),
            )
        }
        LimitMode::Foldback {
            limit,
            short_circuit,
        } => {
            let value = known(limit, 0.1);
            let known_both = limit.is_some() && short_circuit.is_some();
            (
                value,
                known(short_circuit, 0.3 * value),
                spread(if known_both { supply.limit_factor } else { 3.0 }),
            )
        }
    };
    Source {
        feed,
        ret,
        volts: (
            nominal,
            nominal * supply.tolerance_percent.max(0.01) / 100.0 / 3f64.sqrt(),
        ),
        ohms,
        limit,
        short_circuit,
        limit_spread,
        sinks: supply.sinks,
        latches: supply.latches,
    }
}
