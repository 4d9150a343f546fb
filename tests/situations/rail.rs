//! Situations of the trade: a membership that is incomplete, a far branch that was forgotten, a feed near nothing, a dead
//! output. Common practice, no source; what the meter shows is computed by the simulated vehicle, exactly as drawn.

use pinchpoint::{
    advise::Best,
    circuit::{Circuit, Load, LoadModel, Point, stock},
    diagnosis::{ModuleVerdict, proof::Verdict},
    fault::{FaultKind, Site},
    practice::{Hidden, World},
    quantity::units::{metres, ohms, volts},
    reading::{Entry, Kind, Meter, Reading, Seen, State, Value},
};

use crate::{
    feed::{answer, chance, circuit},
    vehicle::{self, Vehicle, add_signal, off, with_returns},
};

/// Reads points in states, on a vehicle with a fault: kind, point, connectors unplugged.
fn log(circuit: &Circuit, fault: Hidden, wanted: &[(Kind, &str, &[&str])]) -> Vec<Entry> {
    let mut world = World::exact(circuit, &[fault], &Meter::default()).expect("a fault");
    wanted
        .iter()
        .map(|&(kind, point, unplugged)| {
            let red: Point = point.parse().expect("a point");
            let state = State {
                unplugged: unplugged.iter().map(|&id| id.to_owned()).collect(),
                supply_off: kind == Kind::Ohms,
                ..State::default()
            };
            let black = Point::battery_negative();
            let value = world.measure(kind, &red, &black, &state).expect("measured");
            Entry::Reading(Reading {
                kind,
                black,
                value,
                state,
                ..Reading::volts(red, 0.0)
            })
        })
        .collect()
}

fn shown(entry: &Entry) -> f64 {
    match entry {
        Entry::Reading(Reading {
            value: Value::Exactly(value),
            ..
        }) => *value,
        other => panic!("{other:?}"),
    }
}

const EVERY: [&str; 4] = ["X1", "X2", "X3", "X4"];

/// Situation 2: every sensor that can be found is unplugged and the feed stays down; members may be missing.
#[test]
fn every_known_sensor_off_and_still_down_points_beyond_the_sketch() {
    let mut circuit = circuit(5.0);
    let splice = circuit.splices[0].id.clone();
    circuit.splices[0].more_members = true;
    let fault = Hidden::new(Site::part(&splice), FaultKind::UndrawnShort, 3.5);
    let log = log(
        &circuit,
        fault,
        &[
            (Kind::Volts, "X2.1n", &[]),
            (Kind::Volts, "X2.1n", &["X1", "X2"]),
            (Kind::Volts, "X2.1n", &EVERY),
        ],
    );
    assert!((0.3..0.5).contains(&shown(&log[2])), "{}", shown(&log[2]));
    let findings = answer(&circuit, &log);
    let sensors = chance(&findings, |_, kind| kind == FaultKind::DrawsTooMuch);
    assert!(sensors < 0.05, "sensors {sensors}");
    let undrawn = chance(&findings, |_, kind| kind == FaultKind::UndrawnShort);
    assert!(undrawn > 0.1, "undrawn {undrawn}");
}

/// Situation 3: the same, but the wire to one sensor touches: taped wires of a branch that nobody thought of.
#[test]
fn every_sensor_off_and_still_down_points_at_the_wires() {
    let circuit = circuit(5.0);
    let branch = circuit
        .wires
        .iter()
        .find(|w| w.to.part == "X4" || w.from.part == "X4")
        .expect("a wire to X4");
    let fault = Hidden::new(Site::part(&branch.id), FaultKind::ShortToGround, 3.5);
    let log = log(
        &circuit,
        fault,
        &[
            (Kind::Volts, "X1.1n", &[]),
            (Kind::Volts, "X1.1n", &EVERY),
            (Kind::Volts, "X4.1n", &EVERY),
        ],
    );
    let findings = answer(&circuit, &log);
    let wires = chance(&findings, |site, _| {
        circuit.wires.iter().any(|w| w.id == site.part)
    });
    let sensors = chance(&findings, |_, kind| kind == FaultKind::DrawsTooMuch);
    assert!(
        sensors < 0.05 && wires > 0.4,
        "sensors {sensors}, wires {wires}"
    );
}

/// Situation 4: 0.03 V on an 8 V feed; the harness is parted from the module and read in ohms.
#[test]
fn ohms_with_the_module_off_put_the_short_into_the_harness() {
    let circuit = circuit(8.0);
    let fault = Hidden::new(Site::part("S3"), FaultKind::DrawsTooMuch, 0.2);
    let log = log(
        &circuit,
        fault,
        &[
            (Kind::Volts, "M1.feed", &[]),
            (Kind::Ohms, "C1.1f", &["C1"]),
            (Kind::Volts, "M1.feed", &["C1"]),
        ],
    );
    assert!(shown(&log[0]) < 0.2 && shown(&log[1]) < 1.5);
    let findings = answer(&circuit, &log);
    let module = chance(&findings, |site, _| site.part == "M1");
    assert!(module < 0.02, "module {module}");
    let shorts = chance(&findings, |_, kind| {
        matches!(
            kind,
            FaultKind::ShortToGround | FaultKind::DrawsTooMuch | FaultKind::UndrawnShort
        )
    });
    assert!(shorts > 0.9, "shorts {shorts}");
}

/// Situation 9: nothing at any sensor, and nothing at the module's own pin with the harness off: its output is dead.
#[test]
fn a_dead_output_is_told_from_a_harness_that_pulls_it_down() {
    let circuit = circuit(5.0);
    let fault = Hidden::new(Site::part("M1"), FaultKind::SupplyDead, 1.0);
    let log = log(
        &circuit,
        fault,
        &[
            (Kind::Volts, "X1.1n", &[]),
            (Kind::Volts, "M1.feed", &[]),
            (Kind::Volts, "M1.feed", &["C1"]),
            (Kind::Ohms, "C1.1n", &["C1"]),
        ],
    );
    let findings = answer(&circuit, &log);
    let dead = chance(&findings, |_, kind| kind == FaultKind::SupplyDead);
    assert!(dead > 0.5, "dead {dead}");
}

/// A slip of the keyboard that no meter could have shown is named, and the answer stays what it was without that line.
#[test]
fn a_value_that_no_meter_shows_is_named_and_changes_nothing() {
    let circuit = circuit(5.0);
    let fault = Hidden::new(Site::part("S2"), FaultKind::DrawsTooMuch, 4.0);
    let mut log = log(
        &circuit,
        fault,
        &[(Kind::Volts, "X2.1n", &[]), (Kind::Volts, "X2.1n", &["X2"])],
    );
    let before = answer(&circuit, &log);
    for value in [
        Value::Between(-1e300, 1e300),
        Value::Exactly(-3e8),
        Value::OverRange { above: Some(1e200) },
    ] {
        log.push(Entry::Reading(Reading {
            value,
            ..Reading::volts("X1.1n".parse().expect("a point"), 0.0)
        }));
        let after = answer(&circuit, &log);
        log.pop();
        let named = |problem: &&pinchpoint::diagnosis::Problem| problem.what.contains("no meter");
        assert_eq!(after.problems.iter().filter(named).count(), 1, "{value:?}");
        assert_eq!(before.suspects, after.suspects, "{value:?}");
    }
}

/// Situation 1: the module that is fed from the shared rail is silent itself. Sensors unplugged singly; with the fourth,
/// 5.00 V and the module are back. The debris was in that sensor.
#[test]
fn situation_1_a_silent_module_comes_back_with_the_plug_of_the_shorted_sensor() {
    let mut circuit = with_returns(5);
    circuit.loads.push(Load {
        name: "module fed from the rail".to_owned(),
        model: LoadModel::Resistive {
            resistance: ohms(2e3),
        },
        ..stock::sensor(
            "S9",
            vehicle::at("M1.feed"),
            vehicle::at("M1.return"),
            volts(5.0),
        )
    });
    let debris = Hidden::new(Site::part("S4"), FaultKind::DrawsTooMuch, 2.0);
    let mut vehicle = Vehicle::new(circuit, &[debris]);
    let silent = vehicle.read(Kind::Scan, "M1.feed", "M1.return", off(&[]));
    assert_eq!(silent, Value::Seen(Seen::Silent));
    vehicle.volts("M1.feed", &[]);
    for plug in ["X1", "X2", "X3"] {
        let down = vehicle.volts("M1.feed", &[plug]);
        assert!(down < 1.0, "{down}");
    }
    let told = vehicle.told();
    for plug in ["S1", "S2", "S3"] {
        assert!(
            told.of(plug) < 0.05,
            "{plug} was off in vain: {}",
            told.show()
        );
    }
    assert!(
        told.of("S4") > 0.02 && told.of("S5") > 0.02,
        "{}",
        told.show()
    );
    let up = vehicle.volts("M1.feed", &["X4"]);
    assert!(up > 4.95, "{up}");
    let answers = vehicle.read(Kind::Scan, "M1.feed", "M1.return", off(&["X4"]));
    assert_eq!(answers, Value::Seen(Seen::Answers));
    let told = vehicle.told();
    let there = told.chance(|site, _| ["S4", "X4"].contains(&site.part.as_str()));
    assert!(there > 0.9, "{}", told.show());
    assert!(told.of("M1") < 0.02, "{}", told.show());
    assert!(
        told.steps
            .iter()
            .any(|s| s.contains("X4") && s.contains("back to nominal")),
        "{:?}",
        told.steps
    );
}

/// Situation 2 to its unproven end: nothing that may be true is ruled out, membership is what is asked for, and cutting comes
/// last.
#[test]
fn situation_2_asks_for_the_members_that_nobody_found() {
    let mut circuit = with_returns(4);
    circuit.splices[0].more_members = true;
    let splice = circuit.splices[0].id.clone();
    let fault = Hidden::new(Site::part(&splice), FaultKind::UndrawnShort, 3.75);
    let mut vehicle = Vehicle::new(circuit, &[fault]);
    let plugged = vehicle.volts("X2.1n", &[]);
    let parted = vehicle.volts("X2.1n", &EVERY);
    assert!(
        (0.3..0.5).contains(&plugged) && (plugged - parted).abs() < 0.15,
        "{plugged} {parted}"
    );
    vehicle.now = off(&EVERY);
    let told = vehicle.told();
    let undrawn = told.chance(|site, kind| site.part == splice && kind == FaultKind::UndrawnShort);
    let wires = told.chance(|_, kind| kind == FaultKind::ShortToGround);
    assert!(undrawn > 0.1 && wires > 0.1, "both stay: {}", told.show());
    assert!(told.looks_for_members(), "{}", told.show());
    assert!(!matches!(
        told.findings.modules[0],
        ModuleVerdict::Accused { .. }
    ));
    // Readings come before any cutting.
    assert_eq!(told.findings.next.best, Best::Test, "{}", told.show());
}

/// Situation 3: 0.45 V with every sensor off, and a branch that leads far back. Nobody rules it out.
#[test]
fn situation_3_a_far_branch_stays_a_suspect() {
    let mut circuit = with_returns(4);
    let far = circuit
        .wires
        .iter_mut()
        .find(|w| w.to == vehicle::at("X4.1n"))
        .expect("a branch");
    far.length = Some(metres(4.5));
    let far = far.id.clone();
    let fault = Hidden::new(Site::part(&far), FaultKind::ShortToGround, 3.6).at(0.8);
    let mut vehicle = Vehicle::new(circuit, &[fault]);
    vehicle.volts("X1.1n", &[]);
    let down = vehicle.volts("X1.1n", &EVERY);
    assert!((0.35..0.55).contains(&down), "{down}");
    vehicle.now = off(&EVERY);
    let told = vehicle.told();
    let longest = told.chance(|site, kind| site.part == far && kind == FaultKind::ShortToGround);
    let sensors = told.chance(|_, kind| kind == FaultKind::DrawsTooMuch);
    assert!(longest > 0.15 && sensors < 0.05, "{}", told.show());
    assert_eq!(told.findings.suspects[0].site.part, far, "{}", told.show());
    // At the far plug no drop stands between it and the fault.
    vehicle.volts("X4.1n", &EVERY);
    vehicle.volts("C1.1f", &EVERY);
    let told = vehicle.told();
    assert!(told.of(&far) > 0.8, "{}", told.show());
}

/// Situation 13, teaching text: every sensor that shares a shorted reference quits, code or no code. All signals are nothing,
/// and the sensors are not what is wrong.
#[test]
fn situation_13_all_signals_at_nothing_are_the_feed_and_not_the_sensors() {
    let mut circuit = with_returns(4);
    for n in 1..=4 {
        add_signal(&mut circuit, n, 0.5);
    }
    let fault = Hidden::new(Site::part("W2"), FaultKind::ShortToGround, 0.5);
    let mut vehicle = Vehicle::new(circuit, &[fault]);
    for n in 1..=4 {
        let signal = vehicle.volts(&format!("A{n}.feed"), &[]);
        assert!(signal < 0.1, "{signal}");
    }
    let told = vehicle.told();
    // Four signal lines at once are far less likely than the one thing that they share.
    let lines = told.chance(|site, _| {
        site.part.starts_with(['V', 'Y', 'Z', 'A']) || site.pin.is_some_and(|pin| pin > 2)
    });
    assert!(lines < 0.05, "{}", told.show());
    let stuck = told.chance(|_, kind| kind == FaultKind::SignalStuck);
    assert!(stuck < 0.02, "{}", told.show());
    assert!(!matches!(
        told.findings.modules[0],
        ModuleVerdict::Accused { .. }
    ));
}

/// Situation 9: signals of 0.03, 0.01, 0.01 and 0.00 V and a substitute module that runs. Only the pin alone accuses the
/// module, and the substitute, as a replaced part, proves it.
#[test]
fn situation_9_a_dead_output_is_accused_through_the_gate_and_proved_by_the_substitute() {
    let mut circuit = with_returns(4);
    for n in 1..=4 {
        add_signal(&mut circuit, n, 0.5);
    }
    let dead = Hidden::new(Site::part("M1"), FaultKind::SupplyDead, 1.0);
    let mut vehicle = Vehicle::new(circuit, &[dead]);
    for (n, volts) in [(1, 0.03), (2, 0.01), (3, 0.01), (4, 0.0)] {
        let at = format!("A{n}.feed");
        let shown = vehicle.volts(&at, &[]);
        assert!(shown.abs() < 0.001, "{shown}");
        vehicle.log.pop();
        vehicle.noted(&at, volts, &[]).step = Some(0.01);
    }
    let told = vehicle.told();
    assert!(!matches!(
        told.findings.modules[0],
        ModuleVerdict::Accused { .. }
    ));
    vehicle.volts("M1.feed", &["C1"]);
    vehicle.read(Kind::Volts, "M1.feed", "M1.return", off(&["C1"]));
    vehicle.read(Kind::Ohms, "C1.1n", "BN", off(&["C1"]));
    let told = vehicle.told();
    let output = told.chance(|_, kind| kind == FaultKind::SupplyDead);
    assert!(output > 0.5, "{}", told.show());
    vehicle.replaced("M1");
    assert!(vehicle.world.repair(&Site::part("M1")));
    let runs = vehicle.volts("M1.feed", &[]);
    assert!(runs > 4.9, "{runs}");
    let told = vehicle.told();
    assert!(told.findings.healthy > 0.3, "{}", told.show());
    let proof = told.findings.proof.as_ref().expect("a repair was made");
    assert_eq!(proof.part, "M1");
    assert!(
        matches!(proof.verdict, Verdict::PartlyProved | Verdict::Proved),
        "{proof:?}"
    );
}
