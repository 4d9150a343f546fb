//! Conductor materials: resistance from length and cross-section, and how it changes with temperature.

use super::wire::{COPPER_COEFFICIENT, COPPER_RESISTIVITY};
use crate::quantity::{
    Amperes, Metres, Ohms, SquareMillimetres, Volts,
    units::{as_metres, as_ohms, as_square_millimetres, ohms, square_millimetres},
};

/// What a conductor is made of.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Material {
    /// Resistivity at 20 °C in Ω·mm²/m.
    pub resistivity: f64,
    /// Temperature coefficient of resistance at 20 °C, per kelvin.
    pub coefficient: f64,
}

/// Annealed copper (IEC 60028).
pub const COPPER: Material = Material {
    resistivity: COPPER_RESISTIVITY,
    coefficient: COPPER_COEFFICIENT,
};

impl Material {
    /// Resistance at 20 °C: R = ρ·l/A.
    pub fn resistance(self, length: Metres, area: SquareMillimetres) -> Ohms {
        ohms(self.resistivity * as_metres(length) / as_square_millimetres(area))
    }

    /// Resistance at another temperature: R₂ = R₁·(1 + α₂₀·(t − 20 °C)).
    ///
    /// ```
    /// use pinchpoint::{circuit::material::COPPER, quantity::units::{as_ohms, ohms}};
    /// let hot = COPPER.at_temperature(ohms(1.0), 85.0);
    /// assert!((as_ohms(hot) - 1.255_45).abs() < 1e-9);
    /// ```
    pub fn at_temperature(self, at_20: Ohms, celsius: f64) -> Ohms {
        at_20 * (1.0 + self.coefficient * (celsius - 20.0))
    }

    /// Cross-section that a length needs to have no more than some resistance at 20 °C: A = ρ·l/R.
    pub fn area_for(self, length: Metres, resistance: Ohms) -> SquareMillimetres {
        square_millimetres(self.resistivity * as_metres(length) / as_ohms(resistance))
    }
}

/// Volts lost over a resistance: Ohm's law, V = I·R.
pub fn voltage_drop(resistance: Ohms, current: Amperes) -> Volts {
    resistance * current
}
