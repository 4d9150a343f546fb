//! Parts near which people could be hurt, as far as names and places tell. All of it common practice, no source.

use std::collections::BTreeSet;

use super::{Circuit, PartRef, Point};
use crate::quantity::units::as_volts;

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
/// Volts of DC above which a rail is dangerous to touch (UN Regulation No. 100 calls more than that high voltage; from memory).
const DANGEROUS: f64 = 60.0;

/// Parts at or near high voltage.
pub fn high_voltage(circuit: &Circuit) -> Vec<String> {
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

/// Parts of restraint circuits.
pub fn restraints(circuit: &Circuit) -> Vec<String> {
    mentioned(circuit, &RESTRAINT, &[])
}

/// Parts where fuel may be.
pub fn fuel(circuit: &Circuit) -> Vec<String> {
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
