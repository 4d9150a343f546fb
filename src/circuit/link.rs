//! Links: what carries current from one point to another in series, whatever its class.

use std::collections::HashMap;

use super::{Circuit, Point, Terminal};

/// A wire, one pin of a connector, or a fuse.
#[derive(Clone, Debug, PartialEq)]
pub struct Link<'a> {
    /// Designation of the part.
    pub part: &'a str,
    /// Pin of the connector (from 1).
    pub pin: Option<u8>,
    /// End nearer to the module as it was drawn.
    pub a: Point,
    /// The other end.
    pub b: Point,
    /// Metres from end to end; 0 for pins and fuses.
    pub metres: f64,
}

/// The links with their ends found by point.
#[derive(Clone, Debug)]
pub struct Links<'a> {
    /// Wires, connector pins and fuses, each in drawn order.
    pub all: Vec<Link<'a>>,
    at: HashMap<Point, Vec<usize>>,
}

impl<'a> Links<'a> {
    /// Collects the links of a circuit.
    pub fn of(circuit: &'a Circuit) -> Self {
        let mut all: Vec<Link<'a>> = circuit
            .wires
            .iter()
            .map(|wire| Link {
                part: &wire.id,
                pin: None,
                a: wire.from.clone(),
                b: wire.to.clone(),
                metres: wire.length_or_assumed(),
            })
            .collect();
        for connector in &circuit.connectors {
            all.extend((1..=u8::MAX).zip(&connector.pins).map(|(n, _)| Link {
                part: &connector.id,
                pin: Some(n),
                a: Point::new(&connector.id, Terminal::Near(n)),
                b: Point::new(&connector.id, Terminal::Far(n)),
                metres: 0.0,
            }));
        }
        all.extend(circuit.fuses.iter().map(|fuse| Link {
            part: &fuse.id,
            pin: None,
            a: Point::new(&fuse.id, Terminal::In),
            b: Point::new(&fuse.id, Terminal::Out),
            metres: 0.0,
        }));
        let mut at: HashMap<Point, Vec<usize>> = HashMap::new();
        for (index, link) in all.iter().enumerate() {
            at.entry(link.a.clone()).or_default().push(index);
            if link.b != link.a {
                at.entry(link.b.clone()).or_default().push(index);
            }
        }
        Self { all, at }
    }

    /// Indices of the links that end at a point, in drawn order.
    pub fn at(&self, point: &Point) -> &[usize] {
        self.at.get(point).map_or(&[], Vec::as_slice)
    }

    /// The other end of a link.
    pub fn across(&self, link: usize, from: &Point) -> &Point {
        let link = &self.all[link];
        if link.a == *from { &link.b } else { &link.a }
    }
}
