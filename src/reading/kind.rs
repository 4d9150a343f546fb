//! What kind of quantity is read, and what is seen.

use serde::{Deserialize, Serialize};

use crate::quantity::Unit;

/// What kind of quantity was read.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub enum Kind {
    /// DC volts between two points, red minus black.
    Volts,
    /// Resistance between two points, the supply being off.
    Ohms,
    /// Current, the meter in series. With the black point at the other end of a wire: in that wire, at its red end, from
    /// red to black. Else what leaves a supply at its feed, or passes a connector's pin from near to far.
    Amperes,
    /// The same current, by a clamp around the wire.
    Clamp,
    /// How a lamp glows that is clipped on between two points.
    Lamp(Lamp),
    /// Whether a module answers on the scan; red is its feed, black its return.
    Scan,
}

impl Kind {
    /// Unit of its value; of what is only seen, of the volts that it speaks of.
    pub fn unit(self) -> Unit {
        match self {
            Self::Volts | Self::Lamp(_) | Self::Scan => Unit::Volts,
            Self::Ohms => Unit::Ohms,
            Self::Amperes | Self::Clamp => Unit::Amperes,
        }
    }

    /// Whether it is a current, in a wire or out of a supply.
    pub fn is_current(self) -> bool {
        matches!(self, Self::Amperes | Self::Clamp)
    }

    /// What can be seen; nothing where a number is read.
    pub fn seen(self) -> &'static [Seen] {
        match self {
            Self::Lamp(_) => &[Seen::Lit, Seen::Dim, Seen::Dark],
            Self::Scan => &[Seen::Answers, Seen::Silent],
            Self::Volts | Self::Ohms | Self::Amperes | Self::Clamp => &[],
        }
    }
}

/// Which lamp.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub enum Lamp {
    /// A bulb of 12 V and 5 W: never on a reference or data line.
    Filament,
    /// An LED with its resistor, a few milliamperes.
    Led,
}

/// What is seen instead of a number.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub enum Seen {
    /// The lamp is lit.
    Lit,
    /// The lamp glows.
    Dim,
    /// The lamp is dark.
    Dark,
    /// The module answers.
    Answers,
    /// The module is silent.
    Silent,
}

impl Seen {
    /// In a word, as people type it.
    ///
    /// ```
    /// use pinchpoint::reading::Seen;
    /// assert_eq!(Seen::read(" Lit "), Some(Seen::Lit));
    /// assert_eq!(Seen::read(Seen::Silent.word()), Some(Seen::Silent));
    /// assert_eq!(Seen::read("11.9"), None);
    /// ```
    pub fn word(self) -> &'static str {
        match self {
            Self::Lit => "lit",
            Self::Dim => "dim",
            Self::Dark => "dark",
            Self::Answers => "answers",
            Self::Silent => "silent",
        }
    }

    /// Reads such a word.
    pub fn read(text: &str) -> Option<Self> {
        let text = text.trim().to_lowercase();
        [
            Self::Lit,
            Self::Dim,
            Self::Dark,
            Self::Answers,
            Self::Silent,
        ]
        .into_iter()
        .find(|seen| seen.word() == text)
    }
}

/// What the display showed, in SI units (V, Ω, A), or what was seen.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub enum Value {
    /// One number.
    Exactly(f64),
    /// Over-range: larger than the range's top.
    OverRange {
        /// Top of the range; the meter's largest one when left out.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        above: Option<f64>,
    },
    /// An unsteady display that stayed between two numbers.
    Between(f64, f64),
    /// No number: how a lamp glows, or whether a module answers.
    Seen(Seen),
}
