//! The three ways in which one reference reaches several sensors, and what load tests narrow of a supply. Calculated.

use pinchpoint::{
    circuit::{Circuit, LimitMode, LoadModel, stock},
    diagnosis::supply::Narrowed,
    fault::{FaultKind, Site},
    practice::Hidden,
    quantity::units::{metres, milliamperes, ohms, volts},
    reading::Kind,
};

use crate::vehicle::{Told, Vehicle, at, clipped, number, off, short};

#[derive(Clone, Copy, PartialEq)]
enum Topology {
    /// Splices in the harness.
    Splice,
    /// A pin for each sensor, joined inside the module.
    Inside,
    /// A supply for each sensor.
    Apart,
}

fn three_sensors(topology: Topology) -> Circuit {
    let mut circuit = Circuit::default();
    let supply = |id: &str| {
        let mut supply = stock::supply(id, volts(5.0));
        supply.source = Some(ohms(1.0));
        supply.limit = LimitMode::Constant {
            limit: Some(milliamperes(100.0)),
        };
        supply
    };
    let count: u8 = if topology == Topology::Apart { 3 } else { 1 };
    for n in 1..=count {
        let id = format!("M{n}");
        circuit.supplies.push(supply(&id));
        circuit
            .grounds
            .push(stock::ground(format!("G{n}"), at(&format!("{id}.return"))));
    }
    let mut wire = |id: String, from: String, to: String, length: f64| {
        let mut wire = stock::wire(id, at(&from), at(&to));
        wire.length = Some(metres(length));
        circuit.wires.push(wire);
    };
    if topology == Topology::Splice {
        wire("W9".to_owned(), "M1.feed".to_owned(), "SP1".to_owned(), 1.0);
    }
    for n in 1..=3 {
        let from = match topology {
            Topology::Splice => "SP1".to_owned(),
            Topology::Inside if n == 1 => "M1.feed".to_owned(),
            Topology::Inside => format!("M1.feed{n}"),
            Topology::Apart => format!("M{n}.feed"),
        };
        wire(format!("W{n}"), from, format!("X{n}.1n"), 2.0);
    }
    match topology {
        Topology::Splice => circuit.splices.push(stock::splice("SP1")),
        Topology::Inside => circuit.supplies[0].feed_pins = 3,
        Topology::Apart => {}
    }
    for n in 1..=3 {
        let plug = format!("X{n}");
        circuit.connectors.push(stock::plug(&plug, 1));
        let mut load = stock::sensor(
            format!("S{n}"),
            at(&format!("{plug}.1f")),
            at("BN"),
            volts(5.0),
        );
        load.model = LoadModel::Resistive {
            resistance: ohms(1e3),
        };
        circuit.loads.push(load);
    }
    circuit
}

/// A short on the second branch pulls down every sensor of one supply and none of another.
#[test]
fn a_short_pulls_down_what_shares_its_supply() {
    for topology in [Topology::Splice, Topology::Inside, Topology::Apart] {
        let mut vehicle = Vehicle::new(three_sensors(topology), &[short(Site::part("W2"), 3.0)]);
        let read: Vec<f64> = (1..=3)
            .map(|n| vehicle.volts(&format!("X{n}.1n"), &[]))
            .collect();
        let down: Vec<bool> = read.iter().map(|v| *v < 1.0).collect();
        let expected = if topology == Topology::Apart {
            [false, true, false]
        } else {
            [true; 3]
        };
        assert_eq!(down, expected, "{read:?}");
        vehicle.volts("X2.1n", &["X2"]);
        let told = vehicle.told();
        let on_it = told.chance(|site, kind| site.part == "W2" && kind == FaultKind::ShortToGround);
        assert!(on_it > 0.4, "{}", told.show());
        let others = told
            .chance(|site, _| ["W1", "W3", "X1", "X3", "S1", "S3"].contains(&site.part.as_str()));
        assert!(others < 0.1, "{}", told.show());
    }
}

/// With separate pins that are joined inside, the module's connector is what parts them: a reading at one pin is one at all.
#[test]
fn pins_that_are_joined_inside_read_the_same() {
    let circuit = three_sensors(Topology::Inside);
    let mut vehicle = Vehicle::new(circuit, &[short(Site::part("W2"), 3.0)]);
    let pins: Vec<f64> = ["M1.feed", "M1.feed2", "M1.feed3"]
        .map(|pin| vehicle.volts(pin, &[]))
        .to_vec();
    // 0.1 A through 0.01 Ω inside.
    assert!(pins.iter().all(|v| (v - pins[0]).abs() < 0.005), "{pins:?}");
    // The one through which the current goes is lower by that: a millivolt trail inside the module.
    assert!(pins[1] < pins[0] && pins[1] < pins[2], "{pins:?}");
    let told = vehicle.told();
    let second = told.chance(|site, _| ["W2", "X2", "S2"].contains(&site.part.as_str()));
    assert!(second > 0.3, "{}", told.show());
}

/// A fault of one of three separate feeds is no fault of the others.
#[test]
fn a_dead_feed_among_separate_ones_is_named() {
    let dead = Hidden::new(Site::part("M2"), FaultKind::SupplyDead, 1.0);
    let mut vehicle = Vehicle::new(three_sensors(Topology::Apart), &[dead]);
    for n in 1..=3 {
        vehicle.volts(&format!("M{n}.feed"), &[]);
        vehicle.volts(&format!("M{n}.feed"), &[&format!("X{n}")[..]]);
    }
    let told = vehicle.told();
    let of_m2 = told.chance(|site, kind| site.part == "M2" && kind == FaultKind::SupplyDead);
    assert!(of_m2 > 0.3, "{}", told.show());
    assert!(told.of("M1") + told.of("M3") < 0.05, "{}", told.show());
}

fn supply_unknown() -> Circuit {
    let mut circuit = three_sensors(Topology::Splice);
    circuit.supplies[0].source = None;
    circuit.supplies[0].limit = LimitMode::Constant { limit: None };
    circuit
}

fn holds(parameter: &Narrowed, truth: f64) -> bool {
    parameter.now.low <= truth && truth <= parameter.now.high
}

fn width(parameter: &Narrowed, now: bool) -> f64 {
    let interval = if now { parameter.now } else { parameter.stated };
    interval.high / interval.low
}

fn of_supply(told: &Told) -> &pinchpoint::diagnosis::SupplyFinding {
    &told.findings.supplies[0]
}

/// Two points of load narrow the source: with 1 kΩ and with 100 Ω on it, 2 Ω of source give 4.97 and 4.87 V.
#[test]
fn a_two_point_load_test_narrows_the_source() {
    let mut vehicle = Vehicle::new(supply_unknown(), &[]);
    vehicle.volts("M1.feed", &["X1", "X2", "X3"]);
    let told = vehicle.told();
    let before = width(&of_supply(&told).source_ohm, true);
    let mut loaded = off(&["X1", "X2", "X3"]);
    loaded.attached.push(clipped("M1.feed", 100.0));
    let read = number(vehicle.read(Kind::Volts, "M1.feed", "BN", loaded));
    // 5 V × 100 ÷ 102.
    assert!((read - 4.902).abs() < 0.005, "{read}");
    let told = vehicle.told();
    let source = of_supply(&told).source_ohm;
    assert!(source.narrowed && holds(&source, 2.0), "{source:?}");
    assert!(
        width(&source, true) < 0.5 * before,
        "{source:?} before {before}"
    );
    assert!(width(&source, false) > 5.0, "unknown is broad: {source:?}");
}

/// Amperes in series while the supply is at its limit narrow the limit: 1 Ω takes the whole 100 mA.
#[test]
fn amperes_in_series_narrow_the_limit() {
    let circuit = supply_unknown();
    let mut vehicle = Vehicle::new(circuit, &[short(Site::part("W9"), 1.0)]);
    vehicle.volts("M1.feed", &[]);
    let told = vehicle.told();
    let before = of_supply(&told).limit_a.expect("it limits");
    let amps = number(vehicle.read(Kind::Amperes, "M1.feed", "BN", off(&[])));
    assert!((amps - 0.1).abs() < 1e-3, "{amps}");
    let told = vehicle.told();
    let limit = of_supply(&told).limit_a.expect("it limits");
    assert!(
        limit.narrowed && holds(&limit, 0.1),
        "{limit:?} {}",
        told.show()
    );
    assert!(
        width(&limit, true) < 1.1 && width(&limit, true) < width(&before, true),
        "{limit:?}"
    );
    // Truth of the vehicle: the default of an unknown limit, 100 mA.
    assert!(of_supply(&told).short_circuit_a.is_none());
}
