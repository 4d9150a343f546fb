//! What single faults cost as a feed grows to 2,000 wires and a log to 200 readings. Prints a table: the time of the
//! fastest of three runs, and that time for each candidate and reading. The supply is one that can feed them all, then one of
//! which nothing is known: it is taken to be at its limit, and the readings tell little apart.

#[path = "../tests/support/large.rs"]
mod large;

use std::{
    hint::black_box,
    time::{Duration, Instant},
};

use large::large;
use pinchpoint::{
    circuit::{Circuit, LimitMode, Point, Terminal},
    infer::{
        candidate::candidates,
        lower::Model,
        predict::{Prediction, Predictor},
        search::singles,
    },
    reading::{Entry, Meter, Reading, State, Value},
};

/// Feeds of forty sensors on one connector, and readings.
const GROWTH: [(usize, usize); 8] = [
    (1, 20),
    (2, 20),
    (5, 20),
    (10, 20),
    (20, 20),
    (1, 50),
    (1, 200),
    (20, 200),
];

/// Readings at the module and at plugs, every other one with a connector parted, under a short in the middle of a wire.
fn log(circuit: &Circuit, readings: usize) -> Vec<Entry> {
    let plugs = circuit.connectors.len() - 1;
    let mut log = Vec::new();
    for number in 0..readings {
        let plug = &circuit.connectors[1 + number * 7 % plugs].id;
        let mut state = State::default();
        if number % 2 == 1 {
            state.unplugged.insert(plug.clone());
        }
        let red = if number % 4 == 2 {
            Point::new(plug, Terminal::Near(1))
        } else {
            Point::new("M1", Terminal::Feed(1))
        };
        log.push(Entry::Reading(Reading {
            state,
            ..Reading::volts(red, 0.0)
        }));
    }
    let model = Model::new(circuit, &Meter::default(), &log, &[]);
    let list = candidates(circuit, &model);
    let short = list.iter().filter(|c| c.stretch.is_some()).nth(100);
    let fault = short
        .expect("a feed of more than a hundred stretches")
        .fault(5f64.ln());
    let mut seen = Prediction::default();
    Predictor::new(&model).predict(&[fault], &[[0.0; 4]], false, &mut seen);
    for (entry, value) in log.iter_mut().zip(seen.value) {
        if let Entry::Reading(reading) = entry {
            reading.value = Value::Exactly((value * 1e4).round() / 1e4);
        }
    }
    log
}

fn main() {
    println!(
        "| supply | wires | nodes | candidates | states | readings | all single faults | a candidate and reading |"
    );
    println!("| --- | --- | --- | --- | --- | --- | --- | --- |");
    for (known, (feeds, readings)) in [true, false]
        .into_iter()
        .flat_map(|known| GROWTH.map(|growth| (known, growth)))
    {
        let mut circuit = large(feeds);
        if !known {
            circuit.supplies[0].source = None;
            circuit.supplies[0].limit = LimitMode::Unknown;
        }
        let log = log(&circuit, readings);
        let model = Model::new(&circuit, &Meter::default(), &log, &[]);
        let list = candidates(&circuit, &model);
        let run = |()| {
            let started = Instant::now();
            black_box(singles(&model, &list));
            started.elapsed()
        };
        let least = [(); 3]
            .map(run)
            .into_iter()
            .fold(Duration::MAX, Duration::min);
        let each = least.as_secs_f64() / (list.len() * readings) as f64;
        println!(
            "| {} | {} | {} | {} | {} | {} | {:.1} ms | {:.2} µs |",
            if known {
                "feeds all"
            } else {
                "unknown, at its limit"
            },
            circuit.wires.len(),
            model.pattern.nodes,
            list.len(),
            model.stands.len(),
            readings,
            1e3 * least.as_secs_f64(),
            1e6 * each
        );
    }
}
