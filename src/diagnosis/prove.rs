//! After a repair the next test is what proves it, or what reads wrong since, before anything else is opened.

use super::{Findings, Question, proof::SinceRepair};
use crate::{
    advise::{Advice, Asked, Best, Purpose, Test, moves, price},
    reading::{Entry, Kind, State},
};

/// Puts what is to be read after a repair before all other advice.
pub(super) fn first(question: &Question<'_>, findings: &mut Findings) {
    let Some(left) = findings.since_repair() else {
        return;
    };
    let log = question.log;
    let asked = |kind, red: &_, black: &_| Asked::Read {
        kind,
        red: Clone::clone(red),
        black: Clone::clone(black),
    };
    let (asked, state) = match left {
        SinceRepair::Proved => {
            findings.next.best = Best::Stop;
            return;
        }
        SinceRepair::NotRead => {
            let checks = (findings.proof.as_ref()).and_then(|proof| proof.first_unread());
            let Some(check) = checks else { return };
            (
                asked(check.kind, &check.red, &check.black),
                check.state.clone(),
            )
        }
        SinceRepair::Unfinished(check) => (
            asked(check.kind, &check.red, &check.black),
            check.state.clone(),
        ),
        // The same again tells a mistake from a fault; a second wrong one is left to the advice.
        SinceRepair::StillWrong(wrong) if wrong.times == 1 => {
            let Some(Entry::Reading(reading)) = log.get(wrong.entry) else {
                return;
            };
            let state = State {
                key_cycled: None,
                ..reading.state.clone()
            };
            (asked(reading.kind, &reading.red, &reading.black), state)
        }
        SinceRepair::StillWrong(_) => return,
    };
    if let Some(test) = test(question, &findings.next, asked, state) {
        let next = &mut findings.next;
        next.tests
            .retain(|other| (&other.asked, &other.state) != (&test.asked, &test.state));
        next.tests.insert(0, test);
        next.best = Best::Test;
    }
}

/// A reading that is asked for although nobody can say how much it tells; none where nothing gets at it.
fn test(question: &Question<'_>, next: &Advice, asked: Asked, state: State) -> Option<Test> {
    let Asked::Read { kind, red, black } = &asked else {
        return None;
    };
    let out = question.out_of_reach;
    if out.contains(&red.part) || out.contains(&black.part) {
        return None;
    }
    let circuit = question.circuit;
    let now = question.now;
    let state = State {
        supply_off: state.supply_off || *kind == Kind::Ohms,
        ..state
    };
    let minutes = price::whole(circuit, *kind, red, black, now, &state)?;
    Some(Test {
        purpose: Purpose::Proves,
        moves: moves(now, &state, *kind),
        asked,
        state,
        minutes,
        bits: 0.0,
        bits_per_minute: 0.0,
        expected_minutes: minutes + next.opening_minutes,
        outcomes: Vec::new(),
    })
}
