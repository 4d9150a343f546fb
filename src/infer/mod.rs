//! Weighing faults by the readings.

pub mod candidate;
pub mod cluster;
pub mod gauss;
pub mod lower;
pub mod narrowed;
pub mod outlook;
pub mod posterior;
pub mod predict;
pub mod robust;
pub mod search;
pub mod solve;
pub mod strand;
pub mod union;
pub mod unknown;
pub mod weigh;
