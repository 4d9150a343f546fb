//! The twenty-five situations of the trade, each with what an honest answer must say, and the mistakes of beginners, each
//! with how it is caught. What the meter shows is computed by the simulated vehicle or by the sum beside the check, never
//! by the engine.

mod contacts;
#[path = "../support/feed.rs"]
mod feed;
mod leak;
mod limits;
mod lines;
mod mistakes;
mod moving;
mod rail;
mod shown;
mod signals;
mod slips;
mod topology;
mod vehicle;
