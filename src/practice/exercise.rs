//! An exercise: a circuit with something wrong in it, a story, and what may be tested. One file can hold it.

use serde::{Deserialize, Serialize};

use super::{Hidden, HiddenError, World, price};
use crate::{
    advise::sights::known_load,
    circuit::{Circuit, Point, Terminal, check},
    reading::{Entry, Kind, Meter, State, Value},
};

/// Most faults that an exercise hides.
pub const MOST_FAULTS: usize = 3;

/// Tests that a trainee may do.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Allowed {
    /// Reading volts.
    pub volts: bool,
    /// Reading ohms, the supply being off.
    pub ohms: bool,
    /// Reading amperes by clamp.
    pub amperes: bool,
    /// Parting connectors.
    pub unplugging: bool,
    /// Clipping known loads on.
    pub loads: bool,
}

impl Default for Allowed {
    /// Everything.
    fn default() -> Self {
        Self {
            volts: true,
            ohms: true,
            amperes: true,
            unplugging: true,
            loads: true,
        }
    }
}

impl Allowed {
    /// Whether readings of a kind may be taken.
    pub fn kind(&self, kind: Kind) -> bool {
        match kind {
            // A lamp and a scan say less of the same volts.
            Kind::Volts | Kind::Lamp(_) | Kind::Scan => self.volts,
            Kind::Ohms => self.ohms,
            Kind::Amperes | Kind::Clamp => self.amperes,
        }
    }
}

/// A vehicle to practise on.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Exercise {
    /// What it is called.
    pub title: String,
    /// What the customer says.
    #[serde(default)]
    pub story: String,
    /// The sketch.
    pub circuit: Circuit,
    /// The meter.
    #[serde(default)]
    pub meter: Meter,
    /// What is wrong.
    pub hidden: Vec<Hidden>,
    /// From which the parts' true values and the meter's errors are drawn.
    #[serde(default)]
    pub seed: u64,
    /// Readings that somebody has taken before, and not all of which need be right.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub given: Vec<Entry>,
    /// What may be tested.
    #[serde(default)]
    pub allowed: Allowed,
}

/// Why an exercise cannot be done.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum ExerciseError {
    /// The sketch has a fault of its own.
    #[error("{part}: {what}; {remedy}")]
    Sketch {
        /// Part it points at.
        part: String,
        /// What is wrong with the sketch.
        what: String,
        /// What to do.
        remedy: String,
    },
    /// A fault that the circuit cannot have.
    #[error("{0}")]
    Fault(#[from] HiddenError),
    /// Nothing or too much is hidden.
    #[error("{0} faults are hidden; hide one to {MOST_FAULTS}")]
    Faults(usize),
    /// Every kind of test is forbidden.
    #[error("no kind of reading is allowed, so nothing can be found; allow volts at least")]
    NothingAllowed,
    /// No allowed test looks different from what it would be without the fault.
    #[error(
        "{0} shows in no test that is allowed; allow more kinds of test, or hide something larger"
    )]
    Invisible(String),
    /// The circuit has no place for the fault that the drill is about.
    #[error("this circuit cannot be drilled so: {0}")]
    NoPlace(String),
    /// Whoever asked does not want to know any more.
    #[error("looking back was called off; start it again")]
    CalledOff,
}

/// The circuit of a job with nothing left that tells whose it was: what is written about damage goes, how much likelier it
/// makes a fault stays. Title, vehicle, shop, request, notes, record and readings are no part of a circuit to begin with.
#[must_use]
pub fn anonymous(circuit: &Circuit) -> Circuit {
    let mut circuit = circuit.clone();
    for zone in &mut circuit.damage_zones {
        zone.note = "damage seen here".to_owned();
    }
    circuit
}

impl Exercise {
    /// Whether it can be done: the sketch is sound, the faults can be there, and each of them shows in some test.
    ///
    /// # Errors
    /// The first reason why not.
    pub fn check(&self) -> Result<(), ExerciseError> {
        if let Some(complaint) = check(&self.circuit).into_iter().find(|c| c.fatal) {
            return Err(ExerciseError::Sketch {
                part: complaint.part,
                what: complaint.what,
                remedy: complaint.remedy,
            });
        }
        if !(1..=MOST_FAULTS).contains(&self.hidden.len()) {
            return Err(ExerciseError::Faults(self.hidden.len()));
        }
        for fault in &self.hidden {
            fault.check(&self.circuit)?;
        }
        if !(self.allowed.volts || self.allowed.ohms || self.allowed.amperes) {
            return Err(ExerciseError::NothingAllowed);
        }
        for fault in &self.hidden {
            if !self.shows(fault)? {
                return Err(ExerciseError::Invisible(fault.site.to_string()));
            }
        }
        Ok(())
    }

    /// Whether some allowed test reads differently with a fault than without, by more than the meter's band and what
    /// parts stray: volts everywhere with everything plugged and with each connector parted, volts with a known load
    /// clipped on, ohms and amperes from the modules.
    fn shows(&self, fault: &Hidden) -> Result<bool, HiddenError> {
        let mut with = World::exact(&self.circuit, std::slice::from_ref(fault), &self.meter)?;
        let mut without = World::exact(&self.circuit, &[], &self.meter)?;
        let ground = Point::battery_negative();
        let feeds: Vec<Point> = (self.circuit.supplies.iter())
            .map(|supply| Point::new(&supply.id, Terminal::Feed(1)))
            .collect();
        for state in self.states() {
            let points: Vec<Point> = (self.circuit.points().into_iter())
                .filter(|point| price::probe(&self.circuit, point, &state).is_some())
                .collect();
            if self.allowed.volts {
                let (a, b) = (
                    with.survey(&points, &state),
                    without.survey(&points, &state),
                );
                if a.into_iter().zip(b).any(|(a, b)| self.differ(a, b)) {
                    return Ok(true);
                }
            }
            let mut looks: Vec<(Kind, &Point, State)> = Vec::new();
            for feed in &feeds {
                looks.extend(self.allowed.ohms.then(|| (Kind::Ohms, feed, state.clone())));
                looks.extend((self.allowed.amperes).then(|| (Kind::Amperes, feed, state.clone())));
            }
            if self.allowed.volts && self.allowed.loads && state.unplugged.is_empty() {
                for point in &points {
                    let mut loaded = state.clone();
                    loaded.attached.push(known_load(&self.circuit, point));
                    looks.push((Kind::Volts, point, loaded));
                }
            }
            for (kind, red, state) in looks {
                let a = with.measure(kind, red, &ground, &state).ok();
                let b = without.measure(kind, red, &ground, &state).ok();
                if self.differ(a, b) {
                    return Ok(true);
                }
            }
        }
        Ok(false)
    }

    fn differ(&self, a: Option<Value>, b: Option<Value>) -> bool {
        match (a, b) {
            (Some(Value::Exactly(a)), Some(Value::Exactly(b))) => {
                (a - b).abs() > 2.0 * self.meter.band(b) + 0.005 * b.abs()
            }
            (a, b) => a != b,
        }
    }

    /// Everything plugged, and each connector parted by itself.
    fn states(&self) -> Vec<State> {
        let mut states = vec![State::default()];
        if self.allowed.unplugging {
            states.extend(self.circuit.connectors.iter().map(|c| State {
                unplugged: [c.id.clone()].into(),
                ..State::default()
            }));
        }
        states
    }
}
