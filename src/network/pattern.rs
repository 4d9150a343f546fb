//! Which nodes are joined, and the order in which to eliminate them.

use std::collections::BTreeSet;

/// A conductance between two nodes; node `n` is ground.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Branch {
    /// One node.
    pub a: usize,
    /// The other node.
    pub b: usize,
}

/// The structure of a network: shared by all states, which differ only in conductances.
#[derive(Clone, Debug)]
pub struct Pattern {
    /// Number of nodes without ground.
    pub nodes: usize,
    /// The branches; conductances are given in this order.
    pub branches: Vec<Branch>,
    /// Node eliminated at each step.
    pub order: Vec<usize>,
    /// For each step, the steps at which the then remaining neighbours are eliminated, ascending.
    pub later: Vec<Vec<usize>>,
    /// The same as nodes, one list behind the other, and where each step's part starts.
    pub(super) after: Vec<usize>,
    pub(super) starts: Vec<usize>,
    /// Step at which each node is eliminated.
    pub(super) step_of: Vec<usize>,
    /// For each branch, where its conductance goes.
    pub(super) slots: Vec<Slot>,
}

/// Where a branch's conductance is put.
#[derive(Clone, Copy, Debug)]
pub(super) enum Slot {
    /// Both ends are the same node: no effect.
    Nowhere,
    /// To ground, at this step.
    Ground(usize),
    /// Between two nodes: step of the earlier one, position in its `later` list.
    Pair(usize, usize),
}

impl Pattern {
    /// Orders the nodes by minimum degree, which leaves a tree without fill.
    ///
    /// Cost: near linear for harness-like networks. Source of the heuristic: Tinney and Walker, Proc. IEEE 55 (1967).
    ///
    /// # Panics
    /// When a branch names a node above `nodes`; callers number nodes themselves.
    pub fn new(nodes: usize, branches: Vec<Branch>) -> Self {
        assert!(branches.iter().all(|br| br.a <= nodes && br.b <= nodes));
        let mut neighbours: Vec<BTreeSet<usize>> = vec![BTreeSet::new(); nodes];
        for branch in branches.iter().filter(|br| br.a != br.b) {
            if branch.a < nodes && branch.b < nodes {
                neighbours[branch.a].insert(branch.b);
                neighbours[branch.b].insert(branch.a);
            }
        }
        let mut queue: BTreeSet<(usize, usize)> = (0..nodes)
            .map(|node| (neighbours[node].len(), node))
            .collect();
        let mut order = Vec::with_capacity(nodes);
        let mut later_nodes = Vec::with_capacity(nodes);
        while let Some((_, node)) = queue.pop_first() {
            let around: Vec<usize> = std::mem::take(&mut neighbours[node]).into_iter().collect();
            for &near in &around {
                queue.remove(&(neighbours[near].len(), near));
                neighbours[near].remove(&node);
            }
            for (i, &one) in around.iter().enumerate() {
                for &two in &around[i + 1..] {
                    neighbours[one].insert(two);
                    neighbours[two].insert(one);
                }
            }
            for &near in &around {
                queue.insert((neighbours[near].len(), near));
            }
            order.push(node);
            later_nodes.push(around);
        }
        let mut step_of = vec![0; nodes];
        for (step, &node) in order.iter().enumerate() {
            step_of[node] = step;
        }
        let later: Vec<Vec<usize>> = later_nodes
            .into_iter()
            .map(|around| {
                let mut steps: Vec<usize> = around.into_iter().map(|node| step_of[node]).collect();
                steps.sort_unstable();
                steps
            })
            .collect();
        let mut starts = vec![0];
        for list in &later {
            starts.push(starts[starts.len() - 1] + list.len());
        }
        let after = later.iter().flatten().map(|&step| order[step]).collect();
        let slots = branches
            .iter()
            .map(
                |branch| match (branch.a == branch.b, branch.a < nodes, branch.b < nodes) {
                    (true, ..) | (false, false, false) => Slot::Nowhere,
                    (false, true, false) => Slot::Ground(step_of[branch.a]),
                    (false, false, true) => Slot::Ground(step_of[branch.b]),
                    (false, true, true) => {
                        let (one, two) = (step_of[branch.a], step_of[branch.b]);
                        let (first, second) = (one.min(two), one.max(two));
                        let place = later[first].partition_point(|&step| step < second);
                        Slot::Pair(first, place)
                    }
                },
            )
            .collect();
        Self {
            nodes,
            branches,
            order,
            later,
            after,
            starts,
            step_of,
            slots,
        }
    }
}
