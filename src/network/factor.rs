//! Factorisation by star-mesh elimination, and solves with it.
//!
//! A conductance matrix is eliminated node by node: a star of conductances becomes a mesh. Written so, with the
//! conductance to ground kept apart, there is no subtraction at all, and every entry keeps its relative accuracy
//! however far the conductances lie apart (from the insulation of an open pin to a milliohm contact).
//! Source of the accuracy argument: Grassmann, Taksar and Heyman, Operations Research 33 (1985).

use super::pattern::{Pattern, Slot};

/// A node with no conductance to anything that is grounded.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
#[error("node {node} floats: nothing ties it to ground")]
pub struct FloatingNode {
    /// The node.
    pub node: usize,
}

/// A factorised network.
#[derive(Clone, Debug)]
pub struct Factor<'p> {
    pattern: &'p Pattern,
    /// Sum of conductances at each step, S.
    pivot: Vec<f64>,
    /// Share of each later neighbour, parallel to the pattern's flat list of them.
    share: Vec<f64>,
}

impl<'p> Factor<'p> {
    /// Eliminates a network. `siemens` runs parallel to the pattern's branches and must not be negative.
    ///
    /// # Errors
    /// [`FloatingNode`] when a part of the network has no path to ground.
    pub fn new(pattern: &'p Pattern, siemens: &[f64]) -> Result<Self, FloatingNode> {
        let mut mesh = vec![0.0; pattern.after.len()];
        let mut ground = vec![0.0; pattern.nodes];
        for (slot, &g) in pattern.slots.iter().zip(siemens) {
            match *slot {
                Slot::Nowhere => {}
                Slot::Ground(step) => ground[step] += g,
                Slot::Pair(step, place) => mesh[pattern.starts[step] + place] += g,
            }
        }
        let mut pivot = vec![0.0; pattern.nodes];
        for step in 0..pattern.nodes {
            let (start, end) = (pattern.starts[step], pattern.starts[step + 1]);
            // What is filled in stands behind the star.
            let (before, fill) = mesh.split_at_mut(end);
            let star = &mut before[start..];
            let total = ground[step] + star.iter().sum::<f64>();
            if total.is_nan() || total <= 0.0 {
                return Err(FloatingNode {
                    node: pattern.order[step],
                });
            }
            let later = &pattern.later[step];
            for (i, (&one, &g_one)) in later.iter().zip(&*star).enumerate() {
                ground[one] += g_one * ground[step] / total;
                for (&two, &g_two) in later[i + 1..].iter().zip(&star[i + 1..]) {
                    let place = pattern.later[one].partition_point(|&step| step < two);
                    fill[pattern.starts[one] + place - end] += g_one * g_two / total;
                }
            }
            pivot[step] = total;
            for g in star {
                *g /= total;
            }
        }
        Ok(Self {
            pattern,
            pivot,
            share: mesh,
        })
    }

    /// Node voltages for injected currents `amperes` (n + 1 entries, the last is ignored), written over them.
    /// Cost: about four operations per node and fill; no memory is asked for.
    pub fn solve(&self, amperes: &mut [f64]) {
        let pattern = self.pattern;
        let amperes = &mut amperes[..=pattern.nodes];
        // One list after the other, so that where one ends the next begins.
        let (after, share) = (&pattern.after[..], &self.share[..pattern.after.len()]);
        let mut start = 0;
        for (&node, &end) in pattern.order.iter().zip(&pattern.starts[1..]) {
            let current = amperes[node];
            if current != 0.0 {
                for (&later, &share) in after[start..end].iter().zip(&share[start..end]) {
                    amperes[later] += share * current;
                }
            }
            start = end;
        }
        amperes[pattern.nodes] = 0.0;
        let mut end = after.len();
        let steps = pattern.order.iter().zip(&pattern.starts[..pattern.nodes]);
        for ((&node, &start), pivot) in steps.zip(&self.pivot).rev() {
            let mut volts = amperes[node] / pivot;
            for place in start..end {
                volts += share[place] * amperes[after[place]];
            }
            amperes[node] = volts;
            end = start;
        }
    }

    /// Transfer resistances from a port to every node: the voltages for one ampere driven in at its positive weights
    /// and out at its negative ones.
    pub fn column(&self, port: &super::Port) -> Vec<f64> {
        let mut column = vec![0.0; self.pattern.nodes + 1];
        for &(node, weight) in port.weights() {
            column[node] += weight;
        }
        self.solve(&mut column);
        column
    }

    /// The entries of the inverse on its diagonal and between nodes that are joined, without a column of it.
    ///
    /// With shares s and pivots d of the elimination, Z_km = Σ s_kj Z_jm over the later neighbours j of k, and
    /// Z_kk = 1/d_k + Σ s_kj Z_jk: sums of positive terms, so every entry keeps its relative accuracy. Cost: about that
    /// of the factorisation. Source: Takahashi, Fagan and Chin, 8th PICA Conference (1973).
    pub fn near(&self) -> Near {
        let pattern = self.pattern;
        let mut near = Near {
            own: vec![0.0; pattern.nodes],
            beside: vec![0.0; pattern.after.len()],
        };
        for step in (0..pattern.nodes).rev() {
            let range = pattern.starts[step]..pattern.starts[step + 1];
            let later = &pattern.later[step];
            let shares = &self.share[range.clone()];
            let mut own = 1.0 / self.pivot[step];
            for (i, &to) in later.iter().enumerate() {
                let sum: f64 = (later.iter().zip(shares))
                    .map(|(&from, share)| share * near.at(pattern, from, to))
                    .sum();
                near.beside[range.start + i] = sum;
                own += shares[i] * sum;
            }
            near.own[step] = own;
        }
        near
    }
}

/// Transfer resistances of nodes to themselves and to those that they are joined with, Ω.
#[derive(Clone, Debug, Default)]
pub struct Near {
    /// By step of the elimination.
    own: Vec<f64>,
    /// Parallel to the pattern's flat list of later neighbours.
    beside: Vec<f64>,
}

impl Near {
    fn at(&self, pattern: &Pattern, one: usize, two: usize) -> f64 {
        if one == two {
            return self.own[one];
        }
        let (first, second) = (one.min(two), one.max(two));
        let place = pattern.later[first].partition_point(|&step| step < second);
        self.beside[pattern.starts[first] + place]
    }

    /// Volts at one node for an ampere into another, 0 where either is ground. `None` where nothing joins them.
    pub fn between(&self, pattern: &Pattern, one: usize, two: usize) -> Option<f64> {
        if one >= pattern.nodes || two >= pattern.nodes {
            return Some(0.0);
        }
        let (one, two) = (pattern.step_of[one], pattern.step_of[two]);
        let known = one == two || pattern.later[one.min(two)].contains(&one.max(two));
        known.then(|| self.at(pattern, one, two))
    }
}
