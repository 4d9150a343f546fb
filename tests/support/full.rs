//! A job that uses every kind of part, reading and option, for the tests of files.

use pinchpoint::{
    circuit::{
        Circuit, Colour, ConductorSize, Connector, DamageZone, Fuse, Ground, LimitMode, Load,
        LoadModel, Pin, Point, Rail, Splice, Supply, Terminal, Wire,
    },
    notebook::{
        Job, Record,
        record::{
            Amendment, Answering, Attachment, Code, FollowUp, FollowUpKind, FunctionCheck, Mileage,
            PartUsed, Particulars, Relation, SignOff, SourceSays, Work,
        },
    },
    quantity::units::{metres, milliamperes, minutes, ohms, square_millimetres, volts},
    reading::{Attached, Entry, Kind, Reading, Repair, State, Value},
};

/// A job that uses every kind of part, reading and option once.
pub fn full_job() -> Job {
    let point = |text: &str| text.parse::<Point>().expect("a point");
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
            black,
            value,
            state: state.clone(),
            set_aside: true,
            note: "unsteady // checksum 00000000".into(),
            ..Reading::volts(point("C1.1n"), 0.0)
        })
    };
    Job {
        title: "CT-4471 · ride-height feed".into(),
        vehicle: "Corran Tender 2.2".into(),
        shop: "Halyard Lane Works".into(),
        request: "all four corners read low".into(),
        notes: "Ω µ ± \u{202e}turned\u{7} 'quoted' \"#\n// checksum 12345678\n".into(),
        circuit: full_circuit(),
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
        record: full_record(),
        ..Job::default()
    }
}

/// Every kind of part once.
fn full_circuit() -> Circuit {
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
    Circuit {
        supplies: vec![supply],
        wires: vec![wire, plain_wire],
        connectors: full_connectors(),
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
        loads: full_loads(),
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
    }
}

/// A record with every field.
pub fn full_record() -> Record {
    Record {
        vehicle: Particulars {
            // The printed example of 49 CFR 565, Table V.
            identification: "1G4AH59H45G118341".into(),
            plate: "HL 4471".into(),
            mileage: Some(Mileage::Kilometres(84_210)),
            battery: Some(volts(12.4)),
        },
        date: "2031-04-02".into(),
        technician: "I. Marrow".into(),
        arrival: "All corners low; lamp on.".into(),
        cause: "W7 chafed through on the cross-member.".into(),
        correction: "New section, sleeved.".into(),
        remains: "Look at the sleeve at the next service.".into(),
        codes: vec![Code {
            code: "C1A22-11".into(),
            text: "ride height feed".into(),
            module: "chassis module".into(),
            before: Some(true),
            after: Some(false),
        }],
        modules: vec![Answering {
            module: "chassis module".into(),
            before: Some(false),
            after: Some(true),
        }],
        parts: vec![PartUsed {
            name: "wire 0.35 mm², BNRD".into(),
            number: "HLW-035".into(),
            quantity: "0.6 m".into(),
            at: "W7".into(),
        }],
        work: full_work(),
        follow_up: vec![FollowUp {
            kind: FollowUpKind::Calibration,
            what: "ride height".into(),
            sources: vec![SourceSays {
                source: "maker's procedure, edition 7".into(),
                says: "after a change of a height sensor only".into(),
            }],
            followed: "maker's procedure".into(),
            done: true,
            by: "I. Marrow".into(),
        }],
        checks: vec![FunctionCheck {
            what: "Raise and lower twice".into(),
            works: Some(true),
            note: "level within 4 mm".into(),
        }],
        attachments: vec![Attachment {
            sha256: "00ff".repeat(16),
            name: "chafe.jpg".into(),
            bytes: 184_220,
            caption: "W7 at the cross-member".into(),
        }],
        sign_off: SignOff {
            by: "I. Marrow".into(),
            date: "2031-04-02".into(),
            note: "road test by the customer".into(),
        },
        amendments: vec![Amendment {
            date: "2031-04-03".into(),
            by: "I. Marrow".into(),
            text: "The mileage was read in km.".into(),
        }],
    }
}

fn full_loads() -> Vec<Load> {
    let point = |text: &str| text.parse::<Point>().expect("a point");
    vec![
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
    ]
}

fn full_work() -> Vec<Work> {
    vec![
        Work {
            what: "Reach C2 behind the step".into(),
            took: minutes(9.0),
            billable: false,
            relation: Relation::LossRelated,
            reached: "C2".into(),
            by: "I. Marrow".into(),
        },
        Work {
            what: "Splice and sleeve".into(),
            took: minutes(35.0),
            billable: true,
            relation: Relation::Undecided,
            reached: String::new(),
            by: String::new(),
        },
    ]
}

fn full_connectors() -> Vec<Connector> {
    vec![Connector {
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
    }]
}
