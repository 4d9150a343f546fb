//! Practice: hidden faults in a simulated vehicle, to be found by test after test; then what each test was worth.
//!
//! A `drill` with a seed makes an `exercise`; `world` is the vehicle with its meter, solved by code of its own; a `session` takes
//! moves that cost minutes, with a `hint` where one is asked for; `debrief` looks back, and `progress` keeps the record.
//! `trainee` plays by itself, `path` follows the advice to the end, `calibration` counts how often answers were right.

pub mod belief;
pub mod calibration;
pub mod care;
pub mod debrief;
pub mod dice;
pub mod drill;
pub mod exercise;
pub mod hint;
mod moves;
pub mod path;
pub mod progress;
pub mod proof;
pub mod score;
pub mod session;
pub mod split;
pub mod trainee;
pub mod unfinished;
pub mod world;

use crate::advise::price;
pub use debrief::{Debrief, Flaw};
pub use dice::Dice;
pub use drill::{Drill, Level};
pub use exercise::{Allowed, Exercise, ExerciseError};
pub use hint::Hint;
pub use progress::{Done, Record};
pub use session::{Move, MoveError, Outcome, Session, Step};
pub use unfinished::Unfinished;
pub use world::{Hidden, HiddenError, MeasureError, World};

/// What cannot be reached in practice: nothing, as no panel of its vehicles stays on.
static EVERYTHING_IN_REACH: std::collections::BTreeSet<String> = std::collections::BTreeSet::new();
