//! Edits of a sketch. Each does all of it or, with an error, nothing.
//!
//! Removing is in [`super::remove`].

use super::{
    Circuit, Point, Terminal, Wire,
    check::MAX_PINS,
    limits::METRES,
    point::{BATTERY_NEGATIVE, DESIGNATION_LIMIT, is_designation},
    stock,
};
use crate::quantity::{
    Metres, Volts,
    units::{as_metres, metres},
};

/// Why an edit was refused; the sketch is as it was.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum EditError {
    /// No part has this designation.
    #[error("there is no part {0}: choose one from the drawing")]
    NoSuchPart(String),
    /// The part is of another class.
    #[error("{id} is a {class}: choose a {wanted}")]
    WrongClass {
        /// Designation.
        id: String,
        /// Its class in a word.
        class: &'static str,
        /// The class that the edit is for.
        wanted: &'static str,
    },
    /// The point is not declared.
    #[error("there is no point {0}: choose one from the drawing")]
    NoSuchPoint(String),
    /// Both ends would be at one point.
    #[error("both ends would be at {0}: choose two different points")]
    SamePoint(String),
    /// Not a designation.
    #[error(
        "“{0}” cannot be a designation: use a letter, then letters, digits, - and _, at most {most} in all",
        most = DESIGNATION_LIMIT
    )]
    BadDesignation(String),
    /// The designation of the battery negative.
    #[error("BN stands for the battery negative: choose another designation")]
    Reserved,
    /// Another part has it.
    #[error("{0} is the designation of another part: choose one that is free")]
    Taken(String),
    /// A length that no wire has.
    #[error(
        "a wire cannot be {0} m long: give {least} to {most} m, or leave it unknown",
        least = METRES.start(),
        most = METRES.end()
    )]
    Length(String),
    /// A place that is not on the wire.
    #[error("{0} is not between the ends of the wire: give a fraction from 0 to 1")]
    OffTheWire(String),
    /// Nothing would feed the circuit.
    #[error("{0} is the only module: add another one before you remove it")]
    LastSupply(String),
    /// A connector is full.
    #[error("{0} has {most} pins already, the most that a connector can have", most = MAX_PINS)]
    TooManyPins(String),
}

/// What is put downstream of a point.
#[derive(Clone, Debug, PartialEq)]
pub enum Addition {
    /// A wire and a connector of one pin.
    Connector,
    /// A wire and a splice.
    Splice,
    /// A wire and a sensor, plugged in or wired for good.
    Sensor {
        /// Whether it has a plug.
        plug: bool,
        /// Where its return wire comes from; the chassis when `None`.
        back: Option<Point>,
    },
    /// A wire and a fuse.
    Fuse,
    /// A ground point, at the end of a wire or right at the point.
    Ground {
        /// Whether a wire leads to it.
        wire: bool,
    },
}

/// What an addition made.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Added {
    /// The part that was asked for.
    pub part: String,
    /// Every new designation, that one included.
    pub all: Vec<String>,
    /// The point from which to draw on; `None` where the branch ends.
    pub end: Option<Point>,
}

/// Puts something downstream of a point. New wires are of unknown length and look like the wire that leads there.
///
/// ```
/// use pinchpoint::{circuit::{edit::{add, Addition}, quick_feed}, quantity::units::volts};
/// let mut circuit = quick_feed(volts(5.0), 1, false, false);
/// let added = add(&mut circuit, &"M1.feed".parse().unwrap(), &Addition::Splice).unwrap();
/// assert_eq!(added.all, ["W2", "SP1"]);
/// ```
///
/// # Errors
/// [`EditError::NoSuchPoint`] for the point or the return's point; [`EditError::SamePoint`] where the two are one.
pub fn add(circuit: &mut Circuit, after: &Point, addition: &Addition) -> Result<Added, EditError> {
    require_point(circuit, after)?;
    let mut all = Vec::new();
    let mut lead = |circuit: &mut Circuit, from: &Point, to: Point| {
        let wire = like_the_one_before(circuit, from, to);
        all.push(wire.id.clone());
        circuit.wires.push(wire);
    };
    let (part, end) = match addition {
        Addition::Connector => {
            let id = circuit.fresh_id("C");
            lead(circuit, after, Point::new(&id, Terminal::Near(1)));
            circuit.connectors.push(stock::connector(&id, 1));
            let end = Point::new(&id, Terminal::Far(1));
            (id, Some(end))
        }
        Addition::Splice => {
            let id = circuit.fresh_id("SP");
            lead(circuit, after, Point::new(&id, Terminal::Only));
            circuit.splices.push(stock::splice(&id));
            let end = Point::new(&id, Terminal::Only);
            (id, Some(end))
        }
        Addition::Fuse => {
            let id = circuit.fresh_id("F");
            lead(circuit, after, Point::new(&id, Terminal::In));
            circuit.fuses.push(stock::fuse(&id));
            let end = Point::new(&id, Terminal::Out);
            (id, Some(end))
        }
        Addition::Ground { wire } => {
            let id = circuit.fresh_id("G");
            let at = if *wire {
                let own = Point::new(&id, Terminal::Only);
                lead(circuit, after, own.clone());
                own
            } else if after.is_battery_negative() {
                return Err(EditError::SamePoint(after.shown()));
            } else {
                after.clone()
            };
            circuit.grounds.push(stock::ground(&id, at));
            (id, None)
        }
        Addition::Sensor { plug, back } => {
            if let Some(back) = back {
                require_point(circuit, back)?;
                if back == after {
                    return Err(EditError::SamePoint(back.shown()));
                }
            }
            let id = circuit.fresh_id("S");
            let plug_id = plug.then(|| circuit.fresh_id("X"));
            // Where the n-th wire ends, and where the sensor's own end then is.
            let ends = |n: u8, own: Terminal| match &plug_id {
                Some(plug) => (
                    Point::new(plug, Terminal::Near(n)),
                    Point::new(plug, Terminal::Far(n)),
                ),
                None => (Point::new(&id, own), Point::new(&id, own)),
            };
            let (to, feed) = ends(1, Terminal::Feed(1));
            lead(circuit, after, to);
            let ret = match back {
                Some(back) => {
                    let (to, ret) = ends(2, Terminal::Return);
                    lead(circuit, back, to);
                    ret
                }
                None => Point::battery_negative(),
            };
            if let Some(plug_id) = &plug_id {
                circuit
                    .connectors
                    .push(stock::plug(plug_id, if back.is_some() { 2 } else { 1 }));
            }
            let load = stock::sensor(&id, feed, ret, circuit.nominal_or_5());
            circuit.loads.push(load);
            all.extend(plug_id);
            (id, None)
        }
    };
    all.push(part.clone());
    Ok(Added { part, all, end })
}

/// Draws a wire between two points that are there.
///
/// # Errors
/// [`EditError::NoSuchPoint`], [`EditError::SamePoint`].
pub fn connect(circuit: &mut Circuit, from: &Point, to: &Point) -> Result<String, EditError> {
    require_point(circuit, from)?;
    require_point(circuit, to)?;
    if from == to {
        return Err(EditError::SamePoint(from.shown()));
    }
    let wire = like_the_one_before(circuit, from, to.clone());
    let id = wire.id.clone();
    circuit.wires.push(wire);
    Ok(id)
}

/// Adds a rail that the feed could touch; returns its designation.
pub fn add_rail(circuit: &mut Circuit, potential: Volts) -> String {
    let id = circuit.fresh_id("B");
    circuit.rails.push(stock::rail(&id, potential));
    id
}

/// Adds a module's output; returns its designation.
pub fn add_supply(circuit: &mut Circuit, nominal: Volts) -> String {
    let id = circuit.fresh_id("M");
    circuit.supplies.push(stock::supply(&id, nominal));
    id
}

/// Adds a pin to a connector; returns its number.
///
/// # Errors
/// [`EditError::NoSuchPart`], [`EditError::WrongClass`], [`EditError::TooManyPins`].
pub fn add_pin(circuit: &mut Circuit, connector: &str) -> Result<u8, EditError> {
    let refusal = wrong_part(circuit, connector, "connector");
    let part = circuit
        .connectors
        .iter_mut()
        .find(|part| part.id == connector)
        .ok_or(refusal)?;
    let number = u8::try_from(part.pins.len() + 1)
        .ok()
        .filter(|number| *number <= MAX_PINS)
        .ok_or_else(|| EditError::TooManyPins(connector.to_owned()))?;
    part.pins.push(stock::pin());
    Ok(number)
}

/// What can be put into a wire.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Inline {
    /// A connector of one pin.
    Connector,
    /// A splice.
    Splice,
    /// A fuse.
    Fuse,
}

/// Parts a wire at a fraction of its length (0 at its `from` end) and puts something in between. The first piece
/// keeps the designation, the second gets a new one.
///
/// # Errors
/// [`EditError::NoSuchPart`], [`EditError::WrongClass`], [`EditError::OffTheWire`], and [`EditError::Length`] where a piece would be shorter than a wire can be.
pub fn insert(
    circuit: &mut Circuit,
    wire: &str,
    fraction: f64,
    inline: Inline,
) -> Result<Added, EditError> {
    if !(0.0..=1.0).contains(&fraction) {
        return Err(EditError::OffTheWire(fraction.to_string()));
    }
    let at = wire_index(circuit, wire)?;
    let pieces = match circuit.wires[at].length.map(as_metres) {
        Some(length) => {
            let first = length * fraction;
            (
                Some(checked_length(first)?),
                Some(checked_length(length - first)?),
            )
        }
        None => (None, None),
    };
    let (id, near, far) = match inline {
        Inline::Connector => {
            let id = circuit.fresh_id("C");
            circuit.connectors.push(stock::connector(&id, 1));
            (
                id.clone(),
                Point::new(&id, Terminal::Near(1)),
                Point::new(&id, Terminal::Far(1)),
            )
        }
        Inline::Splice => {
            let id = circuit.fresh_id("SP");
            circuit.splices.push(stock::splice(&id));
            (
                id.clone(),
                Point::new(&id, Terminal::Only),
                Point::new(&id, Terminal::Only),
            )
        }
        Inline::Fuse => {
            let id = circuit.fresh_id("F");
            circuit.fuses.push(stock::fuse(&id));
            (
                id.clone(),
                Point::new(&id, Terminal::In),
                Point::new(&id, Terminal::Out),
            )
        }
    };
    let second = circuit.fresh_id("W");
    let rest = Wire {
        id: second.clone(),
        from: far.clone(),
        length: pieces.1,
        ..circuit.wires[at].clone()
    };
    let first = &mut circuit.wires[at];
    first.to = near;
    first.length = pieces.0;
    circuit.wires.insert(at + 1, rest);
    Ok(Added {
        part: id.clone(),
        all: vec![second, id],
        end: Some(far),
    })
}

/// Sets or forgets the length of a wire.
///
/// # Errors
/// [`EditError::NoSuchPart`], [`EditError::WrongClass`], [`EditError::Length`].
pub fn set_length(
    circuit: &mut Circuit,
    wire: &str,
    length: Option<Metres>,
) -> Result<(), EditError> {
    let at = wire_index(circuit, wire)?;
    let length = length
        .map(|length| checked_length(as_metres(length)))
        .transpose()?;
    circuit.wires[at].length = length;
    Ok(())
}

/// Gives a part another designation, wherever the sketch refers to it.
///
/// ```
/// use pinchpoint::{circuit::{edit::rename, quick_feed}, quantity::units::volts};
/// let mut circuit = quick_feed(volts(5.0), 1, false, false);
/// rename(&mut circuit, "X1", "X9").unwrap();
/// assert_eq!(circuit.loads[0].feed.to_string(), "X9.1f");
/// assert!(rename(&mut circuit, "X9", "BN").is_err());
/// ```
///
/// # Errors
/// [`EditError::NoSuchPart`], [`EditError::BadDesignation`], [`EditError::Reserved`], [`EditError::Taken`].
pub fn rename(circuit: &mut Circuit, old: &str, new: &str) -> Result<(), EditError> {
    if circuit.part(old).is_none() {
        return Err(EditError::NoSuchPart(shown(old)));
    }
    if !is_designation(new) {
        return Err(EditError::BadDesignation(shown(new)));
    }
    if new == BATTERY_NEGATIVE {
        return Err(EditError::Reserved);
    }
    if new != old && circuit.part(new).is_some() {
        return Err(EditError::Taken(new.to_owned()));
    }
    let set = |text: &mut String| {
        if *text == old {
            new.clone_into(text);
        }
    };
    circuit
        .supplies
        .iter_mut()
        .for_each(|part| set(&mut part.id));
    for wire in &mut circuit.wires {
        set(&mut wire.id);
        set(&mut wire.from.part);
        set(&mut wire.to.part);
    }
    circuit
        .connectors
        .iter_mut()
        .for_each(|part| set(&mut part.id));
    circuit
        .splices
        .iter_mut()
        .for_each(|part| set(&mut part.id));
    for ground in &mut circuit.grounds {
        set(&mut ground.id);
        set(&mut ground.at.part);
    }
    circuit.fuses.iter_mut().for_each(|part| set(&mut part.id));
    for load in &mut circuit.loads {
        set(&mut load.id);
        set(&mut load.feed.part);
        set(&mut load.ret.part);
    }
    circuit.rails.iter_mut().for_each(|part| set(&mut part.id));
    for zone in &mut circuit.damage_zones {
        zone.parts.iter_mut().for_each(set);
    }
    Ok(())
}

/// A wire that looks like the one which leads to its start.
fn like_the_one_before(circuit: &Circuit, from: &Point, to: Point) -> Wire {
    let other_side = match from.terminal {
        Terminal::Far(n) => Some(Terminal::Near(n)),
        Terminal::Out => Some(Terminal::In),
        _ => None,
    };
    let near = other_side.map(|terminal| Point::new(&from.part, terminal));
    let before = circuit
        .wires
        .iter()
        .find(|wire| wire.to == *from || Some(&wire.to) == near.as_ref());
    let mut wire = stock::wire(circuit.fresh_id("W"), from.clone(), to);
    if let Some(before) = before {
        wire.size = before.size;
        wire.colour = before.colour;
        wire.bundle.clone_from(&before.bundle);
        wire.circuit_number.clone_from(&before.circuit_number);
    }
    wire
}

fn checked_length(length: f64) -> Result<Metres, EditError> {
    if METRES.contains(&length) {
        Ok(metres(length))
    } else {
        Err(EditError::Length(length.to_string()))
    }
}

fn require_point(circuit: &Circuit, point: &Point) -> Result<(), EditError> {
    if circuit.has_point(point) {
        Ok(())
    } else {
        Err(EditError::NoSuchPoint(shown(&point.to_string())))
    }
}

fn wire_index(circuit: &Circuit, wire: &str) -> Result<usize, EditError> {
    circuit
        .wires
        .iter()
        .position(|part| part.id == wire)
        .ok_or_else(|| wrong_part(circuit, wire, "wire"))
}

/// Why a designation does not name a part of the wanted class.
fn wrong_part(circuit: &Circuit, id: &str, wanted: &'static str) -> EditError {
    match circuit.part(id) {
        Some(part) => EditError::WrongClass {
            id: id.to_owned(),
            class: part.class(),
            wanted,
        },
        None => EditError::NoSuchPart(shown(id)),
    }
}

/// The beginning of a text, short enough for a message.
fn shown(text: &str) -> String {
    text.chars().take(40).collect()
}
