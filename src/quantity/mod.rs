//! Quantities: `uom` types at the public edges, plain SI inside the linear algebra, converted here and nowhere else.

pub mod units;

pub use units::{Amperes, Metres, Minutes, Ohms, SquareMillimetres, Volts};
