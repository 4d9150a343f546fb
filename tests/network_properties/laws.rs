//! Laws of circuits that hold whatever the values are. Sources: Kirchhoff 1845; Lorentz reciprocity and
//! superposition of linear networks, as in any textbook on circuits.

use pinchpoint::network::{Factor, Port};
use proptest::prelude::*;

use crate::random::networks;

const DECADES: (f64, f64) = (-4.0, 3.0);

/// A port by two fractions: nodes anywhere in the network, ground included.
fn port(nodes: usize, (from, to): (f64, f64)) -> Port {
    let node = |fraction: f64| (fraction * (nodes + 1) as f64) as usize;
    Port::between(node(from), node(to))
}

proptest! {
    /// What is driven into a node leaves it, to rounding of the largest voltage times the conductances there. All of
    /// it arrives at ground.
    #[test]
    fn currents_balance_at_every_node(network in networks(40, DECADES)) {
        let volts = network.volts();
        prop_assert_eq!(volts[network.nodes], 0.0);
        let mut left = network.amperes.clone();
        let mut scale = vec![0.0; network.nodes + 1];
        for (branch, g) in network.branches.iter().zip(&network.siemens) {
            let (va, vb) = (volts[branch.a], volts[branch.b]);
            for (node, through) in [(branch.a, g * (va - vb)), (branch.b, g * (vb - va))] {
                left[node] -= through;
                scale[node] += g * va.max(vb);
            }
        }
        for node in 0..network.nodes {
            prop_assert!(volts[node] >= 0.0, "node {} is at {} V", node, volts[node]);
            prop_assert!(
                left[node].abs() <= 1e-13 * scale[node],
                "node {} keeps {} A of {}", node, left[node], scale[node]
            );
        }
        let driven: f64 = network.amperes.iter().sum();
        let arrived = left[network.nodes];
        prop_assert!((arrived - driven).abs() <= 1e-12 * driven, "{} A of {} A", arrived, driven);
    }

    /// One ampere here raises the voltage there as much as one ampere there does here.
    #[test]
    fn transfer_resistance_is_the_same_both_ways(
        network in networks(40, DECADES),
        one in (0.0..1.0, 0.0..1.0),
        two in (0.0..1.0, 0.0..1.0),
    ) {
        let pattern = network.pattern();
        let factor = Factor::new(&pattern, &network.siemens).expect("nothing floats");
        let (one, two) = (port(network.nodes, one), port(network.nodes, two));
        let (from_one, from_two) = (factor.column(&one), factor.column(&two));
        let (there, back) = (two.of(&from_one), one.of(&from_two));
        // Between pairs of nodes the effects cancel in part, so the scale is what one ampere does at most.
        let top = from_one.iter().chain(&from_two).fold(0.0, |top: f64, z| top.max(z.abs()));
        prop_assert!((there - back).abs() <= 1e-10 * top, "{} and {} of {}", there, back, top);
    }

    /// From node to node nothing cancels: nearly every digit is the same.
    #[test]
    fn transfer_resistance_between_nodes_is_sharp(network in networks(40, DECADES)) {
        let pattern = network.pattern();
        let factor = Factor::new(&pattern, &network.siemens).expect("nothing floats");
        let columns: Vec<Vec<f64>> = (0..network.nodes)
            .map(|node| factor.column(&Port::between(node, network.nodes)))
            .collect();
        for (a, column) in columns.iter().enumerate() {
            for (b, other) in columns.iter().enumerate() {
                let (there, back) = (column[b], other[a]);
                prop_assert!((there - back).abs() <= 1e-13 * there, "{} and {}", there, back);
                prop_assert!(there <= column[a] * (1.0 + 1e-13), "{} above {}", there, column[a]);
            }
        }
    }

    /// The voltages of two sets of sources add up, each by its factor.
    #[test]
    fn sources_superpose(
        network in networks(40, DECADES),
        other in prop::collection::vec(0.0..1.0_f64, 41),
        factors in (0.1..10.0_f64, 0.1..10.0_f64),
    ) {
        let alone = network.volts();
        let mut second = network.clone();
        second.amperes.copy_from_slice(&other[..=network.nodes]);
        let other_alone = second.volts();
        let mut both = network.clone();
        for (both, other) in both.amperes.iter_mut().zip(&second.amperes) {
            *both = factors.0 * *both + factors.1 * other;
        }
        for (node, together) in both.volts().into_iter().enumerate() {
            let sum = factors.0 * alone[node] + factors.1 * other_alone[node];
            prop_assert!((together - sum).abs() <= 1e-12 * sum, "{} and {}", together, sum);
        }
    }

    /// The order in which branches are listed, and which end comes first, changes nothing.
    #[test]
    fn drawing_order_does_not_matter(network in networks(40, DECADES)) {
        let mut turned = network.clone();
        turned.branches.reverse();
        turned.siemens.reverse();
        for branch in &mut turned.branches {
            std::mem::swap(&mut branch.a, &mut branch.b);
        }
        for (one, other) in network.volts().into_iter().zip(turned.volts()) {
            prop_assert!((one - other).abs() <= 1e-13 * one, "{} and {}", one, other);
        }
    }
}

proptest! {
    /// What a node has to itself and to those it is joined with, without columns, is what columns say.
    #[test]
    fn near_entries_of_the_inverse_are_those_of_columns(network in networks(20, (-6.0, 3.0))) {
        let pattern = network.pattern();
        let factor = Factor::new(&pattern, &network.siemens).expect("nothing floats");
        let near = factor.near();
        for branch in &network.branches {
            for (one, two) in [(branch.a, branch.b), (branch.a, branch.a)] {
                let ohms = near.between(&pattern, one, two).expect("they are joined");
                let column = factor.column(&Port::between(one, network.nodes));
                prop_assert!((ohms - column[two]).abs() <= 1e-12 * column[two].abs(), "{} and {}", ohms, column[two]);
            }
        }
    }
}
