//! The bench page: the harness, what it reads, what that means, and what to do next.

mod draw;
mod hands;
mod harness;
mod place;
pub mod sheet;
mod spot;
mod suspicion;
mod tag;
pub mod view;

pub use harness::harness_ui;
