//! Situations 5 and 6: what comes and goes. A short that moves, water that dries, a supply that shuts down and retries.
//! Common practice, no source; reported cases whose ending is unproven, so that the test is what an honest answer says.

use pinchpoint::{circuit::DamageZone, fault::FaultKind, reading::Value};

use crate::vehicle::{Told, Vehicle, add_signal, moved, off, with_returns};

fn mistaken(told: &Told) -> Vec<f64> {
    told.findings.readings.iter().map(|r| r.mistaken).collect()
}

/// Situation 5: struck from below; the feed wanders under 1 V, shaking the harness changes nothing, and half an hour
/// later it is right again by itself.
#[test]
fn situation_5_a_feed_that_wanders_and_recovers() {
    let mut circuit = with_returns(4);
    circuit.supplies[0].latches = true;
    for wire in &mut circuit.wires {
        let under = wire.id != "W1";
        wire.bundle = if under { "underbody" } else { "front" }.to_owned();
    }
    circuit.damage_zones.push(DamageZone {
        note: "struck from below".to_owned(),
        parts: vec!["underbody".to_owned()],
        factor: 5.0,
    });
    let struck: Vec<String> = (circuit.wires.iter())
        .filter(|wire| wire.bundle == "underbody")
        .map(|wire| wire.id.clone())
        .collect();
    let mut vehicle = Vehicle::new(circuit, &[]);
    let reading = vehicle.noted("M1.feed", 0.0, &[]);
    reading.value = Value::Between(0.2, 0.9);
    reading.wiggled.push(moved("underbody", false));
    let told = vehicle.told();
    assert!(
        told.warns(&[
            "log line 1",
            "moved between 200 mV and 900 mV",
            "tries again"
        ]),
        "{}",
        told.show()
    );
    assert!(told.warns(&["log line 1", "M1 can latch off", "how long was waited"]));
    // Moving it changed nothing: that speaks only faintly against it, and it was struck.
    let in_it = |told: &Told| told.chance(|site, _| struck.contains(&site.part));
    assert!(in_it(&told) > 0.3, "{}", told.show());
    assert!(
        told.steps.iter().any(|s| s.contains("only faintly")),
        "{:?}",
        told.steps
    );

    vehicle.noted("M1.feed", 5.00, &[]);
    let told = vehicle.told();
    assert!(
        told.warns(&[
            "log line 2",
            "comes and goes",
            "right again is not repaired"
        ]),
        "{}",
        told.show()
    );
    // Nothing is cleared, and nothing is called healthy for sure.
    assert!(told.findings.healthy < 0.9, "{}", told.show());
    assert!(in_it(&told) > 0.02, "{}", told.show());
}

/// Situation 6: deep water; the pedal is dead minutes later, the key brings it back for seconds, and dry it is right. The
/// pedal was replaced.
#[test]
fn situation_6_what_the_key_brings_back_for_seconds() {
    let mut circuit = with_returns(3);
    circuit.supplies[0].latches = true;
    add_signal(&mut circuit, 1, 0.3);
    let mut vehicle = Vehicle::new(circuit, &[]);
    vehicle.noted("X1.1n", 0.0, &[]);
    let told = vehicle.told();
    assert!(
        told.warns(&["log line 1", "key was cycled since the last change"]),
        "{}",
        told.show()
    );
    vehicle.replaced("S1");
    vehicle.noted("X1.1n", 5.0, &[]).state.key_cycled = Some(true);
    vehicle.noted("X1.1n", 0.0, &[]).state.key_cycled = Some(false);
    let told = vehicle.told();
    // Both readings are kept: neither is named a mistake, and both stand in the log with the key as it was.
    assert_eq!(told.findings.readings.len(), 3);
    assert!(
        !told.warns(&["comes and goes"]),
        "the key explains it: {}",
        told.show()
    );
    // A new part can be bad too, and the module is not accused for what shut it down.
    assert!(told.of("S1") > 1e-3, "{}", told.show());
    assert!(
        told.chance(|_, kind| kind == FaultKind::SupplyDead) < 0.5,
        "{}",
        told.show()
    );
    assert!(!matches!(
        told.findings.modules[0],
        pinchpoint::diagnosis::ModuleVerdict::Accused { .. }
    ));
    assert!(
        told.cautions
            .iter()
            .any(|c| c.contains("cycle the key") && c.contains("wait")),
        "{:?}",
        told.cautions
    );
    assert!(mistaken(&told).iter().all(|m| *m < 1.0));
}

/// Water that dries: ohms wet and dry, the same leads, nothing touched between.
#[test]
fn a_bridge_that_dries_is_said_to_come_and_go() {
    let circuit = with_returns(3);
    let mut vehicle = Vehicle::new(circuit, &[]);
    for ohm in [420.0, 61_000.0] {
        let reading = vehicle.noted("C1.1f", ohm, &["C1"]);
        reading.kind = pinchpoint::reading::Kind::Ohms;
        reading.state = pinchpoint::reading::State {
            supply_off: true,
            ..off(&["C1"])
        };
    }
    let told = vehicle.told();
    assert!(
        told.warns(&["log line 2", "420 Ω", "wet or dry"]),
        "{}",
        told.show()
    );
}
