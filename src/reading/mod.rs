//! What is measured: readings with the state they were taken in, places that were looked at, meters, and the log.

pub mod inspection;
pub mod kind;
pub mod log;
pub mod meter;
pub mod rename;
pub mod sign;

pub use inspection::Inspection;
pub use kind::{Kind, Lamp, Seen, Value};
pub use log::{Attached, Entry, Reading, Repair, State, Wiggled};
pub use meter::{Clamp, Meter, Range};
pub use sign::SIGNS;
