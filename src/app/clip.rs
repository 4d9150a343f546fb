//! Copying a part with all that hangs from it, and pasting it elsewhere under new designations.

use std::collections::{BTreeMap, BTreeSet};

use super::sketch::{PartData, edit_part};
use crate::{
    circuit::{Circuit, Point},
    drawing::Harness,
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
