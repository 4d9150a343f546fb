//! Composing: facts, findings and words become sections of blocks, for the readers that were asked for.

mod insurer;
mod own;
mod shop;
mod shown;
mod tables;

use super::{
    content::{Basis, Block, Reader, Report, Section, Tone},
    not_written, open_points,
    photo::Photo,
    study::{Study, meter_words},
};
use crate::{
    advise::Best,
    diagnosis::proof::Verdict,
    explain::{Headline, headline, names, next_words, proof_words},
    notebook::{
        Job,
        record::{
            Identity, Mileage,
            day::{self, Written},
            identity,
        },
    },
    quantity::{Unit, format::as_read, units::as_volts},
    reading::Entry,
};

/// What every report says of itself.
const LIMITS: &str = "This report was computed from the readings, plug states and sketch that are printed in it. It names what they \
make likely; it does not replace the maker's procedure, local codes and licensed practice, which come first. A suspect is \
not a finding until the place was opened and seen. Where something is marked as assumed, another value would change the \
figures.";

/// Everything that a report is composed from.
#[derive(Clone, Copy, Debug)]
pub struct Source<'a> {
    /// The job.
    pub job: &'a Job,
    /// What was computed of it.
    pub study: &'a Study,
    /// Photos that could be read, and for the others their name and why not.
    pub photos: &'a [Result<Photo, String>],
    /// Checksum of the job's text, by which a report and its record are matched.
    pub checksum: u32,
}

/// Composes the report for some readers; parts that several of them want stand in it once.
pub fn compose(source: &Source<'_>, readers: &[Reader]) -> Report {
    let job = source.job;
    let wants = |reader| readers.contains(&reader);
    let mut sections = vec![summary(source)];
    if wants(Reader::Shop) {
        sections.push(shop::section(source));
    }
    if wants(Reader::Insurer) {
        sections.push(insurer::section(source));
    }
    sections.push(shown::section(source));
    if wants(Reader::Own) {
        sections.push(own::section(source));
    }
    sections.push(closing(source));
    Report {
        title: if job.title.is_empty() {
            "Job without a title".to_owned()
        } else {
            job.title.clone()
        },
        vehicle: job.vehicle.clone(),
        foot: format!(
            "Record {:08x} · Pinchpoint {}",
            source.checksum,
            env!("CARGO_PKG_VERSION")
        ),
        sections,
    }
}

/// The first page: what it is about, the answer, the proof.
fn summary(source: &Source<'_>) -> Section {
    let (job, study) = (source.job, source.study);
    let record = &job.record;
    let mut facts = Vec::new();
    let mut fact = |label: &'static str, text: String| {
        if !text.trim().is_empty() {
            facts.push((label, text));
        }
    };
    fact("Vehicle", job.vehicle.clone());
    fact(
        "Identification number",
        identification(&record.vehicle.identification),
    );
    fact("Plate", record.vehicle.plate.clone());
    fact(
        "Mileage",
        record.vehicle.mileage.map_or_else(String::new, mileage),
    );
    let volts = record.vehicle.battery.map(as_volts);
    fact(
        "Battery at arrival",
        volts.map_or_else(String::new, |v| as_read(v, Unit::Volts)),
    );
    fact("Shop", job.shop.clone());
    fact("Date", dated(&record.date));
    fact("Technician", record.technician.clone());
    fact("Meter", meter_words(&job.meter));
    let mut blocks = vec![Block::Facts {
        basis: Basis::Stated,
        facts,
    }];
    blocks.push(answer(source));
    blocks.extend(proof(source));
    blocks.extend(next(source));
    if study.before.is_some() {
        let Headline { line, detail, .. } = headline(&job.question(), &study.now);
        let detail = if detail.is_empty() {
            String::new()
        } else {
            format!("; {detail}")
        };
        let words = format!("With the readings since the repair: {line}{detail}.");
        blocks.extend(text(Basis::Inferred, &words));
    }
    Section {
        heading: "Summary".to_owned(),
        blocks,
    }
}

/// The fault as the readings have it.
fn answer(source: &Source<'_>) -> Block {
    let study = source.study;
    let Headline { line, detail, .. } =
        headline(&study.fault_question(source.job), study.of_fault());
    // As the headline has it: a fault, nothing wrong, or no answer.
    let findings = study.of_fault();
    let likeliest = findings.suspects.first().map_or(0.0, |top| top.probability);
    let tone = if likeliest > findings.healthy {
        Tone::Bad
    } else if findings.healthy > findings.unexplained {
        Tone::Plain
    } else {
        Tone::Careful
    };
    let when = if study.before.is_some() {
        "Before the repair: "
    } else {
        ""
    };
    Block::Verdict {
        tone,
        basis: Some(Basis::Inferred),
        line: format!("{when}{line}."),
        detail,
    }
}

/// The proof of the repair, if there was one.
fn proof(source: &Source<'_>) -> Option<Block> {
    let (job, now) = (source.job, &source.study.now);
    let repaired = repaired(job);
    if repaired.is_empty() {
        return None;
    }
    let what = format!("Repair of {}: ", names::list(&repaired, "and"));
    let (Some(words), Some(proof)) = (proof_words(&job.question(), now), &now.proof) else {
        return Some(Block::Verdict {
            tone: Tone::Careful,
            basis: None,
            line: format!("{what}no proof could be computed."),
            detail: "The sketch has faults that stand in the way; they are named below.".to_owned(),
        });
    };
    Some(Block::Verdict {
        tone: match proof.verdict {
            Verdict::Proved => Tone::Good,
            Verdict::PartlyProved => Tone::Careful,
            Verdict::NotProved => Tone::Bad,
        },
        basis: Some(Basis::Measured),
        line: format!("{what}{}.", words.verdict.to_lowercase()),
        detail: words.detail,
    })
}

/// What would be done next, as long as the job is open: nobody has signed, and no repair is proved.
fn next(source: &Source<'_>) -> Option<Block> {
    let (job, now) = (source.job, &source.study.now);
    let proved = now.proof.as_ref().map(|proof| proof.verdict) == Some(Verdict::Proved);
    if proved || job.record.is_signed() {
        return None;
    }
    let words = next_words(&job.question(), now);
    if words.line.is_empty() {
        return None;
    }
    let mut detail = words.reason;
    let mut line = format!("Next: {}.", words.line);
    if now.next.best == Best::Test
        && let Some(test) = words.tests.first()
    {
        line = format!("Next: {} ({}).", words.line, test.minutes);
        for one in &test.outcomes {
            detail.push_str(&format!("\n{} ({}): {}", one.shows, one.chance, one.leaves));
        }
        for caution in &test.cautions {
            detail.push_str(&format!("\n{caution}"));
        }
    }
    Some(Block::Verdict {
        tone: Tone::Plain,
        basis: Some(Basis::Inferred),
        line,
        detail: detail.trim().to_owned(),
    })
}

/// Designations of what was repaired, in the order of the log, each once.
fn repaired(job: &Job) -> Vec<String> {
    let mut parts: Vec<String> = Vec::new();
    for entry in &job.log {
        if let Entry::Repair(repair) = entry
            && !parts.contains(&repair.part)
        {
            parts.push(repair.part.clone());
        }
    }
    parts
}

fn identification(number: &str) -> String {
    let doubt = match identity(number) {
        Identity::Missing => return String::new(),
        Identity::Fits => String::new(),
        Identity::OtherForm(why) => format!(" (not the form of ISO 3779: {why})"),
        Identity::CheckDigit { given, fits } => {
            format!(" (check digit {given}, where {fits} would fit; not every market uses one)")
        }
    };
    format!("{number}{doubt}")
}

/// A day as it is written, and why it is none where the calendar does not have it; one that may be two days stands as it is.
fn dated(text: &str) -> String {
    match day::read(text) {
        Written::Impossible(why) => format!("{text} (no day of the calendar: {why})"),
        _ => text.to_owned(),
    }
}

fn mileage(mileage: Mileage) -> String {
    match mileage {
        Mileage::Kilometres(count) => format!("{count} km"),
        Mileage::Miles(count) => format!("{count} miles"),
    }
}

/// A paragraph, unless there is nothing to say.
fn text(basis: Basis, words: &str) -> Option<Block> {
    (!words.trim().is_empty()).then(|| Block::Text {
        basis: Some(basis),
        text: words.trim().to_owned(),
    })
}

/// A list, unless it is empty.
fn list(basis: Basis, items: Vec<String>) -> Option<Block> {
    (!items.is_empty()).then_some(Block::List {
        basis: Some(basis),
        items,
    })
}

fn heading(words: &str) -> Block {
    Block::Heading(words.to_owned())
}

/// Cautions, what the report cannot do, who signed, and what was added after that.
fn closing(source: &Source<'_>) -> Section {
    let (job, study) = (source.job, source.study);
    let mut blocks = Vec::new();
    for caution in crate::explain::cautions(&study.fault_question(job), study.of_fault()) {
        blocks.push(Block::Verdict {
            tone: if caution.grave {
                Tone::Bad
            } else {
                Tone::Careful
            },
            basis: None,
            line: caution.text,
            detail: String::new(),
        });
    }
    blocks.push(Block::Text {
        basis: None,
        text: LIMITS.to_owned(),
    });
    let sign = &job.record.sign_off;
    blocks.push(heading("Sign-off"));
    if sign.by.trim().is_empty() {
        blocks.push(Block::Text {
            basis: None,
            text: "Not signed.\n\nName ______________________________   Date ______________   Signature ______________________________".to_owned(),
        });
    } else {
        let mut facts = vec![("Signed by", sign.by.clone())];
        if !sign.date.trim().is_empty() {
            facts.push(("Date", dated(&sign.date)));
        }
        if !sign.note.trim().is_empty() {
            facts.push(("With the note", sign.note.clone()));
        }
        blocks.push(Block::Facts {
            basis: Basis::Stated,
            facts,
        });
        let mut open = open_points(job, Some(&study.now));
        let missing = not_written(job);
        if !missing.is_empty() {
            let missing = names::list(&missing, "and");
            open.push(format!("the record does not say {missing}"));
        }
        if !open.is_empty() {
            blocks.push(heading("Open as it is signed"));
            blocks.extend(list(Basis::Inferred, open));
        }
    }
    let added = job.record.amendments.iter().map(|amendment| {
        let head = [amendment.date.trim(), amendment.by.trim()]
            .into_iter()
            .filter(|text| !text.is_empty())
            .collect::<Vec<_>>()
            .join(", ");
        let colon = if head.is_empty() { "" } else { ": " };
        format!("{head}{colon}{}", amendment.text)
    });
    let added: Vec<String> = added.collect();
    if !added.is_empty() {
        blocks.push(heading("Added after the sign-off"));
        blocks.extend(list(Basis::Stated, added));
    }
    Section {
        heading: "Cautions and limits".to_owned(),
        blocks,
    }
}
