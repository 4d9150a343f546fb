//! What is measured: readings with the state they were taken in, meters, and the log they stand in.

pub mod log;
pub mod meter;
pub mod rename;

pub use log::{Attached, Entry, Kind, Reading, Repair, State, Value};
pub use meter::{Meter, Range};
