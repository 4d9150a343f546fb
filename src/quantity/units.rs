//! The quantities of the trade as `uom` types, their constructors and how they stand in files.
//!
//! A file keeps a bare number whose field name carries the unit (`contact_ohm: 0.005`), so each module below is
//! a `serde(with = …)` adapter that refuses what is not a finite number.

use uom::si::{
    area::square_millimeter, electric_current::ampere, electric_potential::volt,
    electrical_resistance::ohm, length::meter, time::minute,
};

/// Electric potential difference.
pub type Volts = uom::si::f64::ElectricPotential;
/// Electrical resistance.
pub type Ohms = uom::si::f64::ElectricalResistance;
/// Electric current.
pub type Amperes = uom::si::f64::ElectricCurrent;
/// Length of a wire.
pub type Metres = uom::si::f64::Length;
/// Working time.
pub type Minutes = uom::si::f64::Time;
/// Conductor cross-section.
pub type SquareMillimetres = uom::si::f64::Area;

/// A number as it goes into a file: 15 significant digits.
///
/// Scaling to SI and back can move the last of the 17 digits (15.7 mA would come back as 15.699999999999998 mA);
/// 15 digits survive it, so that opening and saving changes nothing.
fn for_file(number: f64) -> f64 {
    format!("{number:.14e}").parse().unwrap_or(number)
}

macro_rules! quantity_unit {
    ($make:ident, $raw:ident, $quantity:ident, $unit:ty, $scale:expr, $what:literal) => {
        #[doc = concat!("A quantity from a number of ", $what, ".")]
        pub fn $make(number: f64) -> $quantity {
            <$quantity>::new::<$unit>(number * $scale)
        }

        #[doc = concat!("The quantity as a plain number of ", $what, ".")]
        pub fn $raw(quantity: $quantity) -> f64 {
            quantity.get::<$unit>() / $scale
        }

        #[doc = concat!("File adapter: a finite number of ", $what, ".")]
        pub mod $make {
            use serde::{Deserialize, Deserializer, Serializer, de::Error};

            type Quantity = super::$quantity;

            /// Writes the bare number.
            pub fn serialize<S: Serializer>(
                quantity: &Quantity,
                serializer: S,
            ) -> Result<S::Ok, S::Error> {
                serializer.serialize_f64(super::for_file(super::$raw(*quantity)))
            }

            /// Reads the bare number; infinities and NaN are errors.
            pub fn deserialize<'de, D: Deserializer<'de>>(
                deserializer: D,
            ) -> Result<Quantity, D::Error> {
                let quantity = super::$make(f64::deserialize(deserializer)?);
                if super::$raw(quantity).is_finite() {
                    Ok(quantity)
                } else {
                    Err(D::Error::custom(concat!(
                        "expected a finite number of ",
                        $what
                    )))
                }
            }

            /// The same for a value that may be left out.
            pub mod option {
                use super::Quantity;
                use serde::{Deserialize, Deserializer, Serializer, de::Error};

                /// Writes `Some(number)` or `None`.
                pub fn serialize<S: Serializer>(
                    quantity: &Option<Quantity>,
                    serializer: S,
                ) -> Result<S::Ok, S::Error> {
                    match quantity {
                        Some(quantity) => serializer
                            .serialize_some(&super::super::for_file(super::super::$raw(*quantity))),
                        None => serializer.serialize_none(),
                    }
                }

                /// Reads `Some(number)` or `None`; infinities and NaN are errors.
                pub fn deserialize<'de, D: Deserializer<'de>>(
                    deserializer: D,
                ) -> Result<Option<Quantity>, D::Error> {
                    let quantity =
                        Option::<f64>::deserialize(deserializer)?.map(super::super::$make);
                    if quantity.is_none_or(|quantity| super::super::$raw(quantity).is_finite()) {
                        Ok(quantity)
                    } else {
                        Err(D::Error::custom(concat!(
                            "expected a finite number of ",
                            $what
                        )))
                    }
                }
            }
        }
    };
}

quantity_unit!(volts, as_volts, Volts, volt, 1.0, "volts");
quantity_unit!(ohms, as_ohms, Ohms, ohm, 1.0, "ohms");
quantity_unit!(amperes, as_amperes, Amperes, ampere, 1.0, "amperes");
quantity_unit!(
    milliamperes,
    as_milliamperes,
    Amperes,
    ampere,
    1e-3,
    "milliamperes"
);
quantity_unit!(metres, as_metres, Metres, meter, 1.0, "metres");
quantity_unit!(minutes, as_minutes, Minutes, minute, 1.0, "minutes");
quantity_unit!(
    square_millimetres,
    as_square_millimetres,
    SquareMillimetres,
    square_millimeter,
    1.0,
    "square millimetres"
);
