//! Points as numbered nodes, joined by wires, pins, fuses and load ends; shortest metres from a set of roots.

use std::{
    cmp::Reverse,
    collections::{BinaryHeap, HashMap},
};

use crate::{
    circuit::{Circuit, Point, Terminal, wire::UNKNOWN_LENGTH_M},
    quantity::units::as_metres,
};

/// Longest wire that is drawn to scale, m; a longer figure is a slip of the keyboard.
const LONGEST_M: f64 = 1e5;

/// What joins two nodes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Via {
    /// A wire, by index.
    Wire(usize),
    /// A pin of a connector: index and pin number.
    Pin(usize, u8),
    /// A fuse, by index.
    Fuse(usize),
    /// A load that sits at another part's point, by index.
    Load(usize),
}

/// A joint between two nodes.
#[derive(Clone, Copy, Debug)]
pub(super) struct Edge {
    pub a: usize,
    pub b: usize,
    pub via: Via,
    pub length: f64,
}

/// The circuit as nodes and edges. Battery negative is no node: everything would hang together through it.
pub(super) struct Graph {
    pub points: Vec<Point>,
    pub index: HashMap<Point, usize>,
    pub edges: Vec<Edge>,
    pub at: Vec<Vec<usize>>,
}

/// Metres of a wire for drawing, and whether they were assumed.
pub(super) fn drawn_length(wire: &crate::circuit::Wire) -> (f64, bool) {
    match wire.length.map(as_metres) {
        Some(metres) if metres.is_finite() && (0.0..=LONGEST_M).contains(&metres) => {
            (metres, false)
        }
        _ => (UNKNOWN_LENGTH_M, true),
    }
}

impl Graph {
    /// Numbers every point of every part, in the order of the sketch.
    pub fn new(circuit: &Circuit) -> Self {
        let mut graph = Self {
            points: Vec::new(),
            index: HashMap::new(),
            edges: Vec::new(),
            at: Vec::new(),
        };
        for supply in &circuit.supplies {
            for pin in 1..=supply.feed_pins.max(1) {
                graph.node(&Point::new(&supply.id, Terminal::Feed(pin)));
            }
            graph.node(&Point::new(&supply.id, Terminal::Return));
        }
        for (i, wire) in circuit.wires.iter().enumerate() {
            let (length, _) = drawn_length(wire);
            graph.join(&wire.from, &wire.to, Via::Wire(i), length);
        }
        for (i, connector) in circuit.connectors.iter().enumerate() {
            for pin in 1..=u8::try_from(connector.pins.len()).unwrap_or(u8::MAX) {
                let near = Point::new(&connector.id, Terminal::Near(pin));
                let far = Point::new(&connector.id, Terminal::Far(pin));
                graph.join(&near, &far, Via::Pin(i, pin), 0.0);
            }
        }
        for (i, fuse) in circuit.fuses.iter().enumerate() {
            let ends = [Terminal::In, Terminal::Out].map(|end| Point::new(&fuse.id, end));
            graph.join(&ends[0], &ends[1], Via::Fuse(i), 0.0);
        }
        for (i, load) in circuit.loads.iter().enumerate() {
            for (own, elsewhere) in [
                (Terminal::Feed(1), &load.feed),
                (Terminal::Return, &load.ret),
            ] {
                let own = Point::new(&load.id, own);
                if own == *elsewhere || elsewhere.is_battery_negative() {
                    graph.node(&own);
                } else {
                    graph.join(elsewhere, &own, Via::Load(i), 0.0);
                }
            }
        }
        for id in circuit
            .splices
            .iter()
            .map(|p| &p.id)
            .chain(circuit.rails.iter().map(|p| &p.id))
        {
            graph.node(&Point::new(id, Terminal::Only));
        }
        for ground in &circuit.grounds {
            graph.node(&ground.at);
        }
        graph
    }

    /// Number of a point; each mention of battery negative is a node of its own.
    fn node(&mut self, point: &Point) -> usize {
        if !point.is_battery_negative()
            && let Some(&node) = self.index.get(point)
        {
            return node;
        }
        let node = self.points.len();
        self.points.push(point.clone());
        self.at.push(Vec::new());
        self.index.entry(point.clone()).or_insert(node);
        node
    }

    fn join(&mut self, a: &Point, b: &Point, via: Via, length: f64) {
        let (a, b) = (self.node(a), self.node(b));
        let edge = self.edges.len();
        self.edges.push(Edge { a, b, via, length });
        self.at[a].push(edge);
        if a != b {
            self.at[b].push(edge);
        }
    }

    /// The node of a point, if the sketch mentions it.
    pub fn find(&self, point: &Point) -> Option<usize> {
        self.index.get(point).copied()
    }

    /// The node at the other end of an edge.
    pub fn across(&self, edge: usize, node: usize) -> usize {
        let edge = self.edges[edge];
        if edge.a == node { edge.b } else { edge.a }
    }
}

/// Shortest-path trees from roots: every node with the edge that leads back towards its root.
pub(super) struct Walk {
    /// Nodes in the order they were reached, roots first.
    pub order: Vec<usize>,
    /// Parent node and edge, for nodes that are no roots.
    pub parent: HashMap<usize, (usize, usize)>,
    /// Metres from the root.
    pub metres: HashMap<usize, f64>,
    /// Edges that close a loop.
    pub loops: Vec<usize>,
}

/// Walks from the roots over nodes that are not taken, and takes them. Shortest paths first (Dijkstra), so the
/// wire that closes a loop is never shorter than the distance it spans. O(n log n).
pub(super) fn walk(graph: &Graph, roots: &[usize], taken: &mut [bool]) -> Walk {
    let mut result = Walk {
        order: Vec::new(),
        parent: HashMap::new(),
        metres: HashMap::new(),
        loops: Vec::new(),
    };
    let mut queue = BinaryHeap::new();
    let mut ticket = 0usize;
    for &root in roots {
        queue.push(Reverse((0u64, ticket, root, None::<(usize, usize)>)));
        ticket += 1;
    }
    while let Some(Reverse((bits, _, node, parent))) = queue.pop() {
        if taken[node] {
            continue;
        }
        taken[node] = true;
        // Non-negative floats order like their bit patterns.
        let metres = f64::from_bits(bits);
        result.order.push(node);
        result.metres.insert(node, metres);
        if let Some(parent) = parent {
            result.parent.insert(node, parent);
        }
        for &edge in &graph.at[node] {
            let other = graph.across(edge, node);
            if !taken[other] {
                let reach = (metres + graph.edges[edge].length).to_bits();
                queue.push(Reverse((reach, ticket, other, Some((node, edge)))));
                ticket += 1;
            }
        }
    }
    for &node in &result.order {
        for &edge in &graph.at[node] {
            let Edge { a, b, .. } = graph.edges[edge];
            let tree = [a, b]
                .iter()
                .any(|end| result.parent.get(end).is_some_and(|p| p.1 == edge));
            // Counted at its first end only.
            if !tree && node == a && result.metres.contains_key(&b) {
                result.loops.push(edge);
            }
        }
    }
    result
}
