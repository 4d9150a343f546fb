//! For the insurer: before and after, codes, minutes and what belongs to the loss; measured, inferred and assumed apart.

use super::{Block, Source, heading, list, tables, text};
use crate::{
    circuit::{LimitMode, part::CONTACT_OHM, wire::UNKNOWN_LENGTH_M},
    explain::{headline, names},
    notebook::record::Relation,
    quantity::{
        Unit,
        format::{as_read, minutes, percent},
        units::as_amperes,
    },
    reading::Entry,
    report::{
        Photo,
        content::{Basis, Section},
        study::meter_words,
    },
};

/// The section.
pub fn section(source: &Source<'_>) -> Section {
    let job = source.job;
    let mut blocks = vec![heading("Before and after")];
    let before = tables::before_after(source);
    if before.is_none() {
        blocks.push(Block::Text {
            basis: None,
            text: "Nothing was repaired yet, so there is nothing to compare.".to_owned(),
        });
    }
    blocks.extend(before);
    blocks.extend(tables::codes(job));
    blocks.extend(tables::modules(job));
    blocks.push(heading("Time, step by step"));
    blocks.extend(tables::work(job));
    blocks.extend(loss(source));
    blocks.push(heading("What was measured"));
    blocks.extend(list(Basis::Measured, measured(source)));
    blocks.push(heading("What was inferred from it"));
    blocks.extend(list(Basis::Inferred, inferred(source)));
    blocks.push(heading("What was assumed"));
    blocks.extend(list(Basis::Assumed, assumed(source)));
    blocks.extend(tables::follow_up(job));
    blocks.extend(tables::checks(job));
    if !source.photos.is_empty() {
        blocks.push(heading("Photos"));
        for (number, photo) in (1..).zip(source.photos) {
            match photo {
                Ok(photo) => blocks.push(Block::Photo(Photo {
                    caption: format!("Photo {number}: {}", photo.caption),
                    ..photo.clone()
                })),
                Err(why) => blocks.extend(text(Basis::Stated, why)),
            }
        }
    }
    Section {
        heading: "For the insurer".to_owned(),
        blocks,
    }
}

/// Minutes by what they belong to.
fn loss(source: &Source<'_>) -> Option<Block> {
    let work = &source.job.record.work;
    if work.is_empty() {
        return text(Basis::Stated, "No minutes were noted.");
    }
    let (all, billable) = source.job.record.minutes();
    let mut items = vec![format!(
        "{} in all, {} billable",
        minutes(all),
        minutes(billable)
    )];
    for relation in Relation::ALL {
        let own = work.iter().filter(|step| step.relation == relation);
        let sum: f64 = own.clone().map(|step| step.minutes_worth()).sum();
        let billed = own.clone().filter(|step| step.billable);
        let billed: f64 = billed.map(|step| step.minutes_worth()).sum();
        let count = own.count();
        if count > 0 {
            let steps = if count == 1 { "step" } else { "steps" };
            items.push(format!(
                "{}: {} in {count} {steps}, {} billable",
                relation.words(),
                minutes(sum),
                minutes(billed)
            ));
        }
    }
    list(Basis::Stated, items)
}

fn measured(source: &Source<'_>) -> Vec<String> {
    let job = source.job;
    let readings = job.log.iter().filter_map(|entry| match entry {
        Entry::Reading(reading) => Some(reading),
        Entry::Repair(_) | Entry::Inspection(_) => None,
    });
    let all = readings.clone().count();
    let aside = readings.clone().filter(|reading| reading.set_aside).count();
    let unknown = readings
        .filter(|reading| !reading.state.unknown.is_empty())
        .count();
    let mut items = vec![
        format!("{all} readings, each with its plug state, printed line by line in the log"),
        format!("taken with a meter of {}", meter_words(&job.meter)),
    ];
    if aside > 0 {
        items.push(format!("{aside} of these set aside and not used"));
    }
    if unknown > 0 {
        items.push(format!(
            "{unknown} of these in a plug state that nobody noted, and so not used"
        ));
    }
    items
}

fn inferred(source: &Source<'_>) -> Vec<String> {
    let study = source.study;
    let findings = study.of_fault();
    let mut items = vec![headline(&study.fault_question(source.job), findings).line];
    items.extend(
        findings
            .suspects
            .iter()
            .filter(|s| s.probability >= 0.01)
            .take(6)
            .map(|suspect| {
                format!(
                    "{}: {}",
                    names::label(&source.job.circuit, suspect),
                    percent(suspect.probability)
                )
            }),
    );
    items.push(format!(
        "that nothing is wrong: {}; that nothing on the sketch explains the readings: {}",
        percent(findings.healthy),
        percent(findings.unexplained)
    ));
    if findings.fit.readings > 0 {
        items.push(format!(
            "the best explanation fits {} readings; a misfit as large as this one, or larger, has a chance of {} if it is true",
            findings.fit.readings,
            percent(findings.fit.tail)
        ));
    }
    for reading in findings
        .readings
        .iter()
        .filter(|reading| reading.mistaken > 0.5)
    {
        items.push(format!(
            "the reading of line {} is probably a mistake",
            reading.entry + 1
        ));
    }
    items
}

/// What the sketch leaves open, and what stood in for it.
fn assumed(source: &Source<'_>) -> Vec<String> {
    let circuit = &source.job.circuit;
    let mut items = vec![format!(
        "wires have the resistance of copper at 20 °C, mated pins about {}",
        as_read(CONTACT_OHM, Unit::Ohms)
    )];
    let unknown: Vec<&str> = circuit
        .wires
        .iter()
        .filter(|wire| wire.length.is_none())
        .map(|wire| wire.id.as_str())
        .collect();
    if !unknown.is_empty() {
        items.push(format!(
            "the length of {} is not known; {} was taken, with a wide spread",
            names::list(&unknown, "and"),
            as_read(UNKNOWN_LENGTH_M, Unit::Metres)
        ));
    }
    for supply in &circuit.supplies {
        let id = &supply.id;
        items.push(match supply.limit {
            LimitMode::Unknown => {
                format!("how {id} limits its current is not known; all was allowed for")
            }
            LimitMode::None => format!("{id} does not limit its current"),
            LimitMode::Constant { limit } => match limit {
                Some(limit) => format!(
                    "{id} limits its current at {}, within a factor of {}",
                    as_read(as_amperes(limit), Unit::Amperes),
                    supply.limit_factor
                ),
                None => format!("{id} limits its current, at an unknown value"),
            },
            LimitMode::Foldback { .. } => format!("the limit of {id} falls with its volts"),
        });
        if circuit.is_bolted(supply) {
            items.push(format!(
                "the return of {id} is not drawn; it was taken to be grounded there"
            ));
        }
        if supply.source.is_none() {
            items.push(format!(
                "the source resistance of {id} is not known; a wide range was allowed for"
            ));
        }
        if supply.more_members {
            items.push(format!("{id} may feed members that are not drawn"));
        }
    }
    for splice in circuit.splices.iter().filter(|splice| splice.more_members) {
        items.push(format!("{} may feed members that are not drawn", splice.id));
    }
    for zone in &circuit.damage_zones {
        items.push(format!(
            "{} was taken as {} times likelier than elsewhere: {}",
            names::list(&zone.parts, "and"),
            zone.factor,
            zone.note
        ));
    }
    items
        .push("the sketch shows every member of the feed, save where it says otherwise".to_owned());
    items
}
