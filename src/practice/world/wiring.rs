//! The circuit in one state as a network: what is parted, what is clipped on, and the hidden faults in their places.

use std::collections::HashMap;

use super::{
    Hidden,
    mesh::{GROUND, Mesh},
    truth::{TrueLoad, Truth},
};
use crate::{
    circuit::{Circuit, Point, Terminal},
    fault::FaultKind,
    quantity::units::as_ohms,
    reading::State,
};

/// Least ohms of anything that conducts, so that a joint of no ohms stays a number.
const LEAST_OHM: f64 = 1e-6;
/// Ohms across what is parted: good insulation (judgement).
const PARTED_OHM: f64 = 1e13;
/// Leak of every point to ground, S: a metre of wire in air.
const LEAK: f64 = 1e-12;
/// Ohms that a signal tap is a divider of; light enough not to load the feed (judgement).
const TAP_OHM: f64 = 1e5;
/// Ohms between feed pins that are joined inside the module (judgement).
const INSIDE_OHM: f64 = 0.01;

/// An electronic load in place.
#[derive(Clone, Copy, Debug)]
pub struct Draw {
    /// Its feed end.
    pub feed: usize,
    /// Its return end.
    pub ret: usize,
    /// Amperes above the knee.
    pub amperes: f64,
    /// The knee, V.
    pub knee: f64,
}

/// A circuit in one state, without its supplies.
#[derive(Clone, Debug)]
pub struct Wiring {
    /// Everything that is linear.
    pub mesh: Mesh,
    /// Nodes of the points.
    pub nodes: HashMap<Point, usize>,
    /// Feed and return node of every supply.
    pub supplies: Vec<(usize, usize)>,
    /// Electronic loads that draw.
    pub draws: Vec<Draw>,
    /// Near and far node and ohms of every pin that passes current, by connector and pin (from 1).
    pub pins: HashMap<(usize, u8), (usize, usize, f64)>,
    /// First and last piece of every wire: its end, the next node inward and the ohms between them.
    pub wires: Vec<[(usize, usize, f64); 2]>,
}

/// A place on a wire: its node, or two where a fault in series parts them.
struct OnWire {
    at: f64,
    fault: usize,
}

impl Wiring {
    /// Lays everything out. With `off`, supplies and rails give nothing and loads are what an ohmmeter sees of them.
    pub fn new(
        circuit: &Circuit,
        truth: &Truth,
        hidden: &[&Hidden],
        state: &State,
        off: bool,
    ) -> Self {
        let mut laid = Self {
            mesh: Mesh::new(),
            nodes: HashMap::from([(Point::battery_negative(), GROUND)]),
            supplies: Vec::new(),
            draws: Vec::new(),
            pins: HashMap::new(),
            wires: Vec::new(),
        };
        laid.lay_supplies(circuit);
        laid.lay_wires(circuit, truth, hidden);
        laid.lay_pins(circuit, truth, hidden, state);
        laid.lay_joints(circuit, truth, hidden);
        laid.lay_rails(circuit, truth, off);
        laid.lay_loads(circuit, truth, hidden, off);
        for load in &state.attached {
            let (a, b) = (laid.node(&load.from), laid.node(&load.to));
            laid.resistor(a, b, as_ohms(load.resistance));
        }
        for node in 1..laid.mesh.nodes() {
            laid.mesh.join(node, GROUND, LEAK);
        }
        laid
    }

    fn node(&mut self, point: &Point) -> usize {
        if let Some(&node) = self.nodes.get(point) {
            return node;
        }
        let node = self.mesh.node();
        self.nodes.insert(point.clone(), node);
        node
    }

    fn resistor(&mut self, a: usize, b: usize, ohm: f64) {
        self.mesh.join(a, b, 1.0 / ohm.max(LEAST_OHM));
    }

    fn lay_supplies(&mut self, circuit: &Circuit) {
        for supply in &circuit.supplies {
            let feed = self.node(&Point::new(&supply.id, Terminal::Feed(1)));
            let ret = self.node(&Point::new(&supply.id, Terminal::Return));
            for pin in 2..=supply.feed_pins {
                let other = self.node(&Point::new(&supply.id, Terminal::Feed(pin)));
                self.resistor(feed, other, INSIDE_OHM);
            }
            if circuit.is_bolted(supply) {
                self.resistor(ret, GROUND, INSIDE_OHM);
            }
            self.supplies.push((feed, ret));
        }
    }

    fn lay_wires(&mut self, circuit: &Circuit, truth: &Truth, hidden: &[&Hidden]) {
        // Where the first wire of a pair that touch is met, for the second one.
        let mut touching: HashMap<usize, usize> = HashMap::new();
        for (index, wire) in circuit.wires.iter().enumerate() {
            let mut places: Vec<OnWire> = (hidden.iter().enumerate())
                .filter(|(_, h)| {
                    h.site.part == wire.id
                        || (h.kind == FaultKind::ShortBetween
                            && h.site.with.as_deref() == Some(wire.id.as_str()))
                })
                .map(|(fault, h)| OnWire { at: h.at, fault })
                .collect();
            places.sort_by(|a, b| a.at.total_cmp(&b.at));
            let whole = truth.wires[index];
            let (mut here, end) = (self.node(&wire.from), self.node(&wire.to));
            let mut from = 0.0;
            let mut first = None;
            for place in places {
                let fault = hidden[place.fault];
                let node = self.mesh.node();
                let ohm = whole * (place.at - from);
                self.resistor(here, node, ohm);
                first = first.or(Some((here, node, ohm.max(LEAST_OHM))));
                (here, from) = (node, place.at);
                if fault.is_series() {
                    here = self.mesh.node();
                    self.resistor(node, here, series_ohm(fault));
                    continue;
                }
                let to = match fault.kind {
                    FaultKind::ShortToGround => Some(GROUND),
                    FaultKind::ShortToRail => (fault.site.with.as_ref())
                        .map(|rail| self.node(&Point::new(rail, Terminal::Only))),
                    _ => touching.insert(place.fault, node),
                };
                if let Some(to) = to {
                    self.resistor(node, to, fault.size);
                }
            }
            let ohm = whole * (1.0 - from);
            self.resistor(here, end, ohm);
            let ohm = ohm.max(LEAST_OHM);
            self.wires
                .push([first.unwrap_or((here, end, ohm)), (end, here, ohm)]);
        }
    }

    fn lay_pins(&mut self, circuit: &Circuit, truth: &Truth, hidden: &[&Hidden], state: &State) {
        for (index, connector) in circuit.connectors.iter().enumerate() {
            let parted = state.unplugged.contains(&connector.id);
            for (pin, &contact) in (1..=u8::MAX).zip(&truth.contacts[index]) {
                let near = self.node(&Point::new(&connector.id, Terminal::Near(pin)));
                let far = self.node(&Point::new(&connector.id, Terminal::Far(pin)));
                let mut ohm = if parted { PARTED_OHM } else { contact };
                let own = |h: &&&Hidden| h.site.part == connector.id && h.site.pin == Some(pin);
                for fault in hidden.iter().filter(own) {
                    if fault.is_series() {
                        ohm += series_ohm(fault);
                    } else {
                        let side = if fault.at < 0.5 { near } else { far };
                        self.resistor(side, GROUND, fault.size);
                    }
                }
                self.resistor(near, far, ohm);
                self.pins
                    .insert((index, pin), (near, far, ohm.max(LEAST_OHM)));
            }
        }
    }

    fn lay_joints(&mut self, circuit: &Circuit, truth: &Truth, hidden: &[&Hidden]) {
        let added = |id: &str| -> f64 {
            let own = hidden.iter().filter(|h| h.site.part == id && h.is_series());
            own.map(|h| series_ohm(h)).sum()
        };
        for (ground, &strap) in circuit.grounds.iter().zip(&truth.straps) {
            let at = self.node(&ground.at);
            self.resistor(at, GROUND, strap + added(&ground.id));
        }
        for (fuse, &own) in circuit.fuses.iter().zip(&truth.fuses) {
            let a = self.node(&Point::new(&fuse.id, Terminal::In));
            let b = self.node(&Point::new(&fuse.id, Terminal::Out));
            self.resistor(a, b, own + added(&fuse.id));
        }
        for splice in &circuit.splices {
            let node = self.node(&Point::new(&splice.id, Terminal::Only));
            let shorts = hidden.iter().filter(|h| h.site.part == splice.id);
            for fault in shorts {
                self.resistor(node, GROUND, fault.size);
            }
        }
        for (supply, (feed, _)) in circuit.supplies.iter().zip(self.supplies.clone()) {
            for fault in hidden
                .iter()
                .filter(|h| h.site.part == supply.id && h.kind == FaultKind::UndrawnShort)
            {
                self.resistor(feed, GROUND, fault.size);
            }
        }
    }

    fn lay_rails(&mut self, circuit: &Circuit, truth: &Truth, off: bool) {
        for (rail, &(volts, ohm)) in circuit.rails.iter().zip(&truth.rails) {
            let node = self.node(&Point::new(&rail.id, Terminal::Only));
            if !off {
                let ohm = ohm.max(LEAST_OHM);
                self.resistor(node, GROUND, ohm);
                self.mesh.drive(GROUND, node, volts / ohm);
            }
        }
    }

    fn lay_loads(&mut self, circuit: &Circuit, truth: &Truth, hidden: &[&Hidden], off: bool) {
        for (load, model) in circuit.loads.iter().zip(&truth.loads) {
            let (feed, ret) = (self.node(&load.feed), self.node(&load.ret));
            let own = |kind| {
                hidden
                    .iter()
                    .find(|h| h.site.part == load.id && h.kind == kind)
            };
            if let Some(fault) = own(FaultKind::DrawsTooMuch) {
                self.resistor(feed, ret, fault.size);
            }
            let seen = own(FaultKind::DrawsNothing).is_none() && !(off && load.blocks_ohmmeter);
            match *model {
                TrueLoad::Resistive(ohm) if seen => self.resistor(feed, ret, ohm),
                TrueLoad::Electronic { draw, knee } if seen && off => {
                    self.resistor(feed, ret, knee / draw);
                }
                TrueLoad::Electronic { draw, knee } if seen => self.draws.push(Draw {
                    feed,
                    ret,
                    amperes: draw,
                    knee,
                }),
                _ => {}
            }
            if let Some(fraction) = load.signal_fraction {
                let tap = self.node(&Point::new(&load.id, Terminal::Signal));
                self.resistor(feed, tap, TAP_OHM * (1.0 - fraction));
                self.resistor(tap, ret, TAP_OHM * fraction);
                if let Some(fault) = own(FaultKind::SignalStuck) {
                    let end = if fault.at < 0.5 { ret } else { feed };
                    self.resistor(tap, end, fault.size);
                }
            }
        }
    }
}

/// Ohms that a fault puts in series.
fn series_ohm(fault: &Hidden) -> f64 {
    match fault.kind {
        FaultKind::Open => PARTED_OHM,
        _ => fault.size,
    }
}
