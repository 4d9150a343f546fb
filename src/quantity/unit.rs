//! The units that people type and read, their words and symbols.

/// What a typed or shown number counts. Numbers are always in the unit itself (V, Ω, A, m, min).
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Unit {
    /// Volts.
    Volts,
    /// Ohms.
    Ohms,
    /// Amperes.
    Amperes,
    /// Metres of wire.
    Metres,
    /// Minutes of work.
    Minutes,
}

/// Every unit.
pub const UNITS: [Unit; 5] = [
    Unit::Volts,
    Unit::Ohms,
    Unit::Amperes,
    Unit::Metres,
    Unit::Minutes,
];

impl Unit {
    /// Symbol behind a number.
    pub fn symbol(self) -> &'static str {
        match self {
            Self::Volts => "V",
            Self::Ohms => "Ω",
            Self::Amperes => "A",
            Self::Metres => "m",
            Self::Minutes => "min",
        }
    }

    /// Name in words.
    pub fn word(self) -> &'static str {
        match self {
            Self::Volts => "volts",
            Self::Ohms => "ohms",
            Self::Amperes => "amperes",
            Self::Metres => "metres",
            Self::Minutes => "minutes",
        }
    }

    /// A number with unit as a technician would type it, for error texts.
    pub fn example(self) -> &'static str {
        match self {
            Self::Volts => "0.82, 820m or 1.2 V",
            Self::Ohms => "47, 4k7 or 1.2 kΩ",
            Self::Amperes => "0.12, 120m or 120 mA",
            Self::Metres => "1.2, 80 cm or 1.2 m",
            Self::Minutes => "8, 8 min or 1.5 h",
        }
    }

    /// Whether the unit takes the prefixes µ, m, k and so on.
    pub(super) fn is_electrical(self) -> bool {
        matches!(self, Self::Volts | Self::Ohms | Self::Amperes)
    }

    /// Spellings after a number (lower case), each with its worth in the unit.
    pub(super) fn spellings(self) -> &'static [(&'static str, f64)] {
        match self {
            Self::Volts => &[
                ("v", 1.0),
                ("vdc", 1.0),
                ("v dc", 1.0),
                ("volt", 1.0),
                ("volts", 1.0),
            ],
            // The ohm sign (U+2126) and the Greek capital omega both become ω in lower case.
            Self::Ohms => &[("ω", 1.0), ("r", 1.0), ("ohm", 1.0), ("ohms", 1.0)],
            Self::Amperes => &[
                ("a", 1.0),
                ("amp", 1.0),
                ("amps", 1.0),
                ("ampere", 1.0),
                ("amperes", 1.0),
            ],
            Self::Metres => &[
                ("m", 1.0),
                ("cm", 0.01),
                ("mm", 0.001),
                ("ft", 0.3048),
                ("in", 0.0254),
                ("metre", 1.0),
                ("metres", 1.0),
                ("meter", 1.0),
                ("meters", 1.0),
            ],
            Self::Minutes => &[
                ("min", 1.0),
                ("minute", 1.0),
                ("minutes", 1.0),
                ("h", 60.0),
                ("hour", 60.0),
                ("hours", 60.0),
                ("s", 1.0 / 60.0),
            ],
        }
    }
}
