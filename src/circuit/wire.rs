//! Wires: length, conductor size, and the resistance that follows from them.

use std::{fmt, str::FromStr};

use serde::{Deserialize, Serialize};

use super::{
    Colour, Point,
    limits::{AREA, GAUGES},
    material::{COPPER, voltage_drop},
};
use crate::quantity::{
    Amperes, Metres, Ohms, SquareMillimetres, Unit, Volts,
    format::as_read,
    units::{as_metres, as_square_millimetres, metres, square_millimetres},
};

/// Resistivity of annealed copper at 20 °C in Ω·mm²/m, exactly 1/58 (IEC 60028).
pub const COPPER_RESISTIVITY: f64 = 1.0 / 58.0;
/// Temperature coefficient of annealed copper at 20 °C and constant mass, per kelvin (IEC 60028).
pub const COPPER_COEFFICIENT: f64 = 0.003_93;
/// Metres assumed for a wire whose length is not known (judgement).
pub const UNKNOWN_LENGTH_M: f64 = 1.5;

/// Size of a copper conductor.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub enum ConductorSize {
    /// Cross-section in square millimetres.
    #[serde(rename = "mm2")]
    SquareMillimetres(
        #[serde(with = "crate::quantity::units::square_millimetres")] SquareMillimetres,
    ),
    /// American wire gauge; 0, -1, -2, -3 stand for 1/0 to 4/0.
    #[serde(rename = "awg")]
    Awg(i8),
}

impl ConductorSize {
    /// The cross-section.
    pub fn area(self) -> SquareMillimetres {
        match self {
            Self::SquareMillimetres(area) => area,
            Self::Awg(gauge) => {
                let diameter = awg_diameter_mm(gauge);
                square_millimetres(std::f64::consts::FRAC_PI_4 * diameter * diameter)
            }
        }
    }
}

impl fmt::Display for ConductorSize {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::SquareMillimetres(area) => {
                // Metres are shown without a prefix, which leaves the number alone.
                let number = as_read(as_square_millimetres(*area), Unit::Metres);
                write!(f, "{} mm²", number.trim_end_matches(" m"))
            }
            Self::Awg(gauge) => write!(f, "AWG {gauge}"),
        }
    }
}

/// Why a text is no conductor size.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum SizeError {
    /// Neither an area nor a gauge.
    #[error("Type square millimetres, e.g. 0.5, or a gauge, e.g. AWG 20")]
    NoSize,
    /// A gauge that no wire has.
    #[error("Gauges run from {} (4/0) to {}", GAUGES.start(), GAUGES.end())]
    Gauge,
    /// An area that no wire has.
    #[error("Between {} and {} mm²", AREA.start(), AREA.end())]
    Area,
}

/// ```
/// use pinchpoint::circuit::ConductorSize;
/// let read = |text: &str| text.parse::<ConductorSize>().map(|size| size.to_string());
/// assert_eq!(read("0,5 mm2").as_deref(), Ok("0.5 mm²"));
/// assert_eq!(read("0.35").as_deref(), Ok("0.35 mm²"));
/// assert_eq!(read("awg20").as_deref(), Ok("AWG 20"));
/// assert!(read("thin").is_err() && read("awg 99").is_err() && read("nan").is_err());
/// ```
impl FromStr for ConductorSize {
    type Err = SizeError;

    fn from_str(text: &str) -> Result<Self, SizeError> {
        let text = text.trim().to_ascii_lowercase();
        if let Some(gauge) = text.strip_prefix("awg") {
            let gauge: i8 = gauge.trim().parse().map_err(|_| SizeError::NoSize)?;
            let known = GAUGES.contains(&gauge);
            return known.then_some(Self::Awg(gauge)).ok_or(SizeError::Gauge);
        }
        let number = text
            .trim_end_matches("mm²")
            .trim_end_matches("mm2")
            .trim()
            .replace(',', ".");
        let area: f64 = number.parse().map_err(|_| SizeError::NoSize)?;
        let known = AREA.contains(&area);
        let size = Self::SquareMillimetres(square_millimetres(area));
        known.then_some(size).ok_or(SizeError::Area)
    }
}

/// Diameter in mm of a solid conductor by its gauge, d = 0.127 mm × 92^((36−n)/39) (ASTM B258).
///
/// ```
/// // 4/0 is defined as 0.46 inch.
/// assert!((pinchpoint::circuit::wire::awg_diameter_mm(-3) / 25.4 - 0.46).abs() < 1e-12);
/// ```
pub fn awg_diameter_mm(gauge: i8) -> f64 {
    0.127 * 92f64.powf((36.0 - f64::from(gauge)) / 39.0)
}

/// A wire between two points.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Wire {
    /// Designation, e.g. `W1`.
    pub id: String,
    /// End nearer to the module; positions along the wire count from here.
    pub from: Point,
    /// The other end.
    pub to: Point,
    /// Length; unknown when left out.
    #[serde(
        default,
        rename = "length_m",
        with = "crate::quantity::units::metres::option",
        skip_serializing_if = "Option::is_none"
    )]
    pub length: Option<Metres>,
    /// Conductor size.
    pub size: ConductorSize,
    /// Insulation colour.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub colour: Option<Colour>,
    /// Circuit number on the maker's diagram.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub circuit_number: String,
    /// Name of the bundle (loom section) in which the wire runs.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub bundle: String,
}

impl Wire {
    /// Whether its ends are these two points, in either order.
    pub fn joins(&self, a: &Point, b: &Point) -> bool {
        (self.from == *a && self.to == *b) || (self.from == *b && self.to == *a)
    }

    /// Length, or the assumed one when unknown.
    pub fn length_or_assumed(&self) -> f64 {
        self.length.map_or(UNKNOWN_LENGTH_M, as_metres)
    }

    /// Resistance at 20 °C.
    pub fn resistance(&self) -> Ohms {
        COPPER.resistance(metres(self.length_or_assumed()), self.size.area())
    }

    /// Volts lost along it at 20 °C: the millivolt trail of a current.
    pub fn voltage_drop(&self, current: Amperes) -> Volts {
        voltage_drop(self.resistance(), current)
    }
}

/// Resistance of copper at another temperature: R₂ = R₁ (1 + α₂₀ (t − 20 °C)), IEC 60028.
pub fn at_temperature(at_20: Ohms, celsius: f64) -> Ohms {
    COPPER.at_temperature(at_20, celsius)
}
