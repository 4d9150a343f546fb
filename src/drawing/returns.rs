//! Places for return wiring: it runs through the connectors of the feed, so their metres are given.

use std::collections::HashMap;

use super::graph::{Graph, Walk};

/// Gives every node of a walk its x. Nodes with a given place keep it; those between two given places are spread
/// in proportion to the wire lengths; those beyond the last one follow at their length. A root without a place
/// stands as far before the nearest given place as the wires to it are long, at most at the module.
pub(super) fn spread(
    graph: &Graph,
    walk: &Walk,
    given: &HashMap<usize, f64>,
) -> HashMap<usize, f64> {
    // The nearest given place downstream of each node, and the metres to it.
    let mut ahead: HashMap<usize, (f64, f64)> = HashMap::new();
    for &node in walk.order.iter().rev() {
        let own = given
            .get(&node)
            .map(|&x| (x, 0.0))
            .or(ahead.get(&node).copied());
        let Some(own) = own else { continue };
        ahead.insert(node, own);
        if let Some(&(parent, edge)) = walk.parent.get(&node) {
            let seen = (own.0, own.1 + graph.edges[edge].length);
            let entry = ahead.entry(parent).or_insert(seen);
            if seen.0 < entry.0 {
                *entry = seen;
            }
        }
    }
    let mut x: HashMap<usize, f64> = HashMap::new();
    for &node in &walk.order {
        let place = if let Some(&given) = given.get(&node) {
            given
        } else if let Some(&(parent, edge)) = walk.parent.get(&node) {
            let start = x.get(&parent).copied().unwrap_or(0.0);
            let length = graph.edges[edge].length;
            match ahead.get(&node) {
                Some(&(end, rest)) if length + rest > 0.0 => {
                    start + (end - start) * length / (length + rest)
                }
                Some(&(end, _)) => end,
                None => start + length,
            }
        } else {
            ahead
                .get(&node)
                .map_or(0.0, |&(end, rest)| (end - rest).max(0.0))
        };
        x.insert(node, place);
    }
    x
}
