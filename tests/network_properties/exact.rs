//! Against exact rational arithmetic (num-rational): conductances from an insulation of 1e-14 S to a contact of
//! 1e3 S in one network keep their accuracy, since star-mesh elimination never subtracts.
//!
//! Source of the claim: Grassmann, Taksar and Heyman, Operations Research 33 (1985).

use num_rational::BigRational;
use num_traits::{Signed, ToPrimitive, Zero};
use pinchpoint::network::{Branch, Factor, Pattern, Port};
use proptest::prelude::*;

use crate::random::{Network, networks};

const DECADES: (f64, f64) = (-14.0, 3.0);

fn rational(value: f64) -> BigRational {
    BigRational::from_float(value).expect("finite")
}

/// Solves G v = i without rounding, by Gaussian elimination of the conductance matrix.
fn exact_volts(network: &Network, amperes: &[f64]) -> Vec<BigRational> {
    let n = network.nodes;
    let mut rows: Vec<Vec<BigRational>> = (0..n)
        .map(|i| {
            let mut row = vec![BigRational::zero(); n];
            row.push(rational(amperes[i]));
            row
        })
        .collect();
    for (&Branch { a, b }, &g) in network.branches.iter().zip(&network.siemens) {
        if a == b {
            continue;
        }
        for (i, j) in [(a, b), (b, a)] {
            if i < n {
                rows[i][i] += rational(g);
                if j < n {
                    rows[i][j] -= rational(g);
                }
            }
        }
    }
    for k in 0..n {
        let pivot_row = rows[k].clone();
        for row in &mut rows[k + 1..] {
            if !row[k].is_zero() {
                let factor = &row[k] / &pivot_row[k];
                for (entry, above) in row.iter_mut().zip(&pivot_row).skip(k) {
                    *entry -= &factor * above;
                }
            }
        }
    }
    let mut volts = vec![BigRational::zero(); n + 1];
    for k in (0..n).rev() {
        let mut value = rows[k][n].clone();
        for j in k + 1..n {
            value -= &rows[k][j] * &volts[j];
        }
        volts[k] = value / &rows[k][k];
    }
    volts
}

fn relative_error(answer: f64, exact: &BigRational) -> f64 {
    if exact.is_zero() {
        return if answer == 0.0 { 0.0 } else { f64::INFINITY };
    }
    ((rational(answer) - exact) / exact)
        .abs()
        .to_f64()
        .expect("a number")
}

/// 47 milliohm, 5 milliohm and 220 ohm against pins of 1e-14 S: a wire beyond an unplugged connector.
#[test]
fn an_unplugged_branch_keeps_its_digits() {
    let (ground, leak) = (4, 1e-14);
    let drawn = [
        (0, ground, 1.0 / 0.5),
        (0, 1, 1.0 / 0.047),
        (1, 2, leak),
        (2, 3, 1.0 / 0.005),
        (3, ground, leak),
        (1, ground, 1.0 / 220.0),
    ];
    let network = Network {
        nodes: 4,
        branches: drawn.map(|(a, b, _)| Branch { a, b }).to_vec(),
        siemens: drawn.map(|(.., g)| g).to_vec(),
        amperes: vec![10.0, 0.0, 0.0, 0.0, 0.0],
    };
    let exact = exact_volts(&network, &network.amperes);
    for (volts, exact) in network.volts().into_iter().zip(&exact) {
        assert!(relative_error(volts, exact) < 1e-15, "{volts} and {exact}");
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(100))]

    #[test]
    fn voltages_keep_their_digits(network in networks(10, DECADES)) {
        let exact = exact_volts(&network, &network.amperes);
        for (node, volts) in network.volts().into_iter().enumerate() {
            let error = relative_error(volts, &exact[node]);
            prop_assert!(error < 1e-13, "node {}: {} V is off by {}", node, volts, error);
        }
    }

    /// What an ohmmeter between two nodes sees, however badly both are tied to ground.
    #[test]
    fn resistances_keep_their_digits(
        network in networks(10, DECADES),
        between in (0.0..1.0, 0.0..1.0),
    ) {
        let [a, b] = [between.0, between.1].map(|x: f64| (x * (network.nodes + 1) as f64) as usize);
        let mut amperes = vec![0.0; network.nodes + 1];
        amperes[a] += 1.0;
        amperes[b] -= 1.0;
        let volts = exact_volts(&network, &amperes);
        let exact = &volts[a] - &volts[b];
        let pattern = Pattern::new(network.nodes, network.branches.clone());
        let factor = Factor::new(&pattern, &network.siemens).expect("nothing floats");
        let port = Port::between(a, b);
        let ohms = port.of(&factor.column(&port));
        let error = relative_error(ohms, &exact);
        prop_assert!(error < 1e-13, "{}-{}: {} ohm is off by {}", a, b, ohms, error);
    }
}
