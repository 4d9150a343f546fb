//! Practice: hidden faults in a simulated circuit, to be found by test after test.

pub mod dice;
pub mod world;

pub use dice::Dice;
pub use world::{Hidden, HiddenError, MeasureError, World};
