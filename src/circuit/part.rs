//! The parts of a circuit and the circuit itself.

use serde::{Deserialize, Serialize};

use super::{Point, Wire};
use crate::quantity::{Amperes, Minutes, Ohms, Volts};

/// Contact resistance assumed for a pin (judgement), and default of the files.
pub const CONTACT_OHM: f64 = 0.005;
/// Resistance assumed for a ground strap, a fuse or a rail's source (judgement), and default of the files.
pub const STRAP_OHM: f64 = 0.01;

/// How a supply limits its current.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub enum LimitMode {
    /// Not known: both a limit and none are allowed for, broadly.
    Unknown,
    /// Does not limit below what a short can draw.
    None,
    /// Holds the current at a limit.
    Constant {
        /// The limit, in milliamperes in files; unknown when left out.
        #[serde(
            default,
            rename = "limit_ma",
            with = "crate::quantity::units::milliamperes::option",
            skip_serializing_if = "Option::is_none"
        )]
        limit: Option<Amperes>,
    },
    /// The limit falls, along a straight line over output volts, to a smaller current at 0 V.
    Foldback {
        /// Limit at nominal volts, milliamperes in files.
        #[serde(
            default,
            rename = "limit_ma",
            with = "crate::quantity::units::milliamperes::option",
            skip_serializing_if = "Option::is_none"
        )]
        limit: Option<Amperes>,
        /// Current into a dead short, milliamperes in files.
        #[serde(
            default,
            rename = "short_circuit_ma",
            with = "crate::quantity::units::milliamperes::option",
            skip_serializing_if = "Option::is_none"
        )]
        short_circuit: Option<Amperes>,
    },
}

/// A module's reference output: a feed pin (or several, joined inside) and a return pin.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Supply {
    /// Designation, e.g. `M1`.
    pub id: String,
    /// What people call it.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub name: String,
    /// Nominal output.
    #[serde(rename = "nominal_v", with = "crate::quantity::units::volts")]
    pub nominal: Volts,
    /// Half-width of the output's tolerance in percent of nominal.
    pub tolerance_percent: f64,
    /// Source resistance; unknown when left out.
    #[serde(
        default,
        rename = "source_ohm",
        with = "crate::quantity::units::ohms::option",
        skip_serializing_if = "Option::is_none"
    )]
    pub source: Option<Ohms>,
    /// The source resistance lies within times or divided by this factor.
    #[serde(default = "factor_2")]
    pub source_factor: f64,
    /// How the current is limited.
    pub limit: LimitMode,
    /// The limit currents lie within times or divided by this factor.
    #[serde(default = "factor_1_5")]
    pub limit_factor: f64,
    /// How many feed pins are joined inside the module (1 for the usual single pin).
    #[serde(default = "one", skip_serializing_if = "is_one")]
    pub feed_pins: u8,
    /// Whether the output latches off or retries after an overload.
    #[serde(default, skip_serializing_if = "is_false")]
    pub latches: bool,
    /// Whether the output can sink current that a leak from a higher rail pushes into it.
    #[serde(default = "yes", skip_serializing_if = "is_true")]
    pub sinks: bool,
    /// Whether it may feed members that are not drawn.
    #[serde(default, skip_serializing_if = "is_false")]
    pub more_members: bool,
    /// Minutes to probe its pins.
    #[serde(
        default = "three_minutes",
        rename = "probe_minutes",
        with = "crate::quantity::units::minutes"
    )]
    pub probe: Minutes,
}

/// One pin of a connector.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Pin {
    /// Contact resistance of the mated pin.
    #[serde(
        default = "contact_default",
        rename = "contact_ohm",
        with = "crate::quantity::units::ohms"
    )]
    pub contact: Ohms,
}

/// A mated pair of housings; unplugging it opens all of its pins at once.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Connector {
    /// Designation, e.g. `C1`.
    pub id: String,
    /// What people call it.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub name: String,
    /// Where it is on the vehicle.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub place: String,
    /// The pins, numbered from 1.
    pub pins: Vec<Pin>,
    /// Minutes to reach and unplug it.
    #[serde(rename = "minutes", with = "crate::quantity::units::minutes")]
    pub access: Minutes,
    /// Sealed: not to be back-probed.
    #[serde(default, skip_serializing_if = "is_false")]
    pub sealed: bool,
}

/// Where several wires join for good.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Splice {
    /// Designation, e.g. `SP1`.
    pub id: String,
    /// Where it is on the vehicle.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub place: String,
    /// Whether it may feed members that are not drawn.
    #[serde(default, skip_serializing_if = "is_false")]
    pub more_members: bool,
}

/// A ground point: its strap leads from a point of the circuit to battery negative.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Ground {
    /// Designation, e.g. `G1`.
    pub id: String,
    /// The point it grounds; its own point, named like the part, when a wire leads to it.
    pub at: Point,
    /// Strap resistance.
    #[serde(
        default = "strap_default",
        rename = "strap_ohm",
        with = "crate::quantity::units::ohms"
    )]
    pub strap: Ohms,
    /// Where it is on the vehicle.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub place: String,
}

/// A fuse.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Fuse {
    /// Designation, e.g. `F1`.
    pub id: String,
    /// Rated current, milliamperes in files.
    #[serde(rename = "rated_ma", with = "crate::quantity::units::milliamperes")]
    pub rated: Amperes,
    /// Cold resistance.
    #[serde(
        default = "strap_default",
        rename = "ohm",
        with = "crate::quantity::units::ohms"
    )]
    pub resistance: Ohms,
}

/// What a load draws.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub enum LoadModel {
    /// A resistance.
    Resistive {
        /// Ohms.
        #[serde(rename = "ohm", with = "crate::quantity::units::ohms")]
        resistance: Ohms,
    },
    /// An electronic load: a constant current above a knee, a resistance below it.
    Electronic {
        /// Draw, milliamperes in files.
        #[serde(rename = "draw_ma", with = "crate::quantity::units::milliamperes")]
        draw: Amperes,
        /// Volts above which the draw is constant.
        #[serde(rename = "knee_v", with = "crate::quantity::units::volts")]
        knee: Volts,
    },
}

/// A sensor or another consumer.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Load {
    /// Designation, e.g. `S1`.
    pub id: String,
    /// What people call it.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub name: String,
    /// Where its feed end sits: a connector's far side, or its own `S1.feed` when a wire leads to it.
    pub feed: Point,
    /// Where its return end sits: a pin, its own `S1.return`, or `BN` for a chassis return.
    #[serde(rename = "return")]
    pub ret: Point,
    /// What it draws.
    pub model: LoadModel,
    /// Spread of the draw, percent (about one standard deviation).
    #[serde(default = "load_spread")]
    pub spread_percent: f64,
    /// Signal tap as a fraction of the volts between return and feed; none when left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub signal_fraction: Option<f64>,
    /// An ohmmeter's small voltage does not see through it (a junction).
    #[serde(default, skip_serializing_if = "is_false")]
    pub blocks_ohmmeter: bool,
}

/// A rail of another origin that the feed could touch: battery feed, another reference, a bus line.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Rail {
    /// Designation, e.g. `B1`.
    pub id: String,
    /// What people call it.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub name: String,
    /// Its volts to battery negative.
    #[serde(rename = "volts", with = "crate::quantity::units::volts")]
    pub potential: Volts,
    /// Its source resistance.
    #[serde(
        default = "strap_default",
        rename = "source_ohm",
        with = "crate::quantity::units::ohms"
    )]
    pub source: Ohms,
}

/// Parts that were hit, opened, wet or recently worked on; their prior odds are multiplied.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct DamageZone {
    /// What happened there.
    pub note: String,
    /// Designations of the parts, or names of bundles.
    pub parts: Vec<String>,
    /// How many times likelier than elsewhere.
    pub factor: f64,
}

impl DamageZone {
    /// Whether a part is in it, itself or by its bundle.
    pub fn covers(&self, circuit: &Circuit, part: &str) -> bool {
        let bundle = circuit.wire(part).map(|wire| wire.bundle.as_str());
        let bundle = bundle.filter(|bundle| !bundle.is_empty());
        let mut names = self.parts.iter();
        names.any(|name| name == part || Some(name.as_str()) == bundle)
    }
}

/// A feed circuit as it was sketched.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Circuit {
    /// The supplies; truly separate feeds are several of them.
    pub supplies: Vec<Supply>,
    /// Wires.
    #[serde(default)]
    pub wires: Vec<Wire>,
    /// Connectors.
    #[serde(default)]
    pub connectors: Vec<Connector>,
    /// Splices.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub splices: Vec<Splice>,
    /// Ground points.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub grounds: Vec<Ground>,
    /// Fuses.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub fuses: Vec<Fuse>,
    /// Loads.
    #[serde(default)]
    pub loads: Vec<Load>,
    /// Other rails.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub rails: Vec<Rail>,
    /// Damage zones.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub damage_zones: Vec<DamageZone>,
}

fn factor_2() -> f64 {
    2.0
}
fn factor_1_5() -> f64 {
    1.5
}
fn one() -> u8 {
    1
}
fn yes() -> bool {
    true
}
fn load_spread() -> f64 {
    10.0
}
fn three_minutes() -> Minutes {
    crate::quantity::units::minutes(3.0)
}
fn contact_default() -> Ohms {
    crate::quantity::units::ohms(CONTACT_OHM)
}
fn strap_default() -> Ohms {
    crate::quantity::units::ohms(STRAP_OHM)
}
#[expect(
    clippy::trivially_copy_pass_by_ref,
    reason = "serde passes a reference"
)]
fn is_one(n: &u8) -> bool {
    *n == 1
}
#[expect(
    clippy::trivially_copy_pass_by_ref,
    reason = "serde passes a reference"
)]
fn is_false(flag: &bool) -> bool {
    !*flag
}
#[expect(
    clippy::trivially_copy_pass_by_ref,
    reason = "serde passes a reference"
)]
fn is_true(flag: &bool) -> bool {
    *flag
}
