//! Things of the sketch in the trade's words, for labels and screen readers.

use crate::{circuit::Circuit, drawing::PartKind};

/// What a connector is to people: on a sensor, or inline.
pub fn connector_kind(circuit: &Circuit, id: &str) -> String {
    circuit
        .loads
        .iter()
        .find(|load| load.feed.part == id)
        .map_or_else(
            || "inline connector".to_owned(),
            |load| format!("connector of {}", load.id),
        )
}

/// A kind of part in one word.
pub fn kind_word(kind: PartKind) -> &'static str {
    match kind {
        PartKind::Supply => "module",
        PartKind::Connector => "connector",
        PartKind::Splice => "splice",
        PartKind::Ground => "ground point",
        PartKind::Fuse => "fuse",
        PartKind::Load => "sensor",
        PartKind::Rail => "other rail",
    }
}
