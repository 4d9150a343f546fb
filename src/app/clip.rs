//! Copying a part with all that hangs from it, and pasting it elsewhere under new designations.

use std::collections::{BTreeMap, BTreeSet};

use super::sketch::{PartData, edit_part};
use crate::{
    circuit::{Circuit, Point},
    drawing::{END_ROOM_M, Harness, layout},
};

/// Parts that were copied together.
#[derive(Clone, Debug, PartialEq)]
pub struct Clip {
    /// Designation of the part that was chosen.
    pub part: String,
    /// The parts, wires included, as they were.
    parts: Vec<PartData>,
    /// Where the first wire came from.
    hang: Option<Point>,
}

impl Clip {
    /// The point from which the copied part hung, if the feed reaches it.
    pub fn hang(&self) -> Option<&Point> {
        self.hang.as_ref()
    }

    /// How many parts it holds, wires included.
    #[allow(
        clippy::len_without_is_empty,
        reason = "a clip holds at least one part"
    )]
    pub fn len(&self) -> usize {
        self.parts.len()
    }
}

/// Copies a part, what the feed reaches only through it, and the wires at all of these. A module is not copied.
pub fn copy(circuit: &Circuit, harness: &Harness, id: &str) -> Option<Clip> {
    let part = match PartData::of(circuit, id)? {
        PartData::Supply(_) => return None,
        // A wire stands for what it leads to.
        PartData::Wire(wire) => {
            let longer = |p: &&Point| harness.way_to(p).len();
            let end = [&wire.from, &wire.to].into_iter().max_by_key(longer)?;
            let load = circuit.loads.iter().find(|load| load.feed == *end);
            match (circuit.part(&end.part), load) {
                (Some(part), _) => part.id().to_owned(),
                (None, Some(load)) => load.id.clone(),
                (None, None) => return None,
            }
        }
        // A sensor goes with its plug, from which it cannot be told by the way of the feed.
        PartData::Load(load) if load.feed.part != id && !load.feed.is_battery_negative() => {
            load.feed.part.clone()
        }
        _ => id.to_owned(),
    };
    let mut names = BTreeSet::from([part.clone()]);
    let mut hang = None;
    for point in harness.points.keys() {
        let way = harness.way_to(point);
        let Some(at) = way.iter().position(|p| p.part == part) else {
            continue;
        };
        names.extend(way[at..].iter().map(|p| p.part.clone()));
        hang = hang.or_else(|| at.checked_sub(1).map(|before| way[before].clone()));
    }
    let inside = |names: &BTreeSet<String>, point: &Point| names.contains(&point.part);
    for load in &circuit.loads {
        if inside(&names, &load.feed) {
            names.insert(load.id.clone());
        }
    }
    for wire in &circuit.wires {
        if inside(&names, &wire.from) || inside(&names, &wire.to) {
            names.insert(wire.id.clone());
        }
    }
    let parts = circuit.ids().filter(|id| names.contains(*id));
    Some(Clip {
        parts: parts.filter_map(|id| PartData::of(circuit, id)).collect(),
        part,
        hang,
    })
}

/// Copies parts that were chosen together, with the wires between them and those by which the feed reaches them, and
/// their ways back. A plug goes with its sensor and a sensor with its plug. None where there is nothing but wires or
/// modules.
pub fn copy_many(circuit: &Circuit, harness: &Harness, many: &BTreeSet<String>) -> Option<Clip> {
    let mut names: BTreeSet<String> = many.clone();
    for load in &circuit.loads {
        if names.contains(&load.id) && !load.feed.is_battery_negative() {
            names.insert(load.feed.part.clone());
        } else if names.contains(&load.feed.part) {
            names.insert(load.id.clone());
        }
    }
    let is_wire = |id: &String| circuit.wires.iter().any(|wire| wire.id == *id);
    let is_supply = |id: &String| circuit.supplies.iter().any(|supply| supply.id == *id);
    names.retain(|id| !is_wire(id) && !is_supply(id));
    let reach = |point: &Point| harness.way_to(point).len();
    let mut hang: Option<(usize, Point)> = None;
    let mut wires = BTreeSet::new();
    for wire in &circuit.wires {
        let inside = |point: &Point| names.contains(&point.part);
        let (within, outside) = match (inside(&wire.from), inside(&wire.to)) {
            (true, true) => {
                wires.insert(wire.id.clone());
                continue;
            }
            (true, false) => (&wire.from, &wire.to),
            (false, true) => (&wire.to, &wire.from),
            (false, false) => continue,
        };
        let (near, far) = (reach(outside), reach(within));
        let feeds = near > 0 && near < far;
        // What the feed does not reach at all are ways back.
        if feeds || far == 0 || many.contains(&wire.id) {
            wires.insert(wire.id.clone());
        }
        if feeds && hang.as_ref().is_none_or(|(least, _)| near < *least) {
            hang = Some((near, outside.clone()));
        }
    }
    let nearest = |id: &&String| {
        let own = harness.points.keys().filter(|point| point.part == **id);
        own.map(reach)
            .filter(|reach| *reach > 0)
            .min()
            .unwrap_or(usize::MAX)
    };
    let part = names.iter().min_by_key(nearest)?.clone();
    let ids = circuit
        .ids()
        .filter(|id| names.contains(*id) || wires.contains(*id));
    Some(Clip {
        parts: ids.filter_map(|id| PartData::of(circuit, id)).collect(),
        part,
        hang: hang.map(|(_, point)| point),
    })
}

/// Lets parts hang from another point: the wires by which the feed reaches them lead from there.
///
/// # Errors
/// What stands in the way, and what to do.
pub(super) fn rehang(
    circuit: &mut Circuit,
    many: &BTreeSet<String>,
    to: &Point,
) -> Result<(), (&'static str, &'static str)> {
    let harness = layout(circuit, END_ROOM_M);
    let Some(clip) = copy_many(circuit, &harness, many) else {
        return Err((
            "there are only wires or modules among what is chosen",
            "Choose the connectors or sensors too",
        ));
    };
    let Some(hang) = clip.hang else {
        return Err((
            "no wire leads there from the rest of the feed",
            "Draw a wire to it instead",
        ));
    };
    let inside = |point: &Point| clip.parts.iter().any(|part| part.id() == point.part);
    if to.is_battery_negative() || inside(to) || !circuit.has_point(to) {
        return Err((
            "nothing can hang from there",
            "Choose a point of the feed that is not among what is chosen",
        ));
    }
    for wire in &mut circuit.wires {
        if inside(&wire.to) && wire.from == hang {
            wire.from = to.clone();
        } else if inside(&wire.from) && wire.to == hang {
            wire.to = to.clone();
        }
    }
    Ok(())
}

/// Puts the parts of a clip into a circuit, hanging from a point, and answers the designation of the chosen one.
/// Wires that led elsewhere, such as returns, lead to the same places again; to the point, where those are gone.
pub(super) fn paste(circuit: &mut Circuit, at: &Point, clip: &Clip) -> Option<String> {
    let mut renamed: BTreeMap<String, String> = BTreeMap::new();
    let known = circuit.points();
    for part in &clip.parts {
        let letters = part.id().trim_end_matches(|c: char| c.is_ascii_digit());
        let id = circuit.fresh_id(if letters.is_empty() { "P" } else { letters });
        renamed.insert(part.id().to_owned(), id.clone());
        let mut copy = part.clone();
        edit_part(
            &mut copy,
            &mut |own: &mut String| own.clone_from(&id),
            &mut |_| {},
        );
        copy.put_into(circuit);
    }
    let mut point = |point: &mut Point| {
        if let Some(new) = renamed.get(&point.part) {
            point.part.clone_from(new);
        } else if clip.hang.as_ref() == Some(point) || !known.contains(point) {
            *point = at.clone();
        }
    };
    for id in renamed.values() {
        if let Some(mut part) = PartData::of(circuit, id) {
            edit_part(&mut part, &mut |_| {}, &mut point);
            part.replace_in(circuit);
        }
    }
    renamed.get(&clip.part).cloned()
}
