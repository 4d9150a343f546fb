//! Random networks, and the solution of one.

use pinchpoint::network::{Branch, Factor, Pattern};
use proptest::{collection::vec, prelude::*};

/// A network in which every node has a path to ground, the node numbered `nodes`.
#[derive(Clone, Debug)]
pub struct Network {
    pub nodes: usize,
    pub branches: Vec<Branch>,
    pub siemens: Vec<f64>,
    /// Amperes driven into each node; the last entry is ground's.
    pub amperes: Vec<f64>,
}

impl Network {
    pub fn pattern(&self) -> Pattern {
        Pattern::new(self.nodes, self.branches.clone())
    }

    /// Node voltages, ground's 0 V last.
    pub fn volts(&self) -> Vec<f64> {
        let pattern = self.pattern();
        let factor = Factor::new(&pattern, &self.siemens).expect("nothing floats");
        let mut volts = self.amperes.clone();
        factor.solve(&mut volts);
        volts
    }
}

/// Trees with further branches, parallel ones and ones that lead nowhere among them; conductances are log-uniform
/// between powers of ten, and a third of the nodes or so are driven with up to 1 A, as a harness is fed and not
/// drained.
pub fn networks(most: usize, (low, high): (f64, f64)) -> impl Strategy<Value = Network> {
    (1..=most)
        .prop_flat_map(|nodes| {
            let parents: Vec<_> = (0..nodes).map(|node| 0..=node).collect();
            let further = vec((0..=nodes, 0..=nodes), 0..=nodes);
            (Just(nodes), parents, further)
        })
        .prop_flat_map(move |(nodes, parents, further)| {
            let tree = parents.into_iter().enumerate().map(|(a, parent)| Branch {
                a,
                b: if parent == a { nodes } else { parent },
            });
            let further = further.into_iter().map(|(a, b)| Branch { a, b });
            let branches: Vec<Branch> = tree.chain(further).collect();
            let powers = vec(low..high, branches.len());
            let driven = vec((0.001..1.0, 0..3), nodes);
            (Just(nodes), Just(branches), powers, driven)
        })
        .prop_map(|(nodes, branches, powers, driven)| {
            let mut amperes: Vec<f64> = driven
                .into_iter()
                .map(|(driven, one_of)| if one_of == 0 { driven } else { 0.0 })
                .collect();
            amperes[0] += 0.5;
            amperes.push(0.0);
            Network {
                nodes,
                branches,
                siemens: powers.into_iter().map(|power| 10f64.powf(power)).collect(),
                amperes,
            }
        })
}
