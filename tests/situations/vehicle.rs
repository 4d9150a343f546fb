//! A vehicle with hidden faults, a log of what its meter shows, and what the program says of that log.
#![allow(dead_code, reason = "each test program uses its own selection")]

use std::collections::BTreeSet;

use pinchpoint::{
    advise::{Asked, Test},
    circuit::{Circuit, LimitMode, Load, LoadModel, Point, quick_feed, stock},
    diagnosis::{Findings, Question, diagnose},
    explain::{NextWords, cautions, headline, next_words, steps},
    fault::{FaultKind, Site},
    practice::{Hidden, World},
    quantity::units::{metres, milliamperes, ohms, volts},
    reading::{Attached, Entry, Kind, Meter, Reading, Repair, State, Value, Wiggled},
};

pub fn at(text: &str) -> Point {
    text.parse().expect("a point")
}

pub fn off(ids: &[&str]) -> State {
    State {
        unplugged: ids.iter().map(|&id| id.to_owned()).collect(),
        ..State::default()
    }
}

pub fn short(site: Site, ohm: f64) -> Hidden {
    Hidden::new(site, FaultKind::ShortToGround, ohm)
}

/// A vehicle exactly as drawn apart from its faults, and a log.
pub struct Vehicle {
    pub circuit: Circuit,
    pub world: World,
    pub log: Vec<Entry>,
    pub now: State,
    pub out_of_reach: BTreeSet<String>,
}

/// What the program says.
pub struct Told {
    pub findings: Findings,
    pub line: String,
    pub detail: String,
    pub next: NextWords,
    pub steps: Vec<String>,
    pub cautions: Vec<String>,
}

impl Vehicle {
    pub fn new(circuit: Circuit, hidden: &[Hidden]) -> Self {
        let world = World::exact(&circuit, hidden, &Meter::default()).expect("faults it can have");
        Self {
            circuit,
            world,
            log: Vec::new(),
            now: State::default(),
            out_of_reach: BTreeSet::new(),
        }
    }

    /// Reads and logs.
    pub fn read(&mut self, kind: Kind, red: &str, black: &str, state: State) -> Value {
        let (red, black) = (at(red), at(black));
        let state = State {
            supply_off: state.supply_off || kind == Kind::Ohms,
            ..state
        };
        let value = (self.world.measure(kind, &red, &black, &state)).expect("measured");
        self.log.push(Entry::Reading(Reading {
            kind,
            black,
            value,
            state,
            ..Reading::volts(red, 0.0)
        }));
        value
    }

    /// Volts to battery negative with some connectors off.
    pub fn volts(&mut self, red: &str, unplugged: &[&str]) -> f64 {
        number(self.read(Kind::Volts, red, "BN", off(unplugged)))
    }

    /// Logs volts that the test gives itself.
    pub fn noted(&mut self, red: &str, value: f64, unplugged: &[&str]) -> &mut Reading {
        self.log.push(Entry::Reading(Reading {
            state: off(unplugged),
            ..Reading::volts(at(red), value)
        }));
        match self.log.last_mut() {
            Some(Entry::Reading(reading)) => reading,
            _ => unreachable!("it was pushed above"),
        }
    }

    /// Logs that a part was replaced; the vehicle keeps its faults.
    pub fn replaced(&mut self, part: &str) {
        self.log.push(Entry::Repair(Repair {
            part: part.to_owned(),
            replaced: true,
            note: String::new(),
        }));
    }

    pub fn question<'a>(&'a self, meter: &'a Meter) -> Question<'a> {
        Question {
            circuit: &self.circuit,
            meter,
            log: &self.log,
            now: &self.now,
            out_of_reach: &self.out_of_reach,
        }
    }

    pub fn told(&self) -> Told {
        let meter = Meter::default();
        let question = self.question(&meter);
        let findings = diagnose(&question);
        let fatal = findings.problems.iter().find(|problem| problem.fatal);
        assert!(fatal.is_none(), "{fatal:?}");
        let said = headline(&question, &findings);
        Told {
            line: said.line,
            detail: said.detail,
            next: next_words(&question, &findings),
            steps: steps(&question, &findings)
                .into_iter()
                .map(|step| step.text)
                .collect(),
            cautions: cautions(&question, &findings)
                .into_iter()
                .map(|caution| caution.text)
                .collect(),
            findings,
        }
    }
}

pub fn number(value: Value) -> f64 {
    match value {
        Value::Exactly(value) => value,
        other => panic!("no number: {other:?}"),
    }
}

impl Told {
    /// Probability of the suspects that a test names.
    pub fn chance(&self, which: impl Fn(&Site, FaultKind) -> bool) -> f64 {
        let named = |s: &&pinchpoint::diagnosis::Suspect| which(&s.site, s.kind);
        let found = self.findings.suspects.iter().filter(named);
        found.map(|s| s.probability).sum()
    }

    /// Probability of a part, whatever is wrong with it.
    pub fn of(&self, part: &str) -> f64 {
        self.chance(|site, _| site.part == part || site.with.as_deref() == Some(part))
    }

    /// Whether a problem holds all of the words.
    pub fn warns(&self, words: &[&str]) -> bool {
        (self.findings.problems.iter()).any(|problem| {
            let text = format!("{}: {}; {}", problem.place, problem.what, problem.remedy);
            words.iter().all(|word| text.contains(word))
        })
    }

    /// Whether one of the listed tests is of a kind.
    pub fn proposes(&self, test: impl Fn(&Test) -> bool) -> bool {
        self.findings.next.tests.iter().any(test)
    }

    pub fn looks_for_members(&self) -> bool {
        self.proposes(|test| matches!(test.asked, Asked::LookFor { .. }))
    }

    /// Everything, for a failing test.
    pub fn show(&self) -> String {
        let mut text = format!("\n== {}\n   {}\n", self.line, self.detail);
        for suspect in self.findings.suspects.iter().take(9) {
            text += &format!(
                "   {:.4} {} {:?} {:?}\n",
                suspect.probability,
                suspect.site,
                suspect.kind,
                suspect.resistance.map(|r| (r.low, r.high))
            );
        }
        text += &format!(
            "   healthy {:.4} unexplained {:.4} fit {:?}\n",
            self.findings.healthy, self.findings.unexplained, self.findings.fit
        );
        for reading in &self.findings.readings {
            text += &format!(
                "   line {} healthy {:.4} suspected {:?} mistaken {:.3} {:?}\n",
                reading.entry + 1,
                reading.healthy.mean,
                reading.suspected.map(|p| p.mean),
                reading.mistaken,
                reading.mistake
            );
        }
        for combination in self.findings.combinations.iter().take(4) {
            text += &format!("   together {:?}\n", combination);
        }
        text += &format!("   {:?}\n", self.findings.modules);
        for problem in &self.findings.problems {
            text += &format!("   ! {problem:?}\n");
        }
        for step in &self.steps {
            text += &format!("   - {step}\n");
        }
        text += &format!("   next {}: {}\n", self.next.line, self.next.reason);
        for test in &self.next.tests {
            text += &format!("     {} ({})\n", test.action, test.narrows);
        }
        text
    }
}

/// A feed of 5 V with `sensors` sensors of 8 mA behind an inline connector, with returns of their own.
pub fn with_returns(sensors: u8) -> Circuit {
    let mut circuit = quick_feed(volts(5.0), sensors, true, true);
    for load in &mut circuit.loads {
        load.model = LoadModel::Electronic {
            draw: milliamperes(8.0),
            knee: volts(2.5),
        };
    }
    let supply = &mut circuit.supplies[0];
    supply.source = Some(ohms(1.0));
    supply.limit = LimitMode::Constant {
        limit: Some(milliamperes(120.0)),
    };
    circuit
}

/// Gives a sensor a signal at a fraction of its feed, with a line from a third pin of its plug through the inline
/// connector to the module's input `A1`, `A2` … Of the line, `Y1` is the sensor's side and `Z1` the module's.
pub fn add_signal(circuit: &mut Circuit, sensor: u8, fraction: f64) {
    let plug = format!("X{sensor}");
    let load = circuit
        .loads
        .iter_mut()
        .find(|l| l.id == format!("S{sensor}"));
    load.expect("a sensor").signal_fraction = Some(fraction);
    let mut pins = Vec::new();
    for connector in &mut circuit.connectors {
        if connector.id == plug || connector.id == "C1" {
            connector.pins.push(stock::pin());
            pins.push((connector.id.clone(), connector.pins.len()));
        }
    }
    let pin = |id: &str| pins.iter().find(|p| p.0 == id).expect("a connector").1;
    let (own, inline) = (pin(&plug), pin("C1"));
    let mut wire = |id: String, from: String, to: String, length: f64| {
        let mut wire = stock::wire(id, at(&from), at(&to));
        wire.length = Some(metres(length));
        circuit.wires.push(wire);
    };
    wire(
        format!("V{sensor}"),
        format!("S{sensor}.signal"),
        format!("{plug}.{own}f"),
        0.05,
    );
    wire(
        format!("Y{sensor}"),
        format!("{plug}.{own}n"),
        format!("C1.{inline}f"),
        2.0,
    );
    wire(
        format!("Z{sensor}"),
        format!("C1.{inline}n"),
        format!("A{sensor}.feed"),
        1.2,
    );
    circuit.loads.push(Load {
        model: LoadModel::Resistive {
            resistance: ohms(1e6),
        },
        name: "module input".to_owned(),
        ..stock::sensor(
            format!("A{sensor}"),
            at(&format!("A{sensor}.feed")),
            at("M1.return"),
            volts(5.0),
        )
    });
}

/// A known load from a point to battery negative.
pub fn clipped(point: &str, ohm: f64) -> Attached {
    Attached {
        from: at(point),
        to: Point::battery_negative(),
        resistance: ohms(ohm),
    }
}

pub fn moved(place: &str, changed: bool) -> Wiggled {
    Wiggled {
        place: place.to_owned(),
        changed,
    }
}
