//! From a circuit to its outline.

use std::{collections::HashSet, fmt::Write as _};

use super::words::{AT, Class, NEGATIVE, quote};
use crate::{
    circuit::{
        Circuit, ConductorSize, Links, LoadModel, PartRef, Point, Terminal, part::STRAP_OHM, stock,
    },
    quantity::{
        Unit,
        format::as_read,
        units::{as_amperes, as_metres, as_minutes, as_ohms, as_square_millimetres, as_volts},
    },
};

/// Writes the outline of a circuit: the feeds, the returns, then what is left. Numbers carry up to ten digits.
///
/// Whatever has no fatal complaint of [`crate::circuit::check`] reads back as it is, apart from what an outline cannot say.
///
/// ```
/// use pinchpoint::{circuit::{outline::outline, quick_feed}, quantity::units::volts};
/// assert_eq!(
///     outline(&quick_feed(volts(5.0), 1, false, false)),
///     "M1 5V 2%\n  W1 0.7m 0.35 RDWH X1 3min S1 8mA\nM1.return G1\n"
/// );
/// ```
pub fn outline(circuit: &Circuit) -> String {
    let mut writer = Writer {
        circuit,
        links: Links::of(circuit),
        text: String::new(),
        mentioned: HashSet::new(),
        drawn: HashSet::new(),
        expanded: HashSet::new(),
    };
    for supply in &circuit.supplies {
        for n in 1..=supply.feed_pins {
            writer.section(&Point::new(&supply.id, Terminal::Feed(n)));
        }
    }
    // Then whatever is left: returns first because a module's points come first, parts that nothing leads to, and wires
    // and ends at points that were entered and not left.
    for point in circuit.points() {
        if writer.is_needed(&point) {
            writer.section(&point);
        }
    }
    writer.text
}

struct Writer<'c> {
    circuit: &'c Circuit,
    links: Links<'c>,
    text: String,
    /// Parts whose properties were written.
    mentioned: HashSet<String>,
    /// Indices of wires that were written.
    drawn: HashSet<usize>,
    /// Points whose wires and ends were written.
    expanded: HashSet<Point>,
}

impl Writer<'_> {
    /// Writes a line without indent that stands at a point, and everything downstream of it. A stack of points and of the
    /// next wire at each stands for recursion, which a long chain would exhaust.
    fn section(&mut self, start: &Point) {
        let word = self.arrival(&across_part(start));
        self.text.push_str(&word);
        let mut stack = Vec::new();
        self.close_line(start.clone(), &mut stack);
        while let Some((point, wires)) = stack.last_mut() {
            let Some(wire) = wires.next() else {
                stack.pop();
                continue;
            };
            if !self.drawn.insert(wire) {
                continue;
            }
            let to = self.links.across(wire, point).clone();
            let indent = "  ".repeat(stack.len());
            let wire_words = self.wire_words(wire);
            let arrival = self.arrival(&to);
            self.text.extend([&indent, &wire_words, " ", &arrival]);
            self.close_line(across_part(&to), &mut stack);
        }
    }

    /// Writes the ends that sit at the point where a line has come to, then the line's end.
    fn close_line(&mut self, at: Point, stack: &mut Vec<(Point, std::vec::IntoIter<usize>)>) {
        if self.expanded.insert(at.clone()) {
            let at_connector = matches!(at.terminal, Terminal::Near(_) | Terminal::Far(_));
            for end in self.ends_at(&at) {
                let is_ground = end.terminal == Terminal::Only;
                let word = self.arrival(&end);
                if !(is_ground || at_connector) {
                    self.text.extend([" ", AT]);
                }
                self.text.extend([" ", &word]);
            }
            let wires = self.wires_at(&at);
            stack.push((at, wires.into_iter()));
        }
        self.text.push('\n');
    }

    /// Whether something at a point was not written while the feeds were.
    fn is_needed(&self, point: &Point) -> bool {
        let wires = self.wires_at(point);
        let own_end = self
            .circuit
            .loads
            .iter()
            .any(|load| load.feed == *point || load.ret == *point);
        let unseen = !point.is_battery_negative() && !self.mentioned.contains(&point.part);
        !self.expanded.contains(point)
            && (wires.iter().any(|wire| !self.drawn.contains(wire))
                || !self.ends_at(point).is_empty()
                || (own_end && !point.is_battery_negative())
                || (unseen && point.terminal != Terminal::Signal))
    }

    /// Indices of the wires at a point; links list wires first, in drawn order.
    fn wires_at(&self, point: &Point) -> Vec<usize> {
        let wires = self.links.at(point).iter().copied();
        wires
            .filter(|link| *link < self.circuit.wires.len())
            .collect()
    }

    /// Sensor ends and grounds that sit at a point of another part, by the points that they would have of their own.
    fn ends_at(&self, point: &Point) -> Vec<Point> {
        let mut ends = Vec::new();
        for load in self
            .circuit
            .loads
            .iter()
            .filter(|load| load.id != point.part)
        {
            if load.feed == *point {
                ends.push(Point::new(&load.id, Terminal::Feed(1)));
            }
            // A return at the chassis is what a sensor has when nothing is said.
            if load.ret == *point && !point.is_battery_negative() {
                ends.push(Point::new(&load.id, Terminal::Return));
            }
        }
        for ground in self
            .circuit
            .grounds
            .iter()
            .filter(|ground| ground.id != point.part)
        {
            if ground.at == *point {
                ends.push(Point::new(&ground.id, Terminal::Only));
            }
        }
        ends
    }

    fn wire_words(&self, index: usize) -> String {
        let wire = &self.circuit.wires[index];
        let mut words = designation(Class::Wire, &wire.id);
        if let Some(length) = wire.length {
            let _ = write!(words, " {}", compact(as_metres(length), Unit::Metres));
        }
        match wire.size {
            ConductorSize::SquareMillimetres(area) => {
                // Metres are shown without a prefix, which leaves the number alone.
                let number = compact(as_square_millimetres(area), Unit::Metres);
                let _ = write!(words, " {}", number.trim_end_matches('m'));
            }
            ConductorSize::Awg(gauge) => {
                let _ = write!(words, " awg{gauge}");
            }
        }
        if let Some(colour) = wire.colour {
            let _ = write!(words, " {colour}");
        }
        words
    }

    /// How a line comes to a point: the part, its terminal where that is not the usual one, and at the first mention its properties.
    fn arrival(&mut self, point: &Point) -> String {
        if point.is_battery_negative() {
            return NEGATIVE.to_owned();
        }
        let Some(part) = self.circuit.part(&point.part) else {
            return point.to_string();
        };
        let first = self.mentioned.insert(point.part.clone());
        let class = match part {
            PartRef::Supply(_) => Class::Module,
            PartRef::Wire(_) => Class::Wire,
            PartRef::Connector(_) => Class::Connector,
            PartRef::Splice(_) => Class::Splice,
            PartRef::Ground(_) => Class::Ground,
            PartRef::Fuse(_) => Class::Fuse,
            PartRef::Load(_) => Class::Sensor,
            PartRef::Rail(_) => Class::Rail,
        };
        let suffix = match point.terminal {
            Terminal::Only | Terminal::Near(1) | Terminal::In => String::new(),
            // The first bare mention of a sensor is its feed; a later one would be its return.
            Terminal::Feed(1) if class == Class::Module || first => String::new(),
            Terminal::Near(n) => format!(".{n}"),
            Terminal::Far(n) => format!(".{n}f"),
            Terminal::Feed(1) => ".feed".to_owned(),
            Terminal::Feed(n) => format!(".feed{n}"),
            Terminal::Return => ".return".to_owned(),
            Terminal::Signal => ".signal".to_owned(),
            Terminal::Out => ".out".to_owned(),
        };
        let properties = if first {
            self.properties(part)
        } else {
            String::new()
        };
        designation(class, &point.part) + &suffix + &properties
    }

    /// What an outline tells of a part, each word with a blank in front.
    fn properties(&self, part: PartRef<'_>) -> String {
        let nominal = self.circuit.nominal_or_5();
        let mut words = Vec::new();
        let mut word = |text: String| words.push(text);
        match part {
            PartRef::Supply(supply) => {
                word(compact(as_volts(supply.nominal), Unit::Volts));
                word(format!("{}%", supply.tolerance_percent));
                if let Some(source) = supply.source {
                    word(compact(as_ohms(source), Unit::Ohms));
                }
                [(supply.latches, "latches"), (supply.more_members, "more")]
                    .into_iter()
                    .filter(|(flag, _)| *flag)
                    .for_each(|(_, flag)| word(flag.to_owned()));
            }
            PartRef::Connector(connector) => {
                word(compact(as_minutes(connector.access), Unit::Minutes));
                // Pins that are led through are counted by their mention; the rest must be told.
                let last = u8::try_from(connector.pins.len()).unwrap_or(u8::MAX);
                let used = |n| {
                    let sides = [Terminal::Near(n), Terminal::Far(n)]
                        .map(|side| Point::new(&connector.id, side));
                    sides.iter().any(|side| {
                        !self.wires_at(side).is_empty() || !self.ends_at(side).is_empty()
                    })
                };
                if last > 1 && !used(last) {
                    word(format!("{last}pins"));
                }
                if connector.sealed {
                    word("sealed".to_owned());
                }
            }
            PartRef::Splice(splice) => {
                if splice.more_members {
                    word("more".to_owned());
                }
            }
            PartRef::Ground(ground) => {
                if as_ohms(ground.strap) != STRAP_OHM {
                    word(compact(as_ohms(ground.strap), Unit::Ohms));
                }
            }
            PartRef::Fuse(fuse) => word(compact(as_amperes(fuse.rated), Unit::Amperes)),
            PartRef::Load(load) => {
                match load.model {
                    LoadModel::Resistive { resistance } => {
                        word(compact(as_ohms(resistance), Unit::Ohms))
                    }
                    LoadModel::Electronic { draw, knee } => {
                        word(compact(as_amperes(draw), Unit::Amperes));
                        if knee != stock::knee(nominal) {
                            word(compact(as_volts(knee), Unit::Volts));
                        }
                    }
                }
                if load.spread_percent != stock::SPREAD_PERCENT {
                    word(format!("{}%", load.spread_percent));
                }
                if let Some(fraction) = load.signal_fraction {
                    word(format!("tap {fraction}"));
                }
            }
            PartRef::Rail(rail) => {
                word(compact(as_volts(rail.potential), Unit::Volts));
                if as_ohms(rail.source) != STRAP_OHM {
                    word(compact(as_ohms(rail.source), Unit::Ohms));
                }
            }
            PartRef::Wire(_) => {}
        }
        if !part.name().is_empty() {
            words.push(quote(part.name()));
        }
        words.iter().flat_map(|word| [" ", word]).collect()
    }
}

/// A designation, with its class in front where it does not tell it.
fn designation(class: Class, id: &str) -> String {
    if Class::by_designation(id) == Some(class) {
        id.to_owned()
    } else {
        format!("{} {id}", class.word())
    }
}

/// A number with its unit as one word.
fn compact(value: f64, unit: Unit) -> String {
    as_read(value, unit).replace(' ', "")
}

/// Where a line that has come to a point goes on: the other side of a connector's pin or fuse, or the point itself.
fn across_part(point: &Point) -> Point {
    let terminal = match point.terminal {
        Terminal::Near(n) => Terminal::Far(n),
        Terminal::Far(n) => Terminal::Near(n),
        Terminal::In => Terminal::Out,
        Terminal::Out => Terminal::In,
        other => other,
    };
    Point::new(&point.part, terminal)
}
