//! Fixtures that several test files share. The vehicle and its parts are invented.

pub mod circuits;
pub mod jobs;
