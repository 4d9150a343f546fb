//! What single faults cost as a feed grows to 2,000 wires and a log to 200 readings. Prints a table: the time of the
//! fastest of three runs, and that time for each candidate and reading.

use std::{
    hint::black_box,
    time::{Duration, Instant},
};

use pinchpoint::{
    circuit::{Circuit, Point, Terminal, quick::quick_feed},
    infer::{
        candidate::candidates,
        lower::Model,
        predict::{Prediction, Predictor},
        search::singles,
    },
    quantity::units::volts,
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

/// So many feeds of forty sensors and about a hundred wires behind one inline connector.
fn grown(feeds: usize) -> Circuit {
    let one = quick_feed(volts(9.0), 40, true, true);
    let mut circuit = one.clone();
    let shared = |id: &str| id == "M1" || id == "C1" || id == "G1" || id.is_empty();
    for number in 1..feeds {
        let renamed = |id: &str| {
            if shared(id) {
                id.to_owned()
            } else {
                format!("{id}_{number}")
            }
        };
        let moved = |point: &Point| {
            let mut point = point.clone();
            point.part = renamed(&point.part);
            point
        };
        for wire in one.wires.iter().filter(|wire| wire.from.part != "M1") {
            let mut wire = wire.clone();
            (wire.id, wire.from, wire.to) = (renamed(&wire.id), moved(&wire.from), moved(&wire.to));
            circuit.wires.push(wire);
        }
        for connector in one.connectors.iter().filter(|c| c.id != "C1") {
            let mut connector = connector.clone();
            connector.id = renamed(&connector.id);
            circuit.connectors.push(connector);
        }
        for splice in &one.splices {
            let mut splice = splice.clone();
            splice.id = renamed(&splice.id);
            circuit.splices.push(splice);
        }
        for load in &one.loads {
            let mut load = load.clone();
            (load.id, load.feed, load.ret) =
                (renamed(&load.id), moved(&load.feed), moved(&load.ret));
            circuit.loads.push(load);
        }
    }
    circuit
}

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
        "| wires | nodes | candidates | states | readings | all single faults | a candidate and reading |"
    );
    println!("| --- | --- | --- | --- | --- | --- | --- |");
    for (feeds, readings) in GROWTH {
        let circuit = grown(feeds);
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
            "| {} | {} | {} | {} | {} | {:.1} ms | {:.2} µs |",
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
