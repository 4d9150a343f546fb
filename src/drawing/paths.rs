//! A walk cut into paths: the trunk follows the farthest reach, every other branch is a path of its own.

use std::collections::HashMap;

use super::graph::{Graph, Walk};

/// A run of nodes that share one lane.
#[derive(Clone, Debug)]
pub(super) struct Path {
    /// Nodes from the one nearest to the root.
    pub nodes: Vec<usize>,
    /// Node of another path from which this one branches off.
    pub attach: Option<usize>,
    /// Index of the path it branches off.
    pub parent: Option<usize>,
}

/// Cuts a walk into paths; a path stands after the one it branches off. `x` is the place of each node.
pub(super) fn paths(graph: &Graph, walk: &Walk, x: &HashMap<usize, f64>) -> Vec<Path> {
    let mut reach: HashMap<usize, (f64, usize)> = HashMap::new();
    let mut children: HashMap<usize, Vec<usize>> = HashMap::new();
    for &node in &walk.order {
        reach.insert(node, (x.get(&node).copied().unwrap_or(0.0), 1));
        if let Some(&(parent, _)) = walk.parent.get(&node) {
            children.entry(parent).or_default().push(node);
        }
    }
    for &node in walk.order.iter().rev() {
        let (far, count) = reach[&node];
        if let Some(&(parent, _)) = walk.parent.get(&node)
            && let Some(entry) = reach.get_mut(&parent)
        {
            entry.0 = entry.0.max(far);
            entry.1 += count;
        }
    }
    // In the order in which the sketch names the joints, so that the picture keeps still when a length changes.
    for list in children.values_mut() {
        list.sort_by_key(|node| {
            let edge = walk.parent[node].1;
            (edge, graph.across(edge, *node))
        });
    }
    let heavy = |node: usize| -> Option<usize> {
        let mut best: Option<usize> = None;
        for &child in children.get(&node).map_or(&[][..], Vec::as_slice) {
            let better = best.is_none_or(|b| {
                let (near, far) = (reach[&b], reach[&child]);
                far.0 > near.0 || (far.0 == near.0 && far.1 > near.1)
            });
            if better {
                best = Some(child);
            }
        }
        best
    };
    let mut result: Vec<Path> = Vec::new();
    let mut heads: Vec<(usize, Option<usize>, Option<usize>)> = walk
        .order
        .iter()
        .filter(|node| !walk.parent.contains_key(node))
        .map(|&node| (node, None, None))
        .collect();
    let mut next = 0;
    while next < heads.len() {
        let (head, attach, parent) = heads[next];
        next += 1;
        let own = result.len();
        let mut nodes = vec![head];
        let mut node = head;
        while let Some(follow) = heavy(node) {
            for &child in &children[&node] {
                if child != follow {
                    heads.push((child, Some(node), Some(own)));
                }
            }
            nodes.push(follow);
            node = follow;
        }
        result.push(Path {
            nodes,
            attach,
            parent,
        });
    }
    result
}
