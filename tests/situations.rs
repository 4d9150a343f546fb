//! Situations of the trade: a membership that is incomplete, a far branch that was forgotten, a feed near nothing, a dead
//! output. Common practice, no source; what the meter shows is computed by the simulated vehicle, exactly as drawn.

#[path = "support/feed.rs"]
mod feed;

use pinchpoint::{
    circuit::{Circuit, Point},
    fault::{FaultKind, Site},
    practice::{Hidden, World},
    reading::{Entry, Kind, Meter, Reading, State, Value},
};

use feed::{answer, chance, circuit};

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
