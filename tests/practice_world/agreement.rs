//! The simulator's dense solution against the sparse one of the `network` room, which shares no code with it.

use pinchpoint::{
    network::{Factor, Pattern, Port},
    practice::world::mesh::{GROUND, Mesh},
};

use super::random::{Lcg, network};

#[test]
fn both_solvers_agree_on_random_networks() {
    for seed in 1..=12 {
        let mut lcg = Lcg(seed);
        let drawn = network(&mut lcg);
        let pattern = Pattern::new(drawn.nodes, drawn.branches.clone());
        let factor = Factor::new(&pattern, &drawn.siemens).expect("the network is tied to ground");
        // Node k there is node k + 1 here; ground is the last one there and 0 here.
        let here = |node: usize| {
            if node == drawn.nodes {
                GROUND
            } else {
                node + 1
            }
        };
        let mut mesh = Mesh::new();
        for _ in 0..drawn.nodes {
            mesh.node();
        }
        for (branch, &siemens) in drawn.branches.iter().zip(&drawn.siemens) {
            mesh.join(here(branch.a), here(branch.b), siemens);
        }
        let (a, b) = (lcg.below(drawn.nodes), lcg.below(drawn.nodes + 1));
        if a == b {
            continue;
        }
        let sparse = factor.column(&Port::between(a, b));
        let dense = mesh.solve(&[(here(b), here(a))]).swap_remove(1);
        let largest = sparse.iter().fold(0.0, |most: f64, v| most.max(v.abs()));
        for (node, volts) in sparse.iter().enumerate().take(drawn.nodes) {
            let apart = (volts - dense[here(node)]).abs();
            assert!(apart <= 1e-9 * largest, "seed {seed}, node {node}: {apart}");
        }
    }
}
