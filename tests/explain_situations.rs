//! Situations of the trade, told in words: the headline, the sum and the steps for each.
//!
//! Those marked “calculated” follow from Ohm's law with the numbers given; the one marked “common practice, no source”
//! is how such cases go.

use std::collections::BTreeSet;

use pinchpoint::{
    circuit::{Circuit, ConductorSize, LimitMode, LoadModel, Point, Terminal, quick_feed, stock},
    diagnosis::{Findings, Question, diagnose},
    explain::{headline, steps, worked_sum, worked_sum_of},
    quantity::units::{metres, milliamperes, ohms, square_millimetres, volts},
    reading::{Attached, Entry, Meter, Reading, State},
};

fn at(text: &str) -> Point {
    text.parse().expect("a point")
}

/// Volts at a point to battery negative with some connectors unplugged.
fn read(point: &str, value: f64, unplugged: &[&str]) -> Entry {
    let mut reading = Reading::volts(at(point), value);
    reading.state.unplugged = unplugged.iter().map(|&id| id.to_owned()).collect();
    Entry::Reading(reading)
}

struct Case {
    circuit: Circuit,
    log: Vec<Entry>,
    meter: Meter,
    now: State,
    out_of_reach: BTreeSet<String>,
}

impl Case {
    fn new(circuit: Circuit, log: Vec<Entry>) -> Self {
        Self {
            circuit,
            log,
            meter: Meter::default(),
            now: State::default(),
            out_of_reach: BTreeSet::new(),
        }
    }

    fn question(&self) -> Question<'_> {
        Question {
            circuit: &self.circuit,
            meter: &self.meter,
            log: &self.log,
            now: &self.now,
            out_of_reach: &self.out_of_reach,
        }
    }

    fn answer(&self) -> (Findings, String, Vec<String>, Vec<String>) {
        let question = self.question();
        let findings = diagnose(&question);
        assert!(
            findings.problems.iter().all(|problem| !problem.fatal),
            "{:?}",
            findings.problems
        );
        let line = headline(&question, &findings).line;
        let sum = worked_sum(&question, &findings);
        let sum = sum.lines.into_iter().map(|line| line.text).collect();
        let steps = steps(&question, &findings);
        let steps = steps.into_iter().map(|step| step.text).collect();
        (findings, line, sum, steps)
    }
}

fn contains(lines: &[String], all: &[&str]) {
    let found = lines
        .iter()
        .any(|line| all.iter().all(|word| line.contains(word)));
    assert!(found, "{all:?} in\n{}", lines.join("\n"));
}

/// Four sensors of 8 mA behind an inline connector, short stout wires, a module of 5 V behind 1 Ω.
fn four_sensors(limit: LimitMode) -> Circuit {
    let mut circuit = quick_feed(volts(5.0), 4, true, false);
    for wire in &mut circuit.wires {
        wire.length = Some(metres(0.2));
        wire.size = ConductorSize::SquareMillimetres(square_millimetres(1.0));
    }
    for load in &mut circuit.loads {
        load.model = LoadModel::Electronic {
            draw: milliamperes(8.0),
            knee: volts(1.0),
        };
        load.spread_percent = 3.0;
    }
    let supply = &mut circuit.supplies[0];
    supply.source = Some(ohms(1.0));
    supply.source_factor = 1.2;
    supply.tolerance_percent = 1.0;
    supply.limit = limit;
    supply.limit_factor = 1.1;
    circuit
}

fn constant(limit_ma: f64) -> LimitMode {
    LimitMode::Constant {
        limit: Some(milliamperes(limit_ma)),
    }
}

/// Common practice, no source: plugs come off one by one; the feed returns at the third, whose sensor is shorted. The
/// volts are calculated: 100 mA into 3.1 Ω beside sensors of 5 kΩ.
#[test]
fn the_feed_returns_when_the_shorted_sensor_is_unplugged() {
    let log = vec![
        read("M1.feed", 0.3092, &[]),
        read("M1.feed", 0.3094, &["X1"]),
        read("M1.feed", 0.3094, &["X2"]),
        read("M1.feed", 4.98, &["X3"]),
    ];
    let mut circuit = four_sensors(constant(100.0));
    for load in &mut circuit.loads {
        load.model = LoadModel::Resistive {
            resistance: ohms(5e3),
        };
    }
    let (_, line, sum, steps) = Case::new(circuit, log).answer();
    assert!(line.starts_with("Short to ground, about "), "{line}");
    assert!(line.contains("S3"), "{line}");
    contains(&steps, &["M1 feed pin reads 309.2 mV where"]);
    contains(&steps, &["Unplugging X1", "so the fault is not beyond X1"]);
    contains(
        &steps,
        &["brought M1 feed pin back to nominal (4.98 V", "X3."],
    );
    contains(&sum, &["M1 is at its limit"]);
    contains(&sum, &["mV ÷", "mA =", "Ω inside S3."]);
}

/// Calculated: 100 mA limit, 20 Ω, four sensors of 8 mA: (100 − 32) mA × 20 Ω = 1.36 V; each sensor that comes off adds
/// 8 mA × 20 Ω = 0.16 V; with all off 100 mA × 20 Ω = 2.00 V.
#[test]
fn at_the_limit_small_rises_are_no_finds() {
    let mut circuit = four_sensors(constant(100.0));
    circuit.supplies[0].limit_factor = 1.05;
    let log = vec![
        read("M1.feed", 1.36, &[]),
        read("M1.feed", 1.52, &["X1"]),
        read("M1.feed", 1.68, &["X1", "X2"]),
        read("M1.feed", 2.00, &["X1", "X2", "X3", "X4"]),
    ];
    let case = Case::new(circuit, log);
    let (findings, line, _, steps) = case.answer();
    assert!(line.starts_with("Short to ground, about 20 Ω, "), "{line}");
    contains(
        &steps,
        &["Unplugging X1", "from 1.36 V to 1.52 V", "no find"],
    );
    contains(
        &steps,
        &["Unplugging X3 and X4", "from 1.68 V to 2 V", "no find"],
    );
    let told = |entry| {
        let sum = worked_sum_of(&case.question(), &findings, Some(0), Some(entry));
        let last = sum.lines.last().and_then(|line| line.equation);
        let lines: Vec<String> = sum.lines.into_iter().map(|line| line.text).collect();
        (lines, last.expect("it ends with a sum"))
    };
    let (lines, last) = told(0);
    contains(&lines, &["M1 is at its limit: 100 mA leaves it."]);
    contains(
        &lines,
        &["The rest of the circuit takes 32", "flows into the short."],
    );
    assert!((last.left - 1.36).abs() < 0.01, "{last:?}");
    assert!((last.right - 0.068).abs() < 0.001, "{last:?}");
    assert!((last.result - 20.0).abs() < 0.3, "{last:?}");
    let (lines, last) = told(3);
    contains(&lines, &["All but a trace of it flows into the short."]);
    assert!((last.left - 2.0).abs() < 0.02, "{last:?}");
}

/// Calculated: 10 Ω and 30 Ω with 100 mA: 7.5 Ω × 100 mA = 0.75 V; without the first 3.00 V; without the second 1.00 V;
/// without both 5.00 V. Sensors that draw nothing to speak of.
#[test]
fn two_shorts_are_told_as_two() {
    let mut circuit = four_sensors(constant(100.0));
    circuit.supplies[0].limit_factor = 1.05;
    for load in &mut circuit.loads {
        load.model = LoadModel::Resistive {
            resistance: ohms(100e3),
        };
    }
    let log = vec![
        read("M1.feed", 0.750, &[]),
        read("M1.feed", 3.000, &["X2"]),
        read("M1.feed", 1.000, &["X3"]),
        read("M1.feed", 5.000, &["X2", "X3"]),
    ];
    let case = Case::new(circuit, log);
    let (findings, line, sum, steps) = case.answer();
    assert!(line.starts_with("Two faults: "), "{line}");
    let first = line.contains("about 10 Ω") || line.contains("about 9.9 Ω");
    assert!(first && line.contains("about 30 Ω"), "{line}");
    assert!(line.contains("S2") && line.contains("S3"), "{line}");
    contains(
        &steps,
        &[
            "Unplugging X2",
            "3 V",
            "one fault is",
            "X2",
            "another is not",
        ],
    );
    contains(
        &steps,
        &[
            "Unplugging X3",
            "1 V",
            "one fault is",
            "X3",
            "another is not",
        ],
    );
    contains(&steps, &["back to nominal (5 V", "what was left is"]);
    contains(&sum, &["In it too, as part of the rest: "]);
    // Three quarters of the 100 mA go into the 10 Ω, one quarter into the 30 Ω.
    for (suspect, share) in findings.suspects[..2].iter().zip(0..) {
        let sum = worked_sum_of(&case.question(), &findings, Some(share), Some(0));
        let last = sum.lines.last().and_then(|line| line.equation);
        let last = last.expect("it ends with a sum");
        let expected = if last.result < 15.0 { 0.075 } else { 0.025 };
        assert!(
            (last.right - expected).abs() < 0.003,
            "{suspect:?} {last:?}"
        );
    }
}

/// Calculated: 60 Ω in an inline contact: 5.00 V − 10 mA × 60 Ω = 4.40 V behind it; at 24 mA 3.56 V; 5.00 V with nothing
/// drawn.
#[test]
fn a_bad_contact_is_told_by_the_volts_across_it() {
    let mut circuit = quick_feed(volts(5.0), 2, true, false);
    for (load, draw_ma) in circuit.loads.iter_mut().zip([10.0, 14.0]) {
        load.model = LoadModel::Electronic {
            draw: milliamperes(draw_ma),
            knee: volts(1.0),
        };
        load.spread_percent = 3.0;
    }
    for wire in &mut circuit.wires {
        wire.length = Some(metres(0.2));
    }
    circuit.supplies[0].source = Some(ohms(0.05));
    circuit.supplies[0].tolerance_percent = 1.0;
    circuit.supplies[0].limit = LimitMode::None;
    let log = vec![
        read("C1.1f", 5.000, &["X1", "X2"]),
        read("C1.1f", 4.400, &["X2"]),
        read("C1.1f", 3.560, &[]),
        read("C1.1n", 5.000, &[]),
    ];
    let (_, line, sum, steps) = Case::new(circuit, log).answer();
    assert!(line.starts_with("High resistance, about 60 Ω, "), "{line}");
    assert!(line.ends_with("at C1 pin 1"), "{line}");
    contains(&sum, &["Sound, C1 pin 1 would lose"]);
    contains(&sum, &["C1 pin 1, near side is at", "is lost."]);
    contains(&sum, &["mA flows through it: ", "Ω."]);
    contains(
        &steps,
        &["Plugging X1", "5 V to 4.4 V", "a joint on the way is bad"],
    );
    contains(&steps, &["Plugging X2", "the more current"]);
}

/// Calculated: 10 kΩ of a last strand before a 10 MΩ meter: 5 V × 10 / 10.01 = 4.995 V; before 1 kΩ: 5 V × 1 / 11 =
/// 0.4545 V.
#[test]
fn a_ghost_voltage_falls_under_a_known_load() {
    let mut circuit = quick_feed(volts(5.0), 1, true, false);
    circuit.supplies[0].tolerance_percent = 0.2;
    circuit.supplies[0].source = Some(ohms(0.5));
    circuit.supplies[0].limit = LimitMode::None;
    let mut loaded = Reading::volts(at("X1.1n"), 0.4545);
    loaded.state.unplugged.insert("X1".to_owned());
    loaded.state.attached.push(Attached {
        from: at("X1.1n"),
        to: Point::battery_negative(),
        resistance: ohms(1000.0),
    });
    let log = vec![
        read("X1.1n", 4.995, &["X1"]),
        Entry::Reading(loaded),
        read("C1.1n", 5.000, &["X1"]),
        read("C1.1f", 5.000, &["X1"]),
    ];
    let case = Case::new(circuit, log);
    let (findings, line, sum, steps) = case.answer();
    assert!(
        line.starts_with("High resistance, about 10 kΩ, at W2"),
        "{line}"
    );
    contains(
        &steps,
        &["With 1 kΩ clipped on, X1 pin 1, near side went from 4.995 V to 454.5 mV"],
    );
    contains(&steps, &["a high resistance stands before them"]);
    contains(&sum, &["4.5", "V ÷ 4", "µA = 10.0 kΩ."]);
    let unloaded = worked_sum_of(&case.question(), &findings, Some(0), Some(0));
    let lines: Vec<String> = unloaded.lines.into_iter().map(|line| line.text).collect();
    contains(
        &lines,
        &[
            "Only 0.5",
            "µA flows through it now",
            "load the feed to see it",
        ],
    );
}

/// Calculated: 20 Ω in a ground shared by 40 mA: 0.80 V on the ground; the feed reads 5.00 V to the chassis and 4.20 V to
/// the ground pin; a signal of a tenth of the feed reads 0.80 V + 0.42 V = 1.22 V.
#[test]
fn a_bad_ground_is_told_by_its_offset() {
    let mut circuit = quick_feed(volts(5.0), 2, false, false);
    circuit.splices.push(stock::splice("SP9"));
    circuit
        .grounds
        .push(stock::ground("G2", Point::new("G2", Terminal::Only)));
    let mut back = stock::wire("W9", at("SP9"), at("G2"));
    back.length = Some(metres(0.2));
    circuit.wires.push(back);
    for n in 1..=2usize {
        let plug = format!("X{n}");
        let connector = &mut circuit.connectors[n - 1];
        connector.pins.push(stock::pin());
        let mut wire = stock::wire(format!("W{}", 10 + n), at("SP9"), at(&format!("{plug}.2n")));
        wire.length = Some(metres(0.2));
        circuit.wires.push(wire);
        let load = &mut circuit.loads[n - 1];
        load.ret = at(&format!("{plug}.2f"));
        load.model = LoadModel::Electronic {
            draw: milliamperes(20.0),
            knee: volts(1.0),
        };
        load.spread_percent = 3.0;
    }
    circuit.loads[0].signal_fraction = Some(0.1);
    for wire in &mut circuit.wires {
        wire.length = Some(metres(0.2));
    }
    circuit.supplies[0].source = Some(ohms(0.05));
    circuit.supplies[0].tolerance_percent = 1.0;
    circuit.supplies[0].limit = LimitMode::None;
    let mut to_pin = Reading::volts(at("X1.1n"), 4.20);
    to_pin.black = at("X1.2n");
    let log = vec![
        read("X1.1n", 5.00, &[]),
        Entry::Reading(to_pin),
        read("S1.signal", 1.22, &[]),
        read("G2", 0.80, &[]),
    ];
    let (_, line, sum, _) = Case::new(circuit, log).answer();
    assert!(line.starts_with("High resistance, about 20 Ω"), "{line}");
    assert!(line.ends_with("at G2"), "{line}");
    contains(
        &sum,
        &["G2 is at 80", "battery negative at 0 V", "is lost."],
    );
    contains(&sum, &["mA flows through it: ", "= 2", "Ω."]);
}
