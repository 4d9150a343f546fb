//! The simulator's own dense solution of a network of conductances and currents.
//!
//! Shares no line with the sparse one that weighs readings, so that each can be held against the other.

/// Ground is node 0; the others count from 1.
pub const GROUND: usize = 0;

/// A network of conductances between nodes and currents driven into them.
#[derive(Clone, Debug, Default)]
pub struct Mesh {
    nodes: usize,
    branches: Vec<(usize, usize, f64)>,
    currents: Vec<(usize, f64)>,
}

impl Mesh {
    /// A network of ground alone.
    pub fn new() -> Self {
        Self {
            nodes: 1,
            ..Self::default()
        }
    }

    /// Adds a node and gives its number.
    pub fn node(&mut self) -> usize {
        self.nodes += 1;
        self.nodes - 1
    }

    /// Number of nodes, ground included.
    pub fn nodes(&self) -> usize {
        self.nodes
    }

    /// Joins two nodes by a conductance, S. Nothing happens between a node and itself or with a conductance of 0.
    pub fn join(&mut self, a: usize, b: usize, siemens: f64) {
        if a != b && siemens > 0.0 {
            self.branches.push((a, b, siemens));
        }
    }

    /// Drives a current out of one node and into another, A.
    pub fn drive(&mut self, from: usize, to: usize, amperes: f64) {
        self.currents.push((from, -amperes));
        self.currents.push((to, amperes));
    }

    /// Voltages of all nodes to ground, V: the response to the network's own currents, and one to each further pair
    /// of nodes when one ampere is driven out of the first and into the second.
    ///
    /// Gaussian elimination, the diagonal being kept as the sum of what it is made of, so that nothing is subtracted
    /// (Grassmann, Taksar and Heyman 1985). A node that nothing ties down gets 0 V. Cost: cubic in the nodes.
    pub fn solve(&self, ports: &[(usize, usize)]) -> Vec<Vec<f64>> {
        let n = self.nodes;
        let mut g = vec![0.0; n * n];
        for &(a, b, siemens) in &self.branches {
            g[a * n + b] += siemens;
            g[b * n + a] += siemens;
        }
        let mut sides: Vec<Vec<f64>> = vec![vec![0.0; n]; ports.len() + 1];
        for &(node, amperes) in &self.currents {
            sides[0][node] += amperes;
        }
        for (side, &(from, to)) in sides[1..].iter_mut().zip(ports) {
            side[from] -= 1.0;
            side[to] += 1.0;
        }
        let mut pivots = vec![0.0; n];
        let mut star = Vec::new();
        for node in (1..n).rev() {
            star.clear();
            star.extend((0..node).filter(|&k| g[node * n + k] != 0.0));
            let pivot: f64 = star.iter().map(|&k| g[node * n + k]).sum();
            pivots[node] = pivot;
            if pivot <= 0.0 {
                continue;
            }
            for &i in &star {
                let share = g[node * n + i] / pivot;
                for &k in star.iter().filter(|&&k| k != i) {
                    g[i * n + k] += share * g[node * n + k];
                }
                for side in &mut sides {
                    side[i] += share * side[node];
                }
            }
        }
        for side in &mut sides {
            side[GROUND] = 0.0;
            for node in 1..n {
                let known: f64 = (0..node).map(|k| g[node * n + k] * side[k]).sum();
                side[node] = if pivots[node] > 0.0 {
                    (side[node] + known) / pivots[node]
                } else {
                    0.0
                };
            }
        }
        sides
    }
}

#[cfg(test)]
mod tests {
    use super::{GROUND, Mesh};

    #[test]
    fn divider_and_port() {
        // Ohm's law: 2 A into 5 Ω in series with 3 Ω to ground; seen from the first node 8 Ω.
        let mut mesh = Mesh::new();
        let (a, b) = (mesh.node(), mesh.node());
        mesh.join(a, b, 1.0 / 5.0);
        mesh.join(b, GROUND, 1.0 / 3.0);
        mesh.drive(GROUND, a, 2.0);
        let sides = mesh.solve(&[(GROUND, a)]);
        assert!((sides[0][a] - 16.0).abs() < 1e-12 && (sides[0][b] - 6.0).abs() < 1e-12);
        assert!((sides[1][a] - 8.0).abs() < 1e-12);
    }

    #[test]
    fn milliohms_beside_gigaohms_keep_their_digits() {
        // A milliohm between two nodes that only 10 GΩ ties down: 1 nA gives 10 V at both, 1 pV apart.
        let mut mesh = Mesh::new();
        let (a, b) = (mesh.node(), mesh.node());
        mesh.join(a, b, 1e3);
        mesh.join(b, GROUND, 1e-10);
        mesh.drive(GROUND, a, 1e-9);
        let volts = mesh.solve(&[]).remove(0);
        assert!((volts[b] - 10.0).abs() < 1e-12);
        assert!((volts[a] - volts[b]).abs() < 1e-11);
    }

    #[test]
    fn what_floats_reads_nothing() {
        let mut mesh = Mesh::new();
        let (a, b) = (mesh.node(), mesh.node());
        mesh.join(a, b, 1.0);
        assert_eq!(mesh.solve(&[])[0], [0.0, 0.0, 0.0]);
    }
}
