//! What can be wrong: kinds of fault and the places where each can sit.

pub mod kind;

pub use kind::{FaultKind, Site};
