//! The simulated vehicle against published circuits, calculated situations of the trade, and the other solver.

mod agreement;
#[path = "../support/circuits.rs"]
mod circuits;
mod meter;
mod published;
#[path = "../support/random.rs"]
mod random;
mod situations;
