//! Places that were hit, wet, opened or worked on: which parts they cover, and marking them.

use crate::circuit::{Circuit, DamageZone};

/// What can have happened to a place, and how many times likelier that makes a fault there (judgement; the factor of a
/// zone that is there already is kept).
pub const HAPPENINGS: [(&str, f64); 4] = [
    ("hit", 5.0),
    ("wet", 4.0),
    ("opened", 3.0),
    ("worked on", 5.0),
];

/// What happened to a part, itself or its bundle: the notes of the zones that cover it, in order.
pub fn happened<'c>(circuit: &'c Circuit, part: &str) -> Vec<&'c str> {
    let zones = circuit.damage_zones.iter();
    zones
        .filter(|zone| zone.covers(circuit, part))
        .map(|zone| zone.note.as_str())
        .collect()
}

/// Whether a part or bundle is marked itself as this.
pub fn is_marked(circuit: &Circuit, name: &str, note: &str) -> bool {
    let mut zones = circuit.damage_zones.iter();
    zones.any(|zone| zone.note == note && zone.parts.iter().any(|part| part == name))
}

/// The zones with parts or bundles marked as this, or, where all of them were, with that mark taken away.
pub fn toggled(circuit: &Circuit, names: &[String], note: &str) -> Vec<DamageZone> {
    let mut zones = circuit.damage_zones.clone();
    if names.iter().all(|name| is_marked(circuit, name, note)) {
        for zone in zones.iter_mut().filter(|zone| zone.note == note) {
            zone.parts.retain(|part| !names.contains(part));
        }
        zones.retain(|zone| !zone.parts.is_empty());
        return zones;
    }
    let at = zones.iter().position(|zone| zone.note == note);
    let at = at.unwrap_or_else(|| {
        let usual = HAPPENINGS.iter().find(|(known, _)| *known == note);
        zones.push(DamageZone {
            note: note.to_owned(),
            parts: Vec::new(),
            factor: usual.map_or(3.0, |(_, factor)| *factor),
        });
        zones.len() - 1
    });
    for name in names {
        if !zones[at].parts.contains(name) {
            zones[at].parts.push(name.clone());
        }
    }
    zones
}

/// The bundle in which a wire runs.
pub fn bundle_of<'c>(circuit: &'c Circuit, part: &str) -> Option<&'c str> {
    let wire = circuit.wire(part)?;
    Some(wire.bundle.as_str()).filter(|bundle| !bundle.is_empty())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{circuit::quick_feed, quantity::units::volts};

    #[test]
    fn marking_twice_takes_the_mark_away_and_bundles_cover_their_wires() {
        let mut circuit = quick_feed(volts(5.0), 2, true, false);
        circuit.wires[0].bundle = "front loom".to_owned();
        circuit.damage_zones = toggled(&circuit, &["front loom".to_owned()], "wet");
        assert_eq!(happened(&circuit, &circuit.wires[0].id), ["wet"]);
        assert!(happened(&circuit, &circuit.wires[1].id).is_empty());
        circuit.damage_zones = toggled(&circuit, &["C1".to_owned(), "X1".to_owned()], "wet");
        assert_eq!(circuit.damage_zones.len(), 1);
        assert_eq!(happened(&circuit, "X1"), ["wet"]);
        circuit.damage_zones = toggled(&circuit, &["C1".to_owned()], "wet");
        assert!(happened(&circuit, "C1").is_empty());
        circuit.damage_zones =
            toggled(&circuit, &["X1".to_owned(), "front loom".to_owned()], "wet");
        assert!(circuit.damage_zones.is_empty());
    }
}
