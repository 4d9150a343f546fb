//! Random resistor networks from a seed; `tests/golden/random_networks.py` makes the very same ones.

use pinchpoint::network::Branch;

/// x ← 6364136223846793005 x + 1442695040888963407 (mod 2⁶⁴); the upper 53 bits are the draw.
///
/// Source of the constants: Knuth, The Art of Computer Programming, volume 2 (MMIX).
pub struct Lcg(pub u64);

impl Lcg {
    /// A number in [0, 1).
    pub fn draw(&mut self) -> f64 {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 11) as f64 * 0.5f64.powi(53)
    }

    /// An integer in 0..bound.
    pub fn below(&mut self, bound: usize) -> usize {
        (self.draw() * bound as f64) as usize
    }
}

/// A connected network; conductances are log-uniform from 1 mS to 1 kS.
pub struct Network {
    /// Nodes without ground, which is the node of that number.
    pub nodes: usize,
    pub branches: Vec<Branch>,
    pub siemens: Vec<f64>,
}

/// A tree of 2 to 299 nodes and ground, with up to twice as many further branches, some of them parallel.
pub fn network(lcg: &mut Lcg) -> Network {
    let nodes = 2 + lcg.below(298);
    let mut branches = Vec::new();
    for a in 0..nodes {
        let parent = lcg.below(a + 1);
        let b = if parent == a { nodes } else { parent };
        branches.push(Branch { a, b });
    }
    for _ in 0..lcg.below(2 * nodes) {
        let a = lcg.below(nodes + 1);
        let b = (a + 1 + lcg.below(nodes)) % (nodes + 1);
        branches.push(Branch { a, b });
    }
    let siemens = branches
        .iter()
        .map(|_| 10f64.powf(6.0 * lcg.draw() - 3.0))
        .collect();
    Network {
        nodes,
        branches,
        siemens,
    }
}
