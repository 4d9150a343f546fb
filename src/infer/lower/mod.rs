//! Lowering: circuit, meter and log become one numbered network, its states and its measurements.

mod build;
mod looked;
mod measure;
mod moved;
mod told;

use std::collections::BTreeMap;

pub use self::{
    looked::Looked,
    measure::{NEGATIVE_OHM, most_shown},
    moved::Moved,
    told::Told,
};

use self::build::Build;
use crate::{
    circuit::{Circuit, Point},
    network::{Branch, Pattern, Port},
    reading::{Entry, Meter, Reading, State},
};

/// Conductance that stands for insulation, so that nothing floats (S).
pub const LEAK: f64 = 1e-13;
/// The same where no meter is named: what hangs in the air shall read nothing (S).
const LOOKED_AT: f64 = 1e-9;
/// Conductance of a pin that is parted (S).
pub const PARTED: f64 = 1e-13;
/// Conductance above which two nodes are one piece of harness, whatever is read there (S).
pub const JOINED: f64 = 1e-3;
/// Smallest resistance that a drawn element is given, so that a joint of 0 Ω stays a number.
const LEAST_OHM: f64 = 1e-6;

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
    /// It is no number, and weighed by the chance of what was seen instead of a density.
    pub over: bool,
    /// What was seen.
    pub told: Told,
    /// Whether the key was cycled before it, where that was noted.
    pub key: Option<bool>,
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
    /// Current through an element.
    Through(Flow),
    /// Current out of a supply.
    Output(usize),
}

/// Where a current is read on an element, and which way it counts.
#[derive(Clone, Copy, Debug)]
pub struct Flow {
    /// The element.
    pub element: usize,
    /// Whether the meter is at the element's end `a`; what leaves the wire between its ends is seen at one end only.
    pub at_a: bool,
    /// 1 where it counts from a to b, −1 where from b to a.
    pub sign: f64,
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
    /// The repaired parts, in order.
    pub repairs: Vec<String>,
    /// Readings that could not be used: log index and why.
    pub unusable: Vec<(usize, String)>,
    /// Largest source volts.
    pub most_volts: f64,
    /// Places that were moved.
    pub moved: Vec<Moved>,
    /// Places that were looked at.
    pub looked: Vec<Looked>,
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
        let stood: Vec<State> = log
            .iter()
            .filter_map(reading_of)
            .map(Reading::stood)
            .collect();
        for state in stood.iter().chain(ahead) {
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
            moved: Vec::new(),
            looked: Vec::new(),
        };
        let mut gains = BTreeMap::new();
        for (entry, line) in log.iter().enumerate() {
            match line {
                Entry::Repair(repair) => model.repairs.push(repair.part.clone()),
                Entry::Inspection(look) if look.set_aside => {}
                Entry::Inspection(look) => model.looked.push(Looked {
                    look: look.clone(),
                    repairs: model.repairs.len(),
                }),
                Entry::Reading(reading) if reading.set_aside => {}
                Entry::Reading(reading) => {
                    model.note_moved(circuit, reading);
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
}

fn reading_of(entry: &Entry) -> Option<&Reading> {
    match entry {
        Entry::Reading(reading) => Some(reading),
        Entry::Repair(_) | Entry::Inspection(_) => None,
    }
}
