//! The trade's words for what the findings hold.

use crate::{
    diagnosis::Suspect,
    quantity::{
        Unit,
        format::{interval, percent, si},
    },
    reading::{Kind, Lamp, Reading, State},
};

pub use crate::explain::names::kind;
use crate::explain::names::moved;

/// Ohms of a suspect, with what they are, or nothing.
pub fn ohms(suspect: &Suspect) -> String {
    suspect.resistance.map_or_else(String::new, |ohms| {
        interval(ohms.low, ohms.high, Unit::Ohms)
    })
}

/// Where along its wire a suspect is, or nothing.
pub fn position(suspect: &Suspect) -> String {
    suspect.position.as_ref().map_or_else(String::new, |at| {
        format!(
            "{} from {} (of {})",
            interval(at.metres.low, at.metres.high, Unit::Metres),
            at.from.shown(),
            si(at.length, Unit::Metres)
        )
    })
}

/// Where the leads were.
pub fn leads(reading: &Reading) -> String {
    let by = match reading.kind {
        Kind::Volts | Kind::Ohms | Kind::Amperes => "",
        Kind::Clamp => "clamp ",
        Kind::Lamp(Lamp::Filament) => "lamp ",
        Kind::Lamp(Lamp::Led) => "LED ",
        Kind::Scan => "scan ",
    };
    format!("{by}{}", points(reading))
}

fn points(reading: &Reading) -> String {
    if reading.black.is_battery_negative() {
        reading.red.shown()
    } else {
        format!("{} to {}", reading.red.shown(), reading.black.shown())
    }
}

/// How the circuit stood.
pub fn state(state: &State) -> String {
    let list = |names: &std::collections::BTreeSet<String>| {
        names.iter().cloned().collect::<Vec<_>>().join(" ")
    };
    let mut parts = Vec::new();
    if !state.unplugged.is_empty() {
        parts.push(format!("{} unplugged", list(&state.unplugged)));
    }
    if !state.unknown.is_empty() {
        parts.push(format!("{} unknown", list(&state.unknown)));
    }
    if state.supply_off {
        parts.push("supply off".to_owned());
    }
    for load in &state.attached {
        parts.push(format!("load {} to {}", load.from, load.to));
    }
    if parts.is_empty() {
        "all plugged".to_owned()
    } else {
        parts.join(", ")
    }
}

/// How the circuit stood for a reading, and what was moved while it was read.
pub fn stood(reading: &Reading) -> String {
    state(&reading.state) + &moved(reading)
}

/// A probability in front of what it is of.
pub fn chance(probability: f64, of: &str) -> String {
    format!("{of}: {}", percent(probability))
}
