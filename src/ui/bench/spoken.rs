//! What parts and points of the drawing are called by screen readers and tests.

use super::sheet::Sheet;
use crate::{
    app::zones::happened,
    circuit::Point,
    drawing::PartKind,
    explain::names,
    quantity::{
        Unit,
        format::{percent, si},
        units::as_metres,
    },
    ui::{kit::shortened, words},
};

/// Characters of a name that the pointer is told.
const NAME: usize = 100;

/// A part other than a wire, with its state.
pub fn part_name(sheet: &Sheet<'_>, id: &str, kind: PartKind) -> String {
    if kind == PartKind::Connector {
        let plug = if sheet.unplugged(id) {
            "unplugged"
        } else if sheet.unknown(id) {
            "plugged or not is not known"
        } else {
            "plugged"
        };
        return format!("{id} {}, {plug}", words::connector_kind(sheet.circuit, id));
    }
    format!("{id} {}", words::kind_word(kind))
}

/// What the pointer is told at a part: what it is, what people call it, what happened to it, how much it is suspected.
pub fn part_words(sheet: &Sheet<'_>, name: &str, id: &str) -> String {
    let called = sheet.circuit.part(id).map_or("", |part| part.name());
    let mut words = name.to_owned();
    if !called.is_empty() {
        words.push_str(&format!(": {}", shortened(called, NAME)));
    }
    for happened in happened(sheet.circuit, id) {
        words.push_str(&format!("; {happened}"));
    }
    let share = sheet.suspicion(id);
    if share >= 0.01 {
        words.push_str(&format!("; suspected, {}", percent(share)));
    }
    words
}

/// A wire with colour and length.
pub fn wire_name(sheet: &Sheet<'_>, id: &str) -> String {
    let Some(wire) = sheet.circuit.wire(id) else {
        return format!("{id} wire");
    };
    let colour = wire
        .colour
        .map_or_else(String::new, |colour| format!(" {colour}"));
    let length = wire.length.map_or_else(
        || "length not known".to_owned(),
        |length| format!("{:.2} m", as_metres(length)),
    );
    format!("{id} wire{colour}, {length}")
}

/// A point with what it reads and should read.
pub fn point_words(sheet: &Sheet<'_>, point: &Point) -> String {
    let mut name = format!("Point {}", names::point(point));
    let tag = sheet.tag(point);
    if let Some(reads) = tag.and_then(|tag| tag.reads.as_ref()) {
        name.push_str(&format!(", reads {reads}"));
    }
    if let Some(should) = should_read(sheet, point) {
        name.push_str(&format!(", should read {should}"));
    }
    name
}

/// What a point should read, in the unit of what it reads.
fn should_read(sheet: &Sheet<'_>, point: &Point) -> Option<String> {
    let told = sheet.tag(point).and_then(|tag| tag.should_read.clone());
    told.or_else(|| {
        let found = sheet.should_read(point)?;
        let (mean, hinges) = (found.healthy.mean, found.hinges);
        Some(names::should(mean, hinges, Unit::Volts))
    })
}

/// What the pointer is told at a point: what it reads, should read and would read under the top suspect.
pub fn hover_words(sheet: &Sheet<'_>, point: &Point) -> String {
    let volts = |volts: f64| si(volts, Unit::Volts);
    let reads = sheet.tag(point).and_then(|tag| tag.reads.as_ref());
    let found = sheet.should_read(point);
    let told = [
        reads.map(|reads| format!("reads {reads}")),
        should_read(sheet, point).map(|should| format!("should read {should}")),
        found
            .and_then(|found| found.suspected)
            .map(|under| format!("{} under the top suspect", volts(under.mean))),
    ];
    let told: Vec<String> = told.into_iter().flatten().collect();
    let label = names::point(point);
    if told.is_empty() {
        label
    } else {
        format!("{label}: {}", told.join(", "))
    }
}
