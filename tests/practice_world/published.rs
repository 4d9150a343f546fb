//! Published DC circuits, laid out with the program's own parts and solved by the simulator.

use pinchpoint::{
    circuit::{
        Circuit, ConductorSize, LimitMode, LoadModel, Point, stock, wire::COPPER_RESISTIVITY,
    },
    fault::{FaultKind, Site},
    practice::{Hidden, World},
    quantity::units::{metres, ohms, square_millimetres, volts},
    reading::{Kind, Meter, State},
};

/// Ohms that stand for a published connection without any.
const NONE: f64 = 1e-6;

pub fn at(text: &str) -> Point {
    text.parse().expect("a point")
}

/// A source between `SP1` … and ground, with resistors between splices; `0` is the reference.
fn circuit(source: f64, source_ohm: f64, resistors: &[(&str, &str, f64)]) -> Circuit {
    let mut circuit = Circuit::default();
    let mut supply = stock::supply("M1", volts(source));
    supply.source = Some(ohms(source_ohm));
    supply.limit = LimitMode::None;
    circuit.supplies.push(supply);
    let mut ground = stock::ground("G1", at("M1.return"));
    ground.strap = ohms(NONE);
    circuit.grounds.push(ground);
    for (n, &(from, to, value)) in resistors.iter().enumerate() {
        let end = |name: &str| match name {
            "0" => Point::battery_negative(),
            "+" => at("M1.feed"),
            other => at(other),
        };
        for name in [from, to] {
            if name.starts_with("SP") && circuit.part(name).is_none() {
                circuit.splices.push(stock::splice(name));
            }
        }
        let id = format!("S{}", n + 1);
        let mut load = stock::sensor(id, end(from), end(to), volts(source));
        load.model = LoadModel::Resistive {
            resistance: ohms(value),
        };
        circuit.loads.push(load);
    }
    circuit
}

/// A meter that loads nothing.
pub fn ideal() -> Meter {
    Meter {
        input: ohms(1e15),
        lead: ohms(0.0),
        ..Meter::default()
    }
}

fn check(name: &str, circuit: &Circuit, meter: &Meter, wanted: &[(&str, f64, f64)]) {
    let mut world = World::exact(circuit, &[], meter).expect("no fault is hidden");
    for &(point, expected, tolerance) in wanted {
        let value = world.value(
            Kind::Volts,
            &at(point),
            &Point::battery_negative(),
            &State::default(),
        );
        let value = value.expect("the point is drawn");
        assert!(
            (value - expected).abs() <= tolerance,
            "{name}: {point} reads {value}, published {expected}"
        );
    }
}

#[test]
fn series_and_parallel() {
    // K1: Kuphaldt, Lessons in Electric Circuits I, chapter 6 (figure and text read): 45 V over 5, 10 and 7.5 kΩ
    // drops 10, 20 and 15 V.
    check(
        "K1",
        &circuit(
            45.0,
            NONE,
            &[("+", "SP1", 5e3), ("SP1", "SP2", 10e3), ("SP2", "0", 7.5e3)],
        ),
        &ideal(),
        &[("SP1", 35.0, 1e-6), ("SP2", 15.0, 1e-6)],
    );
    // K3: the same, chapter 7 (read): 24 V over 100 ∥ 250 and 350 ∥ 200 drops 8.6275 and 15.373 V.
    check(
        "K3",
        &circuit(
            24.0,
            NONE,
            &[
                ("+", "SP1", 100.0),
                ("+", "SP1", 250.0),
                ("SP1", "0", 350.0),
                ("SP1", "0", 200.0),
            ],
        ),
        &ideal(),
        &[("SP1", 15.373, 0.0005)],
    );
    // O3: OpenStax University Physics 2, module m58454 (read): 24 V, 7 + (10 ∥ (6 + 4)) Ω: drops 14, 10, 6, 4 V.
    check(
        "O3",
        &circuit(
            24.0,
            NONE,
            &[
                ("+", "SP1", 7.0),
                ("SP1", "0", 10.0),
                ("SP1", "SP2", 6.0),
                ("SP2", "0", 4.0),
            ],
        ),
        &ideal(),
        &[("SP1", 10.0, 1e-5), ("SP2", 4.0, 1e-5)],
    );
    // O6: OpenStax, module m58453 (read): 12 V behind 0.1 Ω gives 11.88 V to 10 Ω.
    check(
        "O6",
        &circuit(12.0, 0.1, &[("+", "0", 10.0)]),
        &ideal(),
        &[("M1.feed", 11.881, 0.0005)],
    );
}

#[test]
fn bridges() {
    // K6: Kuphaldt, chapter 10 (figure and text read); exact by sympy: 512/29 and 560/29 V.
    check(
        "K6",
        &circuit(
            24.0,
            NONE,
            &[
                ("+", "SP1", 150.0),
                ("+", "SP2", 50.0),
                ("SP1", "SP2", 100.0),
                ("SP1", "0", 300.0),
                ("SP2", "0", 250.0),
            ],
        ),
        &ideal(),
        &[("SP1", 512.0 / 29.0, 1e-6), ("SP2", 560.0 / 29.0, 1e-6)],
    );
    // K7: the same (read); exact by sympy: 90/17 and 80/17 V from the top.
    check(
        "K7",
        &circuit(
            10.0,
            NONE,
            &[
                ("+", "SP1", 12.0),
                ("+", "SP2", 18.0),
                ("SP1", "SP2", 6.0),
                ("SP1", "0", 18.0),
                ("SP2", "0", 12.0),
            ],
        ),
        &ideal(),
        &[("SP1", 90.0 / 17.0, 1e-5), ("SP2", 80.0 / 17.0, 1e-5)],
    );
}

#[test]
fn a_meter_loads_what_it_measures() {
    // K9: Kuphaldt, chapter 8 (read): 24 V over two 250 MΩ; a meter of 10 MΩ across the lower one reads 0.8889 V.
    check(
        "K9",
        &circuit(24.0, NONE, &[("+", "SP1", 250e6), ("SP1", "0", 250e6)]),
        &Meter::default(),
        &[("SP1", 0.8889, 0.0002)],
    );
    // Loading rule −Rth/(Rth + Rm), calculated: 5 V through 100 kΩ reads 4.9505 V with 10 MΩ.
    check(
        "loading",
        &circuit(5.0, NONE, &[("+", "SP1", 100e3)]),
        &Meter::default(),
        &[("SP1", 4.9505, 0.0001)],
    );
}

#[test]
fn a_short_along_a_wire() {
    // L10, calculated: 5 V behind 47 Ω, 3 m of 37.1 mΩ/m, then 2 Ω to ground: 0.214951 V at the module, 0.203619 V at
    // the fault, 0.101810 A. The wire here is 6 m with the short in its middle.
    let mut circuit = circuit(5.0, 47.0, &[]);
    circuit.splices.push(stock::splice("SP1"));
    let mut wire = stock::wire("W1", at("M1.feed"), at("SP1"));
    wire.length = Some(metres(6.0));
    // The section that gives 37.1 mΩ/m.
    let area = COPPER_RESISTIVITY / 0.0371;
    wire.size = ConductorSize::SquareMillimetres(square_millimetres(area));
    circuit.wires.push(wire);
    let short = Hidden::new(Site::part("W1"), FaultKind::ShortToGround, 2.0).at(0.5);
    let mut world = World::exact(&circuit, &[short], &ideal()).expect("a wire can be shorted");
    let state = State::default();
    let ground = Point::battery_negative();
    let mut read = |kind, point: &str| {
        world
            .value(kind, &at(point), &ground, &state)
            .expect("drawn")
    };
    assert!((read(Kind::Volts, "M1.feed") - 0.214_951).abs() < 1e-6);
    assert!((read(Kind::Volts, "SP1") - 0.203_619).abs() < 1e-6);
    assert!((read(Kind::Amperes, "M1.feed") - 0.101_810).abs() < 1e-6);
    // L7 (rule of a cable tester's manual, read): one conductor to ground is not halved: 3 m and 2 Ω from the module.
    assert!((read(Kind::Ohms, "M1.feed") - (2.0 + 3.0 * 0.0371)).abs() < 1e-6);
}
