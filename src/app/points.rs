//! What joins at a point, and what a current read there is the current of; which point is meant says [`circuit::typed`].
//!
//! [`circuit::typed`]: crate::circuit::typed

pub use crate::circuit::typed::{find, matches};
use crate::circuit::{Circuit, Point, Terminal};

/// The other ends of the wires that end at a point.
pub fn wire_ends(circuit: &Circuit, point: &Point) -> Vec<Point> {
    circuit
        .wires
        .iter()
        .filter_map(|wire| match point {
            end if *end == wire.from => Some(wire.to.clone()),
            end if *end == wire.to => Some(wire.from.clone()),
            _ => None,
        })
        .collect()
}

/// Whether a point names a current without a wire: what leaves a supply, what passes a pin.
pub fn has_whole_current(circuit: &Circuit, point: &Point) -> bool {
    match point.terminal {
        Terminal::Feed(_) => circuit.supplies.iter().any(|s| s.id == point.part),
        Terminal::Near(_) | Terminal::Far(_) => true,
        _ => false,
    }
}
