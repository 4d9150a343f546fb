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

/// What a number typed with a unit or prefix is worth: `times` · 10^`power` / `per`, in whole numbers, so that a decimal stays
/// a decimal.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Worth {
    pub(super) times: u32,
    pub(super) power: i32,
    pub(super) per: u32,
}

impl Worth {
    /// The unit itself.
    pub(super) const ONE: Self = Self::ten(0);
    const HUNDREDTH: Self = Self::ten(-2);
    const THOUSANDTH: Self = Self::ten(-3);
    /// The international foot and inch of 1959, exactly.
    const FOOT: Self = Self {
        times: 3048,
        ..Self::ten(-4)
    };
    const INCH: Self = Self {
        times: 254,
        ..Self::ten(-4)
    };
    const HOUR: Self = Self {
        times: 60,
        ..Self::ONE
    };
    const SECOND: Self = Self {
        per: 60,
        ..Self::ONE
    };

    /// A power of ten.
    pub(super) const fn ten(power: i32) -> Self {
        Self {
            times: 1,
            power,
            per: 1,
        }
    }
}

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
    pub(super) fn spellings(self) -> &'static [(&'static str, Worth)] {
        match self {
            Self::Volts => &[
                ("v", Worth::ONE),
                ("vdc", Worth::ONE),
                ("v dc", Worth::ONE),
                ("volt", Worth::ONE),
                ("volts", Worth::ONE),
            ],
            // The ohm sign (U+2126) and the Greek capital omega both become ω in lower case.
            Self::Ohms => &[
                ("ω", Worth::ONE),
                ("r", Worth::ONE),
                ("ohm", Worth::ONE),
                ("ohms", Worth::ONE),
            ],
            Self::Amperes => &[
                ("a", Worth::ONE),
                ("amp", Worth::ONE),
                ("amps", Worth::ONE),
                ("ampere", Worth::ONE),
                ("amperes", Worth::ONE),
            ],
            Self::Metres => &[
                ("m", Worth::ONE),
                ("cm", Worth::HUNDREDTH),
                ("mm", Worth::THOUSANDTH),
                ("ft", Worth::FOOT),
                ("in", Worth::INCH),
                ("metre", Worth::ONE),
                ("metres", Worth::ONE),
                ("meter", Worth::ONE),
                ("meters", Worth::ONE),
            ],
            Self::Minutes => &[
                ("min", Worth::ONE),
                ("minute", Worth::ONE),
                ("minutes", Worth::ONE),
                ("h", Worth::HOUR),
                ("hour", Worth::HOUR),
                ("hours", Worth::HOUR),
                ("s", Worth::SECOND),
            ],
        }
    }
}
