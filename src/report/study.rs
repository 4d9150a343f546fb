//! What a report needs computed: the findings before the last repair, where the fault was, and those of now.

use crate::{
    diagnosis::{Findings, Question, diagnose},
    notebook::Job,
    reading::{Entry, Meter, State},
};

/// The findings that a report tells of.
#[derive(Clone, Debug, PartialEq)]
pub struct Study {
    /// With the log as it stood before the first repair; none where nothing was repaired.
    pub before: Option<Findings>,
    /// The state in which the fault is shown: the one in which most was read before the repair.
    pub shown_in: State,
    /// Lines of the log before the first repair; all of them where nothing was repaired.
    pub fault_lines: usize,
    /// With the whole log.
    pub now: Findings,
}

/// Computes what a report needs. Takes as long as two answers.
pub fn study(job: &Job) -> Study {
    let repair = job.log.iter().position(|e| matches!(e, Entry::Repair(_)));
    let fault_lines = repair.unwrap_or(job.log.len());
    let shown_in = shown_in(&job.log[..fault_lines]);
    let question = Question {
        log: &job.log[..fault_lines],
        now: &shown_in,
        ..job.question()
    };
    Study {
        before: repair.map(|_| diagnose(&question)),
        shown_in,
        fault_lines,
        now: diagnose(&job.question()),
    }
}

impl Study {
    /// The findings that tell of the fault: before the repair where there was one, else those of now.
    pub fn of_fault(&self) -> &Findings {
        self.before.as_ref().unwrap_or(&self.now)
    }

    /// The question to which [`Study::of_fault`] is the answer.
    pub fn fault_question<'a>(&'a self, job: &'a Job) -> Question<'a> {
        match &self.before {
            Some(_) => Question {
                log: &job.log[..self.fault_lines],
                now: &self.shown_in,
                ..job.question()
            },
            None => job.question(),
        }
    }
}

/// The state in which most readings were taken, the first of equals; everything plugged where there are none.
fn shown_in(log: &[Entry]) -> State {
    let mut states: Vec<(&State, usize)> = Vec::new();
    for entry in log {
        let Entry::Reading(reading) = entry else {
            continue;
        };
        if reading.set_aside || reading.state.supply_off || !reading.state.unknown.is_empty() {
            continue;
        }
        match states
            .iter_mut()
            .find(|(s, _)| s.stands_alike(&reading.state))
        {
            Some((_, count)) => *count += 1,
            None => states.push((&reading.state, 1)),
        }
    }
    let most = states.iter().map(|(_, count)| *count).max();
    let found = states.iter().find(|(_, count)| Some(*count) == most);
    found.map_or_else(State::default, |(state, _)| (*state).clone())
}

/// The accuracy of a meter in words: `±(0.5 % + 2 counts), 10 MΩ`.
pub fn meter_words(meter: &Meter) -> String {
    use crate::quantity::{Unit, format::as_read, units::as_ohms};
    let name = if meter.name.is_empty() {
        String::new()
    } else {
        format!("{}, ", meter.name)
    };
    format!(
        "{name}±({} % + {} counts) on DC volts, {} input",
        meter.percent,
        meter.counts,
        as_read(as_ohms(meter.input), Unit::Ohms)
    )
}
