//! Things of the sketch in the trade's words, for labels and screen readers.

use crate::{
    app::layout::PartKind,
    circuit::Circuit,
    diagnosis::Mistake,
    fault::FaultKind,
    quantity::{
        Unit,
        format::{as_read, interval, si},
    },
    reading::Value,
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

/// What a display showed.
pub fn value(value: Value, unit: Unit) -> String {
    match value {
        Value::Exactly(number) => as_read(number, unit),
        Value::OverRange { .. } => "OL".to_owned(),
        Value::Between(low, high) => interval(low, high, unit),
    }
}

/// What is wrong with a thing, in a word or two.
pub fn fault(kind: FaultKind) -> &'static str {
    match kind {
        FaultKind::ShortToGround => "short to ground",
        FaultKind::ShortToRail => "short to another rail",
        FaultKind::ShortBetween => "short between two",
        FaultKind::Open => "open",
        FaultKind::HighResistance => "high resistance",
        FaultKind::DrawsTooMuch => "draws too much",
        FaultKind::DrawsNothing => "draws nothing",
        FaultKind::SupplyDead => "gives nothing",
        FaultKind::SupplyLow => "gives too little",
        FaultKind::LimitsEarly => "limits early",
        FaultKind::UndrawnShort => "a member that is not drawn is shorted",
    }
}

/// How a reading probably went wrong.
pub fn mistake(mistake: &Mistake, unit: Unit) -> String {
    match mistake {
        Mistake::UnitSlip { should_be } => format!("unit slip? {} would fit", si(*should_be, unit)),
        Mistake::NoContact => "the probe probably did not touch".to_owned(),
        Mistake::PlugState { connectors } => {
            let list = crate::app::words::list(connectors);
            format!("fits if {list} stood the other way")
        }
        Mistake::Unexplained => "fits nothing that is known here".to_owned(),
    }
}
