//! What is drawn: the parts of one feed circuit, the points where a probe can go, and edits and checks of them.

pub mod check;
pub mod colour;
pub mod edit;
pub mod find;
pub mod hazard;
pub(crate) mod limits;
pub mod link;
pub mod material;
pub mod outline;
pub mod part;
pub mod point;
pub mod quick;
pub mod remove;
pub mod stock;
pub mod tree;
pub mod typed;
pub mod wire;

pub use check::{Complaint, MOST_SUPPLIES, check};
pub use colour::Colour;
pub use find::PartRef;
pub use link::{Link, Links};
pub use part::{
    Circuit, Connector, DamageZone, Fuse, Ground, LimitMode, Load, LoadModel, Pin, Rail, Splice,
    Supply,
};
pub use point::{Point, PointError, Terminal};
pub use quick::quick_feed;
pub use tree::FeedTree;
pub use wire::{ConductorSize, Wire};
