//! A place that was looked at, and where nothing was found: what was looked at, and how often that overlooks a fault.

use serde::{Deserialize, Serialize};

use crate::circuit::Circuit;

/// A place that was looked at, and where nothing was found.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Inspection {
    /// Designation of the part that was looked at, or a bundle.
    pub part: String,
    /// Pin of a connector (from 1); all of them when left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub pin: Option<u8>,
    /// Metres of a wire from its `from` end; all of it when left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub metres: Option<(f64, f64)>,
    /// Whether members were looked for there that are not drawn, and not the part itself.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub undrawn: bool,
    /// Set aside by the user: kept, shown, not used.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub set_aside: bool,
    /// Anything worth keeping.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub note: String,
}

/// Chances that a fault is overlooked by who looks at its place.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Overlooked {
    /// A wire that rubbed through, unwrapped.
    pub rubbed_wire: f64,
    /// A wire that is parted or corroded inside its insulation.
    pub broken_wire: f64,
    /// A pin.
    pub pin: f64,
    /// A splice.
    pub splice: f64,
    /// A ground or a fuse.
    pub joint: f64,
    /// A sensor.
    pub load: f64,
    /// A module.
    pub supply: f64,
    /// A member that is not drawn.
    pub undrawn: f64,
    /// Chance that who looks for members that are not drawn finds a sound one.
    pub another_member: f64,
    /// Anything, by who has overlooked it before.
    pub again: f64,
}

impl Inspection {
    /// Whether its part or bundle is on the sketch.
    pub fn is_on(&self, circuit: &Circuit) -> bool {
        let bundles = circuit.wires.iter().map(|wire| wire.bundle.as_str());
        circuit
            .ids()
            .chain(bundles)
            .any(|id| !id.is_empty() && id == self.part)
    }

    /// What does not fit the sketch, and the remedy.
    pub fn trouble(&self, circuit: &Circuit) -> Option<(String, &'static str)> {
        let part = &self.part;
        if !self.is_on(circuit) {
            return Some((
                format!("“{part}”, which was looked at, is not on the sketch"),
                "correct the designation, or draw the part",
            ));
        }
        if let Some(pin) = self.pin {
            let connector = circuit.connector(part);
            let pins = connector.map_or(0, |connector| connector.pins.len());
            if !(1..=pins).contains(&usize::from(pin)) {
                return Some((
                    format!("{part} has no pin {pin}"),
                    "name a pin that is there, or the whole part",
                ));
            }
        }
        let (from, to) = self.metres?;
        let Some(wire) = circuit.wire(part) else {
            return Some((
                format!("metres say nothing of {part}, which is no wire"),
                "leave them out, or name the wire",
            ));
        };
        let length = wire.length_or_assumed();
        (!(from >= 0.0 && from < to && to <= length + 0.005)).then(|| {
            (
                format!("{from} to {to} m is no piece of {part}, which is {length} m long"),
                "give where it begins and ends, in metres from the end nearer the module",
            )
        })
    }
}
