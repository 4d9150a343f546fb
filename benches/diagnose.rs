//! How long all faults of a feed of 40 sensors and 140 wires take with 20 readings, and the advice by itself, beside the dense
//! solves that a plain program would need for the singles: one for every fault and size it looks at.

use std::{
    hint::black_box,
    time::{Duration, Instant},
};

use criterion::{Criterion, criterion_group, criterion_main};
use nalgebra::{DMatrix, DVector};
use pinchpoint::{
    circuit::{Circuit, LimitMode, Point, Splice, Terminal, quick::quick_feed},
    diagnosis::{Question, diagnose, findings_while},
    fault::FaultKind,
    infer::{
        candidate::{Candidate, candidates},
        lower::Model,
        predict::{Prediction, Predictor},
        search::{search, singles},
        solve::Fault,
    },
    quantity::units::{amperes, volts},
    reading::{Entry, Meter, Reading, State, Value},
};

/// Sizes that a plain program would try for each fault: seven decades, four to a decade.
const SIZES: usize = 28;

/// Wires that are drawn in two pieces, so that there are 140.
const JOINED: usize = 38;

/// Limits of the supply, A: one at which the sensors alone hold it, and one that feeds them all.
const LIMITS: [f64; 2] = [0.1, 1.0];

/// A feed of 40 sensors with its own return; some of its wires have a joint half-way.
fn feed(limit: f64) -> Circuit {
    let mut circuit = quick_feed(volts(9.0), 40, true, true);
    circuit.supplies[0].limit = LimitMode::Constant {
        limit: Some(amperes(limit)),
    };
    circuit.supplies[0].limit_factor = 4.0;
    for number in 0..JOINED {
        let id = format!("J{number}");
        let joint = Point::new(&id, Terminal::Only);
        circuit.splices.push(Splice {
            id,
            ..circuit.splices[0].clone()
        });
        let first = &mut circuit.wires[2 + number];
        let mut second = first.clone();
        first.length = first.length.map(|length| 0.5 * length);
        second.length = first.length;
        second.id = format!("W{number}b");
        second.from = joint.clone();
        first.to = joint;
        circuit.wires.push(second);
    }
    circuit
}

/// The feed and 20 readings under some of the faults that `which` picks out: place among them, and ohms.
fn job(
    limit: f64,
    which: fn(&Candidate) -> bool,
    shorts: &[(usize, f64)],
) -> (Circuit, Vec<Entry>) {
    let circuit = feed(limit);
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
    let picked: Vec<&Candidate> = list.iter().filter(|c| which(c)).collect();
    let faults: Vec<Fault> = shorts
        .iter()
        .map(|&(place, ohms)| picked[place].fault(f64::ln(ohms)))
        .collect();
    let mut prediction = Prediction::default();
    Predictor::new(&model).predict(&faults, &[[0.0; 4]], false, &mut prediction);
    for (entry, value) in log.iter_mut().zip(prediction.value) {
        if let Entry::Reading(reading) = entry {
            reading.value = Value::Exactly((value * 1e4).round() / 1e4);
        }
    }
    (circuit, log)
}

/// Seconds of the fastest of a few runs.
fn least(mut run: impl FnMut()) -> f64 {
    let one = |()| {
        let started = Instant::now();
        run();
        started.elapsed().as_secs_f64()
    };
    [(); 7].map(one).into_iter().fold(f64::INFINITY, f64::min)
}

fn in_a_wire(candidate: &Candidate) -> bool {
    candidate.stretch.is_some()
}

fn whole(c: &mut Criterion) {
    let meter = Meter::default();
    let mut group = c.benchmark_group("diagnose");
    group
        .sample_size(10)
        .measurement_time(Duration::from_secs(4));
    for limit in LIMITS {
        let (circuit, log) = job(limit, in_a_wire, &[(100, 5.0)]);
        let one = Model::new(&circuit, &meter, &log, &[]);
        let list = candidates(&circuit, &one);
        group.bench_function(format!("all single faults, limit {limit} A"), |b| {
            b.iter(|| black_box(singles(&one, &list)))
        });
        let shorted = |c: &Candidate| c.kind == FaultKind::DrawsTooMuch;
        let (circuit, log) = job(limit, shorted, &[(1, 5.0), (3, 8.0)]);
        let two = Model::new(&circuit, &meter, &log, &[]);
        let list = candidates(&circuit, &two);
        let together = search(&two, &list);
        let most = together.hypotheses.iter().map(|h| h.faults.len()).max();
        let most = most.unwrap_or(0);
        assert!(most > 1, "these readings need faults together");
        println!("two sensors shorted: up to {most} faults together were weighed");
        let name =
            format!("singles and faults together under two shorted sensors, limit {limit} A");
        group.bench_function(name, |b| b.iter(|| black_box(search(&two, &list))));
    }
    let (circuit, log) = job(LIMITS[0], in_a_wire, &[(100, 5.0)]);
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
    let basis = findings_while(&question, &|| true).1.expect("an answer");
    group.bench_function("advice alone", |b| {
        b.iter(|| black_box(basis.advice(&question)))
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
    let dense = || matrix.clone().lu().solve(&currents);
    let solves = list.len() * SIZES;
    group.bench_function(
        format!("one dense solve (a plain program needs {solves})"),
        |b| b.iter(|| black_box(dense())),
    );
    group.finish();
    let ours = least(|| {
        black_box(singles(&model, &list));
    });
    // A block of them lasts about as long as the search, so that a busy machine slows both alike.
    const BLOCK: usize = 100;
    let theirs = (solves / BLOCK) as f64
        * least(|| {
            for _ in 0..BLOCK {
                black_box(dense());
            }
        });
    println!(
        "all single faults {:.1} ms; {solves} dense solves {:.0} ms: {:.0} times as long",
        1e3 * ours,
        1e3 * theirs,
        theirs / ours
    );
}

criterion_group!(benches, whole);
criterion_main!(benches);
