//! The log as rows of a table.

use crate::{
    app::{model::Model, words},
    diagnosis::{Findings, Mistake, Predicted},
    quantity::{
        Unit,
        format::{as_read, si},
    },
    reading::{Entry, Reading, Value},
};

/// Probability of a mistake from which a reading is flagged.
const FLAGGED: f64 = 0.5;

/// One line of the log.
#[derive(Clone, Debug, PartialEq)]
pub struct LogRow {
    /// Index in the log; shown as one more.
    pub entry: usize,
    /// Whether it is a repair.
    pub repair: bool,
    /// Where the leads were, or which part was repaired.
    pub point: String,
    /// How the circuit stood.
    pub state: String,
    /// What was read; what was done, for a repair.
    pub reads: String,
    /// What it should read with nothing wrong; empty while that is not known.
    pub should_read: String,
    /// What it would read under the top suspect.
    pub suspected: String,
    /// Bits for the top suspect against the next, with sign.
    pub bits: String,
    /// Kept, not used.
    pub set_aside: bool,
    /// Why it contradicts the others, if it probably does.
    pub flag: Option<String>,
    /// The note.
    pub note: String,
}

/// The rows of the log. Findings are of use for a later log too, as far as their lines have not changed.
pub fn log_rows(model: &Model) -> Vec<LogRow> {
    let answer = model.answer.as_ref();
    let rows = model.job.log.iter().enumerate();
    rows.map(|(entry, line)| {
        let same = answer.filter(|a| a.job.log.get(entry) == Some(line));
        row(entry, line, same.map(|a| &*a.findings))
    })
    .collect()
}

fn row(entry: usize, line: &Entry, findings: Option<&Findings>) -> LogRow {
    let reading = match line {
        Entry::Reading(reading) => reading,
        Entry::Repair(repair) => {
            return LogRow {
                entry,
                repair: true,
                point: repair.part.clone(),
                state: String::new(),
                reads: if repair.replaced {
                    "replaced".to_owned()
                } else {
                    "repaired".to_owned()
                },
                should_read: String::new(),
                suspected: String::new(),
                bits: String::new(),
                set_aside: false,
                flag: None,
                note: repair.note.clone(),
            };
        }
    };
    let unit = words::unit(reading.kind);
    let found = findings.and_then(|f| f.readings.iter().find(|r| r.entry == entry));
    let predicted = |value: Option<Predicted>| value.map_or_else(String::new, |v| si(v.mean, unit));
    LogRow {
        entry,
        repair: false,
        point: words::leads(&reading.red, &reading.black),
        state: words::state(&reading.state),
        reads: reads(reading),
        should_read: predicted(found.map(|f| f.healthy)),
        suspected: predicted(found.and_then(|f| f.suspected)),
        bits: found.map_or_else(String::new, |f| bits(f.bits)),
        set_aside: reading.set_aside,
        flag: found.filter(|f| f.mistaken > FLAGGED).map(|f| {
            let mistake = f.mistake.as_ref();
            mistake.map_or_else(
                || "contradicts the others; take it again".to_owned(),
                |mistake| why(mistake, unit),
            )
        }),
        note: reading.note.clone(),
    }
}

/// What the display showed.
pub(super) fn reads(reading: &Reading) -> String {
    let unit = words::unit(reading.kind);
    match reading.value {
        Value::Exactly(value) => as_read(value, unit),
        Value::OverRange { above: None } => "OL".to_owned(),
        Value::OverRange { above: Some(top) } => format!("OL, over {}", as_read(top, unit)),
        Value::Between(low, high) => {
            format!("{} to {}", as_read(low, unit), as_read(high, unit))
        }
    }
}

/// Bits with a sign and one decimal; a real minus.
fn bits(bits: f64) -> String {
    if !bits.is_finite() {
        return String::new();
    }
    let sign = if bits < -0.05 { '−' } else { '+' };
    format!("{sign}{:.1} bit", bits.abs())
}

fn why(mistake: &Mistake, unit: Unit) -> String {
    match mistake {
        Mistake::UnitSlip { should_be } => format!(
            "contradicts the others; {} would fit: a slip of the unit?",
            as_read(*should_be, unit)
        ),
        Mistake::NoContact => "contradicts the others; did the probe touch?".to_owned(),
        Mistake::PlugState { connectors } => format!(
            "contradicts the others; was {} the other way?",
            words::list(connectors)
        ),
        Mistake::Unexplained => "fits nothing that is known; take it again".to_owned(),
    }
}
