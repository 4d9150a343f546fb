//! What was done at the vehicle, in words.

use crate::{
    app::words,
    explain::names,
    practice::{Move, Outcome, Session, Step},
    quantity::{Unit, format::as_read},
    reading::{Reading, State},
};

/// A step in two pieces: what was done, and what came of it.
pub fn step_words(session: &Session, step: &Step) -> (String, String) {
    let circuit = &session.exercise().circuit;
    let unplugged = |id: &String| step.before.unplugged.contains(id);
    let what = match &step.done {
        Move::Plug(id) if unplugged(id) => format!("{} plugged in", names::called(circuit, id)),
        Move::Plug(id) => format!("{} unplugged", names::called(circuit, id)),
        Move::Key => "key cycled, waited".to_owned(),
        Move::Load(point) => {
            let there = step.before.attached.iter().any(|load| load.from == *point);
            let done = if there { "taken off" } else { "clipped on" };
            format!("known load {done} at {}", words::point(point))
        }
        Move::Read { kind, red, black } => {
            let reading = Reading {
                kind: *kind,
                black: black.clone(),
                ..Reading::volts(red.clone(), 0.0)
            };
            names::leads(&reading)
        }
        Move::Hint => "asked for a hint".to_owned(),
        Move::Open { site, metres, .. } => {
            let at = metres.map_or(String::new(), |metres| format!(" at {metres:.2} m"));
            format!("{} opened{at}", names::thing(site))
        }
        Move::HandOver => "handed over".to_owned(),
        Move::GiveUp => "given up".to_owned(),
    };
    let came = match session.read_at(step) {
        Some(reading) => names::shown(reading),
        None => outcome_words(&step.outcome),
    };
    (what, came)
}

fn outcome_words(outcome: &Outcome) -> String {
    match outcome {
        Outcome::Done | Outcome::GivenUp | Outcome::Read(_) => String::new(),
        Outcome::Hint(hint) => hint.words(),
        Outcome::Repaired => "there it is; repaired".to_owned(),
        Outcome::NothingThere => "nothing wrong there".to_owned(),
        Outcome::HandedOver {
            left: 0,
            proven: true,
        } => "nothing left in it, and proved".to_owned(),
        Outcome::HandedOver { left: 0, .. } => "nothing left in it, but not proved".to_owned(),
        Outcome::HandedOver { left: 1, .. } => "one fault is left in it".to_owned(),
        Outcome::HandedOver { left, .. } => format!("{left} faults are left in it"),
    }
}

/// How it stood for a reading, in words.
pub fn stood(state: &State) -> String {
    words::state(state)
}

/// What was hidden, and where, one line for each fault.
pub fn truth(session: &Session) -> Vec<String> {
    let exercise = session.exercise();
    let line = |fault: &crate::practice::Hidden| {
        let what = names::accusation(&fault.site, fault.kind);
        let wire = exercise.circuit.wire(&fault.site.part);
        let place = wire.map_or(String::new(), |wire| {
            let metres = fault.at * wire.length_or_assumed();
            format!(", {metres:.2} m from {}", names::end(&wire.from))
        });
        let ohms = match fault.kind {
            crate::fault::FaultKind::ShortToGround
            | crate::fault::FaultKind::HighResistance
            | crate::fault::FaultKind::DrawsTooMuch
            | crate::fault::FaultKind::SignalStuck => {
                format!(", {}", as_read(fault.size, Unit::Ohms))
            }
            _ => String::new(),
        };
        format!("{what}{place}{ohms}")
    };
    exercise.hidden.iter().map(line).collect()
}
