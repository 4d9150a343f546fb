//! Places that were looked at, in words.

use super::names;
use crate::{circuit::Circuit, fault::Site, reading::Inspection};

/// What is said to have been seen there.
pub const NOTHING: &str = "nothing found";

/// What was looked at: `W7, 0.5 to 1.2 m from SP2`, `C1 pin 2`, `members not drawn at SP1`.
pub fn looked_at(circuit: &Circuit, look: &Inspection) -> String {
    let site = Site {
        part: look.part.clone(),
        pin: look.pin,
        with: None,
    };
    let thing = names::thing(&site);
    if look.undrawn {
        return format!("members not drawn at {thing}");
    }
    let wire = circuit.wire(&look.part);
    match (look.metres, wire) {
        (Some((from, to)), Some(wire)) => format!(
            "{thing}, {} to {} m from {}",
            centimetres(from),
            centimetres(to),
            names::end(&wire.from)
        ),
        _ => thing,
    }
}

/// Metres to the centimetre, without needless zeros.
fn centimetres(metres: f64) -> f64 {
    (100.0 * metres).round() / 100.0
}

/// What follows from it, in a sentence.
pub fn looked_step(circuit: &Circuit, look: &Inspection) -> String {
    format!(
        "Looking at {} found nothing: a fault there is less likely by as often as such a look sees it, and not ruled out.",
        looked_at(circuit, look)
    )
}
