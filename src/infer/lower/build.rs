//! Parts of the sketch as numbered elements.

use std::collections::BTreeMap;

use super::{Electronic, Element, LEAST_OHM, Role, Source};
use crate::{
    circuit::{Circuit, LimitMode, LoadModel, Point, Terminal},
    quantity::units::{as_amperes, as_ohms, as_volts},
};

/// Spread (one standard deviation of the logarithm) of wires, contacts and straps (judgement).
const WIRE_SPREAD: f64 = 0.06;
const CONTACT_SPREAD: f64 = 0.45;
const UNKNOWN_LENGTH_SPREAD: f64 = 0.6;
/// Share of its knee down to which an electronic load is taken to draw its full current. A knee is stated where the
/// draw is certainly constant; below, it falls off late and nobody says how (judgement; the starved loads of the generated
/// cases fall off at 0.31 on the average, those of practice are drawn between 0.3 and 0.7).
const FALLS_OFF: f64 = 0.4;

#[derive(Default)]
pub(super) struct Build {
    pub(super) nodes: BTreeMap<Point, usize>,
    pub(super) elements: Vec<Element>,
    pub(super) electronic: Vec<Electronic>,
    pub(super) sources: Vec<Source>,
    pub(super) rails: Vec<(usize, f64)>,
}

impl Build {
    /// Number of a point, `usize::MAX` for ground until all are numbered.
    pub(super) fn node(&mut self, point: &Point) -> usize {
        if point.is_battery_negative() {
            return usize::MAX;
        }
        let next = self.nodes.len();
        *self.nodes.entry(point.clone()).or_insert(next)
    }

    pub(super) fn element(
        &mut self,
        role: Role,
        a: usize,
        b: usize,
        ohm: f64,
        spread: f64,
    ) -> usize {
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

    pub(super) fn parts(&mut self, circuit: &Circuit) {
        for supply in &circuit.supplies {
            let feed = self.node(&Point::new(&supply.id, Terminal::Feed(1)));
            let ret = self.node(&Point::new(&supply.id, Terminal::Return));
            for pin in 2..=supply.feed_pins {
                let other = self.node(&Point::new(&supply.id, Terminal::Feed(pin)));
                self.element(Role::Inner, feed, other, 0.01, CONTACT_SPREAD);
            }
            if circuit.is_bolted(supply) {
                self.element(Role::Inner, ret, usize::MAX, 0.01, CONTACT_SPREAD);
            }
            self.sources.push(source(
                supply,
                circuit.sound_draw(supply.nominal),
                feed,
                ret,
            ));
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

    pub(super) fn load(&mut self, index: usize, load: &crate::circuit::Load) {
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

/// Limit of a supply of which nothing is known, A.
const UNKNOWN_LIMIT: f64 = 0.1;
/// How many times what its sensors take a module is made to give at least, as the middle of what is likely (judgement).
const TO_SPARE: f64 = 3.0;

/// Parameters of a supply; what is unknown gets a broad default (judgement): 2 Ω within a factor of 4, a limit of
/// 100 mA within a factor of 3, or of 4 where not even its kind is known, and 0.3 of that when a folding supply is shorted.
/// A module feeds its own sensors, so three times what they take is the limit where that is more, within a factor of 3.
fn source(supply: &crate::circuit::Supply, draw: f64, feed: usize, ret: usize) -> Source {
    let expected = UNKNOWN_LIMIT.max(TO_SPARE * draw);
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
        LimitMode::Unknown => {
            let factor = if expected > UNKNOWN_LIMIT { 3.0 } else { 4.0 };
            (expected, expected, spread(factor))
        }
        LimitMode::Constant { limit } => {
            let value = known(limit, expected);
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
            let value = known(limit, expected);
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
