//! What stands in the way of an answer, or limits it: from the sketch, the log and the states.

use super::{Problem, Question, contradict::contradictions};
use crate::{
    circuit::check::check,
    infer::{
        lower::{Model, most_shown},
        unknown::{FOLLOWED, broad},
    },
    quantity::{Unit, format::as_read, units::as_volts},
    reading::{Entry, Kind, Value, rename::missing},
};

/// Lists problems; a fatal one means that nothing can be computed.
pub fn problems(question: &Question<'_>) -> Vec<Problem> {
    let mut found: Vec<Problem> = check(question.circuit)
        .into_iter()
        .map(Problem::from)
        .collect();
    if found.iter().any(|problem| problem.fatal) {
        return found;
    }
    let model = Model::new(question.circuit, question.meter, question.log, &[]);
    found.extend(left_out_of(question, &model));
    found.extend(impossible(question, model.most_volts));
    found.extend(live_ohms(question));
    found.extend(contradictions(question, &model));
    found
}

/// Lines of the log that are not used, or of which something is not counted; none on a sketch that cannot be computed.
pub fn left_out(question: &Question<'_>) -> Vec<Problem> {
    if check(question.circuit)
        .iter()
        .any(|complaint| complaint.fatal)
    {
        return Vec::new();
    }
    let model = Model::new(question.circuit, question.meter, question.log, &[]);
    left_out_of(question, &model)
}

fn left_out_of(question: &Question<'_>, model: &Model) -> Vec<Problem> {
    let mut found = Vec::new();
    for (entry, why) in &model.unusable {
        found.push(Problem {
            place: format!("log line {}", entry + 1),
            what: format!("this reading is not used: {why}"),
            remedy: "correct the line, or set it aside and read again".to_owned(),
            fatal: false,
        });
    }
    for (entry, line) in question.log.iter().enumerate() {
        let look = match line {
            Entry::Inspection(look) if !look.set_aside => look,
            _ => continue,
        };
        if let Some((what, remedy)) = look.trouble(question.circuit) {
            found.push(Problem {
                place: format!("log line {}", entry + 1),
                what,
                remedy: remedy.to_owned(),
                fatal: false,
            });
        }
    }
    for entry in broad(question.log) {
        found.push(Problem {
            place: format!("log line {}", entry + 1),
            what: format!(
                "more than {FOLLOWED} connectors of this log are not known; this reading is used with a broad allowance and says next to nothing"
            ),
            remedy: "note which were plugged, or read it again with that known".to_owned(),
            fatal: false,
        });
    }
    found.extend(not_drawn(question, model));
    found
}

/// Connectors of which nobody noted whether they were plugged, and how the readings would rather have them.
pub(super) fn worked_out(noted: &[Entry], likely: &[Entry]) -> Vec<Problem> {
    let mut found = Vec::new();
    for (index, pair) in noted.iter().zip(likely).enumerate() {
        let (Entry::Reading(noted), Entry::Reading(likely)) = pair else {
            continue;
        };
        if noted.set_aside || noted.state.unknown.is_empty() || !likely.state.unknown.is_empty() {
            continue;
        }
        let would: Vec<String> = (noted.state.unknown.iter())
            .map(|id| {
                let how = if likely.state.unplugged.contains(id) {
                    "unplugged"
                } else {
                    "plugged"
                };
                format!("{id} {how}")
            })
            .collect();
        found.push(Problem {
            place: format!("log line {}", index + 1),
            what: format!(
                "nobody noted how it stood; both ways are weighed, and the readings fit best with {}",
                would.join(", ")
            ),
            remedy: "note it if you know, or read it again with that known".to_owned(),
            fatal: false,
        });
    }
    found
}

/// What lines that are used name and the sketch does not have, and connectors that stand both ways in one line.
fn not_drawn(question: &Question<'_>, model: &Model) -> Vec<Problem> {
    let unusable = |entry: usize| model.unusable.iter().any(|(other, _)| *other == entry);
    let mut found: Vec<Problem> = (missing(question.circuit, question.log).into_iter())
        .filter(|missing| !unusable(missing.entry))
        .map(|missing| Problem {
            place: format!("log line {}", missing.entry + 1),
            what: format!(
                "{} is not on the sketch, and what the line says of it is not counted",
                missing.what
            ),
            remedy: "draw it, or correct the line".to_owned(),
            fatal: false,
        })
        .collect();
    for (index, entry) in question.log.iter().enumerate() {
        let Entry::Reading(reading) = entry else {
            continue;
        };
        let state = &reading.state;
        let both: Vec<&str> = (state.unplugged.intersection(&state.unknown))
            .map(String::as_str)
            .collect();
        if !both.is_empty() && !reading.set_aside {
            found.push(Problem {
                place: format!("log line {}", index + 1),
                what: format!(
                    "{} is noted as unplugged and as not known; it is taken as unplugged",
                    both.join(", ")
                ),
                remedy: "note it one way".to_owned(),
                fatal: false,
            });
        }
    }
    found
}

/// Ohms that were noted with the supply on: taken to have been read with it off, which is said.
fn live_ohms(question: &Question<'_>) -> impl Iterator<Item = Problem> {
    question
        .log
        .iter()
        .enumerate()
        .filter_map(|(index, entry)| {
            let Entry::Reading(reading) = entry else {
                return None;
            };
            let live =
                reading.kind == Kind::Ohms && !reading.state.supply_off && !reading.set_aside;
            live.then(|| Problem {
                place: format!("log line {}", index + 1),
                what: "ohms noted with the supply on; it is taken to have been off".to_owned(),
                remedy: "note the supply as off, or set the line aside if the circuit was live"
                    .to_owned(),
                fatal: false,
            })
        })
}

/// Readings that no circuit with these sources allows.
fn impossible(question: &Question<'_>, most_volts: f64) -> Vec<Problem> {
    let supplies = &question.circuit.supplies;
    let highest = supplies
        .iter()
        .map(|s| as_volts(s.nominal) * (1.0 + s.tolerance_percent / 100.0))
        .fold(most_volts, f64::max);
    let mut found = Vec::new();
    for (index, entry) in question.log.iter().enumerate() {
        let Entry::Reading(reading) = entry else {
            continue;
        };
        let Value::Exactly(value) = reading.value else {
            continue;
        };
        let problem = match reading.kind {
            Kind::Volts if value.abs() > most_shown(reading.kind) => None,
            Kind::Volts if value.abs() > 1.1 * highest => Some((
                format!(
                    "{} is more than any source on the sketch gives ({highest:.2} V)",
                    as_read(value, Unit::Volts)
                ),
                "check the unit, or draw the rail that the feed may be touching",
            )),
            _ => None,
        };
        if let Some((what, remedy)) = problem {
            found.push(Problem {
                place: format!("log line {}", index + 1),
                what,
                remedy: remedy.to_owned(),
                fatal: false,
            });
        }
    }
    found
}
