//! What a lamp, a silent module, a wiggle or a look says: data with its provenance, in `assets/signs.ron`.

use std::sync::LazyLock;

use serde::Deserialize;

use super::{Kind, Lamp, Seen, inspection::Overlooked};

/// How a lamp glows over the volts across it.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Glow {
    /// What people call it.
    pub name: String,
    /// Volts across it over the current through it while it is dark, dim and lit, Ω.
    pub ohm: (f64, f64, f64),
    /// Volts from which it is seen to glow, and their standard deviation.
    pub dim_from: (f64, f64),
    /// Volts from which it is called lit, and their standard deviation.
    pub lit_from: (f64, f64),
    /// Chance that what was seen says nothing: a bad clip, a broken filament, the sun.
    pub doubt: f64,
}

/// When a module answers.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Answer {
    /// Share of the nominal volts from which it works, and its standard deviation.
    pub works_from: (f64, f64),
    /// Chance that an answer says nothing of its feed.
    pub answers_doubt: f64,
    /// Chance that silence has another reason than its feed.
    pub silent_doubt: f64,
}

/// By how much a wiggle makes a fault at its place likelier.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Wiggling {
    /// Factor for a fault at the place where it changed the reading.
    pub changed: f64,
    /// Factor against a fault at the place where it did not.
    pub unchanged: f64,
}

/// The table; the comments in the file say where the numbers come from.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Signs {
    /// A bulb.
    pub filament: Glow,
    /// An LED.
    pub led: Glow,
    /// A module on the scan.
    pub scan: Answer,
    /// A wiggle.
    pub wiggle: Wiggling,
    /// A look.
    pub overlooked: Overlooked,
}

/// The table of the program.
///
/// # Panics
/// Never in a released program: a test reads the embedded file.
pub static SIGNS: LazyLock<Signs> = LazyLock::new(|| {
    ron::from_str(include_str!("../../assets/signs.ron")).expect("the embedded table is valid")
});

impl Lamp {
    /// Its data.
    pub fn glow(self) -> &'static Glow {
        match self {
            Self::Filament => &SIGNS.filament,
            Self::Led => &SIGNS.led,
        }
    }

    /// Ohms across which it stands as it was seen.
    pub fn ohm(self, seen: Seen) -> f64 {
        let (dark, dim, lit) = self.glow().ohm;
        match seen {
            Seen::Lit => lit,
            Seen::Dim => dim,
            Seen::Dark | Seen::Answers | Seen::Silent => dark,
        }
    }
}

impl Kind {
    /// What would be seen of it with so many volts there; nothing where a number is read.
    ///
    /// ```
    /// use pinchpoint::reading::{Kind, Lamp, Seen};
    /// assert_eq!(Kind::Lamp(Lamp::Led).would_show(4.9, 5.0), Some(Seen::Lit));
    /// assert_eq!(Kind::Scan.would_show(1.2, 5.0), Some(Seen::Silent));
    /// assert_eq!(Kind::Volts.would_show(4.9, 5.0), None);
    /// ```
    pub fn would_show(self, volts: f64, nominal: f64) -> Option<Seen> {
        match self {
            Self::Lamp(lamp) => Some(match lamp.glow() {
                glow if volts.abs() >= glow.lit_from.0 => Seen::Lit,
                glow if volts.abs() >= glow.dim_from.0 => Seen::Dim,
                _ => Seen::Dark,
            }),
            Self::Scan => Some(if volts >= SIGNS.scan.works_from.0 * nominal {
                Seen::Answers
            } else {
                Seen::Silent
            }),
            Self::Volts | Self::Ohms | Self::Amperes | Self::Clamp => None,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn thresholds_rise_and_nothing_is_certain() {
        for glow in [&SIGNS.filament, &SIGNS.led] {
            assert!(0.0 < glow.dim_from.0 && glow.dim_from.0 < glow.lit_from.0);
            assert!(glow.doubt > 0.0 && glow.doubt < 0.5);
        }
        // A filament is the more ohms the hotter it is, an LED the fewer the brighter.
        let (dark, dim, lit) = SIGNS.filament.ohm;
        assert!(dark < dim && dim < lit);
        let (dark, dim, lit) = SIGNS.led.ohm;
        assert!(dark > dim && dim > lit);
        assert!(SIGNS.wiggle.changed > SIGNS.wiggle.unchanged && SIGNS.wiggle.unchanged > 1.0);
        let seen = &SIGNS.overlooked;
        let missed = [
            seen.rubbed_wire,
            seen.broken_wire,
            seen.pin,
            seen.splice,
            seen.joint,
            seen.load,
            seen.supply,
            seen.undrawn,
            seen.again,
        ];
        assert!(missed.iter().all(|chance| (0.01..1.0).contains(chance)));
        // To find nothing speaks against a member that is not drawn.
        assert!(seen.undrawn < 1.0 - seen.another_member);
        let doubts = [SIGNS.scan.answers_doubt, SIGNS.scan.silent_doubt];
        assert!(doubts.iter().all(|doubt| (0.001..0.6).contains(doubt)));
    }
}
