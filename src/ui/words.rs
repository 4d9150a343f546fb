//! Things of the sketch in the trade's words, for labels and screen readers.

use crate::{
    app::layout::PartKind,
    circuit::{Circuit, Point, Terminal},
    quantity::{
        Unit,
        format::{as_read, interval},
    },
    reading::Value,
};

/// A point, e.g. `C2 pin 1, near side`.
pub fn point_name(circuit: &Circuit, point: &Point) -> String {
    let part = &point.part;
    let single = circuit
        .connectors
        .iter()
        .any(|connector| connector.id == *part && connector.pins.len() == 1);
    let pin = |n: u8| {
        if single {
            String::new()
        } else {
            format!(" pin {n}")
        }
    };
    match point.terminal {
        Terminal::Only if point.is_battery_negative() => "battery negative".to_owned(),
        Terminal::Only => part.clone(),
        Terminal::Feed(1) => format!("{part} feed"),
        Terminal::Feed(n) => format!("{part} feed {n}"),
        Terminal::Return => format!("{part} return"),
        Terminal::Signal => format!("{part} signal"),
        Terminal::Near(n) => format!("{part}{}, near side", pin(n)),
        Terminal::Far(n) => format!("{part}{}, far side", pin(n)),
        Terminal::In => format!("{part}, near side"),
        Terminal::Out => format!("{part}, far side"),
    }
}

/// What a connector is to people: on a load, or inline.
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

/// What a display showed.
pub fn value(value: Value, unit: Unit) -> String {
    match value {
        Value::Exactly(number) => as_read(number, unit),
        Value::OverRange { .. } => "OL".to_owned(),
        Value::Between(low, high) => interval(low, high, unit),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn points_are_named_by_face() {
        let circuit = Circuit::default();
        let name = |text: &str| point_name(&circuit, &text.parse().unwrap());
        assert_eq!(name("C2.1n"), "C2 pin 1, near side");
        assert_eq!(name("M1.feed2"), "M1 feed 2");
        assert_eq!(name("BN"), "battery negative");
    }
}
