//! How long one state of a harness takes to factorise and solve, beside a dense solution of the same network, and how near the
//! sums behind a weight come to what the machine multiplies and adds at most.

use std::{
    hint::black_box,
    time::{Duration, Instant},
};

use criterion::{BenchmarkId, Criterion, criterion_group, criterion_main};
use nalgebra::{DMatrix, DVector};
use pinchpoint::{
    infer::gauss::add_gram,
    network::{Branch, Factor, Pattern, Port},
};

/// Ohms per metre of a 0.5 mm² conductor.
const PER_METRE: f64 = 0.0371;

struct Harness {
    pattern: Pattern,
    siemens: Vec<f64>,
    amperes: Vec<f64>,
}

/// A feed of as many wires: a trunk of splices, three sensors of 250 Ω on each, insulation everywhere, 5 V behind
/// 1 Ω at the near end.
fn harness(wires: usize) -> Harness {
    let ground = wires + 1;
    let mut drawn = vec![(0, ground, 1.0)];
    for node in 1..=wires {
        let on_trunk = node % 4 == 0;
        let towards = if on_trunk { node - 4 } else { node - node % 4 };
        let metres = 0.2 + 0.3 * (node * 7 % 13) as f64;
        drawn.push((towards, node, 1.0 / (PER_METRE * metres)));
        if !on_trunk {
            drawn.push((node, ground, 1.0 / 250.0));
        }
    }
    drawn.extend((0..ground).map(|node| (node, ground, 1e-12)));
    let branches = drawn.iter().map(|&(a, b, _)| Branch { a, b }).collect();
    let mut amperes = vec![0.0; ground + 1];
    amperes[0] = 5.0;
    Harness {
        pattern: Pattern::new(ground, branches),
        siemens: drawn.iter().map(|&(.., siemens)| siemens).collect(),
        amperes,
    }
}

impl Harness {
    fn solve(&self) -> Vec<f64> {
        let factor = Factor::new(&self.pattern, &self.siemens).expect("insulated everywhere");
        let mut volts = self.amperes.clone();
        factor.solve(&mut volts);
        volts
    }

    fn dense(&self) -> DVector<f64> {
        let n = self.pattern.nodes;
        let mut matrix = DMatrix::<f64>::zeros(n, n);
        for (branch, siemens) in self.pattern.branches.iter().zip(&self.siemens) {
            for (i, j) in [(branch.a, branch.b), (branch.b, branch.a)] {
                if i < n {
                    matrix[(i, i)] += siemens;
                    if j < n {
                        matrix[(i, j)] -= siemens;
                    }
                }
            }
        }
        matrix
            .lu()
            .solve(&DVector::from_column_slice(&self.amperes[..n]))
            .expect("regular")
    }
}

fn network(criterion: &mut Criterion) {
    let mut group = criterion.benchmark_group("network");
    group
        .warm_up_time(Duration::from_millis(500))
        .measurement_time(Duration::from_secs(2))
        .sample_size(10);
    for wires in [140, 500, 1000, 2000] {
        let harness = harness(wires);
        if wires <= 500 {
            let (sparse, dense) = (harness.solve(), harness.dense());
            for (sparse, dense) in sparse.iter().zip(&dense) {
                assert!((sparse - dense).abs() < 1e-9, "{sparse} and {dense}");
            }
        }
        let id = |what| BenchmarkId::new(what, wires);
        group.bench_function(id("order"), |bencher| {
            bencher.iter(|| {
                let branches = harness.pattern.branches.clone();
                black_box(Pattern::new(harness.pattern.nodes, branches))
            });
        });
        group.bench_function(id("factorise and solve"), |bencher| {
            bencher.iter(|| black_box(harness.solve()));
        });
        let factor = Factor::new(&harness.pattern, &harness.siemens).expect("insulated");
        let port = Port::between(wires, harness.pattern.nodes);
        group.bench_function(id("one more column"), |bencher| {
            bencher.iter(|| black_box(factor.column(&port)));
        });
        // Seconds for each solution of the largest, so only the two ends of the curve.
        if wires == 140 || wires == 2000 {
            group.bench_function(id("dense"), |bencher| {
                bencher.iter(|| black_box(harness.dense()));
            });
        }
    }
    group.finish();
}

/// Readings, and things that vary, of the covariance behind each weight: 20 readings of a feed of 40 sensors.
const GRAM: (usize, usize) = (20, 304);

/// Multiplications and additions a second, in thousand millions, of work that does so many: the best of many runs.
fn rate(operations: usize, mut run: impl FnMut()) -> f64 {
    let one = |_| {
        let started = Instant::now();
        run();
        operations as f64 / started.elapsed().as_secs_f64() / 1e9
    };
    (0..200).map(one).fold(0.0, f64::max)
}

/// Prints what share of the machine's rate the covariance of the readings reaches, which every weight asks for. The machine's
/// rate is that of products summed in registers, with the same instructions (SSE2, which every 64-bit PC has).
fn limit(_: &mut Criterion) {
    const LANES: usize = 16;
    const STEPS: usize = 20_000;
    let machine = rate(2 * LANES * STEPS, || {
        let by = black_box([1.000_000_1; LANES]);
        let mut sums = black_box([1.0; LANES]);
        for _ in 0..STEPS {
            for (sum, by) in sums.iter_mut().zip(by) {
                *sum = *sum * by + 1e-9;
            }
        }
        black_box(sums);
    });
    let (readings, width) = GRAM;
    let rows: Vec<f64> = (0..readings * width)
        .map(|at| (at * 7 % 13) as f64 - 6.0)
        .collect();
    let mut matrix = vec![0.0; readings * readings];
    let products = readings * (readings + 1) / 2 * width;
    let ours = rate(2 * products, || {
        add_gram(black_box(&rows), width, &mut matrix);
        black_box(&matrix);
    });
    println!(
        "covariance of {readings} readings over {width} things that vary: {ours:.1} of {machine:.1} thousand million \
         multiplications and additions a second, {:.0} %",
        100.0 * ours / machine
    );
}

criterion_group!(benches, network, limit);
criterion_main!(benches);
