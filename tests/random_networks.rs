//! Random resistor networks against independent solvers: scipy and networkx (answers stored by
//! `golden/random_networks.py`, which says how they were made), and nalgebra's dense LU on the spot.

#[path = "support/random.rs"]
mod random;

use nalgebra::{DMatrix, DVector};
use pinchpoint::network::{Factor, Pattern, Port};
use random::{Lcg, Network, network};
use serde::Deserialize;

/// The measure of the design: two solvers that round on their own agree to this.
const RELATIVE: f64 = 1e-9;

/// Against refined solutions, which are right to nearly the last digits.
const RELATIVE_REFINED: f64 = 1e-12;

#[derive(Deserialize)]
struct Golden {
    made_with: Versions,
    networks: Vec<Answers>,
}

#[derive(Deserialize)]
struct Versions {
    networkx: String,
    scipy: String,
    numpy: String,
}

#[derive(Deserialize)]
struct Answers {
    seed: u64,
    nodes: usize,
    branches: usize,
    /// Amperes into nodes.
    injected: Vec<(usize, f64)>,
    /// Volts at nodes.
    volts: Vec<(usize, f64)>,
    /// Two nodes, ohms between them by scipy, and by networkx.
    ohms: Vec<(usize, usize, f64, f64)>,
}

impl Answers {
    fn network(&self) -> Network {
        let made = network(&mut Lcg(self.seed));
        let size = (made.nodes, made.branches.len());
        assert_eq!(size, (self.nodes, self.branches), "seed {}", self.seed);
        made
    }

    fn amperes(&self) -> Vec<f64> {
        let mut amperes = vec![0.0; self.nodes + 1];
        for &(node, driven) in &self.injected {
            amperes[node] += driven;
        }
        amperes
    }
}

fn golden() -> Golden {
    let text = include_str!("golden/random_networks.json");
    let golden: Golden = serde_json::from_str(text).expect("readable");
    assert_eq!(golden.networks.len(), 200);
    golden
}

#[track_caller]
fn close(what: &str, answer: f64, expected: f64, relative: f64) {
    assert!(
        (answer - expected).abs() <= relative * expected.abs(),
        "{what}: {answer} instead of {expected}"
    );
}

#[test]
fn voltages_and_resistances_agree_with_scipy_and_networkx() {
    let golden = golden();
    let Versions {
        networkx,
        scipy,
        numpy,
    } = &golden.made_with;
    let made_with = format!("networkx {networkx}, scipy {scipy}, numpy {numpy}");
    for answers in &golden.networks {
        let network = answers.network();
        let pattern = Pattern::new(network.nodes, network.branches);
        let factor = Factor::new(&pattern, &network.siemens).expect("connected");
        let mut volts = answers.amperes();
        factor.solve(&mut volts);
        for &(node, expected) in &answers.volts {
            let what = format!("seed {} node {node} ({made_with})", answers.seed);
            close(&what, volts[node], expected, RELATIVE_REFINED);
        }
        for &(a, b, by_scipy, by_networkx) in &answers.ohms {
            let what = format!("seed {} nodes {a} and {b} ({made_with})", answers.seed);
            let port = Port::between(a, b);
            let ohms = port.of(&factor.column(&port));
            close(&what, ohms, by_scipy, RELATIVE_REFINED);
            close(&what, ohms, by_networkx, RELATIVE);
        }
    }
}

/// Amperes that branch currents leave over at each node.
fn left_over(network: &Network, amperes: &[f64], volts: &DVector<f64>) -> DVector<f64> {
    let mut left = DVector::from_column_slice(&amperes[..network.nodes]);
    let at = |node: usize| {
        if node < network.nodes {
            volts[node]
        } else {
            0.0
        }
    };
    for (branch, g) in network.branches.iter().zip(&network.siemens) {
        let through = g * (at(branch.a) - at(branch.b));
        if branch.a < network.nodes {
            left[branch.a] -= through;
        }
        if branch.b < network.nodes {
            left[branch.b] += through;
        }
    }
    left
}

/// A plain LU of a matrix over six decades keeps nine to ten digits. Corrected once for what the branch currents leave
/// over it keeps nearly all.
#[test]
fn all_voltages_agree_with_a_dense_solution() {
    for answers in &golden().networks {
        let network = answers.network();
        let n = network.nodes;
        let mut matrix = DMatrix::<f64>::zeros(n, n);
        for (branch, g) in network.branches.iter().zip(&network.siemens) {
            for (i, j) in [(branch.a, branch.b), (branch.b, branch.a)] {
                if i < n {
                    matrix[(i, i)] += g;
                    if j < n {
                        matrix[(i, j)] -= g;
                    }
                }
            }
        }
        let dense = matrix.lu();
        let amperes = answers.amperes();
        let solve = |left: DVector<f64>| dense.solve(&left).expect("regular");
        let plain = solve(left_over(&network, &amperes, &DVector::zeros(n)));
        let refined = &plain + solve(left_over(&network, &amperes, &plain));
        let pattern = Pattern::new(n, network.branches.clone());
        let factor = Factor::new(&pattern, &network.siemens).expect("connected");
        let mut volts = amperes;
        factor.solve(&mut volts);
        for node in 0..n {
            let what = format!("seed {} node {node}", answers.seed);
            close(&what, volts[node], plain[node], RELATIVE);
            close(&what, volts[node], refined[node], RELATIVE_REFINED);
        }
    }
}
