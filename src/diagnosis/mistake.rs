//! How a reading that contradicts the others most likely went wrong: a slip of the unit, another plug state than was
//! noted, or no contact.

use std::collections::BTreeSet;

use super::{Mistake, Question};
use crate::{
    infer::{
        candidate::Candidate,
        lower::{Measured, Model},
        outlook::Outlook,
        search::Hypothesis,
        weigh::{SizePrior, Weigher},
    },
    reading::{Entry, Kind, Reading, State, Value},
};

/// Probability of a mistake from which it is asked what went wrong.
const DOUBTED: f64 = 0.5;
/// Standard deviations within which a value fits, and the least of them as a share of what is expected (judgement).
const FITS: f64 = 3.0;
const LEAST: f64 = 0.01;
/// Volts and amperes that an open lead shows at most: nothing for certain, and probably nothing (judgement).
const NOTHING: f64 = 0.003;
const NEXT_TO_NOTHING: f64 = 0.01;
/// Most connectors that are looked at the other way.
const CONNECTORS: usize = 48;
/// By how much a plug state that stands elsewhere in the log is likelier than one that does not, in connectors that
/// would have to be the other way (judgement).
const NOTED_ELSEWHERE: f64 = 0.5;

/// One for each measurement: what most likely happened, for those that are probably mistakes.
pub(super) fn mistakes(
    question: &Question<'_>,
    model: &Model,
    mistaken: &[f64],
    best: Option<(&Hypothesis, &[Candidate])>,
) -> Vec<Option<Mistake>> {
    let doubted: Vec<usize> = (0..model.measured.len())
        .filter(|&m| mistaken[m] > DOUBTED)
        .collect();
    let mut found = vec![None; model.measured.len()];
    if doubted.is_empty() {
        return found;
    }
    // Each doubted reading again, as it is noted and in every other state in which it may have been taken; beside it, since
    // what was repaired later was still there.
    let mut log = Vec::new();
    let mut place = Vec::with_capacity(question.log.len());
    let mut tries: Vec<(usize, Vec<Other>)> = Vec::new();
    for (index, entry) in question.log.iter().enumerate() {
        place.push(log.len());
        log.push(entry.clone());
        let doubt = doubted.iter().any(|&m| model.measured[m].entry == index);
        let Entry::Reading(reading) = entry else {
            continue;
        };
        if !doubt {
            continue;
        }
        let mut others = others(question, reading);
        others.insert(0, Other::as_noted(&reading.state));
        for other in &mut others {
            other.entry = log.len();
            log.push(Entry::Reading(Reading {
                state: other.state.clone(),
                ..reading.clone()
            }));
        }
        tries.push((index, others));
    }
    let wide = Model::new(question.circuit, question.meter, &log, &[]);
    // Where each measurement is among those.
    let moved: Vec<usize> = (wide.measured.iter().enumerate())
        .filter(|(_, measured)| place.contains(&measured.entry))
        .map(|(at, _)| at)
        .collect();
    let seen = best.and_then(|(hypothesis, list)| outlooks(&wide, &moved, hypothesis, list));
    for m in doubted {
        let entry = model.measured[m].entry;
        let (Entry::Reading(reading), Some((_, others))) = (
            &question.log[entry],
            tries.iter().find(|tried| tried.0 == entry),
        ) else {
            continue;
        };
        let expected = |other: &Other| {
            let place = wide.measured.iter().position(|w| w.entry == other.entry)?;
            seen.as_ref().map(|seen| seen[place])
        };
        found[m] = Some(
            latched_off(question, reading)
                .unwrap_or_else(|| guess(reading, &model.measured[m], others, expected)),
        );
    }
    found
}

/// A state in which a reading may have been taken.
struct Other {
    state: State,
    /// Connectors that are otherwise than noted.
    connectors: Vec<String>,
    /// The less, the likelier.
    price: f64,
    /// Index in the log that is tried.
    entry: usize,
}

impl Other {
    fn as_noted(state: &State) -> Self {
        Self {
            state: state.clone(),
            connectors: Vec::new(),
            price: 0.0,
            entry: 0,
        }
    }
}

/// The plug states that stand elsewhere in the log, and those that differ by one connector.
fn others(question: &Question<'_>, reading: &Reading) -> Vec<Other> {
    let noted = &reading.state.unplugged;
    let mut sets: Vec<(BTreeSet<String>, f64)> = Vec::new();
    let mut add = |set: BTreeSet<String>, bonus: f64| {
        if set != *noted && !sets.iter().any(|(other, _)| *other == set) {
            let price = set.symmetric_difference(noted).count() as f64 - bonus;
            sets.push((set, price));
        }
    };
    for entry in question.log {
        if let Some(other) = entry.used() {
            add(other.state.unplugged.clone(), NOTED_ELSEWHERE);
        }
    }
    for connector in question.circuit.connectors.iter().take(CONNECTORS) {
        add(reading.state.toggled(&connector.id).unplugged, 0.0);
    }
    sets.into_iter()
        .map(|(unplugged, price)| Other {
            connectors: unplugged.symmetric_difference(noted).cloned().collect(),
            state: State {
                unplugged,
                ..reading.state.clone()
            },
            price,
            entry: 0,
        })
        .collect()
}

/// What every measurement of a model is expected to be under a hypothesis, given the readings on which it rests; `moved` are
/// the measurements of the log among those of the model.
fn outlooks(
    wide: &Model,
    moved: &[usize],
    hypothesis: &Hypothesis,
    list: &[Candidate],
) -> Option<Vec<Outlook>> {
    let mut weigher = Weigher::new(wide);
    let free: Vec<Option<SizePrior>> = hypothesis.faults.iter().map(|&f| list[f].size).collect();
    let fit = &hypothesis.robust.best;
    weigher.predictor.bench.low = fit.low;
    let used: Option<Vec<usize>> = fit.used.iter().map(|&m| moved.get(m).copied()).collect();
    let fitted = weigher.fit(&fit.faults, &free, &used?, &fit.deviations)?;
    Some(weigher.after(&fitted, &free))
}

/// A reading of nothing where a supply latches: it was off. What the volts of other supplies are is another matter, so it
/// has to be the only one.
fn latched_off(question: &Question<'_>, reading: &Reading) -> Option<Mistake> {
    let [supply] = &question.circuit.supplies[..] else {
        return None;
    };
    let nothing = matches!(reading.value, Value::Exactly(value) if value.abs() < NOTHING);
    (supply.latches && reading.kind == Kind::Volts && nothing).then(|| Mistake::LatchedOff {
        supply: supply.id.clone(),
    })
}

fn guess(
    reading: &Reading,
    measured: &Measured,
    others: &[Other],
    expected: impl Fn(&Other) -> Option<Outlook>,
) -> Mistake {
    let Some(noted) = others.first().and_then(&expected) else {
        return Mistake::Unexplained;
    };
    let value = measured.value;
    let off = |would: f64, outlook: &Outlook| {
        let scale = outlook
            .sd
            .hypot(measured.sd)
            .max(LEAST * outlook.mean.abs());
        (would - outlook.mean).abs() / scale
    };
    if matches!(reading.value, Value::OverRange { .. }) {
        // A lead in the air shows OL on ohms; on volts it shows nothing.
        return if reading.kind == Kind::Ohms && noted.mean < value {
            Mistake::NoContact
        } else {
            Mistake::Unexplained
        };
    }
    if off(value * 1000.0, &noted) < FITS {
        return Mistake::UnitSlip {
            should_be: value * 1000.0,
        };
    }
    if value.abs() > 1.0 && off(value / 1000.0, &noted) < FITS {
        return Mistake::UnitSlip {
            should_be: value / 1000.0,
        };
    }
    let live = noted.mean.abs() > 5.0 * NEXT_TO_NOTHING && reading.kind != Kind::Ohms;
    if live && value.abs() < NOTHING {
        return Mistake::NoContact;
    }
    let fitting = others[1..].iter().filter_map(|other| {
        let off = off(value, &expected(other)?);
        (off < FITS).then_some((other.price, off, &other.connectors))
    });
    let likeliest = fitting.min_by(|a, b| {
        let price = a.0.total_cmp(&b.0);
        price.then(a.1.total_cmp(&b.1)).then(a.2.cmp(b.2))
    });
    match likeliest {
        Some((_, _, connectors)) => Mistake::PlugState {
            connectors: connectors.clone(),
        },
        None if live && value.abs() < NEXT_TO_NOTHING => Mistake::NoContact,
        None => Mistake::Unexplained,
    }
}
