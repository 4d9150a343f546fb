//! The simulator's own solution of a network of conductances and currents.
//!
//! Shares no line with the one that weighs readings, so that each can be held against the other.

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
    /// (Grassmann, Taksar and Heyman 1985); the node with the fewest neighbours goes next (Tinney and Walker 1967). A
    /// node that nothing ties down gets 0 V. Cost: about linear in the nodes of a harness, which has few loops.
    pub fn solve(&self, ports: &[(usize, usize)]) -> Vec<Vec<f64>> {
        let mut sides: Vec<Vec<f64>> = vec![vec![0.0; self.nodes]; ports.len() + 1];
        for &(node, amperes) in &self.currents {
            sides[0][node] += amperes;
        }
        for (side, &(from, to)) in sides[1..].iter_mut().zip(ports) {
            side[from] -= 1.0;
            side[to] += 1.0;
        }
        let mut stars = Stars::new(self);
        let mut gone = Vec::with_capacity(self.nodes);
        while let Some(node) = stars.next() {
            let star = stars.eliminate(node);
            let pivot: f64 = star.iter().map(|(_, siemens)| siemens).sum();
            for &(other, siemens) in star.iter().filter(|(other, _)| *other != GROUND) {
                for side in &mut sides {
                    side[other] += siemens / pivot * side[node];
                }
            }
            gone.push((node, pivot, star));
        }
        for side in &mut sides {
            side[GROUND] = 0.0;
            for (node, pivot, star) in gone.iter().rev() {
                let known: f64 = star.iter().map(|(k, siemens)| siemens * side[*k]).sum();
                side[*node] = if *pivot > 0.0 {
                    (side[*node] + known) / pivot
                } else {
                    0.0
                };
            }
        }
        sides
    }
}

/// What is left of a network while its nodes are taken out: each node's neighbours with the conductances to them. Of ground
/// nothing is kept, as it stays to the end.
struct Stars {
    neighbours: Vec<Vec<(usize, f64)>>,
    /// Nodes by how many neighbours they had when they were put there; some have changed since, or are gone.
    by_count: Vec<Vec<usize>>,
    left: Vec<bool>,
}

impl Stars {
    fn new(mesh: &Mesh) -> Self {
        let mut stars = Self {
            neighbours: vec![Vec::new(); mesh.nodes],
            by_count: Vec::new(),
            left: vec![true; mesh.nodes],
        };
        for &(a, b, siemens) in &mesh.branches {
            stars.join(a, b, siemens);
            stars.join(b, a, siemens);
        }
        stars.left[GROUND] = false;
        (1..mesh.nodes).for_each(|node| stars.put(node));
        stars
    }

    fn join(&mut self, node: usize, other: usize, siemens: f64) {
        if node == GROUND {
            return;
        }
        let mut own = self.neighbours[node].iter_mut();
        match own.find(|(known, _)| *known == other) {
            Some((_, known)) => *known += siemens,
            None => self.neighbours[node].push((other, siemens)),
        }
    }

    fn put(&mut self, node: usize) {
        let count = self.neighbours[node].len();
        if self.by_count.len() <= count {
            self.by_count.resize_with(count + 1, Vec::new);
        }
        self.by_count[count].push(node);
    }

    /// The node with the fewest neighbours.
    fn next(&mut self) -> Option<usize> {
        for count in 0..self.by_count.len() {
            while let Some(node) = self.by_count[count].pop() {
                if self.left[node] && self.neighbours[node].len() == count {
                    return Some(node);
                }
            }
        }
        None
    }

    /// Takes a node out, its neighbours being joined to one another instead (star to mesh); gives them.
    fn eliminate(&mut self, node: usize) -> Vec<(usize, f64)> {
        self.left[node] = false;
        let star = std::mem::take(&mut self.neighbours[node]);
        let pivot: f64 = star.iter().map(|(_, siemens)| siemens).sum();
        for &(one, siemens) in star.iter().filter(|(one, _)| *one != GROUND) {
            self.neighbours[one].retain(|(other, _)| *other != node);
            for &(other, beyond) in star.iter().filter(|(other, _)| *other != one) {
                self.join(one, other, siemens / pivot * beyond);
            }
            self.put(one);
        }
        star
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
    fn currents_balance_at_every_node_of_a_meshed_network() {
        // Kirchhoff's current law; a grid of 12 by 12 nodes has many loops, whatever the order.
        let mut mesh = Mesh::new();
        let grid: Vec<usize> = (0..144).map(|_| mesh.node()).collect();
        let siemens = |k: usize| 0.001 * (1 + (k * 37) % 101) as f64;
        for k in 0..144 {
            if k % 12 < 11 {
                mesh.join(grid[k], grid[k + 1], siemens(k));
            }
            if k < 132 {
                mesh.join(grid[k], grid[k + 12], siemens(k + 7));
            }
        }
        mesh.join(grid[0], GROUND, 0.5);
        mesh.join(grid[100], GROUND, 1e-9);
        mesh.drive(GROUND, grid[143], 0.2);
        let volts = mesh.solve(&[]).remove(0);
        let mut sums = vec![0.0; mesh.nodes()];
        for &(a, b, siemens) in &mesh.branches {
            let amperes = siemens * (volts[a] - volts[b]);
            sums[a] -= amperes;
            sums[b] += amperes;
        }
        for &(node, amperes) in &mesh.currents {
            sums[node] += amperes;
        }
        assert!(sums.iter().all(|sum| sum.abs() < 1e-12), "{sums:?}");
    }

    #[test]
    fn what_floats_reads_nothing() {
        let mut mesh = Mesh::new();
        let (a, b) = (mesh.node(), mesh.node());
        mesh.join(a, b, 1.0);
        assert_eq!(mesh.solve(&[])[0], [0.0, 0.0, 0.0]);
    }
}
