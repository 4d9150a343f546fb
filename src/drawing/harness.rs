//! What the layout answers: places in metres and lanes, plain data for drawing.

use std::collections::BTreeMap;

use crate::circuit::Point;

/// A place on the sheet.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Place {
    /// Metres from the module, along the wires.
    pub x: f64,
    /// Lane; 0 is the main trunk, negative lanes lie above it.
    pub lane: i32,
}

/// What a lane carries.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Group {
    /// Leads from a supply's feed pins.
    Feed,
    /// Leads to a supply's return pin or to a chassis ground.
    Return,
    /// Not connected to any supply.
    Stray,
}

/// What kind of part is placed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
#[allow(
    missing_docs,
    reason = "the variants are the kinds of part of a circuit"
)]
pub enum PartKind {
    Supply,
    Connector,
    Splice,
    Ground,
    Fuse,
    Load,
    Rail,
}

/// Both faces of one pin of a connector, both ends of a fuse, or twice the same place.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PinPlace {
    /// Pin number (for a supply: feed pin; 0 is its return pin).
    pub pin: u8,
    /// Near side.
    pub near: Place,
    /// Far side.
    pub far: Place,
    /// Whether the near side is the one that lies towards the supply.
    pub forward: bool,
    /// What the pin's lane carries.
    pub group: Group,
}

/// A part other than a wire.
#[derive(Clone, Debug, PartialEq)]
pub struct PlacedPart {
    /// Designation.
    pub id: String,
    /// Kind.
    pub kind: PartKind,
    /// Where its symbol and its label stand.
    pub at: Place,
    /// Its pins that are drawn; empty for parts with one point.
    pub pins: Vec<PinPlace>,
    /// What its lane carries.
    pub group: Group,
}

/// How the drawn run of a wire compares with its length.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Scale {
    /// The run along x is the length.
    True,
    /// A second path between two places: it runs out to a turn and back; the run along x, both ways, is the length.
    Hairpin,
    /// Pinned to the places of connectors that the feed has set; the run along x need not be the length.
    Pinned,
}

/// A wire.
#[derive(Clone, Debug, PartialEq)]
pub struct Run {
    /// Designation.
    pub id: String,
    /// Index in the circuit's wires.
    pub wire: usize,
    /// Corners from the wire's `from` end to its `to` end.
    pub corners: Vec<Place>,
    /// Length, m.
    pub length: f64,
    /// The length is not known; the usual one was assumed.
    pub assumed: bool,
    /// Whether the drawn run is the length.
    pub scale: Scale,
    /// What its lane carries.
    pub group: Group,
}

impl Run {
    /// The lane on which the length of the wire lies.
    pub fn lane(&self) -> i32 {
        self.span().map_or(0, |(a, _)| a.lane)
    }

    /// The longest straight piece along x, for its label.
    pub fn span(&self) -> Option<(Place, Place)> {
        self.corners
            .windows(2)
            .map(|pair| (pair[0], pair[1]))
            .filter(|(a, b)| a.lane == b.lane)
            .max_by(|p, q| {
                let run = |pair: &(Place, Place)| (pair.1.x - pair.0.x).abs();
                // The first of equals, hence the reversed tie.
                run(p).total_cmp(&run(q)).then(std::cmp::Ordering::Greater)
            })
    }

    /// The place at a fraction (0 to 1) of the wire's length from its `from` end.
    pub fn at(&self, fraction: f64) -> Place {
        let total: f64 = self
            .corners
            .windows(2)
            .map(|w| (w[1].x - w[0].x).abs())
            .sum();
        let mut left = fraction.clamp(0.0, 1.0) * total;
        for pair in self.corners.windows(2) {
            let run = (pair[1].x - pair[0].x).abs();
            if run > 0.0 && left <= run {
                let x = pair[0].x + (pair[1].x - pair[0].x) * left / run;
                return Place {
                    x,
                    lane: pair[1].lane,
                };
            }
            left -= run;
        }
        self.corners
            .last()
            .copied()
            .unwrap_or(Place { x: 0.0, lane: 0 })
    }
}

/// A short stub to the vehicle's body.
#[derive(Clone, Debug, PartialEq)]
pub struct Stub {
    /// Part that owns it: a ground point, a load with a chassis return, or a wire that ends on battery negative.
    pub owner: String,
    /// Where it hangs.
    pub at: Place,
}

/// One lane.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Lane {
    /// Its number.
    pub lane: i32,
    /// What it carries.
    pub group: Group,
    /// First and last metre in use.
    pub span: (f64, f64),
}

/// The points along one run of a lane, from the supply outwards.
#[derive(Clone, Debug, PartialEq)]
pub struct Lead {
    /// The points in order; where it branches off, the first one lies on another lead.
    pub points: Vec<Point>,
    /// Whether it branches off another lead.
    pub branches_off: bool,
    /// What it carries.
    pub group: Group,
}

/// A harness drawn to scale.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Harness {
    /// Every part other than wires, exactly once, in the order of the sketch.
    pub parts: Vec<PlacedPart>,
    /// Every wire, exactly once, in the order of the sketch.
    pub runs: Vec<Run>,
    /// Stubs to the body.
    pub stubs: Vec<Stub>,
    /// Lanes from the top to the bottom.
    pub lanes: Vec<Lane>,
    /// Every point of the sketch.
    pub points: BTreeMap<Point, Place>,
    /// The points along each lane's run: feeds first, and of each the trunk first.
    pub leads: Vec<Lead>,
    /// Largest metre in use.
    pub x_max: f64,
}

impl Harness {
    /// Where a point lies.
    pub fn place(&self, point: &Point) -> Option<Place> {
        self.points.get(point).copied()
    }

    /// The part with a designation.
    pub fn part(&self, id: &str) -> Option<&PlacedPart> {
        self.parts.iter().find(|part| part.id == id)
    }

    /// The wire with a designation.
    pub fn run(&self, id: &str) -> Option<&Run> {
        self.runs.iter().find(|run| run.id == id)
    }

    /// The points on the feed's way from its supply to a point, both included; empty for a point that is not on it.
    pub fn way_to(&self, point: &Point) -> Vec<Point> {
        let mut way: Vec<Point> = Vec::new();
        let mut end = point;
        // Every turn goes over to the lead that this one branches off, so there are at most as many turns as leads.
        for _ in &self.leads {
            let found = self.leads.iter().find_map(|lead| {
                let own = usize::from(lead.branches_off);
                let at = lead.points.get(own..)?.iter().position(|p| p == end)? + own;
                (lead.group == Group::Feed).then_some((lead, at))
            });
            let Some((lead, at)) = found else { break };
            let tail = if way.is_empty() { at + 1 } else { at };
            way.splice(0..0, lead.points[..tail].iter().cloned());
            match lead.points.first() {
                Some(first) if lead.branches_off => end = first,
                _ => break,
            }
        }
        way
    }

    /// Lowest and highest lane number.
    pub fn lane_range(&self) -> (i32, i32) {
        let ends = (self.lanes.first(), self.lanes.last());
        (ends.0.map_or(0, |l| l.lane), ends.1.map_or(0, |l| l.lane))
    }
}
