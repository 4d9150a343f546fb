//! What each reading says: reads, should read, under the top suspect, and whether it contradicts the others.

use serde::Serialize;

use super::names;
use crate::{
    diagnosis::{Findings, Mistake, Question, ReadingFinding},
    quantity::{Unit, format::as_read, units::as_volts},
    reading::{Entry, Kind, Reading, Value},
};

/// Probability of a mistake from which a reading is flagged (judgement).
pub const FLAGGED: f64 = 0.5;

/// Bits beyond which the exact figure says nothing more: no evidence is that good.
const OVERWHELMING: f64 = 40.0;

/// One reading of the log in words.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct ReadingLine {
    /// Index in the log; people count from 1.
    pub entry: usize,
    /// Where the leads were.
    pub point: String,
    /// How the circuit stood.
    pub state: String,
    /// What the display showed.
    pub reads: String,
    /// What it should show with nothing wrong; empty for a reading that is not used.
    pub should_read: String,
    /// What it should show under the top suspect; empty where there is none.
    pub under_suspect: String,
    /// By how many bits it speaks for the top suspect against the runner-up: `+1.4 bit`; empty when not used.
    pub speaks: String,
    /// The sentence for a reading that contradicts the others.
    pub mistake: Option<String>,
    /// Why it is not used: set aside, or what stands in its way.
    pub unused: Option<String>,
}

/// Every reading of the log, set aside or not, in order.
pub fn reading_lines(question: &Question<'_>, findings: &Findings) -> Vec<ReadingLine> {
    question
        .log
        .iter()
        .enumerate()
        .filter_map(|(entry, line)| match line {
            Entry::Reading(reading) => Some(reading_line(question, findings, entry, reading)),
            Entry::Repair(_) | Entry::Inspection(_) => None,
        })
        .collect()
}

fn reading_line(
    question: &Question<'_>,
    findings: &Findings,
    entry: usize,
    reading: &Reading,
) -> ReadingLine {
    let unit = reading.kind.unit();
    let finding = findings.readings.iter().find(|f| f.entry == entry);
    let unused = match finding {
        Some(_) => None,
        None if reading.set_aside => Some("set aside".to_owned()),
        None => {
            let place = format!("log line {}", entry + 1);
            let why = findings.problems.iter().find(|p| p.place == place);
            Some(why.map_or_else(|| "not used".to_owned(), |p| p.what.clone()))
        }
    };
    let nominal = question
        .circuit
        .supplies
        .first()
        .map_or(0.0, |supply| as_volts(supply.nominal));
    let text = |value: Option<f64>| {
        value.map_or_else(String::new, |value| {
            let number = names::expected(value, unit);
            let seen = reading.kind.would_show(value, nominal);
            seen.map_or_else(
                || number.clone(),
                |seen| format!("{}, {number}", seen.word()),
            )
        })
    };
    ReadingLine {
        entry,
        point: names::leads(reading),
        state: names::stood(reading),
        reads: names::shown(reading),
        should_read: match finding.and_then(|f| Some((f.healthy.mean, f.hinges?))) {
            Some((mean, hinges)) => names::should(mean, Some(hinges), unit),
            None => text(finding.map(|f| f.healthy.mean)),
        },
        under_suspect: text(finding.and_then(|f| f.suspected).map(|p| p.mean)),
        speaks: finding.map_or_else(String::new, |f| bits(f.bits)),
        // What one fault alone does not explain, two may.
        mistake: (finding.filter(|_| !findings.is_unfinished()))
            .and_then(|finding| mistake(entry, reading, finding)),
        unused,
    }
}

/// `+1.4 bit`, never a negative zero; `> +40 bit` beyond that.
fn bits(bits: f64) -> String {
    if bits.abs() > OVERWHELMING {
        let (than, sign) = if bits > 0.0 {
            ('>', '+')
        } else {
            ('<', '\u{2212}')
        };
        return format!("{than} {sign}{OVERWHELMING:.0} bit");
    }
    let rounded = (10.0 * bits).round() / 10.0;
    format!("{:+.1} bit", rounded + 0.0)
}

/// The sentence for a reading that is probably a mistake; `None` for any other.
///
/// `Reading 4 contradicts the others: it should be about 650 mV; was it taken in mV?`
pub fn mistake(entry: usize, reading: &Reading, finding: &ReadingFinding) -> Option<String> {
    if finding.mistaken <= FLAGGED {
        return None;
    }
    if let Some(Mistake::LatchedOff { supply }) = &finding.mistake {
        return Some(format!(
            "Reading {} says nothing of the harness: {supply} had probably latched off; cycle the key, wait and read again",
            entry + 1
        ));
    }
    let unit = reading.kind.unit();
    let mut text = format!("Reading {} contradicts the others", entry + 1);
    if let Some(expected) = finding.suspected {
        text.push_str(&format!(
            ": it should be about {}",
            names::expected(expected.mean, unit)
        ));
    }
    text.push_str("; ");
    let hint = match finding.mistake.as_ref() {
        Some(Mistake::UnitSlip { should_be }) => unit_slip(reading, *should_be),
        Some(Mistake::NoContact) => "did the probe touch?".to_owned(),
        Some(Mistake::PlugState { connectors }) => plug_state(reading, connectors),
        Some(Mistake::LatchedOff { .. } | Mistake::Unexplained) | None => {
            "take it again, or set it aside".to_owned()
        }
    };
    text.push_str(&hint);
    Some(text)
}

fn unit_slip(reading: &Reading, should_be: f64) -> String {
    let unit = reading.kind.unit();
    let (noted, meant) = match (reading.value, reading.kind) {
        (Value::Exactly(noted), kind) if should_be.abs() < noted.abs() => (
            noted,
            match kind {
                Kind::Ohms => "mΩ",
                kind if kind.is_current() => "mA",
                _ => "mV",
            },
        ),
        (Value::Exactly(noted), Kind::Ohms) => (noted, "kΩ"),
        (Value::Exactly(noted), kind) => (noted, if kind.is_current() { "A" } else { "V" }),
        (Value::OverRange { .. } | Value::Between(..) | Value::Seen(_), _) => {
            return format!("{} would fit", as_read(should_be, unit));
        }
    };
    let was = as_read(noted, unit);
    if matches!(unit, Unit::Volts | Unit::Ohms | Unit::Amperes) && was.ends_with(meant) {
        format!("{} would fit", as_read(should_be, unit))
    } else {
        format!("was it taken in {meant}?")
    }
}

fn plug_state(reading: &Reading, connectors: &[String]) -> String {
    let (off, on): (Vec<&str>, Vec<&str>) = connectors
        .iter()
        .map(String::as_str)
        .partition(|&id| reading.state.unplugged.contains(id));
    let mut asked = Vec::new();
    if !off.is_empty() {
        asked.push(format!("{} still plugged", names::list(&off, "and")));
    }
    if !on.is_empty() {
        asked.push(format!("{} unplugged", names::list(&on, "and")));
    }
    if asked.is_empty() {
        "was something plugged otherwise?".to_owned()
    } else {
        let verb = if connectors.len() == 1 { "was" } else { "were" };
        format!("{verb} {}?", asked.join(" and "))
    }
}

#[cfg(test)]
mod tests {
    use super::bits;

    #[test]
    fn a_weight_is_given_no_more_exactly_than_it_means_anything() {
        let cases = [(1.44, "+1.4 bit"), (-0.01, "+0.0 bit"), (99.0, "> +40 bit")];
        for (weight, text) in cases {
            assert_eq!(bits(weight), text);
        }
        assert_eq!(bits(-99.0), "< \u{2212}40 bit");
    }
}
