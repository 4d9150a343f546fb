//! How long all single faults of a feed of 40 sensors take with 20 readings, beside the dense solves that a plain
//! program would need for the same work: one for every fault and size it looks at.

use std::{hint::black_box, time::Duration};

use criterion::{Criterion, criterion_group, criterion_main};
use nalgebra::{DMatrix, DVector};
use pinchpoint::{
    circuit::{Circuit, Point, Terminal, quick::quick_feed},
    diagnosis::{Question, diagnose},
    infer::{
        candidate::{Candidate, candidates},
        lower::Model,
        predict::{Prediction, Predictor},
        search::search,
    },
    quantity::units::volts,
    reading::{Entry, Meter, Reading, State, Value},
};

/// Sizes that a plain program would try for each fault: seven decades, four to a decade.
const SIZES: usize = 28;

/// A feed of 40 sensors with its own return and 20 readings under a short of 5 Ω in the middle of one wire.
fn job() -> (Circuit, Vec<Entry>) {
    let circuit = quick_feed(volts(9.0), 40, true, true);
    let mut log = Vec::new();
    for reading in 0..20 {
        let mut state = State::default();
        if reading % 2 == 1 {
            state
                .unplugged
                .insert(circuit.connectors[1 + reading].id.clone());
        }
        let red = if reading % 4 == 2 {
            Point::new(&circuit.connectors[2 + reading].id, Terminal::Near(1))
        } else {
            Point::new("M1", Terminal::Feed(1))
        };
        log.push(Entry::Reading(Reading {
            state,
            ..Reading::volts(red, 0.0)
        }));
    }
    let model = Model::new(&circuit, &Meter::default(), &log, &[]);
    let list = candidates(&circuit, &model);
    let fault = list
        .iter()
        .filter(|c: &&Candidate| c.stretch.is_some())
        .nth(100)
        .expect("there are that many stretches of wire")
        .fault(5f64.ln());
    let mut prediction = Prediction::default();
    Predictor::new(&model).predict(&[fault], &[[0.0; 4]], false, &mut prediction);
    for (entry, value) in log.iter_mut().zip(prediction.value) {
        if let Entry::Reading(reading) = entry {
            reading.value = Value::Exactly((value * 1e4).round() / 1e4);
        }
    }
    (circuit, log)
}

fn whole(c: &mut Criterion) {
    let (circuit, log) = job();
    let meter = Meter::default();
    let model = Model::new(&circuit, &meter, &log, &[]);
    let list = candidates(&circuit, &model);
    println!(
        "{} wires, {} nodes, {} candidates, {} readings, {} states",
        circuit.wires.len(),
        model.pattern.nodes,
        list.len(),
        model.measured.len(),
        model.stands.len()
    );
    let mut group = c.benchmark_group("diagnose");
    group
        .sample_size(10)
        .measurement_time(Duration::from_secs(4));
    group.bench_function("search of all faults", |b| {
        b.iter(|| black_box(search(&model, &list)))
    });
    let now = State::default();
    let everywhere = std::collections::BTreeSet::new();
    let question = Question {
        circuit: &circuit,
        meter: &meter,
        log: &log,
        now: &now,
        out_of_reach: &everywhere,
    };
    group.bench_function("whole answer", |b| {
        b.iter(|| black_box(diagnose(&question)))
    });
    let n = model.pattern.nodes;
    let mut matrix = DMatrix::<f64>::zeros(n, n);
    for (branch, &g) in model.pattern.branches.iter().zip(&model.stands[0].siemens) {
        for (one, two) in [(branch.a, branch.b), (branch.b, branch.a)] {
            if one < n {
                matrix[(one, one)] += g;
                if two < n {
                    matrix[(one, two)] -= g;
                }
            }
        }
    }
    let currents = DVector::from_element(n, 1e-3);
    group.bench_function(
        format!(
            "one dense solve (a plain program needs {})",
            list.len() * SIZES
        ),
        |b| {
            b.iter(|| black_box(matrix.clone().lu().solve(&currents)));
        },
    );
    group.finish();
}

criterion_group!(benches, whole);
criterion_main!(benches);
