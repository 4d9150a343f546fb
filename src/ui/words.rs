//! Things of the sketch in the trade's words, for labels and screen readers.

use crate::{
    app::words::list,
    circuit::Circuit,
    diagnosis::ModuleVerdict,
    drawing::PartKind,
    quantity::{Unit, format::as_read},
};

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

/// Whether a module is accused, in one line.
pub fn module(verdict: &ModuleVerdict) -> String {
    match verdict {
        ModuleVerdict::Cleared { supply, volts, .. } => format!(
            "{supply} is not accused: with the harness off, its pin read {}.",
            as_read(*volts, Unit::Volts)
        ),
        ModuleVerdict::NotTested { supply, unplug } if unplug.is_empty() => {
            format!("{supply} is not accused: its pin was not read alone.")
        }
        ModuleVerdict::NotTested { supply, unplug } => format!(
            "{supply} is not accused: its pin was not read alone (unplug {}).",
            list(unplug)
        ),
        ModuleVerdict::Accused { supply, entry } => format!(
            "{supply} is accused: its pin read wrong alone, line {}.",
            entry + 1
        ),
    }
}
