//! One game: a simulated vehicle with a hidden fault, the log of what was read, and what all that cost.

use std::collections::BTreeSet;

use super::common::Case;
use pinchpoint::{
    advise::{Advice, price},
    circuit::{Point, Terminal},
    diagnosis::{Question, findings_while},
    fault::{FaultKind, Site},
    practice::{
        Dice,
        world::{Hidden, World},
    },
    quantity::units::{as_metres, as_minutes, metres, minutes},
    reading::{Entry, Kind, Reading, State, Value},
};

/// Minutes to unwrap a metre of wire.
const METRE: f64 = 4.0;
/// Minutes that a wrong conclusion costs beyond what was opened in vain.
const LOST: f64 = 60.0;

/// What a game cost.
#[derive(Clone, Copy, Default)]
pub struct Score {
    /// Readings taken.
    pub tests: f64,
    /// Their minutes.
    pub minutes: f64,
    /// Minutes of opening up.
    pub opened: f64,
    /// Whether the true place was not among those to open.
    pub wrong: bool,
}

impl Score {
    /// All minutes.
    pub fn all(&self) -> f64 {
        self.minutes + self.opened
    }
}

/// A game.
pub struct Game<'a> {
    /// The harness and the meter.
    pub case: &'a Case,
    /// How the circuit stands.
    pub now: State,
    /// What it has cost so far.
    pub score: Score,
    world: World,
    fault: Hidden,
    log: Vec<Entry>,
    story: Vec<String>,
}

impl<'a> Game<'a> {
    /// A vehicle with a fault from a seed.
    pub fn new(case: &'a Case, seed: u64) -> Option<Self> {
        let fault = fault(case, &mut Dice::new(seed));
        let hidden = std::slice::from_ref(&fault);
        let world = World::draw(&case.circuit, hidden, &case.meter, seed).ok()?;
        Some(Self {
            case,
            now: State::default(),
            score: Score::default(),
            world,
            story: Vec::new(),
            fault,
            log: Vec::new(),
        })
    }

    /// The advice on what was read so far, with or without looking beyond the next test.
    pub fn advice(&mut self, further: bool) -> Advice {
        let question = Question {
            circuit: &self.case.circuit,
            meter: &self.case.meter,
            log: &self.log,
            now: &self.now,
            out_of_reach: &BTreeSet::new(),
        };
        let (findings, basis) = findings_while(&question, &|| true);
        let advice = basis.map_or_else(Advice::default, |basis| basis.advice(&question, further));
        let tests = advice.tests.iter().take(3).map(|test| {
            format!(
                "\n       {:?} {:?}: {:.1} min, {:.2} bits, {:.1} in all",
                test.asked, test.state.unplugged, test.minutes, test.bits, test.expected_minutes
            )
        });
        let suspects = findings.suspects.iter().take(6).map(|suspect| {
            let ohms = suspect.resistance.map_or(0.0, |r| r.median);
            format!(
                " {}{} {:.3} {ohms:.1} ohm",
                suspect.site.part,
                suspect
                    .site
                    .pin
                    .map_or(String::new(), |pin| format!(".{pin}")),
                suspect.probability
            )
        });
        let told = format!(
            "    {:?}, {:.2} bits, opening {:.1};{} (true {:.4}){}",
            advice.best,
            advice.bits,
            advice.opening_minutes,
            suspects.collect::<String>(),
            (findings.suspects.iter())
                .filter(|s| s.site == self.fault.site && s.kind == self.fault.kind)
                .map(|s| s.probability)
                .sum::<f64>(),
            tests.collect::<String>(),
        );
        self.story.push(told);
        advice
    }

    /// Takes a reading; volts where it shows a number.
    pub fn read(&mut self, kind: Kind, red: &Point, black: &Point, state: &State) -> Option<f64> {
        let circuit = &self.case.circuit;
        let own = if kind == Kind::Amperes {
            price::IN_SERIES
        } else {
            price::reading(circuit, red, black, state)?
        };
        let minutes = own + price::travel(circuit, &self.now, state);
        let value = self.world.measure(kind, red, black, state).ok()?;
        self.score.minutes += minutes;
        self.score.tests += 1.0;
        self.story.push(format!(
            "  {kind:?} {red} {black} {:?} off {}: {value:?} ({minutes:.1} min)",
            state.unplugged, state.supply_off
        ));
        self.log.push(Entry::Reading(Reading {
            kind,
            black: black.clone(),
            value,
            state: state.clone(),
            ..Reading::volts(red.clone(), 0.0)
        }));
        self.now = State {
            attached: Vec::new(),
            supply_off: false,
            ..state.clone()
        };
        match value {
            Value::Exactly(volts) => Some(volts),
            Value::OverRange { .. } | Value::Between(..) | Value::Seen(_) => None,
        }
    }

    /// The module's pin.
    pub fn pin(&self) -> Point {
        Point::new(&self.case.circuit.supplies[0].id, Terminal::Feed(1))
    }

    /// What has been read.
    pub fn log(&self) -> &[Entry] {
        &self.log
    }

    /// Opens up in the order of the advice.
    pub fn open(&mut self, advice: &Advice) {
        let wires = &self.case.circuit.wires;
        for place in &advice.opening {
            let here = place.site.part == self.fault.site.part;
            let Some((from, to)) = place.metres else {
                self.score.opened += place.minutes;
                if here {
                    return;
                }
                continue;
            };
            let wire = wires.iter().find(|w| w.id == place.site.part);
            let at = self.fault.at * wire.map_or(0.0, |w| w.length_or_assumed());
            if here && at >= from - 1e-9 && at <= to + 1e-9 {
                let share = (at - from) / (to - from).max(1e-9);
                self.score.opened += METRE * (to - from) * share.max(0.2);
                return;
            }
            self.score.opened += METRE * (to - from);
        }
        self.score.wrong = true;
        self.score.opened += LOST;
    }

    /// Says how it went.
    pub fn tell(&self) {
        println!(
            "{} {} {:.2} {:.2} ohm: {:.1} of tests, {:.1} of opening\n{}",
            self.case.id,
            self.fault.site.part,
            self.fault.at,
            self.fault.size,
            self.score.minutes,
            self.score.opened,
            self.story.join("\n")
        );
    }
}

/// A short of half an ohm to forty: a quarter in sensors, the others anywhere along the wires.
fn fault(case: &Case, dice: &mut Dice) -> Hidden {
    let circuit = &case.circuit;
    let ohm = 10f64.powf(dice.between(-0.3, 1.6));
    if dice.unit() < 0.25 && !circuit.loads.is_empty() {
        let load = &circuit.loads[dice.below(circuit.loads.len())];
        return Hidden::new(Site::part(&load.id), FaultKind::DrawsTooMuch, ohm);
    }
    let lengths: Vec<f64> = (circuit.wires.iter())
        .map(|w| w.length_or_assumed())
        .collect();
    let wire = &circuit.wires[dice.weighted(&lengths).unwrap_or(0)];
    Hidden::new(Site::part(&wire.id), FaultKind::ShortToGround, ohm).at(dice.unit())
}

/// The same shape with lengths and minutes of its own.
pub fn redrawn(case: &Case, seed: u64) -> Case {
    let mut dice = Dice::new(seed).fork("redrawn");
    let mut circuit = case.circuit.clone();
    for wire in &mut circuit.wires {
        let length = wire.length.map_or(1.0, as_metres);
        wire.length = Some(metres(length * dice.factor(1.6)));
    }
    for connector in &mut circuit.connectors {
        connector.access = minutes(as_minutes(connector.access) * dice.factor(2.0));
    }
    Case {
        id: format!("{} redrawn", case.id),
        circuit,
        meter: case.meter.clone(),
        log: Vec::new(),
        truth: case.truth.clone(),
    }
}
