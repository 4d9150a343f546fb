//! Drills: one skill each, with a short lesson, a worked example and exercises from a seed.

mod draw;
mod hide;
mod lesson;

use serde::{Deserialize, Serialize};

use super::{Dice, Exercise, ExerciseError};
use crate::{circuit::Circuit, reading::Meter};

/// A skill that is trained.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Drill {
    /// Halving a plain chain.
    SplitHalf,
    /// Branches of which some are likelier than others.
    UnequalOdds,
    /// Connectors of which some are quick to reach and some are not.
    AccessMinutes,
    /// Following a fall of millivolts along the wire.
    MillivoltTrail,
    /// Supplies that limit or fold back.
    LimitedSupply,
    /// Two faults at once.
    TwoFaults,
    /// Voltage that is there until something is drawn; corroded joints.
    GhostVoltage,
    /// A log in which one reading is wrong.
    WrongReading,
}

/// How hard it is made.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Level {
    /// The first hour.
    First,
    /// Everyday.
    Everyday,
    /// Hard.
    Hard,
}

impl Level {
    /// All levels, easiest first.
    pub const ALL: [Self; 3] = [Self::First, Self::Everyday, Self::Hard];

    /// 1 to 3.
    pub fn number(self) -> usize {
        self as usize + 1
    }

    /// The level of a number from 1 to 3.
    pub fn of(number: usize) -> Option<Self> {
        Self::ALL.get(number.checked_sub(1)?).copied()
    }

    /// What it is called.
    pub fn name(self) -> &'static str {
        match self {
            Self::First => "first hour",
            Self::Everyday => "everyday",
            Self::Hard => "hard",
        }
    }
}

/// Tries before a circuit is found to have no place for a drill.
const TRIES: usize = 24;

impl Drill {
    /// All drills, in the order in which they are best learned.
    pub const ALL: [Self; 8] = [
        Self::SplitHalf,
        Self::UnequalOdds,
        Self::AccessMinutes,
        Self::MillivoltTrail,
        Self::LimitedSupply,
        Self::TwoFaults,
        Self::GhostVoltage,
        Self::WrongReading,
    ];

    /// Its name as it is typed.
    pub fn key(self) -> &'static str {
        match self {
            Self::SplitHalf => "split-half",
            Self::UnequalOdds => "unequal-odds",
            Self::AccessMinutes => "access-minutes",
            Self::MillivoltTrail => "millivolt-trail",
            Self::LimitedSupply => "limited-supply",
            Self::TwoFaults => "two-faults",
            Self::GhostVoltage => "ghost-voltage",
            Self::WrongReading => "wrong-reading",
        }
    }

    /// The drill of a name as it is typed.
    pub fn of(key: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|drill| drill.key() == key)
    }

    /// Its name as it is read.
    pub fn name(self) -> &'static str {
        match self {
            Self::SplitHalf => "Split a plain chain in half",
            Self::UnequalOdds => "Branches with unequal odds",
            Self::AccessMinutes => "Quick and slow connectors",
            Self::MillivoltTrail => "The millivolt trail",
            Self::LimitedSupply => "Supplies that limit and fold back",
            Self::TwoFaults => "Two faults at once",
            Self::GhostVoltage => "Ghost voltage and corroded joints",
            Self::WrongReading => "One reading is wrong",
        }
    }

    /// What there is to know, in plain words.
    pub fn lesson(self) -> &'static str {
        lesson::lesson(self)
    }

    /// A case worked through with numbers.
    pub fn example(self) -> &'static str {
        lesson::example(self)
    }

    /// An exercise on an invented vehicle. The same seed gives the same exercise, on every machine.
    pub fn exercise(self, level: Level, seed: u64) -> Exercise {
        let dice = Dice::new(seed).fork(self.key());
        let mut last = None;
        for attempt in 0..TRIES {
            let mut dice = dice.fork(&format!("{} {attempt}", level.number()));
            let circuit = draw::circuit(self, level, &mut dice);
            if let Ok(mut exercise) = self.hide_in(&circuit, &Meter::default(), level, &mut dice) {
                exercise.story = draw::story(self, &exercise.circuit, &mut dice);
                if exercise.check().is_ok() {
                    return exercise;
                }
                last = Some(exercise);
            }
        }
        // The generators make circuits with a place for their drill; `tests/practice/drills.rs` holds them to it.
        last.unwrap_or_else(|| Exercise {
            title: self.name().to_owned(),
            story: String::new(),
            circuit: Circuit::default(),
            meter: Meter::default(),
            hidden: Vec::new(),
            seed,
            given: Vec::new(),
            allowed: super::Allowed::default(),
        })
    }

    /// An exercise on a given circuit: a sample, an own one, one from a past job.
    ///
    /// # Errors
    /// A sketch that cannot be computed, or that has no place for the fault which the drill is about.
    pub fn exercise_on(
        self,
        circuit: &Circuit,
        meter: &Meter,
        level: Level,
        seed: u64,
    ) -> Result<Exercise, ExerciseError> {
        let dice = Dice::new(seed).fork(self.key());
        let mut why = ExerciseError::NoPlace("nothing in it can be hidden".to_owned());
        for attempt in 0..TRIES {
            let mut dice = dice.fork(&format!("on {} {attempt}", level.number()));
            match self.hide_in(circuit, meter, level, &mut dice) {
                Err(error @ (ExerciseError::Sketch { .. } | ExerciseError::NoPlace(_))) => {
                    return Err(error);
                }
                Err(error) => why = error,
                Ok(exercise) => match exercise.check() {
                    Ok(()) => return Ok(exercise),
                    Err(error @ ExerciseError::Sketch { .. }) => return Err(error),
                    Err(error) => why = error,
                },
            }
        }
        Err(why)
    }

    fn hide_in(
        self,
        circuit: &Circuit,
        meter: &Meter,
        level: Level,
        dice: &mut Dice,
    ) -> Result<Exercise, ExerciseError> {
        let mut circuit = circuit.clone();
        hide::prepare(self, level, &mut circuit, dice);
        let hidden = hide::faults(self, level, &circuit, dice)?;
        let mut exercise = Exercise {
            title: self.name().to_owned(),
            story: String::new(),
            circuit,
            meter: meter.clone(),
            hidden,
            seed: dice.bits(),
            given: Vec::new(),
            allowed: hide::allowed(self, level),
        };
        match self {
            Self::WrongReading => exercise.given = hide::given(&exercise, dice)?,
            Self::SplitHalf if hide::is_plain_chain(&exercise.circuit) => {
                exercise.given = hide::brackets(&exercise)?;
            }
            _ => {}
        }
        Ok(exercise)
    }
}
