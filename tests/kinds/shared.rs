//! Questions about the invented feed: a vehicle with a fault, and what the meter shows on it.

use pinchpoint::{
    circuit::{Circuit, Point},
    practice::{Hidden, World},
    reading::{Entry, Kind, Meter, Reading, State},
};

pub use crate::feed::{answer, chance, circuit};

pub fn point(text: &str) -> Point {
    text.parse().expect("a point")
}

pub fn without(ids: &[&str]) -> State {
    State {
        unplugged: ids.iter().map(|&id| id.to_owned()).collect(),
        ..State::default()
    }
}

/// A vehicle with a fault.
pub fn world(circuit: &Circuit, fault: Hidden) -> World {
    World::exact(circuit, &[fault], &Meter::default()).expect("a fault that it can have")
}

/// What the meter shows of volts to battery negative.
pub fn volts_at(world: &mut World, red: &str, state: &State) -> Reading {
    let red = point(red);
    let black = Point::battery_negative();
    let value = world.measure(Kind::Volts, &red, &black, state);
    Reading {
        value: value.expect("measured"),
        state: state.clone(),
        ..Reading::volts(red, 0.0)
    }
}

pub fn log(readings: impl IntoIterator<Item = Reading>) -> Vec<Entry> {
    readings.into_iter().map(Entry::Reading).collect()
}
