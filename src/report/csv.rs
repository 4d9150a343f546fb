//! The log as CSV (RFC 4180): every reading with its state and what it should have read, every look and repair.
//!
//! A cell that a spreadsheet would take for a formula gets an apostrophe in front; so does a cell that begins with an
//! apostrophe, so that taking one off always gives back what was typed.

use crate::{
    diagnosis::Findings,
    explain::NOTHING,
    notebook::Job,
    quantity::units::as_ohms,
    reading::{Entry, Inspection, Kind, Lamp, Reading, State, Value},
};

/// Headings, in order.
pub const COLUMNS: [&str; 22] = [
    "line",
    "what",
    "part",
    "kind",
    "red",
    "black",
    "value",
    "low",
    "high",
    "over",
    "noted_to",
    "seen",
    "unit",
    "unplugged",
    "not_known",
    "supply_off",
    "clipped_on",
    "key_cycled",
    "moved",
    "should_read",
    "set_aside",
    "note",
];

/// The log.
pub fn csv(job: &Job, findings: &Findings) -> String {
    let mut text = head();
    for (index, entry) in job.log.iter().enumerate() {
        let mut cells = vec![(index + 1).to_string()];
        match entry {
            Entry::Reading(reading) => cells.extend(of_reading(index, reading, findings)),
            Entry::Inspection(look) => cells.extend(of_look(look)),
            Entry::Repair(repair) => {
                let what = if repair.replaced {
                    "replaced"
                } else {
                    "repaired"
                };
                cells.extend([what.to_owned(), protected(&repair.part)]);
                cells.extend(std::iter::repeat_n(String::new(), COLUMNS.len() - 4));
                cells.push(protected(&repair.note));
            }
        }
        text.push_str(&row(cells));
    }
    text
}

/// The line of headings.
pub fn head() -> String {
    row(COLUMNS.iter().map(|name| (*name).to_owned()))
}

/// A look: `low` and `high` are metres of a wire from its `from` end.
fn of_look(look: &Inspection) -> Vec<String> {
    let mut cells = vec![String::new(); COLUMNS.len() - 1];
    let mut set = |name: &str, text: String| {
        if let Some(at) = COLUMNS.iter().position(|column| *column == name) {
            cells[at - 1] = text;
        }
    };
    let part = match look.pin {
        Some(pin) => format!("{} pin {pin}", look.part),
        None => look.part.clone(),
    };
    let kind = if look.undrawn {
        "members not drawn"
    } else {
        ""
    };
    set("what", "looked at".to_owned());
    set("part", protected(&part));
    set("kind", kind.to_owned());
    if let Some((from, to)) = look.metres {
        set("low", number(Some(from)));
        set("high", number(Some(to)));
        set("unit", "m".to_owned());
    }
    set("seen", NOTHING.to_owned());
    set("set_aside", flag(look.set_aside));
    set("note", protected(&look.note));
    cells
}

fn of_reading(index: usize, reading: &Reading, findings: &Findings) -> Vec<String> {
    let found = findings.readings.iter().find(|f| f.entry == index);
    let (value, low, high, over) = match reading.value {
        Value::Exactly(value) => (Some(value), None, None, None),
        Value::Between(low, high) => (None, Some(low), Some(high), None),
        Value::OverRange { above } => (None, None, None, Some(above)),
        Value::Seen(_) => (None, None, None, None),
    };
    let seen = match reading.value {
        Value::Seen(seen) => seen.word(),
        _ => "",
    };
    let (what, unit) = match reading.kind {
        Kind::Volts => ("volts", "V"),
        Kind::Ohms => ("ohms", "ohm"),
        Kind::Amperes => ("amperes", "A"),
        Kind::Clamp => ("amperes by clamp", "A"),
        Kind::Lamp(Lamp::Filament) => ("test lamp", ""),
        Kind::Lamp(Lamp::Led) => ("LED", ""),
        Kind::Scan => ("scan", ""),
    };
    let state = &reading.state;
    vec![
        "reading".to_owned(),
        String::new(),
        what.to_owned(),
        protected(&reading.red.to_string()),
        protected(&reading.black.to_string()),
        number(value),
        number(low),
        number(high),
        over.map_or_else(String::new, |above| {
            above.map_or_else(|| "OL".to_owned(), |above| number(Some(above)))
        }),
        number(reading.noted_to()),
        seen.to_owned(),
        unit.to_owned(),
        protected(&list(state.unplugged.iter())),
        protected(&list(state.unknown.iter())),
        flag(state.supply_off),
        protected(&clipped_on(state)),
        state.key_cycled.map_or_else(String::new, flag),
        protected(&moved(reading)),
        number(found.map(|found| found.healthy.mean)),
        flag(reading.set_aside),
        protected(&reading.note),
    ]
}

fn moved(reading: &Reading) -> String {
    let places = reading.wiggled.iter().map(|moved| {
        let how = if moved.changed {
            "changed"
        } else {
            "no change"
        };
        format!("{}: {how}", moved.place)
    });
    places.collect::<Vec<_>>().join("; ")
}

fn clipped_on(state: &State) -> String {
    let loads = state.attached.iter().map(|load| {
        format!(
            "{} to {}: {} ohm",
            load.from,
            load.to,
            as_ohms(load.resistance)
        )
    });
    loads.collect::<Vec<_>>().join("; ")
}

fn list<'a>(names: impl Iterator<Item = &'a String>) -> String {
    names.cloned().collect::<Vec<_>>().join(" ")
}

fn flag(flag: bool) -> String {
    if flag { "yes" } else { "no" }.to_owned()
}

/// A number with all its digits and a point; a spreadsheet may take it for a number, which it is.
fn number(value: Option<f64>) -> String {
    value
        .filter(|value| value.is_finite())
        .map_or_else(String::new, |value| format!("{}", value + 0.0))
}

/// A text that no spreadsheet takes for a formula. Spaces in front do not hide one.
pub fn protected(text: &str) -> String {
    let first = text.trim_start_matches(' ').chars().next();
    let risky = |sign: char| {
        matches!(sign, '=' | '+' | '-' | '@' | '\t' | '\r' | '\n' | '\'' | '|' | '%')
            // The wide forms of the same signs, which some programs take for them.
            || matches!(sign, '＝' | '＋' | '－' | '＠')
    };
    if first.is_some_and(risky) {
        format!("'{text}")
    } else {
        text.to_owned()
    }
}

fn row(cells: impl IntoIterator<Item = String>) -> String {
    let cells: Vec<String> = cells.into_iter().map(|cell| quoted(&cell)).collect();
    cells.join(",") + "\r\n"
}

/// In quotation marks wherever it matters (RFC 4180, 2.6 and 2.7). A zero byte would end the text for some readers, so
/// it stands as its number.
fn quoted(cell: &str) -> String {
    let cell = cell.replace('\0', "\\u{0}");
    if cell.contains([',', '"', '\n', '\r', ';', '\t'])
        || cell.starts_with(' ')
        || cell.ends_with(' ')
    {
        format!("\"{}\"", cell.replace('"', "\"\""))
    } else {
        cell
    }
}
