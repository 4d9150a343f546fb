//! The program's own model of a real vehicle: a circuit whose parts are not quite as drawn, with faults in it, and a
//! meter that is not quite right.
//!
//! Nothing of the way in which readings are weighed is used here: every state is laid out and solved whole, without
//! linearisation, so that answers can be held against a truth that they did not help to make.

mod display;
mod hidden;
pub mod mesh;
pub mod settle;
pub mod truth;
pub mod wiring;

pub use hidden::{Hidden, HiddenError};

use display::Instrument;
use settle::{Output, Regime, Rest, settle};
use truth::Truth;
use wiring::Wiring;

use super::Dice;
use crate::{
    circuit::{Circuit, Point, Terminal},
    fault::{FaultKind, Site},
    quantity::units::{as_ohms, as_volts, ohms},
    reading::{Attached, Kind, Lamp, Meter, Reading, Seen, State, Value},
};

/// Why something cannot be measured.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum MeasureError {
    /// A lead is on no point of the sketch.
    #[error("{0} is not on the sketch; name a point that is drawn, such as M1.feed or C1.1f")]
    NoSuchPoint(Point),
    /// Both leads are on the same point.
    #[error("both leads are on {}; move one of them", .0.shown())]
    SamePoint(Point),
    /// Current is read at a module's feed or through a pin.
    #[error("current cannot be read at {0}; clamp around a module's feed or a connector's pin")]
    NoCurrentThere(Point),
    /// Part of the state names what is not drawn.
    #[error("{0} is no connector of the sketch; name one that is drawn")]
    NoSuchConnector(String),
}

/// How a meter loads the circuit.
enum Loading<'a> {
    None,
    /// Between two points, S.
    Between(&'a Point, &'a Point, f64),
    /// From every point to ground, thinly.
    Thin,
}

/// Conductance from every point to ground in a survey, S: far more than insulation passes, far less than a load draws.
const THIN: f64 = 5e-9;

/// A vehicle with hidden faults and a meter.
#[derive(Clone, Debug)]
pub struct World {
    circuit: Circuit,
    truth: Truth,
    hidden: Vec<Hidden>,
    instrument: Instrument,
    dice: Dice,
    /// How the supplies worked when last looked at.
    was: Vec<Regime>,
    /// Supplies that have latched off.
    latched: Vec<bool>,
}

impl World {
    /// A vehicle whose parts and meter are somewhere within their spreads. The same seed gives the same vehicle.
    ///
    /// # Errors
    /// A fault that this circuit cannot have.
    pub fn draw(
        circuit: &Circuit,
        hidden: &[Hidden],
        meter: &Meter,
        seed: u64,
    ) -> Result<Self, HiddenError> {
        let dice = Dice::new(seed);
        Self::new(
            circuit,
            hidden,
            Truth::drawn(circuit, &mut dice.fork("parts")),
            Instrument::drawn(meter, &mut dice.fork("meter")),
            dice.fork("counts"),
        )
    }

    /// A vehicle exactly as drawn, apart from its faults, and a meter without errors.
    ///
    /// # Errors
    /// A fault that this circuit cannot have.
    pub fn exact(circuit: &Circuit, hidden: &[Hidden], meter: &Meter) -> Result<Self, HiddenError> {
        let truth = Truth::as_drawn(circuit);
        let instrument = Instrument::perfect(meter);
        Self::new(circuit, hidden, truth, instrument, Dice::new(0))
    }

    fn new(
        circuit: &Circuit,
        hidden: &[Hidden],
        truth: Truth,
        instrument: Instrument,
        dice: Dice,
    ) -> Result<Self, HiddenError> {
        for fault in hidden {
            fault.check(circuit)?;
        }
        let mut world = Self {
            circuit: circuit.clone(),
            truth,
            hidden: hidden.to_vec(),
            instrument,
            dice,
            was: Vec::new(),
            latched: vec![false; circuit.supplies.len()],
        };
        // The vehicle has been switched on like this before anybody measures.
        world.rest(&State::default(), false, Loading::None);
        Ok(world)
    }

    /// The sketch.
    pub fn circuit(&self) -> &Circuit {
        &self.circuit
    }

    /// The meter's data.
    pub fn meter(&self) -> &Meter {
        self.instrument.meter()
    }

    /// The faults that are there now.
    pub fn hidden(&self) -> &[Hidden] {
        &self.hidden
    }

    /// What the parts really are.
    pub fn truth(&self) -> &Truth {
        &self.truth
    }

    /// Repairs a part: its faults are gone. Says whether there was one.
    pub fn repair(&mut self, site: &Site) -> bool {
        let before = self.hidden.len();
        self.hidden.retain(|fault| {
            let same =
                fault.site.part == site.part && (site.pin.is_none() || fault.site.pin == site.pin);
            let touched = fault.kind == FaultKind::ShortBetween
                && fault.site.with.as_deref() == Some(site.part.as_str());
            !(same || touched)
        });
        self.hidden.len() < before
    }

    /// What the display shows. Connectors of which the state knows nothing are plugged.
    ///
    /// # Errors
    /// Points and connectors that are not drawn, and current where none can be read.
    pub fn measure(
        &mut self,
        kind: Kind,
        red: &Point,
        black: &Point,
        state: &State,
    ) -> Result<Value, MeasureError> {
        match kind {
            Kind::Lamp(lamp) => self.glow(lamp, red, black, state),
            Kind::Scan => {
                let volts = self.value(kind, red, black, state)?;
                let nominal = self
                    .circuit
                    .supplies
                    .first()
                    .map_or(0.0, |s| as_volts(s.nominal));
                let seen = kind.would_show(volts, nominal).unwrap_or(Seen::Silent);
                Ok(Value::Seen(seen))
            }
            Kind::Volts | Kind::Ohms | Kind::Amperes | Kind::Clamp => {
                let value = self.value(kind, red, black, state)?;
                Ok(self.instrument.show(kind, value, &mut self.dice))
            }
        }
    }

    /// The same as a line of a log, with the digits that the display has.
    ///
    /// # Errors
    /// As [`World::measure`].
    pub fn reading(
        &mut self,
        kind: Kind,
        red: &Point,
        black: &Point,
        state: &State,
    ) -> Result<Reading, MeasureError> {
        let value = self.measure(kind, red, black, state)?;
        Ok(Reading {
            kind,
            black: black.clone(),
            value,
            step: self.instrument.step_of(kind, value),
            state: state.clone(),
            ..Reading::volts(red.clone(), 0.0)
        })
    }

    /// How a lamp glows: the brightest way that keeps up the volts for it.
    fn glow(
        &mut self,
        lamp: Lamp,
        red: &Point,
        black: &Point,
        state: &State,
    ) -> Result<Value, MeasureError> {
        for (seen, (from, _)) in [
            (Seen::Lit, lamp.glow().lit_from),
            (Seen::Dim, lamp.glow().dim_from),
        ] {
            let mut with_lamp = state.clone();
            with_lamp.attached.push(Attached {
                from: red.clone(),
                to: black.clone(),
                resistance: ohms(lamp.ohm(seen)),
            });
            if self.value(Kind::Lamp(lamp), red, black, &with_lamp)?.abs() >= from {
                return Ok(Value::Seen(seen));
            }
        }
        Ok(Value::Seen(Seen::Dark))
    }

    /// What is there for the meter, its loading and leads included, before it is rounded or misread (V, Ω, A).
    ///
    /// # Errors
    /// As [`World::measure`].
    pub fn value(
        &mut self,
        kind: Kind,
        red: &Point,
        black: &Point,
        state: &State,
    ) -> Result<f64, MeasureError> {
        let names = |id: &str| self.circuit.connectors.iter().any(|c| c.id == *id);
        let mut connectors = state.unplugged.iter().chain(&state.unknown);
        if let Some(id) = connectors.find(|id| !names(id)) {
            return Err(MeasureError::NoSuchConnector(id.clone()));
        }
        let clipped = state
            .attached
            .iter()
            .flat_map(|load| [&load.from, &load.to]);
        for point in [red, black].into_iter().chain(clipped) {
            if !self.circuit.has_point(point) {
                return Err(MeasureError::NoSuchPoint(point.clone()));
            }
        }
        if red == black && !kind.is_current() {
            return Err(MeasureError::SamePoint(red.clone()));
        }
        match kind {
            Kind::Volts | Kind::Lamp(_) | Kind::Scan => {
                let siemens = 1.0 / as_ohms(self.instrument.meter().input);
                let load = Loading::Between(red, black, siemens);
                let (wiring, rest) = self.rest(state, state.supply_off, load);
                Ok(rest.volts[wiring.nodes[red]] - rest.volts[wiring.nodes[black]])
            }
            Kind::Ohms => {
                let hidden: Vec<&Hidden> = self.hidden.iter().collect();
                let wiring = Wiring::new(&self.circuit, &self.truth, &hidden, state, true);
                let (a, b) = (wiring.nodes[black], wiring.nodes[red]);
                let response = wiring.mesh.solve(&[(a, b)]).swap_remove(1);
                Ok(response[b] - response[a] + as_ohms(self.instrument.meter().lead))
            }
            Kind::Amperes | Kind::Clamp => self.current(red, black, state),
        }
    }

    /// Volts that the display shows from each of several points to battery negative, in one solution for all of them: the
    /// meter's loading is spread thinly over all points, so that what hangs in the air reads nothing here too. Points
    /// that are not drawn show nothing.
    pub fn survey(&mut self, points: &[Point], state: &State) -> Vec<Option<Value>> {
        let (wiring, rest) = self.rest(state, state.supply_off, Loading::Thin);
        let volts: Vec<Option<f64>> = (points.iter())
            .map(|point| wiring.nodes.get(point).map(|&node| rest.volts[node]))
            .collect();
        (volts.into_iter())
            .map(|volts| Some(self.instrument.show(Kind::Volts, volts?, &mut self.dice)))
            .collect()
    }

    fn current(&mut self, red: &Point, black: &Point, state: &State) -> Result<f64, MeasureError> {
        let nowhere = || MeasureError::NoCurrentThere(red.clone());
        let part = |id: &str| red.part == id;
        let supply = self.circuit.supplies.iter().position(|s| part(&s.id));
        let connector = self.circuit.connectors.iter().position(|c| part(&c.id));
        let (wiring, rest) = self.rest(state, state.supply_off, Loading::None);
        let wire = self.circuit.wires.iter().position(|wire| {
            (&wire.from, &wire.to) == (red, black) || (&wire.to, &wire.from) == (red, black)
        });
        if let Some(index) = wire {
            // The piece of the wire at the red end, the current leaving that end.
            let [first, last] = wiring.wires[index];
            let at_from = self.circuit.wires[index].from == *red;
            let (end, next, ohm) = if at_from { first } else { last };
            return Ok((rest.volts[end] - rest.volts[next]) / ohm);
        }
        match (supply, connector, red.terminal) {
            (Some(index), _, Terminal::Feed(_)) => Ok(rest.amperes[index]),
            (_, Some(index), Terminal::Near(pin) | Terminal::Far(pin)) => {
                let &(near, far, ohm) = wiring.pins.get(&(index, pin)).ok_or_else(nowhere)?;
                Ok((rest.volts[near] - rest.volts[far]) / ohm)
            }
            _ => Err(nowhere()),
        }
    }

    /// Solves a state with something across two points, and remembers how the supplies came out of it.
    fn rest(&mut self, state: &State, off: bool, meter: Loading<'_>) -> (Wiring, Rest) {
        let hidden: Vec<&Hidden> = self.hidden.iter().collect();
        let mut wiring = Wiring::new(&self.circuit, &self.truth, &hidden, state, off);
        match meter {
            Loading::None => {}
            Loading::Between(red, black, siemens) => {
                let (a, b) = (wiring.nodes[red], wiring.nodes[black]);
                wiring.mesh.join(a, b, siemens);
            }
            Loading::Thin => {
                for node in 1..wiring.mesh.nodes() {
                    wiring.mesh.join(node, mesh::GROUND, THIN);
                }
            }
        }
        if state.key_cycled == Some(true) || off {
            self.was.clear();
            self.latched.fill(false);
        }
        let mut outputs = self.outputs(off);
        let mut rest = settle(&wiring, &outputs, &self.was);
        let trips = |(supply, regime): (&crate::circuit::Supply, &Regime)| {
            supply.latches && *regime == Regime::Limited
        };
        let tripped: Vec<bool> = self
            .circuit
            .supplies
            .iter()
            .zip(&rest.regimes)
            .map(trips)
            .collect();
        if tripped.contains(&true) {
            for ((latched, output), tripped) in
                self.latched.iter_mut().zip(&mut outputs).zip(tripped)
            {
                *latched |= tripped;
                output.off |= tripped;
            }
            rest = settle(&wiring, &outputs, &self.was);
        }
        self.was.clone_from(&rest.regimes);
        (wiring, rest)
    }

    /// The supplies with their faults, and off where they are.
    fn outputs(&self, off: bool) -> Vec<Output> {
        let supplies = self.circuit.supplies.iter().zip(&self.truth.supplies);
        supplies
            .zip(&self.latched)
            .map(|((supply, is), &latched)| {
                let mut output = Output {
                    is: *is,
                    sinks: supply.sinks,
                    off: off || latched,
                };
                for fault in self.hidden.iter().filter(|h| h.site.part == supply.id) {
                    match fault.kind {
                        FaultKind::SupplyDead => output.off = true,
                        FaultKind::SupplyLow => output.is.volts *= fault.size,
                        FaultKind::LimitsEarly => {
                            output.is.limit *= fault.size;
                            output.is.short_circuit *= fault.size;
                        }
                        _ => {}
                    }
                }
                output
            })
            .collect()
    }
}
