//! Quantities: `uom` types at the public edges, plain SI inside the linear algebra, converted here and nowhere else.

pub mod format;
pub mod parse;
pub mod unit;
pub mod units;

pub use parse::{Typed, TypedError, typed, typed_number, typed_step};
pub use unit::Unit;
pub use units::{Amperes, Metres, Minutes, Ohms, SquareMillimetres, Volts};
