//! What to be careful with, where it applies. All of it common practice, no source.

use serde::Serialize;

use super::names;
use crate::{
    circuit::{Circuit, LimitMode, LoadModel, hazard},
    diagnosis::{Findings, Question},
    reading::{Entry, Kind},
};

/// Sealed connectors that are named one by one.
const NAMED: usize = 4;

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
    let high = hazard::high_voltage(circuit);
    if !high.is_empty() {
        let text = "High voltage near: trained people only. Isolate, wait, prove it dead with a rated meter; never back-probe it.";
        say(true, high, text.to_owned());
    }
    let restraints = hazard::restraints(circuit);
    if !restraints.is_empty() {
        let text = "Restraint circuits near: do not probe, power, jump or read ohms there unless that vehicle's procedure allows it; wait the stated time after the battery is off.";
        say(true, restraints, text.to_owned());
    }
    let fuel = hazard::fuel(circuit);
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
        Entry::Repair(_) | Entry::Inspection(_) => None,
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
