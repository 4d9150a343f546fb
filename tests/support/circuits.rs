//! Small circuits. Values are calculated or picked for the test; none is field data.
#![allow(dead_code, reason = "every test file uses its own selection")]

use pinchpoint::{
    circuit::{
        Circuit, ConductorSize, Connector, Fuse, Ground, LimitMode, Load, LoadModel, Pin, Point,
        Rail, Splice, Supply, Wire,
    },
    quantity::units::{metres, milliamperes, minutes, ohms, square_millimetres, volts},
};

fn point(text: &str) -> Point {
    text.parse().expect("a point of the fixture")
}

pub fn supply(id: &str, nominal: f64) -> Supply {
    Supply {
        id: id.to_owned(),
        name: String::new(),
        nominal: volts(nominal),
        tolerance_percent: 2.0,
        source: Some(ohms(0.5)),
        source_factor: 2.0,
        limit: LimitMode::Constant {
            limit: Some(milliamperes(150.0)),
        },
        limit_factor: 1.5,
        feed_pins: 1,
        latches: false,
        sinks: true,
        more_members: false,
        probe: minutes(3.0),
    }
}

pub fn wire(id: &str, from: &str, to: &str, length: Option<f64>) -> Wire {
    Wire {
        id: id.to_owned(),
        from: point(from),
        to: point(to),
        length: length.map(metres),
        size: ConductorSize::SquareMillimetres(square_millimetres(0.5)),
        colour: None,
        circuit_number: String::new(),
        bundle: String::new(),
    }
}

pub fn connector(id: &str, pins: usize) -> Connector {
    Connector {
        id: id.to_owned(),
        name: String::new(),
        place: String::new(),
        pins: vec![
            Pin {
                contact: ohms(0.005)
            };
            pins
        ],
        access: minutes(5.0),
        sealed: false,
    }
}

pub fn splice(id: &str) -> Splice {
    Splice {
        id: id.to_owned(),
        place: String::new(),
        more_members: false,
    }
}

pub fn load(id: &str, feed: &str, ret: &str) -> Load {
    Load {
        id: id.to_owned(),
        name: String::new(),
        feed: point(feed),
        ret: point(ret),
        model: LoadModel::Electronic {
            draw: milliamperes(8.0),
            knee: volts(4.0),
        },
        spread_percent: 10.0,
        signal_fraction: None,
        blocks_ohmmeter: false,
    }
}

/// A ground point; volts to battery negative mean something only where the module's return has one.
pub fn ground(at: &str) -> Ground {
    Ground {
        id: "G1".to_owned(),
        at: point(at),
        strap: ohms(0.01),
        place: String::new(),
    }
}

pub fn rail(id: &str) -> Rail {
    Rail {
        id: id.to_owned(),
        name: String::new(),
        potential: volts(12.6),
        source: ohms(0.01),
    }
}

/// A supply, `count` wires in a row with splices between, and one load.
pub fn chain(count: usize, length: f64) -> Circuit {
    let mut circuit = Circuit {
        supplies: vec![supply("M1", 5.0)],
        grounds: vec![ground("M1.return")],
        loads: vec![load("S1", "S1.feed", "BN")],
        ..Circuit::default()
    };
    let mut from = "M1.feed".to_owned();
    for i in 1..=count {
        let to = if i == count {
            "S1.feed".to_owned()
        } else {
            format!("SP{i}")
        };
        circuit
            .wires
            .push(wire(&format!("W{i}"), &from, &to, Some(length)));
        if i < count {
            circuit.splices.push(splice(&format!("SP{i}")));
        }
        from = to;
    }
    circuit
}

/// The ride-height feed of an invented Corran Tender 2.2: 9 V, two splices, two inline connectors, five sensors.
pub fn tender() -> Circuit {
    let mut circuit = Circuit {
        supplies: vec![supply("M1", 9.0)],
        grounds: vec![ground("M1.return")],
        splices: vec![splice("SP1"), splice("SP2")],
        ..Circuit::default()
    };
    for (id, from, to, length) in [
        ("W1", "M1.feed", "C1.1n", 1.4),
        ("W2", "C1.1f", "SP1", 0.9),
        ("W3", "SP1", "X1.1n", 1.1),
        ("W4", "SP1", "X2.1n", 1.9),
        ("W5", "SP1", "C2.1n", 2.2),
        ("W6", "C2.1f", "SP2", 0.6),
        ("W7", "SP2", "X3.1n", 2.4),
        ("W8", "SP2", "X4.1n", 1.0),
        ("W9", "SP2", "X5.1n", 1.7),
    ] {
        circuit.wires.push(wire(id, from, to, Some(length)));
    }
    for id in ["C1", "C2", "X1", "X2", "X3", "X4", "X5"] {
        circuit.connectors.push(connector(id, 1));
    }
    for n in 1..=5 {
        circuit
            .loads
            .push(load(&format!("S{n}"), &format!("X{n}.1f"), "BN"));
    }
    circuit
}

/// Two sensors behind one inline connector, their returns running back through it.
pub fn with_returns() -> Circuit {
    let mut circuit = Circuit {
        supplies: vec![supply("M1", 5.0)],
        grounds: vec![ground("M1.return")],
        splices: vec![splice("SP1"), splice("SP2")],
        connectors: vec![connector("C1", 2), connector("X1", 2), connector("X2", 2)],
        loads: vec![load("S1", "X1.1f", "X1.2f"), load("S2", "X2.1f", "X2.2f")],
        ..Circuit::default()
    };
    for (id, from, to, length) in [
        ("W1", "M1.feed", "C1.1n", 1.2),
        ("W2", "C1.1f", "SP1", 0.5),
        ("W3", "SP1", "X1.1n", 1.0),
        ("W4", "SP1", "X2.1n", 2.0),
        ("W5", "M1.return", "C1.2n", 1.3),
        ("W6", "C1.2f", "SP2", 0.8),
        ("W7", "SP2", "X1.2n", 0.7),
        ("W8", "SP2", "X2.2n", 1.8),
    ] {
        circuit.wires.push(wire(id, from, to, Some(length)));
    }
    circuit
}

/// One part of each kind, not wired.
pub fn one_of_each() -> Circuit {
    Circuit {
        supplies: vec![supply("M1", 5.0)],
        connectors: vec![connector("C1", 2)],
        splices: vec![splice("SP1"), splice("SP2")],
        grounds: vec![ground("G1")],
        fuses: vec![Fuse {
            id: "F1".to_owned(),
            rated: milliamperes(5000.0),
            resistance: ohms(0.01),
        }],
        loads: vec![load("S1", "S1.feed", "S1.return")],
        rails: vec![rail("B1")],
        ..Circuit::default()
    }
}

/// One step of a grown harness: where it branches off and how long its wire is.
#[derive(Clone, Copy, Debug)]
pub struct Twig {
    /// Index of an earlier splice, modulo their number.
    pub onto: usize,
    /// Wire length.
    pub length_cm: u32,
}

/// A tree: every twig is a wire to a new splice, and a wire from there to a connector with a sensor.
pub fn grown(twigs: &[Twig]) -> Circuit {
    let mut circuit = Circuit {
        supplies: vec![supply("M1", 5.0)],
        ..Circuit::default()
    };
    let mut joints = vec!["M1.feed".to_owned()];
    for (i, twig) in twigs.iter().enumerate() {
        let from = joints[twig.onto % joints.len()].clone();
        let joint = format!("SP{i}");
        let length = f64::from(twig.length_cm) / 100.0;
        circuit
            .wires
            .push(wire(&format!("W{i}a"), &from, &joint, Some(length)));
        circuit.wires.push(wire(
            &format!("W{i}b"),
            &joint,
            &format!("X{i}.1n"),
            Some(0.4),
        ));
        circuit.splices.push(splice(&joint));
        circuit.connectors.push(connector(&format!("X{i}"), 1));
        circuit
            .loads
            .push(load(&format!("S{i}"), &format!("X{i}.1f"), "BN"));
        joints.push(joint);
    }
    circuit
}
