//! A part of a network that nothing ties to ground is named, never solved.

use pinchpoint::network::{Branch, Factor, FloatingNode, Pattern};
use proptest::prelude::*;

use crate::random::{Network, networks};

/// Which nodes have a path to ground over conductances above zero.
fn tied(network: &Network) -> Vec<bool> {
    let mut tied = vec![false; network.nodes + 1];
    tied[network.nodes] = true;
    let mut grew = true;
    while grew {
        grew = false;
        for (branch, &g) in network.branches.iter().zip(&network.siemens) {
            if g > 0.0 && tied[branch.a] != tied[branch.b] {
                tied[branch.a] = true;
                tied[branch.b] = true;
                grew = true;
            }
        }
    }
    tied
}

#[test]
fn a_node_without_any_branch_is_named() {
    let pattern = Pattern::new(2, vec![Branch { a: 0, b: 2 }]);
    let error = Factor::new(&pattern, &[1.0]).expect_err("node 1 floats");
    assert_eq!(error, FloatingNode { node: 1 });
    assert_eq!(
        error.to_string(),
        "node 1 floats: nothing ties it to ground"
    );
}

#[test]
fn conductances_that_are_no_numbers_give_the_error_too() {
    let pattern = Pattern::new(1, vec![Branch { a: 0, b: 1 }]);
    for siemens in [0.0, -1.0, f64::NAN] {
        let error = Factor::new(&pattern, &[siemens]).expect_err("unusable");
        assert_eq!(error.node, 0, "{siemens}");
    }
}

#[test]
fn a_network_without_nodes_is_solved() {
    let pattern = Pattern::new(0, vec![Branch { a: 0, b: 0 }]);
    let factor = Factor::new(&pattern, &[1.0]).expect("nothing there to float");
    let mut volts = vec![3.0];
    factor.solve(&mut volts);
    assert_eq!(volts, [0.0]);
}

proptest! {
    /// Branches are taken away until some part floats, or none does.
    #[test]
    fn a_floating_part_is_named(
        network in networks(30, (-4.0, 3.0)),
        gone in prop::collection::vec(0..6, 60),
    ) {
        let mut network = network;
        for (siemens, gone) in network.siemens.iter_mut().zip(gone) {
            if gone == 0 {
                *siemens = 0.0;
            }
        }
        let tied = tied(&network);
        match Factor::new(&network.pattern(), &network.siemens) {
            Ok(_) => prop_assert!(tied.iter().all(|&tied| tied), "{:?} float", tied),
            Err(FloatingNode { node }) => prop_assert!(!tied[node], "{} is tied", node),
        }
    }
}
