//! Kinds of fault and the things that can have one.

use std::fmt;

use serde::{Deserialize, Serialize};

/// What is wrong with a thing.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum FaultKind {
    /// Touches ground (or a return) through some resistance.
    ShortToGround,
    /// Touches another rail.
    ShortToRail,
    /// Two wires touch each other.
    ShortBetween,
    /// Parted: no current passes.
    Open,
    /// Too much resistance in series: a corroded pin, a last strand.
    HighResistance,
    /// A load draws too much: shorted inside.
    DrawsTooMuch,
    /// A load draws nothing.
    DrawsNothing,
    /// A sensor's signal is held by something inside it, whatever it senses.
    SignalStuck,
    /// The supply gives nothing.
    SupplyDead,
    /// The supply gives less than its tolerance.
    SupplyLow,
    /// The supply limits well below its stated limit.
    LimitsEarly,
    /// A member that is not drawn pulls the feed down.
    UndrawnShort,
}

/// A thing that can be inspected, repaired or replaced.
#[derive(Clone, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Site {
    /// Designation of the part.
    pub part: String,
    /// Pin of a connector (from 1).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub pin: Option<u8>,
    /// The other part, for a short between two.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub with: Option<String>,
}

impl Site {
    /// A whole part.
    pub fn part(id: impl Into<String>) -> Self {
        Self {
            part: id.into(),
            pin: None,
            with: None,
        }
    }

    /// A pin of a connector.
    pub fn pin(id: impl Into<String>, pin: u8) -> Self {
        Self {
            part: id.into(),
            pin: Some(pin),
            with: None,
        }
    }
}

impl fmt::Display for Site {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.part)?;
        if let Some(pin) = self.pin {
            write!(f, " pin {pin}")?;
        }
        if let Some(other) = &self.with {
            write!(f, " to {other}")?;
        }
        Ok(())
    }
}
