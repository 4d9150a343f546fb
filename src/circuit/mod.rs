//! What is drawn: the parts of one feed circuit, the points where a probe can go, and edits and checks of them.

pub mod colour;
pub mod part;
pub mod point;
pub mod wire;

pub use colour::Colour;
pub use part::{
    Circuit, Connector, DamageZone, Fuse, Ground, LimitMode, Load, LoadModel, Pin, Rail, Splice,
    Supply,
};
pub use point::{Point, PointError, Terminal};
pub use wire::{ConductorSize, Wire};
