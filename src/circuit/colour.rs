//! Wire colours by the letters of IEC 60757.

use std::{fmt, str::FromStr};

use serde::{Deserialize, Deserializer, Serialize, Serializer, de::Error as _};

/// One colour of IEC 60757.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
#[allow(
    missing_docs,
    reason = "the variants are the English names of IEC 60757"
)]
pub enum Hue {
    Black,
    Brown,
    Red,
    Orange,
    Yellow,
    Green,
    Blue,
    Violet,
    Grey,
    White,
    Pink,
    Gold,
    Turquoise,
    Silver,
}

/// Every hue with its letters, in the order of the standard's table.
pub const HUES: [(Hue, &str); 14] = [
    (Hue::Black, "BK"),
    (Hue::Brown, "BN"),
    (Hue::Red, "RD"),
    (Hue::Orange, "OG"),
    (Hue::Yellow, "YE"),
    (Hue::Green, "GN"),
    (Hue::Blue, "BU"),
    (Hue::Violet, "VT"),
    (Hue::Grey, "GY"),
    (Hue::White, "WH"),
    (Hue::Pink, "PK"),
    (Hue::Gold, "GD"),
    (Hue::Turquoise, "TQ"),
    (Hue::Silver, "SR"),
];

/// A wire's insulation: a base and, where it has one, a stripe. Vehicle wiring names the base first
/// (common practice, no source), so `BNRD` and `RDBN` are two different wires.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Colour {
    /// Colour of the insulation.
    pub base: Hue,
    /// Colour of the stripe.
    pub stripe: Option<Hue>,
}

/// A text that is no colour.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error(
    "unknown colour “{0}”: use the letters of IEC 60757 (BK BN RD OG YE GN BU VT GY WH PK GD TQ SR), two of them for a stripe, e.g. BNRD"
)]
pub struct ColourError(String);

fn hue(letters: &str) -> Option<Hue> {
    HUES.iter()
        .find(|(_, code)| code.eq_ignore_ascii_case(letters))
        .map(|(hue, _)| *hue)
}

fn letters(hue: Hue) -> &'static str {
    HUES[hue as usize].1
}

impl FromStr for Colour {
    type Err = ColourError;

    /// Reads two or four letters, either case.
    ///
    /// ```
    /// use pinchpoint::circuit::Colour;
    /// assert_eq!("bnrd".parse::<Colour>().unwrap().to_string(), "BNRD");
    /// assert!("XX".parse::<Colour>().is_err());
    /// ```
    fn from_str(text: &str) -> Result<Self, ColourError> {
        let wrong = || ColourError(text.chars().take(20).collect());
        let trimmed = text.trim();
        let pair = match (trimmed.get(..2), trimmed.get(2..)) {
            (Some(base), Some("")) => (hue(base), None),
            (Some(base), Some(stripe)) => (hue(base), Some(hue(stripe).ok_or_else(wrong)?)),
            _ => return Err(wrong()),
        };
        Ok(Self {
            base: pair.0.ok_or_else(wrong)?,
            stripe: pair.1,
        })
    }
}

impl fmt::Display for Colour {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(letters(self.base))?;
        self.stripe.map_or(Ok(()), |hue| f.write_str(letters(hue)))
    }
}

impl Serialize for Colour {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

impl<'de> Deserialize<'de> for Colour {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        String::deserialize(deserializer)?
            .parse()
            .map_err(D::Error::custom)
    }
}
