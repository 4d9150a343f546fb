//! Look-ups: parts by designation, and declared points.

use std::collections::HashSet;

use super::{Circuit, Connector, Fuse, Ground, Load, Point, Rail, Splice, Supply, Terminal, Wire};

/// A part of a circuit, whatever its class.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum PartRef<'a> {
    /// A module's reference output.
    Supply(&'a Supply),
    /// A wire.
    Wire(&'a Wire),
    /// A connector.
    Connector(&'a Connector),
    /// A splice.
    Splice(&'a Splice),
    /// A ground point.
    Ground(&'a Ground),
    /// A fuse.
    Fuse(&'a Fuse),
    /// A sensor or another consumer.
    Load(&'a Load),
    /// A rail of another origin.
    Rail(&'a Rail),
}

impl<'a> PartRef<'a> {
    /// Designation.
    pub fn id(self) -> &'a str {
        match self {
            Self::Supply(part) => &part.id,
            Self::Wire(part) => &part.id,
            Self::Connector(part) => &part.id,
            Self::Splice(part) => &part.id,
            Self::Ground(part) => &part.id,
            Self::Fuse(part) => &part.id,
            Self::Load(part) => &part.id,
            Self::Rail(part) => &part.id,
        }
    }

    /// Its class in a word.
    pub fn class(self) -> &'static str {
        match self {
            Self::Supply(_) => "module",
            Self::Wire(_) => "wire",
            Self::Connector(_) => "connector",
            Self::Splice(_) => "splice",
            Self::Ground(_) => "ground point",
            Self::Fuse(_) => "fuse",
            Self::Load(_) => "sensor",
            Self::Rail(_) => "rail",
        }
    }

    /// What people call it; empty where nothing was noted or the class has no names.
    pub fn name(self) -> &'a str {
        match self {
            Self::Supply(part) => &part.name,
            Self::Connector(part) => &part.name,
            Self::Load(part) => &part.name,
            Self::Rail(part) => &part.name,
            Self::Wire(_) | Self::Splice(_) | Self::Ground(_) | Self::Fuse(_) => "",
        }
    }

    /// Where it is on the vehicle; the bundle for a wire; empty where nothing was noted.
    pub fn place(self) -> &'a str {
        match self {
            Self::Connector(part) => &part.place,
            Self::Splice(part) => &part.place,
            Self::Ground(part) => &part.place,
            Self::Wire(part) => &part.bundle,
            Self::Supply(_) | Self::Fuse(_) | Self::Load(_) | Self::Rail(_) => "",
        }
    }
}

impl Circuit {
    /// Whether nothing is drawn at a module's return: it is taken to be bolted to the body then.
    pub fn is_bolted(&self, supply: &Supply) -> bool {
        let back = Point::new(&supply.id, Terminal::Return);
        !(self.wires.iter()).any(|wire| wire.from == back || wire.to == back)
            && !self.grounds.iter().any(|ground| ground.at == back)
    }

    /// Every part: supplies, wires, connectors, splices, grounds, fuses, loads, rails, each in drawn order.
    pub fn parts(&self) -> impl Iterator<Item = PartRef<'_>> {
        (self.supplies.iter().map(PartRef::Supply))
            .chain(self.wires.iter().map(PartRef::Wire))
            .chain(self.connectors.iter().map(PartRef::Connector))
            .chain(self.splices.iter().map(PartRef::Splice))
            .chain(self.grounds.iter().map(PartRef::Ground))
            .chain(self.fuses.iter().map(PartRef::Fuse))
            .chain(self.loads.iter().map(PartRef::Load))
            .chain(self.rails.iter().map(PartRef::Rail))
    }

    /// Every designation, in the order of [`Circuit::parts`].
    pub fn ids(&self) -> impl Iterator<Item = &str> {
        self.parts().map(PartRef::id)
    }

    /// The part with a designation; the first one where it was given twice.
    pub fn part(&self, id: &str) -> Option<PartRef<'_>> {
        self.parts().find(|part| part.id() == id)
    }

    /// The module with a designation.
    pub fn supply(&self, id: &str) -> Option<&Supply> {
        self.supplies.iter().find(|supply| supply.id == id)
    }

    /// The wire with a designation.
    pub fn wire(&self, id: &str) -> Option<&Wire> {
        self.wires.iter().find(|wire| wire.id == id)
    }

    /// The connector with a designation.
    pub fn connector(&self, id: &str) -> Option<&Connector> {
        self.connectors.iter().find(|connector| connector.id == id)
    }

    /// The sensor or other consumer with a designation.
    pub fn load(&self, id: &str) -> Option<&Load> {
        self.loads.iter().find(|load| load.id == id)
    }

    /// The rail with a designation.
    pub fn rail(&self, id: &str) -> Option<&Rail> {
        self.rails.iter().find(|rail| rail.id == id)
    }

    /// Every point that a probe can touch, each once: supply pins, both sides of connector pins, splices, grounds
    /// that stand for themselves, fuse ends, load ends that stand for themselves, signal taps, rails, and last
    /// the battery negative.
    pub fn points(&self) -> Vec<Point> {
        let own =
            |point: &Point, id: &str, terminal| point.part == id && point.terminal == terminal;
        let mut points = Vec::new();
        for supply in &self.supplies {
            points
                .extend((1..=supply.feed_pins).map(|n| Point::new(&supply.id, Terminal::Feed(n))));
            points.push(Point::new(&supply.id, Terminal::Return));
        }
        for connector in &self.connectors {
            for (n, _) in (1..=u8::MAX).zip(&connector.pins) {
                points.push(Point::new(&connector.id, Terminal::Near(n)));
                points.push(Point::new(&connector.id, Terminal::Far(n)));
            }
        }
        points.extend(
            self.splices
                .iter()
                .map(|splice| Point::new(&splice.id, Terminal::Only)),
        );
        for ground in &self.grounds {
            if own(&ground.at, &ground.id, Terminal::Only) {
                points.push(ground.at.clone());
            }
        }
        for fuse in &self.fuses {
            points.push(Point::new(&fuse.id, Terminal::In));
            points.push(Point::new(&fuse.id, Terminal::Out));
        }
        for load in &self.loads {
            if own(&load.feed, &load.id, Terminal::Feed(1)) {
                points.push(load.feed.clone());
            }
            if own(&load.ret, &load.id, Terminal::Return) {
                points.push(load.ret.clone());
            }
            if load.signal_fraction.is_some() {
                points.push(Point::new(&load.id, Terminal::Signal));
            }
        }
        points.extend(
            self.rails
                .iter()
                .map(|rail| Point::new(&rail.id, Terminal::Only)),
        );
        points.push(Point::battery_negative());
        let mut seen = HashSet::new();
        points.retain(|point| seen.insert(point.clone()));
        points
    }

    /// Whether a point lies between the halves of a plug that is home: the pin of a sensor that plugs in without a wire of its
    /// own. No probe gets at it there; the wire on the other side of the pin is as near as one comes.
    pub fn is_inside_plug(&self, point: &Point) -> bool {
        let is_pin = matches!(point.terminal, Terminal::Near(_) | Terminal::Far(_));
        let wired = |wire: &Wire| wire.from == *point || wire.to == *point;
        is_pin
            && (self.loads.iter()).any(|load| load.feed == *point || load.ret == *point)
            && !self.wires.iter().any(wired)
    }

    /// Whether a point is declared. Costs a walk over the parts; for many points collect [`Circuit::points`].
    pub fn has_point(&self, point: &Point) -> bool {
        self.points().contains(point)
    }
}
