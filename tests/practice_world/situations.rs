//! Calculated situations of the trade (Ohm's law with the numbers given; no field data).

use pinchpoint::{
    circuit::{Circuit, LimitMode, LoadModel, Point, stock},
    fault::{FaultKind, Site},
    practice::{Hidden, World},
    quantity::units::{milliamperes, ohms, volts},
    reading::{Attached, Kind, State, Value},
};

use super::published::{at, ideal};

/// A 5 V module at a splice, with a plug X1, X2 … and a sensor for each model.
fn star(limit: LimitMode, sensors: &[LoadModel]) -> Circuit {
    let mut circuit = Circuit::default();
    let mut supply = stock::supply("M1", volts(5.0));
    supply.source = Some(ohms(1e-3));
    supply.limit = limit;
    circuit.supplies.push(supply);
    let mut ground = stock::ground("G1", at("M1.return"));
    ground.strap = ohms(1e-6);
    circuit.grounds.push(ground);
    for (n, model) in sensors.iter().enumerate() {
        let n = n + 1;
        let plug = format!("X{n}");
        let mut connector = stock::plug(&plug, 1);
        connector.pins[0].contact = ohms(1e-6);
        circuit.connectors.push(connector);
        let mut wire = stock::wire(format!("W{n}"), at("M1.feed"), at(&format!("{plug}.1n")));
        wire.length = Some(pinchpoint::quantity::units::metres(0.001));
        circuit.wires.push(wire);
        let mut load = stock::sensor(
            format!("S{n}"),
            at(&format!("{plug}.1f")),
            Point::battery_negative(),
            volts(5.0),
        );
        load.model = *model;
        circuit.loads.push(load);
    }
    circuit
}

fn draw(ma: f64, knee: f64) -> LoadModel {
    LoadModel::Electronic {
        draw: milliamperes(ma),
        knee: volts(knee),
    }
}

fn resistor(ohm: f64) -> LoadModel {
    LoadModel::Resistive {
        resistance: ohms(ohm),
    }
}

fn constant(ma: f64) -> LimitMode {
    LimitMode::Constant {
        limit: Some(milliamperes(ma)),
    }
}

fn foldback(ma: f64, short: f64) -> LimitMode {
    LimitMode::Foldback {
        limit: Some(milliamperes(ma)),
        short_circuit: Some(milliamperes(short)),
    }
}

fn without(plugs: &[&str]) -> State {
    State {
        unplugged: plugs.iter().map(|&id| id.to_owned()).collect(),
        ..State::default()
    }
}

fn feed(world: &mut World, state: &State) -> f64 {
    let value = world.value(
        Kind::Volts,
        &at("M1.feed"),
        &Point::battery_negative(),
        state,
    );
    value.expect("the module's feed is drawn")
}

fn near(value: f64, expected: f64, what: &str) {
    assert!(
        (value - expected).abs() < 0.006,
        "{what}: {value} instead of {expected}"
    );
}

fn short(part: &str, ohm: f64) -> Hidden {
    Hidden::new(Site::part(part), FaultKind::ShortToGround, ohm)
}

#[test]
fn situation_18_every_healthy_plug_lifts_the_feed_a_little() {
    let circuit = star(constant(100.0), &[draw(8.0, 0.5); 4]);
    let mut world = World::exact(&circuit, &[short("W1", 20.0)], &ideal()).expect("a wire");
    near(feed(&mut world, &without(&[])), 1.36, "all plugged");
    near(feed(&mut world, &without(&["X2"])), 1.52, "one off");
    near(
        feed(&mut world, &without(&["X1", "X2", "X3", "X4"])),
        2.0,
        "all off",
    );
}

#[test]
fn situation_19_a_supply_that_folds_back_does_not_start() {
    let circuit = star(foldback(150.0, 30.0), &[resistor(1e9), draw(20.0, 0.05)]);
    let fault = [short("W1", 10.0)];
    let mut world = World::exact(&circuit, &fault, &ideal()).expect("a wire");
    near(feed(&mut world, &without(&["X2"])), 0.395, "bare");
    near(feed(&mut world, &without(&[])), 0.13, "with 20 mA of loads");
    // With 35 mA of loads it stays down when the short has gone, and comes up when they are unplugged.
    let circuit = star(foldback(150.0, 30.0), &[resistor(1e9), draw(35.0, 0.05)]);
    let mut world = World::exact(&circuit, &fault, &ideal()).expect("a wire");
    assert!(feed(&mut world, &without(&[])) < 0.05);
    assert!(world.repair(&Site::part("W1")));
    assert!(
        feed(&mut world, &without(&[])) < 0.05,
        "still down without its short"
    );
    near(feed(&mut world, &without(&["X2"])), 5.0, "unplugged");
    near(feed(&mut world, &without(&[])), 5.0, "what is up stays up");
    let cold = State {
        key_cycled: Some(true),
        ..State::default()
    };
    assert!(
        feed(&mut world, &cold) < 0.05,
        "and does not start from nothing"
    );
}

#[test]
fn situation_20_two_shorts_under_one_limit() {
    let circuit = star(constant(100.0), &[resistor(1e9), resistor(1e9)]);
    let in_load = |id: &str, ohm| Hidden::new(Site::part(id), FaultKind::DrawsTooMuch, ohm);
    let hidden = [in_load("S1", 10.0), in_load("S2", 30.0)];
    let mut world = World::exact(&circuit, &hidden, &ideal()).expect("sensors");
    near(feed(&mut world, &without(&[])), 0.75, "both");
    near(feed(&mut world, &without(&["X1"])), 3.0, "first off");
    near(feed(&mut world, &without(&["X2"])), 1.0, "second off");
    near(feed(&mut world, &without(&["X1", "X2"])), 5.0, "both off");
}

#[test]
fn situation_21_a_bad_joint_shows_under_load_only() {
    for (ma, expected) in [(10.0, 4.40), (24.0, 3.56)] {
        let circuit = star(LimitMode::None, &[draw(ma, 1.0)]);
        let joint = Hidden::new(Site::pin("X1", 1), FaultKind::HighResistance, 60.0);
        let mut world = World::exact(&circuit, &[joint], &ideal()).expect("a pin");
        let beyond = world.value(
            Kind::Volts,
            &at("X1.1f"),
            &Point::battery_negative(),
            &without(&[]),
        );
        near(beyond.expect("drawn"), expected, "beyond the joint");
    }
}

#[test]
fn situation_22_ghost_voltage() {
    // The last strand, 10 kΩ: a meter of 10 MΩ reads 4.995 V behind it; a known load of 1 kΩ brings 0.45 V.
    let mut circuit = star(LimitMode::None, &[resistor(1e12)]);
    circuit.loads.clear();
    let strand = Hidden::new(Site::part("W1"), FaultKind::HighResistance, 10e3);
    let meter = pinchpoint::reading::Meter::default();
    let mut world = World::exact(&circuit, &[strand], &meter).expect("a wire");
    let mut state = State::default();
    let mut read = |state: &State| {
        let value = world.value(Kind::Volts, &at("X1.1f"), &Point::battery_negative(), state);
        value.expect("drawn")
    };
    near(read(&state), 4.995, "unloaded");
    state.attached.push(Attached {
        from: at("X1.1f"),
        to: Point::battery_negative(),
        resistance: ohms(1000.0),
    });
    near(read(&state), 5.0 / 11.0, "loaded");
}

#[test]
fn situation_23_unplugging_reveals_a_leak_from_a_higher_rail() {
    let leak = |sensors: &[LoadModel], ohm| {
        let mut circuit = star(LimitMode::None, sensors);
        circuit.supplies[0].sinks = false;
        circuit.rails.push(stock::rail("B1", volts(12.6)));
        circuit.rails[0].source = ohms(1e-6);
        let site = Site {
            with: Some("B1".to_owned()),
            ..Site::part("W1")
        };
        let hidden = Hidden::new(site, FaultKind::ShortToRail, ohm);
        World::exact(&circuit, &[hidden], &ideal()).expect("a wire and a rail")
    };
    // 47 Ω and a load of 30 mA in all: (12.6 − 9.8) V / 47 Ω is 60 mA, so the load is a resistance here: 9.8 V needs
    // 12.6 V · R / (R + 47 Ω), R = 164.5 Ω, which draws 30 mA at 4.94 V.
    let mut world = leak(&[resistor(164.5)], 47.0);
    near(feed(&mut world, &without(&[])), 9.8, "47 Ω to battery");
    // 1 kΩ: 5 V as long as more is drawn than leaks in; 12.6 V with nothing plugged.
    let mut world = leak(&[resistor(500.0), resistor(1677.0)], 1000.0);
    near(feed(&mut world, &without(&[])), 5.0, "all plugged");
    near(
        feed(&mut world, &without(&["X1"])),
        7.894,
        "3 mA left at 5 V",
    );
    near(feed(&mut world, &without(&["X1", "X2"])), 12.6, "unplugged");
}

#[test]
fn situation_25_a_wet_bridge_hides_below_the_limit() {
    // 400 Ω adds 12.5 mA: the rail stays at 5.00 V; ohms and amperes see it.
    let circuit = star(constant(100.0), &[draw(40.0, 2.0)]);
    let mut world = World::exact(&circuit, &[short("W1", 400.0)], &ideal()).expect("a wire");
    near(feed(&mut world, &without(&[])), 5.0, "below the limit");
    let ground = Point::battery_negative();
    let amps = world.value(Kind::Amperes, &at("M1.feed"), &ground, &without(&[]));
    assert!((amps.expect("a module") - 0.0525).abs() < 1e-4);
    let seen = world.value(Kind::Ohms, &at("M1.feed"), &ground, &without(&["X1"]));
    assert!((seen.expect("drawn") - 400.0).abs() < 0.1);
}

#[test]
fn a_latching_output_stays_off_until_the_key_is_cycled() {
    // Common practice, no source.
    let mut circuit = star(constant(100.0), &[resistor(2000.0), resistor(2000.0)]);
    circuit.supplies[0].latches = true;
    let hidden = Hidden::new(Site::part("S1"), FaultKind::DrawsTooMuch, 5.0);
    let mut world = World::exact(&circuit, &[hidden], &ideal()).expect("a sensor");
    assert!(feed(&mut world, &without(&[])).abs() < 1e-3);
    assert!(
        feed(&mut world, &without(&["X1"])).abs() < 1e-3,
        "unplugged, key not cycled"
    );
    let mut cycled = without(&["X1"]);
    cycled.key_cycled = Some(true);
    near(feed(&mut world, &cycled), 5.0, "key cycled");
    near(feed(&mut world, &without(&["X1"])), 5.0, "stays on");
}

#[test]
fn what_cannot_be_measured_or_hidden_is_named() {
    let circuit = star(LimitMode::None, &[resistor(500.0)]);
    let mut world = World::exact(&circuit, &[], &ideal()).expect("nothing hidden");
    let ground = Point::battery_negative();
    let state = State::default();
    let mut said = |kind, red: &str, black: &Point, state: &State| {
        world
            .measure(kind, &at(red), black, state)
            .expect_err("cannot be measured")
            .to_string()
    };
    assert!(said(Kind::Volts, "C9.1n", &ground, &state).starts_with("C9.1n is not on the sketch"));
    assert!(said(Kind::Volts, "M1.feed", &at("M1.feed"), &state).contains("move one of them"));
    assert!(said(Kind::Amperes, "BN", &ground, &state).contains("clamp around"));
    assert!(said(Kind::Amperes, "X1.7n", &ground, &state).contains("X1.7n"));
    assert!(said(Kind::Volts, "M1.feed", &ground, &without(&["X7"])).contains("X7"));
    for (hidden, named) in [
        (short("W9", 1.0), "W9 is not on the sketch"),
        (short("X1", 1.0), "name a pin"),
        (short("S1", 1.0), "a sensor such as S1 cannot have"),
        (short("W1", 0.0), "its ohms is 0"),
        (short("W1", f64::NAN), "its ohms is NaN"),
        (short("W1", 1.0).at(1.5), "1.5"),
        (
            Hidden::new(Site::part("M1"), FaultKind::SupplyLow, 2.0),
            "from 0.01 to 1",
        ),
    ] {
        let said = World::exact(&circuit, &[hidden], &ideal())
            .expect_err(named)
            .to_string();
        assert!(said.contains(named), "{said}");
    }
}

#[test]
fn a_display_never_shows_minus_nothing() {
    let circuit = star(LimitMode::None, &[resistor(500.0)]);
    let dead = Hidden::new(Site::part("M1"), FaultKind::SupplyDead, 1.0);
    let mut world = World::exact(&circuit, &[dead], &ideal()).expect("a module");
    let shown = world.measure(
        Kind::Volts,
        &at("M1.feed"),
        &Point::battery_negative(),
        &State::default(),
    );
    match shown.expect("drawn") {
        Value::Exactly(zero) => assert_eq!(zero.to_bits(), 0.0_f64.to_bits()),
        other => panic!("{other:?}"),
    }
}
