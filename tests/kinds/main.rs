//! Kinds of reading and what is noted with them: what each says to the engine. What the meter shows is computed by the
//! simulated vehicle, exactly as drawn, unless a test says otherwise.

mod along;
#[path = "../support/circuits.rs"]
mod circuits;
mod current;
mod digits;
#[path = "../support/feed.rs"]
mod feed;
mod latch;
mod looked;
mod mistakes;
mod moved;
mod noting;
mod ohms;
mod seen;
mod shared;
mod unknown;
