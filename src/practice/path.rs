//! The advisor's path: the engine's own advice, followed to the end on the same vehicle.

use super::{
    Exercise, ExerciseError, Move, Outcome, Session, belief::Belief, debrief::Tell, hint::Hint,
    proof::quickest,
};
use crate::{
    circuit::Point,
    diagnosis::diagnose_while,
    explain::names,
    quantity::format::clock,
    reading::{Kind, State},
};

/// Steps after which the path ends, found or not (judgement).
const MOST_STEPS: usize = 40;
/// Steps that a path is taken to have while it is told how far it has come.
const USUAL_STEPS: f32 = 9.0;

/// One step of a path.
#[derive(Clone, Debug, PartialEq)]
pub struct Stride {
    /// What was done, in words.
    pub words: String,
    /// Minutes on the clock after it.
    pub minutes: f64,
    /// Bits of doubt about the place before it.
    pub bits: f64,
    /// How the circuit stood for it.
    pub state: State,
    /// Whether something was read, so that it matters how the circuit stood.
    pub reads: bool,
}

impl Stride {
    /// What was done, how the circuit stood where something was read, and the minutes on the clock after it, in one line.
    pub fn line(&self) -> String {
        let (words, clock) = (&self.words, clock(self.minutes));
        let state = if self.reads {
            format!(", with {}", names::state(&self.state))
        } else {
            String::new()
        };
        format!("{words}{state} ({clock} on the clock)")
    }
}

/// A path with what it took.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Path {
    /// Its steps, the proof last.
    pub steps: Vec<Stride>,
    /// Minutes of the whole, proof included.
    pub minutes: f64,
    /// Readings taken, proof included.
    pub tests: usize,
    /// Whether every fault was found.
    pub found: bool,
}

/// Follows the advice until every fault is found, then proves it as a trainee has to.
/// Cost: one whole answer of the engine for each step.
///
/// # Errors
/// An exercise that cannot be done, or `tell` answered no.
pub fn follow(exercise: &Exercise, tell: &Tell<'_>) -> Result<Path, ExerciseError> {
    let mut session = Session::start(exercise.clone())?;
    let mut path = Path::default();
    while !session.world().hidden().is_empty() && path.steps.len() < MOST_STEPS {
        let share = (path.steps.len() as f32 / USUAL_STEPS).min(0.95);
        let question = session.question();
        let findings = diagnose_while(&question, &|| tell(share));
        if !tell(share) {
            return Err(ExerciseError::CalledOff);
        }
        let hint = Hint::of(exercise, &question, &findings);
        let bits = Belief::of(&exercise.circuit, &findings).bits();
        let done = match &hint {
            Hint::Test { test, .. } => session.follow(test).is_ok(),
            Hint::Open { opening, .. } => session.follow_opening(opening).is_ok(),
            Hint::Stop | Hint::Nothing => false,
        };
        if !done {
            break;
        }
        path.steps.push(Stride {
            words: hint.words(),
            minutes: session.minutes(),
            bits,
            state: session.now().clone(),
            reads: hint.test().is_some(),
        });
    }
    path.found = session.world().hidden().is_empty();
    if path.found && prove(&mut session) {
        path.steps.push(Stride {
            words: proof_words(&session),
            minutes: session.minutes(),
            bits: 0.0,
            state: session.now().clone(),
            reads: true,
        });
    }
    let read = |done: &Move| matches!(done, Move::Read { .. });
    path.tests = session.steps().iter().filter(|s| read(&s.done)).count();
    path.minutes = session.minutes();
    Ok(path)
}

/// Mates everything and reads where it takes least what the faults would have spoilt; says whether it did. What cannot be
/// done is left out: the minutes of a path are there to compare with, and the fault has been found.
pub fn prove(session: &mut Session) -> bool {
    let mated = session.moves_to(&State::default());
    if !(mated.into_iter()).all(|done| session.make(done).is_ok()) {
        return false;
    }
    let looks = quickest(session);
    !looks.is_empty()
        && looks.into_iter().all(|(kind, red)| {
            let black = Point::battery_negative();
            session.make(Move::Read { kind, red, black }).is_ok()
        })
}

/// What [`prove`] has read: the readings since the last repair.
fn proof_words(session: &Session) -> String {
    let since = session.steps().iter().rev();
    let mut read: Vec<String> = since
        .take_while(|step| step.outcome != Outcome::Repaired)
        .filter_map(|step| session.read_at(step))
        .map(|reading| {
            let what = match reading.kind {
                Kind::Ohms => "ohms",
                Kind::Amperes | Kind::Clamp => "amperes",
                Kind::Volts | Kind::Lamp(_) | Kind::Scan => "volts",
            };
            format!("{what} at {}", names::point(&reading.red))
        })
        .collect();
    read.reverse();
    format!("prove it: {}", names::list(&read, "and"))
}
