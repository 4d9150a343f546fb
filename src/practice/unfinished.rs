//! A session that is not finished, as facts only: the exercise and what was done. Doing it again from the seed shows the same.

use serde::{Deserialize, Serialize};

use super::{Drill, Exercise, ExerciseError, Level, Move, MoveError, Session};

/// A session to go on with.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Unfinished {
    /// The exercise.
    pub exercise: Exercise,
    /// The skill; none for an exercise that a trainer made.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub drill: Option<Drill>,
    /// How hard it is.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub level: Option<Level>,
    /// The seed that gives the same again.
    pub seed: u64,
    /// Who practises; empty where nobody gave a name.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub trainee: String,
    /// What was done, in order.
    pub moves: Vec<Move>,
}

/// Why a session cannot be gone on with.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum TakeUpError {
    /// Its exercise cannot be done.
    #[error("{0}")]
    Exercise(#[from] ExerciseError),
    /// A step that this program does not do.
    #[error("step {number} of the session cannot be done again: {why}")]
    Step {
        /// Which, from 1.
        number: usize,
        /// Why not.
        why: MoveError,
    },
}

impl Unfinished {
    /// What is to be kept of a session.
    pub fn of(session: &Session, aim: Option<(Drill, Level)>, seed: u64, trainee: &str) -> Self {
        let steps = session.steps().iter();
        Self {
            exercise: session.exercise().clone(),
            drill: aim.map(|(drill, _)| drill),
            level: aim.map(|(_, level)| level),
            seed,
            trainee: trainee.to_owned(),
            moves: steps.map(|step| step.done.clone()).collect(),
        }
    }

    /// Skill and level, where it is a drill.
    pub fn aim(&self) -> Option<(Drill, Level)> {
        self.drill.zip(self.level)
    }

    /// The session as it stood, for as long as `go_on` answers yes. Cost: a whole answer of the engine for each hint in it.
    ///
    /// # Errors
    /// An exercise that cannot be done, a step that cannot be made, or `go_on` answered no.
    pub fn take_up(&self, go_on: &dyn Fn() -> bool) -> Result<Session, TakeUpError> {
        let mut session = Session::start(self.exercise.clone())?;
        for (number, done) in (1..).zip(&self.moves) {
            session
                .make_while(done.clone(), go_on)
                .map_err(|why| TakeUpError::Step { number, why })?;
        }
        Ok(session)
    }
}
