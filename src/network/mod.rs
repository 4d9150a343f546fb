//! Nodal analysis on conductances: ordering, factorisation and low-rank faults. Knows indices, not parts.
//!
//! Node voltages are against ground, which is node number `n` in a network of `n` nodes; vectors have `n + 1`
//! entries of which the last is 0, so that a branch to ground needs no special case. SI units throughout.

pub mod factor;
pub mod pattern;
pub mod port;

pub use factor::{Factor, FloatingNode, Near};
pub use pattern::{Branch, Pattern};
pub use port::{Port, SmallSystem};
