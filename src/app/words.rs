//! Points, states and kinds in the trade's words.

use std::path::Path;

use crate::{
    circuit::{Point, Terminal},
    quantity::Unit,
    reading::{Kind, State},
};

/// A point in words.
///
/// ```
/// use pinchpoint::{app::words, circuit::Point};
/// let words = |text: &str| words::point(&text.parse::<Point>().unwrap());
/// assert_eq!(words("M1.feed"), "M1 feed pin");
/// assert_eq!(words("X4.1n"), "X4 pin 1, near side");
/// assert_eq!(words("SP1"), "SP1");
/// assert_eq!(words("BN"), "battery negative");
/// ```
pub fn point(point: &Point) -> String {
    if point.is_battery_negative() {
        return "battery negative".to_owned();
    }
    let part = &point.part;
    match point.terminal {
        Terminal::Only => part.clone(),
        Terminal::Feed(1) => format!("{part} feed pin"),
        Terminal::Feed(n) => format!("{part} feed pin {n}"),
        Terminal::Return => format!("{part} return pin"),
        Terminal::Signal => format!("{part} signal"),
        Terminal::Near(n) => format!("{part} pin {n}, near side"),
        Terminal::Far(n) => format!("{part} pin {n}, far side"),
        Terminal::In => format!("{part}, supply side"),
        Terminal::Out => format!("{part}, load side"),
    }
}

/// Red and black lead in words.
pub fn leads(red: &Point, black: &Point) -> String {
    if black.is_battery_negative() {
        point(red)
    } else {
        format!("{} to {}", point(red), point(black))
    }
}

/// A list in words: `C1`, `C1 and C2`, `C1, C2 and C3`.
pub fn list<S: AsRef<str>>(items: impl IntoIterator<Item = S>) -> String {
    let items: Vec<S> = items.into_iter().collect();
    let mut text = String::new();
    for (i, item) in items.iter().enumerate() {
        if i > 0 {
            text.push_str(if i + 1 == items.len() { " and " } else { ", " });
        }
        text.push_str(item.as_ref());
    }
    text
}

/// Which connectors are unplugged.
///
/// ```
/// use pinchpoint::{app::words, reading::State};
/// let mut state = State::default();
/// assert_eq!(words::state(&state), "all plugged");
/// state.unplugged.insert("C2".into());
/// state.supply_off = true;
/// assert_eq!(words::state(&state), "C2 unplugged, supply off");
/// ```
pub fn state(state: &State) -> String {
    let mut parts = Vec::new();
    if !state.unplugged.is_empty() {
        parts.push(format!("{} unplugged", list(&state.unplugged)));
    }
    if !state.unknown.is_empty() {
        parts.push(format!("{} not known", list(&state.unknown)));
    }
    if parts.is_empty() {
        parts.push("all plugged".to_owned());
    }
    if state.supply_off {
        parts.push("supply off".to_owned());
    }
    for load in &state.attached {
        let ohms = crate::quantity::units::as_ohms(load.resistance);
        parts.push(format!(
            "{} clipped on at {}",
            crate::quantity::format::as_read(ohms, Unit::Ohms),
            point(&load.from)
        ));
    }
    parts.join(", ")
}

/// The unit in which a kind of reading is typed.
pub fn unit(kind: Kind) -> Unit {
    match kind {
        Kind::Volts => Unit::Volts,
        Kind::Ohms => Unit::Ohms,
        Kind::Amperes => Unit::Amperes,
    }
}

/// Name of a file without its folders.
pub fn file(path: &Path) -> String {
    path.file_name().map_or_else(
        || path.display().to_string(),
        |n| n.to_string_lossy().into_owned(),
    )
}
