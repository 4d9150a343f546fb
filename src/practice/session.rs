//! One go at an exercise: moves that cost minutes, what each showed, and how it ended.

pub use super::moves::{Move, MoveError, Outcome, Step};
use super::{Exercise, ExerciseError, World, hint::Hint, price, proof::is_proven};
use crate::{
    advise::{Asked, Opening, Test, sights::known_load},
    circuit::Point,
    diagnosis::{Question, diagnose_while},
    fault::{FaultKind, Site},
    reading::{Entry, Inspection, Kind, Reading, Repair, State},
};

/// Minutes that a hint costs (judgement).
pub const HINT: f64 = 5.0;
/// Minutes to cycle the key and wait (common practice, no source).
pub const KEY: f64 = 2.0;
/// Metres of a wire that are opened on either side of a place that was named (judgement).
pub const WINDOW: f64 = 0.25;

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

    /// Readings, repairs and what was opened in vain so far.
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

    /// What a step read, as it stands in the log.
    pub fn read_at(&self, step: &Step) -> Option<&Reading> {
        match self.log.get(step.lines) {
            Some(Entry::Reading(reading)) if matches!(step.done, Move::Read { .. }) => {
                Some(reading)
            }
            _ => None,
        }
    }

    /// Whether the vehicle has been handed over or given up.
    pub fn is_over(&self) -> bool {
        let last = self.steps.last().map(|step| &step.outcome);
        matches!(last, Some(Outcome::HandedOver { .. } | Outcome::GivenUp))
    }

    /// Whether the vehicle has been handed over.
    pub fn is_handed_over(&self) -> bool {
        let last = self.steps.last().map(|step| &step.outcome);
        matches!(last, Some(Outcome::HandedOver { .. }))
    }

    /// The piece of a wire that is opened around a place.
    fn window(&self, wire: &str, at: f64, reach: f64) -> (f64, f64) {
        let wire = self.exercise.circuit.wire(wire);
        let length = wire.map_or(0.0, |wire| wire.length_or_assumed());
        ((at - reach).max(0.0), (at + reach).min(length))
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
        self.make_while(done, &|| true)
    }

    /// Makes a move; a hint, which takes a whole answer of the engine, for as long as `go_on` answers yes.
    ///
    /// # Errors
    /// As [`Session::make`].
    pub fn make_while(
        &mut self,
        done: Move,
        go_on: &dyn Fn() -> bool,
    ) -> Result<&Outcome, MoveError> {
        if self.is_over() {
            return Err(MoveError::Over);
        }
        let done = self.named_whole(done)?;
        // With nothing done since, a hint says what it said, and is paid for once.
        if done == Move::Hint
            && let Some(at) = self.steps.iter().rposition(|step| step.done == Move::Hint)
            && at + 1 == self.steps.len()
        {
            return Ok(&self.steps[at].outcome);
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
            Move::Hint => {
                let hint = self.hint_while(go_on).ok_or(MoveError::CalledOff)?;
                (Outcome::Hint(hint), HINT)
            }
            Move::Open {
                site,
                metres,
                reach,
            } => self.open(site, *metres, reach.unwrap_or(WINDOW))?,
            Move::HandOver => self.hand_over()?,
            Move::GiveUp => (Outcome::GivenUp, 0.0),
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
        let reading = price::asked(circuit, kind, red, black, &state)?;
        Some(price::travel(circuit, &self.now, &state) + reading)
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
        if point.is_battery_negative() {
            return Err(MoveError::LoadOnNegative);
        }
        if !circuit.has_point(point) {
            return Err(MoveError::NoPoint(point.clone()));
        }
        let reach = price::probe(circuit, point, &self.now);
        let reach = reach.ok_or_else(|| MoveError::OutOfReach(point.clone()))?;
        let load = known_load(&self.exercise.circuit, point);
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
        let reading = self.world.reading(kind, red, black, &state)?;
        let value = reading.value;
        self.now.supply_off = state.supply_off;
        self.log.push(Entry::Reading(reading));
        Ok((Outcome::Read(value), minutes))
    }

    /// Asking on the scan with the leads at what is asked, as it is noted on the bench; it is named by itself or by its feed.
    fn named_whole(&self, done: Move) -> Result<Move, MoveError> {
        let Move::Read {
            kind: Kind::Scan,
            red,
            ..
        } = done
        else {
            return Ok(done);
        };
        let mut loads = self.exercise.circuit.loads.iter();
        let asked = loads.find(|load| load.id == red.part || load.feed == red);
        let asked = asked.ok_or(MoveError::NothingAnswers(red))?;
        Ok(Move::Read {
            kind: Kind::Scan,
            red: asked.feed.clone(),
            black: asked.ret.clone(),
        })
    }

    /// What the advisor says now; none where `go_on` answered no. Costs nothing by itself: the move [`Move::Hint`] does.
    pub fn hint_while(&self, go_on: &dyn Fn() -> bool) -> Option<Hint> {
        let question = self.question();
        let findings = diagnose_while(&question, go_on);
        go_on().then(|| Hint::of(&self.exercise, &question, &findings))
    }

    /// Does a test as the advisor proposes it: plugs, loads, then the reading.
    ///
    /// # Errors
    /// The first move that cannot be made; those before it have been.
    pub fn follow(&mut self, test: &Test) -> Result<&Outcome, MoveError> {
        self.follow_to(&test.asked, &test.state)
    }

    /// Does what is asked in a state: plugs, loads, then the reading.
    ///
    /// # Errors
    /// The first move that cannot be made; those before it have been.
    pub fn follow_to(&mut self, asked: &Asked, state: &State) -> Result<&Outcome, MoveError> {
        for done in self.moves_to(state) {
            self.make(done)?;
        }
        self.make(match asked {
            Asked::Read { kind, red, black } => Move::Read {
                kind: *kind,
                red: red.clone(),
                black: black.clone(),
            },
            Asked::LookFor { part } => Move::Open {
                site: Site::part(part),
                metres: None,
                reach: None,
            },
            // How plugs stand is always known here.
            Asked::Check { .. } => return Err(MoveError::NotAllowed("looking at plugs")),
        })
    }

    /// Opens a place as the advisor proposes it, a wire piece by piece; says whether a fault was there.
    ///
    /// # Errors
    /// A place that is not on the sketch.
    pub fn follow_opening(&mut self, opening: &Opening) -> Result<bool, MoveError> {
        let Some((from, to)) = opening.metres else {
            let outcome = self.make(Move::Open {
                site: opening.site.clone(),
                metres: None,
                reach: None,
            })?;
            return Ok(*outcome == Outcome::Repaired);
        };
        let pieces = ((to - from) / (2.0 * WINDOW)).ceil().max(1.0);
        let step = (to - from) / pieces;
        for piece in 0..pieces as usize {
            let outcome = self.make(Move::Open {
                site: opening.site.clone(),
                metres: Some(from + (piece as f64 + 0.5) * step),
                reach: Some(0.5 * step),
            })?;
            if *outcome == Outcome::Repaired {
                return Ok(true);
            }
        }
        Ok(false)
    }

    /// Plugs and loads that lead from here to a state.
    pub fn moves_to(&self, state: &State) -> Vec<Move> {
        let plugs = self.now.unplugged.symmetric_difference(&state.unplugged);
        let mut moves: Vec<Move> = plugs.cloned().map(Move::Plug).collect();
        let at = |state: &State, point: &Point| state.attached.iter().any(|l| l.from == *point);
        let off = (self.now.attached.iter()).filter(|load| !at(state, &load.from));
        let on = (state.attached.iter()).filter(|load| !at(&self.now, &load.from));
        moves.extend(off.chain(on).map(|load| Move::Load(load.from.clone())));
        moves
    }

    fn open(
        &mut self,
        site: &Site,
        metres: Option<f64>,
        reach: f64,
    ) -> Result<(Outcome, f64), MoveError> {
        let circuit = &self.exercise.circuit;
        if circuit.part(&site.part).is_none() {
            return Err(MoveError::NoPart(site.part.clone()));
        }
        self.pin_is_there(site)?;
        let wire = circuit.wire(&site.part);
        let length = wire.map_or(0.0, |w| w.length_or_assumed());
        let (mut share, mut window) = (1.0, None);
        if let (Some(_), Some(metres)) = (wire, metres) {
            if !(0.0..=length).contains(&metres) {
                return Err(MoveError::BeyondTheEnd {
                    wire: site.part.clone(),
                    length,
                });
            }
            let (from, to) = self.window(&site.part, metres, reach);
            share = (to - from) / length;
            window = Some((from, to));
        }
        let there: Vec<Site> = (self.world.hidden().iter())
            .filter(|h| {
                let own =
                    h.site.part == site.part && (site.pin.is_none() || h.site.pin == site.pin);
                let touching = h.kind == FaultKind::ShortBetween
                    && h.site.with.as_deref() == Some(site.part.as_str());
                own || touching
            })
            .filter(|h| window.is_none_or(|(from, to)| (from..=to).contains(&(h.at * length))))
            .map(|h| h.site.clone())
            .collect();
        // Something that is not drawn is traced from where it joins; the splice or module itself is sound.
        let kind = (self.world.hidden().iter())
            .find(|h| there.contains(&h.site))
            .map_or(FaultKind::ShortToGround, |h| h.kind);
        let minutes = price::open(circuit, site, kind, share);
        if there.is_empty() {
            self.found_nothing(site, window);
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

    /// Notes a place that was opened in vain. Who opens a splice or a module also traces what hangs there undrawn.
    fn found_nothing(&mut self, site: &Site, metres: Option<(f64, f64)>) {
        let circuit = &self.exercise.circuit;
        let joins = circuit.splices.iter().any(|one| one.id == site.part)
            || circuit.supplies.iter().any(|one| one.id == site.part);
        let look = Inspection::of(site, FaultKind::ShortToGround, metres);
        let undrawn = joins.then(|| Inspection::of(site, FaultKind::UndrawnShort, None));
        let looks = [Some(look), undrawn];
        (self.log).extend(looks.into_iter().flatten().map(Entry::Inspection));
    }

    fn pin_is_there(&self, site: &Site) -> Result<(), MoveError> {
        let Some(pin) = site.pin else { return Ok(()) };
        let connectors = &self.exercise.circuit.connectors;
        let pins = (connectors.iter())
            .find(|connector| connector.id == site.part)
            .map_or(0, |connector| connector.pins.len());
        if (1..=pins).contains(&usize::from(pin)) {
            return Ok(());
        }
        let part = site.part.clone();
        let remedy = match pins {
            0 => format!("name {part} alone"),
            1 => format!("its only pin is {part}.1"),
            pins => format!("its pins are {part}.1 to {part}.{pins}"),
        };
        Err(MoveError::NoPin { part, pin, remedy })
    }

    fn hand_over(&mut self) -> Result<(Outcome, f64), MoveError> {
        if let Some(id) = self.now.unplugged.first() {
            return Err(MoveError::StillUnplugged(id.clone()));
        }
        if let Some(load) = self.now.attached.first() {
            return Err(MoveError::StillClipped(load.from.clone()));
        }
        let repaired = (self.log.iter()).rposition(|entry| matches!(entry, Entry::Repair(_)));
        let left = self.world.hidden().len();
        let proven =
            left == 0 && repaired.is_some_and(|at| is_proven(&self.exercise, &self.log[at..]));
        Ok((Outcome::HandedOver { left, proven }, 0.0))
    }
}
