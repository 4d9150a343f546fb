//! The harness to scale, without pixels: x is metres along the wires from the module, every branch has a lane.
//!
//! Stages: number the points ([`graph`]), walk shortest paths from the supplies, cut the walks into paths, pack the
//! paths into lanes, hang returns on the places that the feed has set, keep what is connected to nothing as strays.
//! The voltage ([`profile`]) and the probability ([`chance`]) along the feed share its metres; [`axis`] says how its volts lie, [`shade`] how wires look.

mod assemble;
pub mod axis;
pub mod chance;
mod graph;
mod harness;
mod lanes;
mod paths;
pub mod profile;
mod returns;
pub mod shade;
mod symbols;

pub use harness::{
    Group, Harness, Lane, Lead, PartKind, PinPlace, Place, PlacedPart, Run, Scale, Stub,
};

use crate::circuit::Circuit;

/// Metres kept free behind the end of a branch, for the box of its load.
pub const END_ROOM_M: f64 = 0.6;

/// Lays a circuit out. Never fails: what makes no sense is drawn as a stray. `room` is how many metres the box of a
/// load covers at the present zoom, [`END_ROOM_M`] for a start. Well under a millisecond for 300 parts.
pub fn layout(circuit: &Circuit, room: f64) -> Harness {
    assemble::assemble(
        circuit,
        if room.is_finite() {
            room.max(0.0)
        } else {
            END_ROOM_M
        },
    )
}
