//! The log as rows of a table.

use crate::{
    app::model::Model,
    circuit::Circuit,
    explain::{NOTHING, ReadingLine, looked_at, names},
    reading::{Entry, Inspection, Reading, Repair},
};

/// What a line of the log is.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Sort {
    /// A reading.
    #[default]
    Reading,
    /// A repair.
    Repair,
    /// A place that was looked at.
    Look,
}

/// One line of the log.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct LogRow {
    /// Index in the log; shown as one more.
    pub entry: usize,
    /// What it is.
    pub sort: Sort,
    /// Where the leads were, which part was repaired, or what was looked at.
    pub point: String,
    /// How the circuit stood.
    pub state: String,
    /// What was read, done or found.
    pub reads: String,
    /// What it should read with nothing wrong; empty while that is not known.
    pub should_read: String,
    /// What it would read under the top suspect.
    pub suspected: String,
    /// Bits for the top suspect against the next, with sign; why it is not used, for a reading that is not.
    pub bits: String,
    /// Kept, not used.
    pub set_aside: bool,
    /// The sentence for a reading that probably contradicts the others.
    pub flag: Option<String>,
    /// The note.
    pub note: String,
}

/// The rows of the log. An answer to an earlier question is of use as far as its lines have not changed.
pub fn log_rows(model: &Model) -> Vec<LogRow> {
    let answer = model.answer.as_ref();
    let said = answer.map_or(&[][..], |answer| &answer.words.lines);
    let current = |line: &&ReadingLine| {
        answer.and_then(|a| a.job.log.get(line.entry)) == model.job.log.get(line.entry)
    };
    let mut said = said.iter().filter(current).peekable();
    let mut rows = Vec::with_capacity(model.job.log.len());
    for (entry, line) in model.job.log.iter().enumerate() {
        rows.push(match line {
            Entry::Repair(repair) => repaired(entry, repair),
            Entry::Inspection(look) => looked(entry, &model.job.circuit, look),
            Entry::Reading(reading) => read(entry, reading, said.next_if(|s| s.entry == entry)),
        });
    }
    rows
}

fn read(entry: usize, reading: &Reading, said: Option<&ReadingLine>) -> LogRow {
    let key = match reading.state.key_cycled {
        Some(true) => ", key cycled",
        Some(false) => ", key not cycled",
        None => "",
    };
    let row = LogRow {
        entry,
        point: names::leads(reading),
        state: format!("{}{key}", names::stood(reading)),
        reads: names::shown(reading),
        set_aside: reading.set_aside,
        note: reading.note.clone(),
        ..LogRow::default()
    };
    let Some(said) = said else { return row };
    LogRow {
        should_read: said.should_read.clone(),
        suspected: said.under_suspect.clone(),
        bits: said.unused.as_ref().unwrap_or(&said.speaks).clone(),
        flag: said.mistake.clone(),
        ..row
    }
}

fn repaired(entry: usize, repair: &Repair) -> LogRow {
    let done = if repair.replaced {
        "replaced"
    } else {
        "repaired"
    };
    LogRow {
        entry,
        sort: Sort::Repair,
        point: repair.part.clone(),
        reads: done.to_owned(),
        note: repair.note.clone(),
        ..LogRow::default()
    }
}

fn looked(entry: usize, circuit: &Circuit, look: &Inspection) -> LogRow {
    LogRow {
        entry,
        sort: Sort::Look,
        point: looked_at(circuit, look),
        reads: NOTHING.to_owned(),
        set_aside: look.set_aside,
        note: look.note.clone(),
        ..LogRow::default()
    }
}
