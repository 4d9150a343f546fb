//! Properties that every resistor network has, on networks drawn at random: the current law, reciprocity,
//! superposition, faults as ports against faults drawn out, exact arithmetic, and what floats.

mod exact;
mod faults;
mod floating;
mod laws;
mod random;
