//! A job that uses every kind of part, reading and option, for the tests of files.

use pinchpoint::{
    circuit::{
        Circuit, Colour, ConductorSize, Connector, DamageZone, Fuse, Ground, LimitMode, Load,
        LoadModel, Pin, Point, Rail, Splice, Supply, Terminal, Wire,
    },
    notebook::Job,
    quantity::units::{metres, milliamperes, minutes, ohms, square_millimetres, volts},
    reading::{Attached, Entry, Kind, Reading, Repair, State, Value},
};

/// A job that uses every kind of part, reading and option once.
pub fn full_job() -> Job {
    let point = |text: &str| text.parse::<Point>().expect("a point");
    let supply = Supply {
        id: "M1".into(),
        name: "body module".into(),
        nominal: volts(9.0),
        tolerance_percent: 2.0,
        source: Some(ohms(4.7)),
        source_factor: 2.0,
        limit: LimitMode::Foldback {
            limit: Some(milliamperes(140.0)),
            short_circuit: None,
        },
        limit_factor: 1.5,
        feed_pins: 2,
        latches: true,
        sinks: false,
        more_members: true,
        probe: minutes(3.0),
    };
    let wire = Wire {
        id: "W1".into(),
        from: point("M1.feed2"),
        to: point("C1.1n"),
        length: Some(metres(1.4)),
        size: ConductorSize::Awg(20),
        colour: Some("BNRD".parse::<Colour>().expect("a colour")),
        circuit_number: "417".into(),
        bundle: "left sill".into(),
    };
    let plain_wire = Wire {
        id: "W2".into(),
        from: point("C1.1f"),
        to: point("S1.feed"),
        length: None,
        size: ConductorSize::SquareMillimetres(square_millimetres(0.35)),
        colour: None,
        circuit_number: String::new(),
        bundle: String::new(),
    };
    let circuit = Circuit {
        supplies: vec![supply],
        wires: vec![wire, plain_wire],
        connectors: vec![Connector {
            id: "C1".into(),
            name: "sill".into(),
            place: "left \"front\" \\ sill".into(),
            pins: vec![
                Pin {
                    contact: ohms(0.005),
                },
                Pin {
                    contact: ohms(0.012),
                },
            ],
            access: minutes(9.0),
            sealed: true,
        }],
        splices: vec![Splice {
            id: "SP1".into(),
            place: String::new(),
            more_members: true,
        }],
        grounds: vec![Ground {
            id: "G1".into(),
            at: point("G1"),
            strap: ohms(0.01),
            place: "pillar".into(),
        }],
        fuses: vec![Fuse {
            id: "F1".into(),
            rated: milliamperes(5000.0),
            resistance: ohms(0.02),
        }],
        loads: vec![
            Load {
                id: "S1".into(),
                name: "ride height\nleft".into(),
                feed: point("S1.feed"),
                ret: Point::battery_negative(),
                model: LoadModel::Electronic {
                    draw: milliamperes(15.7),
                    knee: volts(3.5),
                },
                spread_percent: 10.0,
                signal_fraction: Some(0.4),
                blocks_ohmmeter: true,
            },
            Load {
                id: "S2".into(),
                name: String::new(),
                feed: point("C1.2f"),
                ret: point("S2.return"),
                model: LoadModel::Resistive {
                    resistance: ohms(4700.0),
                },
                spread_percent: 5.0,
                signal_fraction: None,
                blocks_ohmmeter: false,
            },
        ],
        rails: vec![Rail {
            id: "B1".into(),
            name: "battery".into(),
            potential: volts(12.6),
            source: ohms(0.05),
        }],
        damage_zones: vec![DamageZone {
            note: "jacked here".into(),
            parts: vec!["W1".into(), "left sill".into()],
            factor: 4.0,
        }],
    };
    let state = State {
        unplugged: ["C1".to_owned()].into(),
        unknown: ["C2".to_owned()].into(),
        supply_off: true,
        attached: vec![Attached {
            from: point("SP1"),
            to: Point::battery_negative(),
            resistance: ohms(1000.0),
        }],
        key_cycled: Some(true),
    };
    let reading = |kind, value, black| {
        Entry::Reading(Reading {
            kind,
            red: point("C1.1n"),
            black,
            value,
            state: state.clone(),
            set_aside: true,
            note: "unsteady // checksum 00000000".into(),
        })
    };
    Job {
        title: "CT-4471 · ride-height feed".into(),
        vehicle: "Corran Tender 2.2".into(),
        shop: "Halyard Lane Works".into(),
        request: "all four corners read low".into(),
        notes: "Ω µ ± \u{202e}turned\u{7} 'quoted' \"#\n// checksum 12345678\n".into(),
        circuit,
        log: vec![
            Entry::Reading(Reading::volts(Point::new("M1", Terminal::Feed(1)), 0.669)),
            reading(
                Kind::Ohms,
                Value::OverRange { above: None },
                Point::battery_negative(),
            ),
            reading(
                Kind::Ohms,
                Value::OverRange { above: Some(6e7) },
                point("S1.return"),
            ),
            reading(
                Kind::Amperes,
                Value::Between(0.1, 0.139),
                point("S1.signal"),
            ),
            Entry::Repair(Repair {
                part: "W1".into(),
                replaced: true,
                note: "new section".into(),
            }),
        ],
        now: state,
        ..Job::default()
    }
}
