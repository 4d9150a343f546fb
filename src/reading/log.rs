//! The log: readings, inspections and repairs in the order in which they happened.

use std::collections::BTreeSet;

use serde::{Deserialize, Serialize};

use super::{Inspection, Kind, Value};
use crate::{
    circuit::Point,
    quantity::{Ohms, units::ohms},
};

/// A known load clipped on for the reading.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Attached {
    /// One end.
    pub from: Point,
    /// The other end.
    pub to: Point,
    /// Its resistance.
    #[serde(rename = "ohm", with = "crate::quantity::units::ohms")]
    pub resistance: Ohms,
}

/// How the circuit stood when a reading was taken.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct State {
    /// Connectors that were parted; all others were plugged.
    #[serde(default, skip_serializing_if = "BTreeSet::is_empty")]
    pub unplugged: BTreeSet<String>,
    /// Connectors of which nobody knows.
    #[serde(default, skip_serializing_if = "BTreeSet::is_empty")]
    pub unknown: BTreeSet<String>,
    /// Whether the supply was off (ohms are always read with it off).
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub supply_off: bool,
    /// Known loads that were clipped on.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub attached: Vec<Attached>,
    /// Whether the key was cycled after the last change; not noted when left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub key_cycled: Option<bool>,
}

impl State {
    /// Whether everything was plugged and as usual.
    pub fn is_usual(&self) -> bool {
        *self == Self::default()
    }

    /// The same with one connector the other way: plugged where it was parted, parted where it was plugged.
    #[must_use]
    pub fn toggled(&self, id: &str) -> Self {
        let mut state = self.clone();
        if !state.unplugged.remove(id) {
            state.unplugged.insert(id.to_owned());
        }
        state
    }

    /// Whether two states are the same apart from the note on the key.
    pub fn stands_alike(&self, other: &Self) -> bool {
        (
            &self.unplugged,
            &self.unknown,
            self.supply_off,
            &self.attached,
        ) == (
            &other.unplugged,
            &other.unknown,
            other.supply_off,
            &other.attached,
        )
    }
}

/// A place that was moved while the meter was watched.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Wiggled {
    /// Designation of a connector or wire, or a bundle.
    pub place: String,
    /// Whether the reading changed.
    pub changed: bool,
}

/// One reading.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Reading {
    /// Kind of quantity.
    pub kind: Kind,
    /// Where the red lead was.
    pub red: Point,
    /// Where the black lead was.
    #[serde(
        default = "Point::battery_negative",
        skip_serializing_if = "Point::is_battery_negative"
    )]
    pub black: Point,
    /// What the display showed.
    pub value: Value,
    /// Worth of the last digit as it was typed (V, Ω, A), where that is known: `0.31` was noted to 0.01.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub step: Option<f64>,
    /// State of the circuit.
    #[serde(default, skip_serializing_if = "State::is_usual")]
    pub state: State,
    /// Places that were moved while it was read.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub wiggled: Vec<Wiggled>,
    /// Set aside by the user: kept, shown, not used.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub set_aside: bool,
    /// Anything worth keeping.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub note: String,
}

impl Reading {
    /// A reading of volts against battery negative, everything plugged.
    pub fn volts(red: Point, value: f64) -> Self {
        Self {
            kind: Kind::Volts,
            red,
            black: Point::battery_negative(),
            value: Value::Exactly(value),
            step: None,
            state: State::default(),
            wiggled: Vec::new(),
            set_aside: false,
            note: String::new(),
        }
    }

    /// How the circuit stood with what the reading itself put there: a lamp is a load as long as it is watched.
    pub fn stood(&self) -> State {
        let mut state = self.state.clone();
        if let (Kind::Lamp(lamp), Value::Seen(seen)) = (self.kind, self.value) {
            state.attached.push(Attached {
                from: self.red.clone(),
                to: self.black.clone(),
                resistance: ohms(lamp.ohm(seen)),
            });
        }
        state
    }

    /// Worth of the last digit that was noted, where it is known and makes sense.
    pub fn noted_to(&self) -> Option<f64> {
        self.step.filter(|step| step.is_finite() && *step > 0.0)
    }
}

/// A repair: from here on the fault of the named part is gone, unless the new part has one of its own.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Repair {
    /// Designation of the repaired or replaced part.
    pub part: String,
    /// Whether it was replaced (a new part can be bad too) rather than repaired.
    #[serde(default)]
    pub replaced: bool,
    /// What was done.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub note: String,
}

/// One line of the log.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub enum Entry {
    /// A reading.
    Reading(Reading),
    /// A repair.
    Repair(Repair),
    /// A place that was looked at, and nothing was found there.
    Inspection(Inspection),
}

impl Entry {
    /// The reading that it is, unless it is set aside.
    pub fn used(&self) -> Option<&Reading> {
        match self {
            Self::Reading(reading) if !reading.set_aside => Some(reading),
            _ => None,
        }
    }
}

/// Resistance that stands for the insulation of an unplugged pin.
pub fn insulation() -> Ohms {
    ohms(1e11)
}
