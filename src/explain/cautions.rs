//! What to be careful with, where it applies. All of it common practice, no source.

use std::collections::BTreeSet;

use serde::Serialize;

use super::names;
use crate::{
    circuit::{Circuit, LimitMode, LoadModel, PartRef, Point},
    diagnosis::{Findings, Question},
    quantity::units::as_volts,
    reading::{Entry, Kind},
};

/// Sealed connectors that are named one by one.
const NAMED: usize = 4;
/// Volts of DC above which a rail is dangerous to touch.
const DANGEROUS: f64 = 60.0;

/// One caution.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Caution {
    /// A sentence.
    pub text: String,
    /// Designations of the parts that it is about; empty where it is about the work as a whole.
    pub parts: Vec<String>,
    /// People could be hurt.
    pub grave: bool,
}

/// Cautions in order of weight: people first, then the vehicle, then the measurement.
pub fn cautions(question: &Question<'_>, findings: &Findings) -> Vec<Caution> {
    let circuit = question.circuit;
    let mut list = Vec::new();
    let mut say = |grave: bool, parts: Vec<String>, text: String| {
        list.push(Caution { text, parts, grave });
    };
    let high = dangerous(circuit);
    if !high.is_empty() {
        let text = "High voltage near: trained people only. Isolate, wait, prove it dead with a rated meter; never back-probe it.";
        say(true, high, text.to_owned());
    }
    let restraints = mentioned(circuit, &RESTRAINT, &[]);
    if !restraints.is_empty() {
        let text = "Restraint circuits near: do not probe, power, jump or read ohms there unless that vehicle's procedure allows it; wait the stated time after the battery is off.";
        say(true, restraints, text.to_owned());
    }
    let fuel = fuel(circuit);
    if !fuel.is_empty() {
        let text = "Fuel vapour: ventilate; no sparks, and nothing unplugged live near the tank.";
        say(true, fuel, text.to_owned());
    }
    say(
        false,
        Vec::new(),
        "The maker's procedure, local codes and licensed practice come first.".to_owned(),
    );
    say(
        false,
        Vec::new(),
        "No lamp and no battery voltage on this feed: load it with a resistor of a few mA."
            .to_owned(),
    );
    say(
        false,
        Vec::new(),
        "Ohms only with the supply off.".to_owned(),
    );
    supplies(circuit, &mut say);
    connectors(question, findings, &mut say);
    list
}

/// Calls `say(grave, parts, text)`.
type Say<'a> = dyn FnMut(bool, Vec<String>, String) + 'a;

fn supplies(circuit: &Circuit, say: &mut Say<'_>) {
    let latching: Vec<String> = circuit
        .supplies
        .iter()
        .filter(|supply| supply.latches)
        .map(|supply| supply.id.clone())
        .collect();
    if !latching.is_empty() {
        let text = format!(
            "{} can latch off after an overload: cycle the key after each change, wait, then read.",
            names::list(&latching, "and")
        );
        say(false, latching, text);
    }
    let electronic = circuit
        .loads
        .iter()
        .any(|load| matches!(load.model, LoadModel::Electronic { .. }));
    let folding: Vec<String> = circuit
        .supplies
        .iter()
        .filter(|supply| electronic && matches!(supply.limit, LimitMode::Foldback { .. }))
        .map(|supply| supply.id.clone())
        .collect();
    if !folding.is_empty() {
        let text = format!(
            "{} folds back: its sensors can hold it down after the fault is gone, until they are unplugged or the key is cycled.",
            names::list(&folding, "and")
        );
        say(false, folding, text);
    }
}

fn connectors(question: &Question<'_>, findings: &Findings, say: &mut Say<'_>) {
    let circuit = question.circuit;
    let sealed: Vec<String> = circuit
        .connectors
        .iter()
        .filter(|connector| connector.sealed)
        .map(|connector| connector.id.clone())
        .collect();
    if !sealed.is_empty() {
        let named = if sealed.len() > NAMED {
            format!("{} connectors here", sealed.len())
        } else {
            names::list(&sealed, "and")
        };
        let verb = if sealed.len() == 1 { "is" } else { "are" };
        let text = format!(
            "{named} {verb} sealed: do not back-probe; read at the open plug or elsewhere, and reseal insulation that was pierced."
        );
        say(false, sealed, text);
    }
    if circuit.connectors.is_empty() {
        return;
    }
    say(
        false,
        Vec::new(),
        "Probe with what fits: an oversized probe spreads the terminal.".to_owned(),
    );
    let mut readings = question.log.iter().filter_map(|entry| match entry {
        Entry::Reading(reading) => Some(reading),
        Entry::Repair(_) => None,
    });
    let unplugged = !question.now.unplugged.is_empty()
        || readings
            .clone()
            .any(|reading| !reading.state.unplugged.is_empty());
    if !unplugged && !findings.suspects.is_empty() {
        let text = "Save the scan before the first plug comes off: unplugging sets codes.";
        say(false, Vec::new(), text.to_owned());
    }
    if readings.any(|reading| reading.kind == Kind::Ohms) {
        let text = "Before the battery comes off: stored settings, relearns and locked doors; with the key on, support its voltage.";
        say(false, Vec::new(), text.to_owned());
    }
}

const RESTRAINT: [&str; 7] = [
    "airbag",
    "air bag",
    "restraint",
    "pretensioner",
    "pre-tensioner",
    "inflator",
    "squib",
];
const HIGH_VOLTAGE: [&str; 4] = ["high voltage", "high-voltage", "hv", "orange loom"];
/// Tanks that hold no fuel.
const OTHER_TANKS: [&str; 8] = [
    "air",
    "water",
    "washer",
    "coolant",
    "hydraulic",
    "oil",
    "header tank",
    "expansion tank",
];

fn dangerous(circuit: &Circuit) -> Vec<String> {
    let mut parts = mentioned(circuit, &HIGH_VOLTAGE, &[]);
    let rails = circuit
        .rails
        .iter()
        .filter(|rail| as_volts(rail.potential).abs() > DANGEROUS);
    parts.extend(rails.map(|rail| rail.id.clone()));
    let supplies = circuit
        .supplies
        .iter()
        .filter(|supply| as_volts(supply.nominal).abs() > DANGEROUS);
    parts.extend(supplies.map(|supply| supply.id.clone()));
    let mut seen = BTreeSet::new();
    parts.retain(|part| seen.insert(part.clone()));
    parts
}

fn fuel(circuit: &Circuit) -> Vec<String> {
    let mut parts = mentioned(circuit, &["fuel"], &[]);
    for part in mentioned(circuit, &["tank"], &OTHER_TANKS) {
        if !parts.contains(&part) {
            parts.push(part);
        }
    }
    parts
}

/// Parts of which the name, the place, or the sensors plugged there speak of any of the words and of none of the
/// excluding ones.
fn mentioned(circuit: &Circuit, words: &[&str], not: &[&str]) -> Vec<String> {
    circuit
        .parts()
        .filter(|part| {
            let text = told(circuit, *part);
            words.iter().any(|word| speaks_of(&text, word))
                && !not.iter().any(|word| speaks_of(&text, word))
        })
        .map(|part| part.id().to_owned())
        .collect()
}

/// Everything that was noted about a part, in small letters.
fn told(circuit: &Circuit, part: PartRef<'_>) -> String {
    let mut text = format!("{} {}", part.name(), part.place());
    let at = |point: &Point| point.part == part.id();
    for load in &circuit.loads {
        if at(&load.feed) || at(&load.ret) {
            text.push(' ');
            text.push_str(&load.name);
        }
    }
    text.to_lowercase()
}

/// Whether a text has a word, alone or with an ending (`airbags`), not inside another word.
fn speaks_of(text: &str, word: &str) -> bool {
    text.match_indices(word).any(|(at, _)| {
        let before = text[..at].chars().next_back();
        let after = text[at + word.len()..].chars().next();
        let starts = before.is_none_or(|c| !c.is_alphanumeric());
        let short = word.len() <= 3;
        starts && !(short && after.is_some_and(char::is_alphanumeric))
    })
}
