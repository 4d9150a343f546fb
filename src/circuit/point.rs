//! Points: the places of a circuit that a probe can touch, and how they are written.
//!
//! A point is written as the part's designation, then a dot and its terminal where the part has several:
//! `M1.feed`, `M1.feed2`, `M1.return`, `C1.2n` and `C1.2f` (pin 2, near and far side as seen from the module),
//! `SP1`, `G1`, `F1.in`, `F1.out`, `S1.feed`, `S1.return`, `S1.signal`, `B1` (a rail), and `BN`, the battery negative.

use std::{fmt, str::FromStr};

use serde::{Deserialize, Deserializer, Serialize, Serializer, de::Error as _};

/// Which terminal of its part a point is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Terminal {
    /// A part with one point only: a splice, a ground, a rail, the battery negative.
    Only,
    /// The n-th feed pin of a supply (1 is the first), or the feed end of a load.
    Feed(u8),
    /// The return pin of a supply, or the return end of a load.
    Return,
    /// The signal tap of a load.
    Signal,
    /// The near (module) side of a connector's pin.
    Near(u8),
    /// The far side of a connector's pin.
    Far(u8),
    /// The end of a fuse nearer to the supply.
    In,
    /// The other end of a fuse.
    Out,
}

/// One place a probe can touch.
#[derive(Clone, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Point {
    /// Designation of the part.
    pub part: String,
    /// Terminal on that part.
    pub terminal: Terminal,
}

/// Why a text is no point.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum PointError {
    /// The part of the text before the dot is not a designation.
    #[error(
        "“{0}” is not a designation: use letters, digits, - and _ only, starting with a letter"
    )]
    Designation(String),
    /// The text after the dot names no terminal.
    #[error(
        "“{0}” is no terminal: use feed, feed2, return, signal, in, out, or a pin with its side such as 1n (near) or 1f (far)"
    )]
    Terminal(String),
}

/// Longest designation that is accepted, in characters.
pub const DESIGNATION_LIMIT: usize = 24;

/// Whether a text can name a part: a letter, then letters, digits, `-` and `_`.
pub fn is_designation(text: &str) -> bool {
    text.len() <= DESIGNATION_LIMIT
        && text.starts_with(|c: char| c.is_ascii_alphabetic())
        && text
            .chars()
            .all(|c| c.is_ascii_alphanumeric() || c == '-' || c == '_')
}

impl Point {
    /// A point from the parts of its name.
    pub fn new(part: impl Into<String>, terminal: Terminal) -> Self {
        Self {
            part: part.into(),
            terminal,
        }
    }

    /// The battery negative, to which black leads and chassis returns go.
    pub fn battery_negative() -> Self {
        Self::new(BATTERY_NEGATIVE, Terminal::Only)
    }

    /// Whether this is the battery negative.
    pub fn is_battery_negative(&self) -> bool {
        self.part == BATTERY_NEGATIVE
    }

    /// Its name as people are shown it: as it is written, but for the battery negative, whose designation in files is
    /// brown to everybody who reads wires (IEC 60757).
    ///
    /// ```
    /// use pinchpoint::circuit::Point;
    /// assert_eq!(Point::battery_negative().shown(), "battery −");
    /// assert_eq!("C1.2n".parse::<Point>().unwrap().shown(), "C1.2n");
    /// ```
    pub fn shown(&self) -> String {
        if self.is_battery_negative() {
            "battery −".to_owned()
        } else {
            self.to_string()
        }
    }

    /// Reads what a person types for a point: as it is written in files, or one of the names of the battery negative.
    ///
    /// ```
    /// use pinchpoint::circuit::Point;
    /// for name in ["battery −", "Battery -", "negative", "battery negative", "BN"] {
    ///     assert_eq!(Point::typed(name), Ok(Point::battery_negative()));
    /// }
    /// assert_eq!(Point::typed(" SP1 "), "SP1".parse());
    /// ```
    ///
    /// # Errors
    /// As reading it from a file.
    pub fn typed(text: &str) -> Result<Self, PointError> {
        let words: Vec<String> = text.split_whitespace().map(str::to_lowercase).collect();
        match words.join(" ").as_str() {
            "bn" | "negative" | "battery −" | "battery -" | "battery negative" => {
                Ok(Self::battery_negative())
            }
            _ => text.trim().parse(),
        }
    }
}

/// The reserved designation of the battery negative.
pub const BATTERY_NEGATIVE: &str = "BN";

impl fmt::Display for Point {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let part = &self.part;
        match self.terminal {
            Terminal::Only => write!(f, "{part}"),
            Terminal::Feed(1) => write!(f, "{part}.feed"),
            Terminal::Feed(n) => write!(f, "{part}.feed{n}"),
            Terminal::Return => write!(f, "{part}.return"),
            Terminal::Signal => write!(f, "{part}.signal"),
            Terminal::Near(n) => write!(f, "{part}.{n}n"),
            Terminal::Far(n) => write!(f, "{part}.{n}f"),
            Terminal::In => write!(f, "{part}.in"),
            Terminal::Out => write!(f, "{part}.out"),
        }
    }
}

impl FromStr for Point {
    type Err = PointError;

    /// Reads what [`Point`]'s `Display` writes.
    ///
    /// ```
    /// use pinchpoint::circuit::{Point, Terminal};
    /// assert_eq!("C1.2n".parse(), Ok(Point::new("C1", Terminal::Near(2))));
    /// assert_eq!("SP1".parse(), Ok(Point::new("SP1", Terminal::Only)));
    /// assert!("C1.0n".parse::<Point>().is_err());
    /// ```
    fn from_str(text: &str) -> Result<Self, PointError> {
        let (part, terminal) = match text.split_once('.') {
            None => (text, Terminal::Only),
            Some((part, terminal)) => (part, parse_terminal(terminal)?),
        };
        if is_designation(part) {
            Ok(Self::new(part, terminal))
        } else {
            Err(PointError::Designation(part.chars().take(40).collect()))
        }
    }
}

fn parse_terminal(text: &str) -> Result<Terminal, PointError> {
    let wrong = || PointError::Terminal(text.chars().take(40).collect());
    let number = |digits: &str| match digits.parse::<u8>() {
        Ok(n) if n > 0 && !digits.starts_with('+') => Ok(n),
        _ => Err(wrong()),
    };
    Ok(match text {
        "feed" => Terminal::Feed(1),
        "return" => Terminal::Return,
        "signal" => Terminal::Signal,
        "in" => Terminal::In,
        "out" => Terminal::Out,
        _ => {
            if let Some(digits) = text.strip_prefix("feed") {
                Terminal::Feed(number(digits)?)
            } else if let Some(digits) = text.strip_suffix('n') {
                Terminal::Near(number(digits)?)
            } else if let Some(digits) = text.strip_suffix('f') {
                Terminal::Far(number(digits)?)
            } else {
                return Err(wrong());
            }
        }
    })
}

impl Serialize for Point {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

impl<'de> Deserialize<'de> for Point {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        String::deserialize(deserializer)?
            .parse()
            .map_err(D::Error::custom)
    }
}
