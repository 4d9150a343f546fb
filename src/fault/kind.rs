//! Kinds of fault and the things that can have one.

use std::{fmt, str::FromStr};

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

/// Why a text names no place.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum SiteError {
    /// Nothing but blanks.
    #[error("no place is named; choose a wire or a part, or type one such as W3")]
    Empty,
    /// Neither a part nor a pin.
    #[error("“{0}” is no place; type a part such as W3 or a pin such as C1.1")]
    NoPlace(String),
}

/// ```
/// use pinchpoint::fault::Site;
/// assert_eq!("W3".parse(), Ok(Site::part("W3")));
/// assert_eq!("C1.2".parse(), Ok(Site::pin("C1", 2)));
/// assert_eq!("C1.2n".parse(), Ok(Site::pin("C1", 2)));
/// assert!("C1.0".parse::<Site>().is_err() && " ".parse::<Site>().is_err());
/// ```
impl FromStr for Site {
    type Err = SiteError;

    fn from_str(typed: &str) -> Result<Self, SiteError> {
        let typed = typed.trim();
        let (part, pin) = match typed.split_once('.') {
            None => (typed, None),
            Some((part, pin)) => (part, Some(pin.trim_end_matches(['n', 'f']).parse::<u8>())),
        };
        match (part, pin) {
            ("", _) => Err(SiteError::Empty),
            (part, None) => Ok(Self::part(part)),
            (part, Some(Ok(pin))) if pin > 0 => Ok(Self::pin(part, pin)),
            _ => Err(SiteError::NoPlace(typed.to_owned())),
        }
    }
}
