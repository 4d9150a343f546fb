//! What can be wrong: kinds of fault and the places where each can sit.

pub mod kind;
mod looked;
pub mod prior;

pub use kind::{FaultKind, Site, SiteError};
pub use prior::{PRIORS, Priors};
