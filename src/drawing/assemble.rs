//! Walks every supply, its returns and the strays in turn, and collects places, runs, stubs and lanes.

use std::collections::HashMap;

use super::{
    graph::{Edge, Graph, Via, Walk, drawn_length, walk},
    harness::{Group, Harness, Lane, Lead, Place, Run, Scale},
    lanes::{Sides, pack},
    paths::paths,
    returns::spread,
    symbols,
};
use crate::circuit::{Circuit, Point, Terminal};

/// The sheet while it is being filled.
pub(super) struct Sheet<'a> {
    pub circuit: &'a Circuit,
    pub graph: Graph,
    taken: Vec<bool>,
    /// Place of each node once it has one, and what its lane carries.
    pub place: Vec<Option<(Place, Group)>>,
    /// Order in which nodes were reached, to tell the near end of a pin.
    pub reached: Vec<usize>,
    /// Where each part stands that has a place already.
    standing: HashMap<String, f64>,
    runs: Vec<Option<Run>>,
    room: f64,
    next_lane: i32,
    first_block: bool,
    harness: Harness,
}

/// Lays the circuit out.
pub(super) fn assemble(circuit: &Circuit, room: f64) -> Harness {
    let graph = Graph::new(circuit);
    let count = graph.points.len();
    let mut sheet = Sheet {
        circuit,
        taken: vec![false; count],
        place: vec![None; count],
        reached: vec![usize::MAX; count],
        standing: HashMap::new(),
        runs: vec![None; circuit.wires.len()],
        graph,
        room,
        next_lane: 0,
        first_block: true,
        harness: Harness::default(),
    };
    for supply in &circuit.supplies {
        let pins: Vec<usize> = (1..=supply.feed_pins.max(1))
            .filter_map(|pin| {
                sheet
                    .graph
                    .find(&Point::new(&supply.id, Terminal::Feed(pin)))
            })
            .collect();
        // Returns follow their own feed, so each supply is walked and laid before the next one.
        sheet.lay(&pins, Group::Feed);
        let back = sheet.graph.find(&Point::new(&supply.id, Terminal::Return));
        let back: Vec<usize> = back.into_iter().collect();
        sheet.lay(&back, Group::Return);
    }
    sheet.returns_to_ground();
    sheet.strays();
    sheet.finish()
}

impl Sheet<'_> {
    /// Walks from the roots, packs the walk into lanes below what is there, and records places and runs.
    fn lay(&mut self, roots: &[usize], group: Group) {
        let walk = walk(&self.graph, roots, &mut self.taken);
        if walk.order.is_empty() {
            return;
        }
        let x: HashMap<usize, f64> = match group {
            Group::Feed => walk.metres.clone(),
            Group::Return | Group::Stray => spread(&self.graph, &walk, &self.given(&walk)),
        };
        let sides = if group == Group::Feed {
            Sides::Both
        } else {
            Sides::Below
        };
        let paths = paths(&self.graph, &walk, &x);
        let mut packed = pack(&paths, &x, self.room, sides);
        let at = |node: usize| x.get(&node).copied().unwrap_or(0.0);
        let hairpins: Vec<(usize, f64, [i32; 2])> = walk
            .loops
            .iter()
            .filter_map(|&edge| {
                let Edge { a, b, via, length } = self.graph.edges[edge];
                let Via::Wire(wire) = via else { return None };
                let (low, high) = (at(a).min(at(b)), at(a).max(at(b)));
                let turn = high.max((low + high + length) / 2.0);
                let span = (low, turn.max(low + self.room));
                let out = packed.take(span, sides);
                let back = if turn - high > 1e-9 {
                    packed.take(span, sides)
                } else {
                    out
                };
                Some((wire, turn, [out, back]))
            })
            .collect();
        let (top, bottom) = packed.range();
        let shift = if self.first_block {
            0
        } else {
            self.next_lane - top
        };
        self.first_block = false;
        self.next_lane = bottom + shift + 1;
        for (path, lane) in paths.iter().zip(&packed.lane) {
            for &node in &path.nodes {
                let place = Place {
                    x: at(node),
                    lane: lane + shift,
                };
                self.place[node] = Some((place, group));
                let point = &self.graph.points[node];
                if !point.is_battery_negative() {
                    self.standing.entry(point.part.clone()).or_insert(place.x);
                }
            }
        }
        let start = self.reached.iter().filter(|r| **r != usize::MAX).count();
        for (rank, &node) in walk.order.iter().enumerate() {
            self.reached[node] = start + rank;
        }
        for (lane, spans) in &packed.spans {
            if spans.is_empty() {
                continue;
            }
            let span = (
                spans.iter().fold(f64::INFINITY, |low, s| low.min(s.0)),
                spans
                    .iter()
                    .fold(f64::NEG_INFINITY, |high, s| high.max(s.1)),
            );
            let lane = lane + shift;
            self.harness.lanes.push(Lane { lane, group, span });
        }
        self.tree_runs(&walk, group);
        for (wire, turn, lanes) in hairpins {
            self.hairpin(wire, turn, lanes.map(|lane| lane + shift), group);
        }
        for path in &paths {
            let nodes = path.attach.iter().chain(&path.nodes);
            self.harness.leads.push(Lead {
                points: nodes.map(|&n| self.graph.points[n].clone()).collect(),
                branches_off: path.attach.is_some(),
                group,
            });
        }
    }

    fn tree_runs(&mut self, walk: &Walk, group: Group) {
        for &node in &walk.order {
            let Some(&(parent, edge)) = walk.parent.get(&node) else {
                continue;
            };
            let Via::Wire(wire) = self.graph.edges[edge].via else {
                continue;
            };
            let (Some((start, _)), Some((end, _))) = (self.place[parent], self.place[node]) else {
                continue;
            };
            let mut corners = vec![start];
            if start.lane != end.lane {
                corners.push(Place {
                    x: start.x,
                    lane: end.lane,
                });
            }
            corners.push(end);
            if self.graph.edges[edge].a == node {
                corners.reverse();
            }
            let (length, assumed) = drawn_length(&self.circuit.wires[wire]);
            let scale = if ((end.x - start.x).abs() - length).abs() <= 1e-9 * (1.0 + end.x.abs()) {
                Scale::True
            } else {
                Scale::Pinned
            };
            self.runs[wire] = Some(Run {
                id: self.circuit.wires[wire].id.clone(),
                wire,
                corners,
                length,
                assumed,
                scale,
                group,
            });
        }
    }

    /// A wire between two places that are already joined: out to the turn on one lane and back on the other.
    fn hairpin(&mut self, wire: usize, turn: f64, [out, back]: [i32; 2], group: Group) {
        let sketch = &self.circuit.wires[wire];
        let joint = self.graph.edges.iter().find(|e| e.via == Via::Wire(wire));
        let ends = joint.map(|edge| (self.place[edge.a], self.place[edge.b]));
        let Some((Some((from, _)), Some((to, _)))) = ends else {
            return;
        };
        let corner = |x: f64, lane: i32| Place { x, lane };
        let mut corners = vec![from, corner(from.x, out), corner(turn, out)];
        if back != out {
            corners.push(corner(turn, back));
        }
        corners.extend([corner(to.x, back), to]);
        corners.dedup();
        let (length, assumed) = drawn_length(sketch);
        let drawn = 2.0 * turn - from.x - to.x;
        let scale = if (drawn - length).abs() <= 1e-9 * (1.0 + turn.abs()) {
            Scale::Hairpin
        } else {
            Scale::Pinned
        };
        self.runs[wire] = Some(Run {
            id: sketch.id.clone(),
            wire,
            corners,
            length,
            assumed,
            scale,
            group,
        });
    }

    /// The places that nodes of a walk share with parts that stand already.
    fn given(&self, walk: &Walk) -> HashMap<usize, f64> {
        let place = |&node: &usize| {
            let part = &self.graph.points[node].part;
            self.standing.get(part).map(|&x| (node, x))
        };
        walk.order.iter().filter_map(place).collect()
    }

    fn stands(&self, node: usize) -> bool {
        self.standing.contains_key(&self.graph.points[node].part)
    }

    /// Return wiring that leads to the body and not to a supply: pieces that share a part with what stands.
    fn returns_to_ground(&mut self) {
        let known: Vec<usize> = (0..self.place.len()).filter(|&n| self.stands(n)).collect();
        for node in known {
            if !self.taken[node] {
                self.piece(node, Group::Return);
            }
        }
    }

    /// Whatever is left: connected to no supply.
    fn strays(&mut self) {
        for node in 0..self.place.len() {
            if !self.taken[node] {
                self.piece(node, Group::Stray);
            }
        }
    }

    /// Lays the untaken piece that holds a node. The walk starts at its ground point, else at the first node to
    /// which nothing leads. A spare pin of a part that stands is no wiring and needs no lane.
    fn piece(&mut self, node: usize, group: Group) {
        let mut seen = self.taken.clone();
        let piece = walk(&self.graph, &[node], &mut seen).order;
        let ground = piece.iter().find(|&&n| {
            let point = &self.graph.points[n];
            point.is_battery_negative() || self.circuit.grounds.iter().any(|g| g.at == *point)
        });
        let edges = |n: usize| self.graph.at[n].iter().map(|&e| self.graph.edges[e]);
        let wired = piece
            .iter()
            .any(|&n| edges(n).any(|edge| matches!(edge.via, Via::Wire(_))));
        if !wired && ground.is_none() && self.stands(node) {
            return;
        }
        let head = piece
            .iter()
            .filter(|&&n| edges(n).all(|edge| edge.b != n))
            .min();
        let root = ground.or(head).copied().unwrap_or(node);
        self.lay(&[root], group);
    }

    fn finish(mut self) -> Harness {
        let (parts, stubs) = symbols::parts(&self);
        let mut harness = std::mem::take(&mut self.harness);
        harness.parts = parts;
        harness.stubs = stubs;
        for part in &mut harness.parts {
            if part.at.lane == symbols::NO_LANE {
                part.at.lane = self.next_lane;
                harness.lanes.push(Lane {
                    lane: self.next_lane,
                    group: Group::Stray,
                    span: (0.0, self.room),
                });
                self.next_lane += 1;
            }
        }
        harness.points = symbols::points(&self, &harness.parts);
        for lead in &mut harness.leads {
            lead.points
                .retain(|point| harness.points.contains_key(point));
        }
        // What runs to the end of a load that sits elsewhere has nothing of its own left.
        harness
            .leads
            .retain(|lead| lead.points.len() > usize::from(lead.branches_off));
        harness.leads.sort_by_key(|lead| lead.group);
        harness.runs = self.runs.into_iter().flatten().collect();
        harness.lanes.sort_by_key(|lane| lane.lane);
        let corners = harness.runs.iter().flat_map(|run| &run.corners);
        harness.x_max = corners
            .map(|corner| corner.x)
            .chain(harness.points.values().map(|place| place.x))
            .fold(0.0, f64::max);
        harness
    }
}
