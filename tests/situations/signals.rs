//! Situations 7, 8, 10, 11, 12 and 14: signals beside the feed. A signal has its own line from the sensor's plug (`Y1`),
//! through the inline connector, to the module's input (`Z1`, `A1`).

use pinchpoint::{
    circuit::{Circuit, DamageZone, LimitMode, Load, LoadModel, stock},
    diagnosis::ModuleVerdict,
    fault::{FaultKind, Site},
    practice::Hidden,
    quantity::units::{milliamperes, ohms, volts},
    reading::{Kind, Value},
};

use crate::vehicle::{Told, Vehicle, add_signal, at, number, off, with_returns};

/// Designation of the wire that ends at a point.
fn wire_to(circuit: &Circuit, point: &str) -> String {
    let wire = circuit.wires.iter().find(|wire| wire.to == at(point));
    wire.expect("a wire to there").id.clone()
}

fn is_signal(site: &Site) -> bool {
    ["V1", "Y1", "Z1", "A1"].contains(&site.part.as_str())
        || (site.pin == Some(3) && ["X1", "C1"].contains(&site.part.as_str()))
}

/// Situation 7: a pedal's plausibility code after valeting; a new pedal changed nothing; the plan led to its 5 V
/// feed. Unproven: the wet plug before it leads, the new pedal stays in, and the feed at the plug is asked for.
#[test]
fn situation_7_a_new_pedal_and_the_same_code() {
    let mut circuit = with_returns(2);
    add_signal(&mut circuit, 1, 0.3);
    circuit.damage_zones.push(DamageZone {
        note: "wet from valeting".to_owned(),
        parts: vec!["X1".to_owned()],
        factor: 6.0,
    });
    let fault = Hidden::new(Site::pin("X1", 1), FaultKind::HighResistance, 900.0);
    let mut vehicle = Vehicle::new(circuit, &[fault]);
    let before = vehicle.volts("A1.feed", &[]);
    vehicle.replaced("S1");
    let after = vehicle.volts("A1.feed", &[]);
    assert!(
        (before - after).abs() < 0.002 && before < 1.3,
        "{before} {after}"
    );
    let told = vehicle.told();
    assert!(
        told.of("S1") > 1e-3,
        "a new part can be bad too: {}",
        told.show()
    );
    assert!(told.of("X1") > told.of("S1"), "{}", told.show());
    let at_the_plug = told.proposes(|test| {
        matches!(&test.asked, pinchpoint::advise::Asked::Read { kind: Kind::Volts, red, .. }
            if red.part == "X1" || red.part == "S1")
    });
    assert!(at_the_plug, "{}", told.show());
    assert!(!matches!(
        told.findings.modules[0],
        ModuleVerdict::Accused { .. }
    ));
}

/// Situation 8: the feed is right at the sensor's plug, the signal falls short at the module, 0.1 V stands on its
/// ground; the module's connector is soaked. Unproven: ohms from pin to pin with the connector off tell harness from
/// module.
#[test]
fn situation_8_a_soaked_connector_at_the_module() {
    let mut circuit = with_returns(2);
    add_signal(&mut circuit, 1, 0.5);
    circuit.damage_zones.push(DamageZone {
        note: "soaked with melted snow".to_owned(),
        parts: vec!["C1".to_owned()],
        factor: 6.0,
    });
    let back = wire_to(&circuit, "C1.2n");
    let bridge = Hidden::new(
        Site {
            with: Some("Z1".to_owned()),
            ..Site::part(&back)
        },
        FaultKind::ShortBetween,
        40e3,
    );
    let mut vehicle = Vehicle::new(circuit, &[bridge.at(0.99)]);
    vehicle.read(Kind::Volts, "X1.1f", "X1.2f", off(&[]));
    let signal = vehicle.volts("A1.feed", &[]);
    // 25 kΩ of tap before a bridge of 40 kΩ and an input of 1 MΩ: 2.5 V × 38.5 / 63.5 = 1.5 V.
    assert!((signal - 1.51).abs() < 0.05, "{signal}");
    let told = vehicle.told();
    let on_the_line =
        told.chance(|site, _| is_signal(site) || site.with.is_some() || site.part == "S1");
    assert!(on_the_line > 0.7, "{}", told.show());
    // From pin to pin on the module's side, the harness off.
    let joined = number(vehicle.read(Kind::Ohms, "C1.3n", "C1.2n", off(&["C1"])));
    assert!((joined - 38.5e3).abs() < 1e3, "{joined}");
    let harness = vehicle.read(Kind::Ohms, "C1.3f", "C1.2f", off(&["C1", "X1"]));
    assert!(matches!(harness, Value::OverRange { .. }), "{harness:?}");
    let told = vehicle.told();
    let far_side = told.of("Y1");
    assert!(far_side < 0.05, "{}", told.show());
    let near_side = told.chance(|site, _| {
        ["Z1", "A1", back.as_str(), "C1"].contains(&site.part.as_str())
            || site.with.as_deref() == Some("Z1")
    });
    assert!(near_side > 0.8, "{}", told.show());
}

/// Situation 10: 5.00 V of feed, a signal that stays at 0.37 V through the sweep, two new sensors. Not the reference.
#[test]
fn situation_10_a_stuck_signal_is_not_the_reference() {
    let mut circuit = with_returns(3);
    add_signal(&mut circuit, 1, 0.5);
    let trunk = wire_to(&circuit, "C1.1n");
    let own = wire_to(&circuit, "X1.1n");
    let fault = Hidden::new(Site::part("Y1"), FaultKind::ShortToGround, 4.3e3);
    let mut vehicle = Vehicle::new(circuit, &[fault]);
    let feed = number(vehicle.read(Kind::Volts, "X1.1f", "X1.2f", off(&[])));
    assert!((feed - 5.0).abs() < 0.05, "{feed}");
    for replaced in [false, true, true] {
        if replaced {
            vehicle.replaced("S1");
        }
        let signal = vehicle.volts("X1.3n", &[]);
        assert!((signal - 0.37).abs() < 0.02, "{signal}");
    }
    let told = vehicle.told();
    let reference = told.chance(|site, kind| {
        site.part == "M1"
            || [&trunk, &own].contains(&&site.part) && kind == FaultKind::ShortToGround
    });
    assert!(reference < 0.05, "{}", told.show());
    assert!(
        told.chance(|site, _| is_signal(site)) > 0.5,
        "{}",
        told.show()
    );
    // The third sensor may be as bad as the first two were thought to be.
    let third = told.chance(|site, kind| site.part == "S1" && kind == FaultKind::SignalStuck);
    assert!((1e-3..0.6).contains(&third), "{}", told.show());
}

/// A sensor that holds its own signal is told from a bad line by what its plug shows when it is off.
#[test]
fn a_signal_held_inside_its_sensor_is_told_from_its_line() {
    let mut circuit = with_returns(2);
    add_signal(&mut circuit, 1, 0.5);
    let stuck = Hidden::new(Site::part("S1"), FaultKind::SignalStuck, 1e3).at(0.1);
    let mut vehicle = Vehicle::new(circuit, &[stuck]);
    let low = vehicle.volts("X1.3n", &[]);
    assert!(low < 0.5, "{low}");
    vehicle.read(Kind::Volts, "X1.1f", "X1.2f", off(&[]));
    let line = vehicle.read(Kind::Ohms, "X1.3n", "X1.2n", off(&["X1"]));
    assert!(number(line) > 9e5, "{line:?}");
    let told = vehicle.told();
    let held = told.chance(|site, kind| site.part == "S1" && kind == FaultKind::SignalStuck);
    // Its own pigtail, which no plug parts from it, stays beside it.
    let own = told.chance(|site, _| site.part == "V1" || *site == Site::pin("X1", 3));
    assert!(held > 0.4 && held + own > 0.9, "{}", told.show());
    assert!(
        told.line.contains("S1 holding its signal"),
        "{}",
        told.show()
    );
}

/// Situation 11: plugged, with the feed at 5.0 V, a signal of 5.0 V is an open ground and one of 0 V an open feed.
/// Teaching text (common practice, no source).
#[test]
fn situation_11_an_open_ground_pulls_the_signal_up_and_an_open_feed_down() {
    let mut circuit = with_returns(3);
    add_signal(&mut circuit, 1, 0.5);
    for (pin, expected) in [(2, 5.0), (1, 0.0)] {
        let fault = Hidden::new(Site::pin("X1", pin), FaultKind::Open, 1.0);
        let mut vehicle = Vehicle::new(circuit.clone(), &[fault]);
        let feed = vehicle.volts("X1.1n", &[]);
        let ground = vehicle.volts("X1.2n", &[]);
        let signal = vehicle.volts("X1.3n", &[]);
        assert!(feed > 4.9 && ground < 0.2, "{feed} {ground}");
        assert!((signal - expected).abs() < 0.3, "{signal}");
        let told = vehicle.told();
        let side = told.chance(|site, kind| {
            let series = matches!(kind, FaultKind::Open | FaultKind::HighResistance);
            series && *site == Site::pin("X1", pin)
        });
        let other = told.chance(|site, _| *site == Site::pin("X1", 3 - pin));
        assert!(side > 0.5 && other < 0.05, "pin {pin}: {}", told.show());
    }
}

fn touching(circuit: &Circuit) -> Hidden {
    let feed = wire_to(circuit, "X1.1n");
    let site = Site {
        with: Some("Y1".to_owned()),
        ..Site::part(feed)
    };
    Hidden::new(site, FaultKind::ShortBetween, 0.5).at(0.9)
}

fn between(told: &Told) -> f64 {
    told.chance(|site, kind| kind == FaultKind::ShortBetween && site.with.as_deref() == Some("Y1"))
}

/// Situation 12: feed shorted to signal in the wiring: the signal is at a limit, and unplugging the sensor changes
/// nothing. Teaching text (common practice, no source).
#[test]
fn situation_12_feed_and_signal_touching_in_the_wiring() {
    let mut circuit = with_returns(3);
    add_signal(&mut circuit, 1, 0.5);
    let mut vehicle = Vehicle::new(circuit.clone(), &[touching(&circuit)]);
    let pegged = vehicle.volts("X1.3n", &[]);
    let still = vehicle.volts("X1.3n", &["X1"]);
    vehicle.volts("X1.1n", &["X1"]);
    assert!(
        pegged > 4.9 && (pegged - still).abs() < 0.05,
        "{pegged} {still}"
    );
    let told = vehicle.told();
    assert!(between(&told) > 0.5, "{}", told.show());
    assert!(told.of("S1") < 0.1, "{}", told.show());
    // Inside the sensor instead: off with the plug it is gone, and the wiring is cleared.
    let inside = Hidden::new(Site::part("S1"), FaultKind::SignalStuck, 0.5).at(0.9);
    let mut vehicle = Vehicle::new(circuit, &[inside]);
    let pegged = vehicle.volts("X1.3n", &[]);
    let gone = vehicle.volts("X1.3n", &["X1"]);
    vehicle.volts("X1.1n", &["X1"]);
    assert!(pegged > 4.9 && gone < 0.1, "{pegged} {gone}");
    let told = vehicle.told();
    assert!(between(&told) < 0.05, "{}", told.show());
    assert!(told.of("S1") > 0.3, "{}", told.show());
}

/// Situation 14: a signal shorted to battery feeds back into the feed through its sensor, so that the feed is high with
/// that sensor connected only. Teaching text; the volts are calculated: 12.6 V before 220 Ω of output stage, which has to
/// carry the feed's draws, since the supply takes nothing back.
#[test]
fn situation_14_a_signal_on_battery_lifts_the_feed_through_its_sensor() {
    let mut circuit = with_returns(2);
    for load in &mut circuit.loads {
        load.model = LoadModel::Electronic {
            draw: milliamperes(8.0),
            knee: volts(2.5),
        };
    }
    add_signal(&mut circuit, 1, 0.5);
    circuit.rails.push(stock::rail("B1", volts(12.6)));
    circuit.supplies[0].sinks = false;
    circuit.supplies[0].limit = LimitMode::None;
    circuit.loads.push(Load {
        model: LoadModel::Resistive {
            resistance: ohms(220.0),
        },
        name: "output stage of S1".to_owned(),
        ..stock::sensor("S11", at("X1.1f"), at("X1.3f"), volts(5.0))
    });
    let site = Site {
        with: Some("B1".to_owned()),
        ..Site::part("Y1")
    };
    let mut vehicle = Vehicle::new(circuit, &[Hidden::new(site, FaultKind::ShortToRail, 1.0)]);
    // (12.6 V − U) ÷ 221 Ω = 16 mA: U = 9.06 V; with X2 off 8 mA: 10.83 V.
    let plugged = vehicle.volts("M1.feed", &[]);
    assert!((plugged - 9.06).abs() < 0.05, "{plugged}");
    let fewer = vehicle.volts("M1.feed", &["X2"]);
    assert!((fewer - 10.83).abs() < 0.05, "{fewer}");
    let without = vehicle.volts("M1.feed", &["X1"]);
    assert!((without - 5.0).abs() < 0.05, "{without}");
    vehicle.volts("X1.3n", &["X1"]);
    let told = vehicle.told();
    let leak = told.chance(|site, kind| {
        kind == FaultKind::ShortToRail && ["Y1", "Z1"].contains(&site.part.as_str())
    });
    assert!(leak > 0.8, "{}", told.show());
    assert!(told.line.contains("B1"), "{}", told.line);
}
