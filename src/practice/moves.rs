//! What a trainee can do, what comes of it, and why it cannot be done.

use serde::{Deserialize, Serialize};

use super::hint::Hint;
use crate::{
    circuit::Point,
    fault::Site,
    reading::{Kind, State, Value},
};

/// Something that a trainee does.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub enum Move {
    /// Parts a connector, or mates it again.
    Plug(String),
    /// Cycles the key and waits.
    Key,
    /// Clips a known load on between a point and battery negative, or takes it off again.
    Load(Point),
    /// Reads the meter. Ohms switch the supply off, everything else switches it on.
    Read {
        /// What is read.
        kind: Kind,
        /// Where the red lead is.
        red: Point,
        /// Where the black lead is.
        black: Point,
    },
    /// Asks what to do next.
    Hint,
    /// Opens a place up, to repair what is there.
    Open {
        /// The thing.
        site: Site,
        /// Metres along a wire from its `from` end; the whole wire is opened when left out.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        metres: Option<f64>,
        /// Metres that are opened on either side of it; a quarter when left out.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        reach: Option<f64>,
    },
    /// Hands the vehicle over.
    HandOver,
    /// Gives up: nothing is handed over, and what was hidden is shown.
    GiveUp,
}

/// What came of a move.
#[derive(Clone, Debug, PartialEq)]
pub enum Outcome {
    /// Done, nothing to see.
    Done,
    /// The display showed this.
    Read(Value),
    /// A hint.
    Hint(Hint),
    /// A fault was there and has been repaired.
    Repaired,
    /// Nothing was there.
    NothingThere,
    /// The vehicle was handed over.
    HandedOver {
        /// Faults that are left in it.
        left: usize,
        /// Whether readings with everything plugged have shown right since the last repair what the faults made wrong.
        proven: bool,
    },
    /// Given up.
    GivenUp,
}

/// A move with its cost.
#[derive(Clone, Debug, PartialEq)]
pub struct Step {
    /// What was done.
    pub done: Move,
    /// State before it.
    pub before: State,
    /// Lines of the log before it.
    pub lines: usize,
    /// Minutes it took.
    pub minutes: f64,
    /// What came of it.
    pub outcome: Outcome,
}

/// Why a move cannot be made.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum MoveError {
    /// No connector of that name.
    #[error("{0} is no connector of this sketch; name one that is drawn")]
    NoConnector(String),
    /// No such point.
    #[error("{0} is not on this sketch; name a point that is drawn, such as M1.feed or C1.1f")]
    NoPoint(Point),
    /// A load from battery negative to itself.
    #[error("a load hangs between a point and battery negative; name the other point")]
    LoadOnNegative,
    /// No such part.
    #[error("{0} is not on this sketch; name a part that is drawn")]
    NoPart(String),
    /// No such pin.
    #[error("{part} has no pin {pin}; {remedy}")]
    NoPin {
        /// The part.
        part: String,
        /// The pin.
        pin: u8,
        /// What to name instead.
        remedy: String,
    },
    /// A hint that is no longer wanted.
    #[error("the hint was called off; no minute has passed")]
    CalledOff,
    /// A probe does not get there.
    #[error(
        "no probe gets at {0} without cutting or spoiling a seal; read at a neighbouring connector"
    )]
    OutOfReach(Point),
    /// Only what is fed can answer on the scan.
    #[error("nothing at {0} could answer on the scan; name what is fed, by itself or by its feed")]
    NothingAnswers(Point),
    /// Not allowed in this exercise.
    #[error("this exercise is done without {0}; try another kind of test")]
    NotAllowed(&'static str),
    /// The meter cannot do it.
    #[error("{0}")]
    Measure(#[from] super::MeasureError),
    /// A place beyond the end of the wire.
    #[error("{wire} is {length:.2} m long; give a place from 0 to that")]
    BeyondTheEnd {
        /// The wire.
        wire: String,
        /// Its metres.
        length: f64,
    },
    /// Something is still parted.
    #[error("{0} is still unplugged; plug it in before the vehicle goes")]
    StillUnplugged(String),
    /// A known load still hangs at a point.
    #[error("the known load still hangs at {0}; take it off before the vehicle goes")]
    StillClipped(Point),
    /// The session is over.
    #[error("this exercise is over; start another one")]
    Over,
}
