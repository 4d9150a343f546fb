//! Large invented feeds: so many feeds of forty sensors and about a hundred wires all behind one inline connector, on a
//! supply that can feed them all.

use pinchpoint::{
    circuit::{Circuit, LimitMode, Point, quick_feed},
    quantity::units::{ohms, volts},
};

/// So many feeds on one supply; what belongs to the second has `_1` behind its name, and so on.
pub fn large(feeds: usize) -> Circuit {
    let mut one = quick_feed(volts(9.0), 40, true, true);
    let supply = &mut one.supplies[0];
    supply.source = Some(ohms(0.05));
    supply.limit = LimitMode::None;
    let mut circuit = one.clone();
    let shared = |id: &str| id == "M1" || id == "C1" || id == "G1" || id.is_empty();
    for number in 1..feeds {
        let renamed = |id: &str| {
            if shared(id) {
                id.to_owned()
            } else {
                format!("{id}_{number}")
            }
        };
        let moved = |point: &Point| {
            let mut point = point.clone();
            point.part = renamed(&point.part);
            point
        };
        for wire in one.wires.iter().filter(|wire| wire.from.part != "M1") {
            let mut wire = wire.clone();
            (wire.id, wire.from, wire.to) = (renamed(&wire.id), moved(&wire.from), moved(&wire.to));
            circuit.wires.push(wire);
        }
        for connector in one.connectors.iter().filter(|c| c.id != "C1") {
            let mut connector = connector.clone();
            connector.id = renamed(&connector.id);
            circuit.connectors.push(connector);
        }
        for splice in &one.splices {
            let mut splice = splice.clone();
            splice.id = renamed(&splice.id);
            circuit.splices.push(splice);
        }
        for load in &one.loads {
            let mut load = load.clone();
            (load.id, load.feed, load.ret) =
                (renamed(&load.id), moved(&load.feed), moved(&load.ret));
            circuit.loads.push(load);
        }
    }
    circuit
}
