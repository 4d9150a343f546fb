//! Parts, stubs and points from the places of the nodes.

use std::collections::{BTreeMap, HashMap, HashSet};

use super::{
    assemble::Sheet,
    harness::{Group, PartKind, PinPlace, Place, PlacedPart, Stub},
};
use crate::circuit::{Point, Terminal};

/// Lane of a part that has no node at all, until it is given one of its own.
pub(super) const NO_LANE: i32 = i32::MAX;

struct Symbols<'s, 'c> {
    sheet: &'s Sheet<'c>,
    parts: Vec<PlacedPart>,
}

impl Symbols<'_, '_> {
    fn node(&self, point: &Point) -> Option<(usize, Place, Group)> {
        let node = self.sheet.graph.find(point)?;
        self.sheet.place[node].map(|(place, group)| (node, place, group))
    }

    /// Two faces of a pin, if either of them was laid.
    fn pin(&self, number: u8, near: &Point, far: &Point) -> Option<PinPlace> {
        let (near, far) = (self.node(near), self.node(far));
        let some = near.or(far)?;
        let (near, far) = (near.unwrap_or(some), far.unwrap_or(some));
        Some(PinPlace {
            pin: number,
            near: near.1,
            far: far.1,
            forward: self.sheet.reached[near.0] <= self.sheet.reached[far.0],
            group: some.2,
        })
    }

    fn push(&mut self, id: &str, kind: PartKind, pins: Vec<PinPlace>) {
        // The feed pin carries the symbol; without one, the first pin that was laid.
        let main = pins
            .iter()
            .min_by_key(|pin| (pin.group, pin.pin == 0))
            .copied();
        self.parts.push(PlacedPart {
            id: id.to_owned(),
            kind,
            at: main.map_or(
                Place {
                    x: 0.0,
                    lane: NO_LANE,
                },
                |pin| if pin.forward { pin.near } else { pin.far },
            ),
            group: main.map_or(Group::Stray, |pin| pin.group),
            pins,
        });
    }

    fn single(&mut self, id: &str, kind: PartKind, point: &Point) {
        let pins = self.pin(1, point, point).into_iter().collect();
        self.push(id, kind, pins);
        if let Some(part) = self.parts.last_mut() {
            part.pins.clear();
        }
    }
}

/// Every part other than wires, and the stubs to the body.
pub(super) fn parts(sheet: &Sheet<'_>) -> (Vec<PlacedPart>, Vec<Stub>) {
    let circuit = sheet.circuit;
    let mut symbols = Symbols {
        sheet,
        parts: Vec::new(),
    };
    for supply in &circuit.supplies {
        let own = |terminal| Point::new(&supply.id, terminal);
        let mut pins: Vec<PinPlace> = (1..=supply.feed_pins.max(1))
            .map(|n| (n, own(Terminal::Feed(n))))
            .chain([(0, own(Terminal::Return))])
            .filter_map(|(n, point)| symbols.pin(n, &point, &point))
            .collect();
        pins.dedup_by_key(|pin| pin.pin);
        symbols.push(&supply.id, PartKind::Supply, pins);
    }
    for connector in &circuit.connectors {
        let pins = (1..=u8::try_from(connector.pins.len()).unwrap_or(u8::MAX))
            .filter_map(|n| {
                let [near, far] =
                    [Terminal::Near(n), Terminal::Far(n)].map(|t| Point::new(&connector.id, t));
                symbols.pin(n, &near, &far)
            })
            .collect();
        symbols.push(&connector.id, PartKind::Connector, pins);
    }
    for splice in &circuit.splices {
        let point = Point::new(&splice.id, Terminal::Only);
        symbols.single(&splice.id, PartKind::Splice, &point);
    }
    for ground in &circuit.grounds {
        symbols.single(&ground.id, PartKind::Ground, &ground.at);
    }
    for fuse in &circuit.fuses {
        let [near, far] = [Terminal::In, Terminal::Out].map(|t| Point::new(&fuse.id, t));
        let pins = symbols.pin(1, &near, &far).into_iter().collect();
        symbols.push(&fuse.id, PartKind::Fuse, pins);
    }
    for load in &circuit.loads {
        let feed = Point::new(&load.id, Terminal::Feed(1));
        symbols.single(&load.id, PartKind::Load, &feed);
    }
    for rail in &circuit.rails {
        let point = Point::new(&rail.id, Terminal::Only);
        symbols.single(&rail.id, PartKind::Rail, &point);
    }
    let stubs = stubs(sheet, &symbols.parts);
    (symbols.parts, stubs)
}

fn stubs(sheet: &Sheet<'_>, parts: &[PlacedPart]) -> Vec<Stub> {
    let circuit = sheet.circuit;
    let mut stubs: Vec<Stub> = Vec::new();
    for part in parts.iter().filter(|part| part.kind == PartKind::Ground) {
        stubs.push(Stub {
            owner: part.id.clone(),
            at: part.at,
        });
    }
    let loads = parts.iter().filter(|part| part.kind == PartKind::Load);
    for (part, load) in loads.zip(&circuit.loads) {
        if load.ret.is_battery_negative() {
            stubs.push(Stub {
                owner: part.id.clone(),
                at: part.at,
            });
        }
    }
    for edge in &sheet.graph.edges {
        if let super::graph::Via::Wire(wire) = edge.via {
            for end in [edge.a, edge.b] {
                if let (true, Some((at, _))) = (
                    sheet.graph.points[end].is_battery_negative(),
                    sheet.place[end],
                ) {
                    stubs.push(Stub {
                        owner: circuit.wires[wire].id.clone(),
                        at,
                    });
                }
            }
        }
    }
    stubs.retain(|stub| stub.at.lane != NO_LANE);
    stubs
}

/// Places of all points. Points of a part that have no lane of their own (spare pins, signal taps, returns that are
/// not drawn) lie where the part stands.
pub(super) fn points(sheet: &Sheet<'_>, parts: &[PlacedPart]) -> BTreeMap<Point, Place> {
    let standing: HashMap<&str, Place> = parts
        .iter()
        .rev()
        .map(|part| (part.id.as_str(), part.at))
        .collect();
    let mut points = BTreeMap::new();
    // A load that sits at another part's point has no end of its own to probe.
    let elsewhere: HashSet<Point> = sheet
        .circuit
        .loads
        .iter()
        .flat_map(|load| {
            [
                (Point::new(&load.id, Terminal::Feed(1)), &load.feed),
                (Point::new(&load.id, Terminal::Return), &load.ret),
            ]
        })
        .filter(|(own, at)| own != *at)
        .map(|(own, _)| own)
        .collect();
    for (node, point) in sheet.graph.points.iter().enumerate() {
        if elsewhere.contains(point) {
            continue;
        }
        let place = sheet.place[node].map(|(place, _)| place);
        let place = place.or_else(|| standing.get(point.part.as_str()).copied());
        if let (Some(place), false) = (place, point.is_battery_negative()) {
            points.insert(point.clone(), place);
        }
    }
    for load in &sheet.circuit.loads {
        if let (Some(_), Some(&at)) = (load.signal_fraction, standing.get(load.id.as_str())) {
            points.insert(Point::new(&load.id, Terminal::Signal), at);
        }
    }
    points
}
