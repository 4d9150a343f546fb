//! One go at an exercise: moves that cost minutes, what each showed, and how it ended.

use serde::{Deserialize, Serialize};

use super::{Exercise, ExerciseError, World, belief, price};
use crate::{
    circuit::Point,
    diagnosis::{Question, diagnose},
    fault::{FaultKind, Site},
    quantity::units::as_volts,
    reading::{Entry, Kind, Reading, Repair, State, Value},
};

/// Minutes that a hint costs (judgement).
pub const HINT: f64 = 5.0;
/// Minutes to cycle the key and wait (common practice, no source).
pub const KEY: f64 = 2.0;
/// Metres of a wire that are opened on either side of a place that was named.
pub const WINDOW: f64 = 0.25;
/// A feed reads right within this share of nominal (common practice, no source: 4.75 to 5.25 V of 5 V).
const RIGHT: f64 = 0.05;

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
    },
    /// Hands the vehicle over.
    HandOver,
}

/// What came of a move.
#[derive(Clone, Debug, PartialEq)]
pub enum Outcome {
    /// Done, nothing to see.
    Done,
    /// The display showed this.
    Read(Value),
    /// A hint.
    Hint(belief::Proposal),
    /// Nothing more can be learned by tests: open up the likeliest place.
    OpenUp(Site),
    /// A fault was there and has been repaired.
    Repaired,
    /// Nothing was there.
    NothingThere,
    /// The vehicle was handed over.
    HandedOver {
        /// Faults that are left in it.
        left: usize,
        /// Whether a reading with everything plugged showed after the last repair that the feed is right.
        proven: bool,
    },
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
    /// No such part.
    #[error("{0} is not on this sketch; name a part that is drawn")]
    NoPart(String),
    /// A probe does not get there.
    #[error(
        "no probe gets at {0} without cutting or spoiling a seal; read at a neighbouring connector"
    )]
    OutOfReach(Point),
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
    #[error("the vehicle has been handed over; start another exercise")]
    Over,
}

/// A go at an exercise.
#[derive(Clone, Debug)]
pub struct Session {
    exercise: Exercise,
    world: World,
    log: Vec<Entry>,
    now: State,
    minutes: f64,
    steps: Vec<Step>,
}

impl Session {
    /// Starts an exercise.
    ///
    /// # Errors
    /// An exercise that cannot be done.
    pub fn start(exercise: Exercise) -> Result<Self, ExerciseError> {
        exercise.check()?;
        let world = World::draw(
            &exercise.circuit,
            &exercise.hidden,
            &exercise.meter,
            exercise.seed,
        )?;
        Ok(Self {
            log: exercise.given.clone(),
            exercise,
            world,
            now: State::default(),
            minutes: 0.0,
            steps: Vec::new(),
        })
    }

    /// The exercise.
    pub fn exercise(&self) -> &Exercise {
        &self.exercise
    }

    /// Readings and repairs so far.
    pub fn log(&self) -> &[Entry] {
        &self.log
    }

    /// How the circuit stands.
    pub fn now(&self) -> &State {
        &self.now
    }

    /// Minutes spent at the vehicle.
    pub fn minutes(&self) -> f64 {
        self.minutes
    }

    /// What was done, in order.
    pub fn steps(&self) -> &[Step] {
        &self.steps
    }

    /// Whether the vehicle has been handed over.
    pub fn is_over(&self) -> bool {
        let last = self.steps.last().map(|step| &step.outcome);
        matches!(last, Some(Outcome::HandedOver { .. }))
    }

    /// The vehicle, to look at when all is over.
    pub fn world(&self) -> &World {
        &self.world
    }

    /// What is known now, as a question to the engine.
    pub fn question(&self) -> Question<'_> {
        Question {
            circuit: &self.exercise.circuit,
            meter: &self.exercise.meter,
            log: &self.log,
            now: &self.now,
            out_of_reach: &super::EVERYTHING_IN_REACH,
        }
    }

    /// Makes a move.
    ///
    /// # Errors
    /// A move that cannot be made; nothing has changed and no minute has passed then.
    pub fn make(&mut self, done: Move) -> Result<&Outcome, MoveError> {
        if self.is_over() {
            return Err(MoveError::Over);
        }
        let (before, lines) = (self.now.clone(), self.log.len());
        let (outcome, minutes) = match &done {
            Move::Plug(id) => self.plug(id)?,
            Move::Key => {
                self.now.key_cycled = Some(true);
                (Outcome::Done, KEY)
            }
            Move::Load(point) => self.load(point)?,
            Move::Read { kind, red, black } => self.read(*kind, red, black)?,
            Move::Hint => (self.hint(), HINT),
            Move::Open { site, metres } => self.open(site, *metres)?,
            Move::HandOver => self.hand_over()?,
        };
        self.minutes += minutes;
        self.steps.push(Step {
            done,
            before,
            lines,
            minutes,
            outcome,
        });
        // The step has just been pushed.
        Ok(&self.steps[self.steps.len() - 1].outcome)
    }

    /// Minutes that reading would take now; none where no probe gets there.
    pub fn price_of(&self, kind: Kind, red: &Point, black: &Point) -> Option<f64> {
        let circuit = &self.exercise.circuit;
        let state = State {
            supply_off: kind == Kind::Ohms,
            ..self.now.clone()
        };
        let mut minutes =
            price::travel(circuit, &self.now, &state) + price::probe(circuit, red, &state)?;
        if kind == Kind::Amperes {
            minutes += price::IN_SERIES;
        } else if !black.is_battery_negative() && black.part != red.part {
            minutes += price::probe(circuit, black, &state)?;
        }
        Some(minutes)
    }

    fn plug(&mut self, id: &str) -> Result<(Outcome, f64), MoveError> {
        let circuit = &self.exercise.circuit;
        if !circuit.connectors.iter().any(|c| c.id == id) {
            return Err(MoveError::NoConnector(id.to_owned()));
        }
        if !self.exercise.allowed.unplugging {
            return Err(MoveError::NotAllowed("unplugging"));
        }
        let mut next = self.now.clone();
        if !next.unplugged.remove(id) {
            next.unplugged.insert(id.to_owned());
        }
        next.key_cycled = None;
        let minutes = price::travel(circuit, &self.now, &next);
        self.now = next;
        Ok((Outcome::Done, minutes))
    }

    fn load(&mut self, point: &Point) -> Result<(Outcome, f64), MoveError> {
        let circuit = &self.exercise.circuit;
        if let Some(at) = self
            .now
            .attached
            .iter()
            .position(|load| load.from == *point)
        {
            self.now.attached.remove(at);
            return Ok((Outcome::Done, price::CLIP_ON));
        }
        if !self.exercise.allowed.loads {
            return Err(MoveError::NotAllowed("clipping loads on"));
        }
        if !circuit.has_point(point) || point.is_battery_negative() {
            return Err(MoveError::NoPoint(point.clone()));
        }
        let reach = price::probe(circuit, point, &self.now);
        let reach = reach.ok_or_else(|| MoveError::OutOfReach(point.clone()))?;
        let load = self.exercise.known_load(point);
        self.now.attached.push(load);
        Ok((Outcome::Done, reach + price::CLIP_ON))
    }

    fn read(
        &mut self,
        kind: Kind,
        red: &Point,
        black: &Point,
    ) -> Result<(Outcome, f64), MoveError> {
        if !self.exercise.allowed.kind(kind) {
            return Err(MoveError::NotAllowed(match kind {
                Kind::Volts => "volts",
                Kind::Ohms => "ohms",
                Kind::Amperes | Kind::Clamp => "amperes",
                Kind::Lamp(_) => "lamps",
                Kind::Scan => "scans",
            }));
        }
        for point in [red, black] {
            if !self.exercise.circuit.has_point(point) {
                return Err(MoveError::NoPoint(point.clone()));
            }
        }
        let minutes = self.price_of(kind, red, black);
        let minutes = minutes.ok_or_else(|| MoveError::OutOfReach(red.clone()))?;
        let mut state = self.now.clone();
        state.supply_off = kind == Kind::Ohms;
        let value = self.world.measure(kind, red, black, &state)?;
        self.now.supply_off = state.supply_off;
        self.log.push(Entry::Reading(Reading {
            kind,
            black: black.clone(),
            value,
            state,
            ..Reading::volts(red.clone(), 0.0)
        }));
        Ok((Outcome::Read(value), minutes))
    }

    fn hint(&self) -> Outcome {
        let findings = diagnose(&self.question());
        let belief = belief::Belief::of(&self.exercise.circuit, &findings);
        let mut vehicles =
            belief::Vehicles::new(&belief, &self.exercise.circuit, &self.exercise.meter);
        let proposals =
            belief::proposals(&belief, &mut vehicles, &self.exercise, &self.now, &self.log);
        match belief::best(proposals) {
            Some(proposal) if belief.most() < belief::SURE => Outcome::Hint(proposal),
            _ => match findings.suspects.into_iter().next() {
                Some(suspect) => Outcome::OpenUp(suspect.site),
                None => Outcome::Done,
            },
        }
    }

    fn open(&mut self, site: &Site, metres: Option<f64>) -> Result<(Outcome, f64), MoveError> {
        let circuit = &self.exercise.circuit;
        if circuit.part(&site.part).is_none() {
            return Err(MoveError::NoPart(site.part.clone()));
        }
        let wire = circuit.wires.iter().find(|w| w.id == site.part);
        let length = wire.map_or(0.0, |w| w.length_or_assumed());
        let (mut share, mut window) = (1.0, None);
        if let (Some(_), Some(metres)) = (wire, metres) {
            if !(0.0..=length).contains(&metres) {
                return Err(MoveError::BeyondTheEnd {
                    wire: site.part.clone(),
                    length,
                });
            }
            let opened = (metres - WINDOW).max(0.0)..=(metres + WINDOW).min(length);
            share = (opened.end() - opened.start()) / length;
            window = Some(opened);
        }
        let there: Vec<Site> = (self.world.hidden().iter())
            .filter(|h| {
                let own =
                    h.site.part == site.part && (site.pin.is_none() || h.site.pin == site.pin);
                let touching = h.kind == FaultKind::ShortBetween
                    && h.site.with.as_deref() == Some(site.part.as_str());
                own || touching
            })
            .filter(|h| window.as_ref().is_none_or(|w| w.contains(&(h.at * length))))
            .map(|h| h.site.clone())
            .collect();
        // Something that is not drawn is traced from where it joins; the splice or module itself is sound.
        let kind = (self.world.hidden().iter())
            .find(|h| there.contains(&h.site))
            .map_or(FaultKind::ShortToGround, |h| h.kind);
        let minutes = price::open(circuit, site, kind, share);
        if there.is_empty() {
            return Ok((Outcome::NothingThere, minutes));
        }
        for site in &there {
            self.world.repair(site);
            self.log.push(Entry::Repair(Repair {
                part: site.part.clone(),
                replaced: false,
                note: String::new(),
            }));
        }
        self.now.key_cycled = None;
        Ok((Outcome::Repaired, minutes))
    }

    fn hand_over(&mut self) -> Result<(Outcome, f64), MoveError> {
        if let Some(id) = self.now.unplugged.first() {
            return Err(MoveError::StillUnplugged(id.clone()));
        }
        if let Some(load) = self.now.attached.first() {
            return Err(MoveError::StillClipped(load.from.clone()));
        }
        let repaired = (self.log.iter()).rposition(|entry| matches!(entry, Entry::Repair(_)));
        let nominal = as_volts(self.exercise.circuit.nominal_or_5());
        let proves = |entry: &Entry| {
            matches!(entry, Entry::Reading(reading)
                if reading.kind == Kind::Volts
                    && reading.state.unplugged.is_empty()
                    && reading.state.attached.is_empty()
                    && matches!(reading.value, Value::Exactly(v) if (v - nominal).abs() <= RIGHT * nominal))
        };
        let left = self.world.hidden().len();
        let proven = left == 0 && repaired.is_some_and(|at| self.log[at..].iter().any(proves));
        Ok((Outcome::HandedOver { left, proven }, 0.0))
    }
}
