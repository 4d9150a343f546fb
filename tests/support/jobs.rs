//! Jobs and commands for tests of the window's state. Vehicle, shop and complaint are invented.
#![allow(dead_code, reason = "every test file uses its own selection")]

use pinchpoint::{
    app::{
        Command, Model,
        command::Typing,
        update::{Effect, update},
    },
    circuit::Point,
    notebook::Job,
    reading::Kind,
};

use super::circuits::tender;

pub fn job() -> Job {
    Job {
        title: "Ride-height feed, all four corners read low".to_owned(),
        vehicle: "Corran Tender 2.2".to_owned(),
        circuit: tender(),
        ..Job::default()
    }
}

pub fn point(text: &str) -> Point {
    text.parse().expect("a point of the fixture")
}

pub fn typing(red: &str, text: &str) -> Typing {
    Typing {
        kind: Kind::Volts,
        red: point(red),
        black: Point::battery_negative(),
        text: text.to_owned(),
    }
}

pub fn replay(model: &mut Model, commands: Vec<Command>) -> Vec<Effect> {
    commands
        .into_iter()
        .flat_map(|c| update(model, c))
        .collect()
}
