//! Checks of a sketch: every slip is found, at the right part, and a good sketch is left in peace.

use std::collections::BTreeSet;

use pinchpoint::{
    circuit::{
        Circuit, ConductorSize, DamageZone, LimitMode, LoadModel, Point, Splice, Supply, Terminal,
        check, quick_feed, stock,
    },
    diagnosis::{Question, diagnose},
    explain::names,
    quantity::units::{metres, milliamperes, minutes, ohms, square_millimetres, volts},
    reading::{Entry, Meter, Reading, State},
};
use proptest::prelude::*;

fn feed() -> Circuit {
    quick_feed(volts(5.0), 4, true, true)
}

fn point(text: &str) -> Point {
    text.parse().unwrap()
}

/// Spoils a good sketch and expects one complaint at a part, of a severity, with some words.
fn spoiled(part: &str, fatal: bool, words: &str, spoil: impl FnOnce(&mut Circuit)) {
    let mut circuit = feed();
    spoil(&mut circuit);
    let complaints = check(&circuit);
    let found = complaints.iter().find(|complaint| {
        complaint.part == part && complaint.fatal == fatal && complaint.what.contains(words)
    });
    let found = found.unwrap_or_else(|| panic!("“{words}” at {part} is not among {complaints:#?}"));
    assert!(!found.remedy.is_empty());
}

#[test]
fn a_good_sketch_has_no_complaints() {
    assert_eq!(check(&feed()), []);
}

#[test]
fn structure_is_checked() {
    spoiled("circuit", true, "nothing feeds", |c| c.supplies.clear());
    spoiled(
        "X1",
        true,
        "2 parts have this designation (connector, splice)",
        |c| c.splices.push(stock::splice("X1")),
    );
    spoiled("BN", true, "battery negative", |c| {
        c.splices.push(stock::splice("BN"))
    });
    spoiled("1 x", true, "cannot be the designation", |c| {
        c.splices.push(stock::splice("1 x"))
    });
    spoiled("W1", true, "there is no part C9", |c| {
        c.wires[0].to = point("C9.1n")
    });
    spoiled("W1", true, "has no such point", |c| {
        c.wires[0].to = point("C1.3n")
    });
    spoiled("W1", true, "both of its ends are at M1.feed", |c| {
        c.wires[0].to = point("M1.feed")
    });
    spoiled("C1", true, "no pins", |c| c.connectors[0].pins.clear());
    spoiled("C1", true, "201 pins", |c| {
        c.connectors[0].pins = vec![stock::pin(); 201]
    });
    spoiled("S1", true, "its feed leads to SP9", |c| {
        c.loads[0].feed = point("SP9")
    });
    spoiled("S1", true, "both of its ends", |c| {
        c.loads[0].ret = c.loads[0].feed.clone()
    });
    spoiled("S1", false, "no wire leads to its feed", |c| {
        c.loads[0].feed = point("S1.feed")
    });
    spoiled("S1", false, "no wire leads to its return", |c| {
        c.loads[0].ret = point("S1.return")
    });
    spoiled("S1", false, "no module feeds this sensor", |c| {
        c.loads[0].feed = point("S1.feed");
        c.loads[0].ret = point("BN");
    });
    spoiled("G1", true, "its strap leads to", |c| {
        c.grounds[0].at = point("G9")
    });
    spoiled("G1", true, "battery negative", |c| {
        c.grounds[0].at = point("BN")
    });
    spoiled("G1", false, "no module feeds this ground point", |c| {
        c.grounds[0].at = point("G1")
    });
    spoiled("SP9", false, "no module feeds this splice", |c| {
        c.splices.push(stock::splice("SP9"))
    });
    spoiled("C9", false, "no module feeds this connector", |c| {
        c.connectors.push(stock::connector("C9", 2))
    });
    spoiled("W9x", false, "closes a loop", |c| {
        c.wires
            .push(stock::wire("W9x", point("SP1"), point("X1.1n")))
    });
    spoiled("fender", false, "no part and no bundle", |c| {
        c.damage_zones.push(DamageZone {
            note: "hit".into(),
            parts: vec!["fender".into()],
            factor: 3.0,
        });
    });
}

#[test]
fn a_bundle_may_be_named_by_a_damage_zone() {
    let mut circuit = feed();
    circuit.wires[0].bundle = "sill".into();
    circuit.damage_zones.push(DamageZone {
        note: "hit".into(),
        parts: vec!["sill".into()],
        factor: 3.0,
    });
    assert_eq!(check(&circuit), []);
}

#[test]
fn feed_pins_that_are_joined_inside_the_module_make_a_loop_when_joined_outside() {
    let mut circuit = feed();
    circuit.supplies[0].feed_pins = 2;
    assert_eq!(check(&circuit), []);
    circuit
        .wires
        .push(stock::wire("W90", point("M1.feed2"), point("SP1")));
    assert!(
        check(&circuit)
            .iter()
            .any(|complaint| complaint.part == "W90" && !complaint.fatal)
    );
}

#[test]
fn numbers_are_checked() {
    type Spoil = fn(&mut Circuit, f64);
    // What is spoiled, at which part, and values that must be refused there.
    let cases: [(&str, Spoil, &[f64]); 19] = [
        (
            "M1",
            |c, x| c.supplies[0].nominal = volts(x),
            &[0.0, -5.0, 1e6],
        ),
        (
            "M1",
            |c, x| c.supplies[0].tolerance_percent = x,
            &[-1.0, 101.0],
        ),
        (
            "M1",
            |c, x| c.supplies[0].source = Some(ohms(x)),
            &[0.0, -1.0, 1e9],
        ),
        (
            "M1",
            |c, x| c.supplies[0].source_factor = x,
            &[0.9, -1.0, 1e6],
        ),
        ("M1", |c, x| c.supplies[0].limit_factor = x, &[0.0]),
        (
            "M1",
            |c, x| {
                c.supplies[0].limit = LimitMode::Constant {
                    limit: Some(milliamperes(x)),
                }
            },
            &[0.0, -100.0],
        ),
        ("M1", |c, x| c.supplies[0].probe = minutes(x), &[-3.0, 1e9]),
        (
            "W1",
            |c, x| c.wires[0].length = Some(metres(x)),
            &[0.0, -1.0, 1e4],
        ),
        (
            "W1",
            |c, x| c.wires[0].size = ConductorSize::SquareMillimetres(square_millimetres(x)),
            &[0.0, -0.5],
        ),
        ("C1", |c, x| c.connectors[0].access = minutes(x), &[-1.0]),
        (
            "C1",
            |c, x| c.connectors[0].pins[1].contact = ohms(x),
            &[0.0, -0.1],
        ),
        ("G1", |c, x| c.grounds[0].strap = ohms(x), &[0.0, -0.1]),
        (
            "S2",
            |c, x| {
                c.loads[1].model = LoadModel::Resistive {
                    resistance: ohms(x),
                }
            },
            &[0.0, -10.0],
        ),
        (
            "S1",
            |c, x| c.loads[0].model = stock::electronic(x, volts(5.0)),
            &[0.0, -8.0],
        ),
        (
            "S1",
            |c, x| {
                c.loads[0].model = LoadModel::Electronic {
                    draw: milliamperes(8.0),
                    knee: volts(x),
                }
            },
            &[0.0, -1.0],
        ),
        ("S1", |c, x| c.loads[0].spread_percent = x, &[-1.0, 1000.0]),
        (
            "S1",
            |c, x| c.loads[0].signal_fraction = Some(x),
            &[-0.1, 1.1],
        ),
        (
            "B1",
            |c, x| {
                c.rails.push(stock::rail("B1", volts(x)));
            },
            &[1e5, -1e5],
        ),
        (
            "X1",
            |c, x| {
                c.damage_zones.push(DamageZone {
                    note: String::new(),
                    parts: vec!["X1".into()],
                    factor: x,
                })
            },
            &[0.5, 0.0],
        ),
    ];
    for (index, (part, spoil, values)) in cases.into_iter().enumerate() {
        for value in values.iter().copied().chain([f64::NAN, f64::INFINITY]) {
            let mut circuit = feed();
            spoil(&mut circuit, value);
            let complaints = check(&circuit);
            assert!(
                complaints.len() == 1 && complaints[0].fatal && complaints[0].part == part,
                "case {index} with {value}: {complaints:#?}"
            );
        }
    }
    spoiled("W1", true, "AWG", |c| {
        c.wires[0].size = ConductorSize::Awg(77)
    });
    spoiled("M1", true, "feed pins", |c| c.supplies[0].feed_pins = 0);
    spoiled("M1", true, "would not fold back", |c| {
        c.supplies[0].limit = LimitMode::Foldback {
            limit: Some(milliamperes(30.0)),
            short_circuit: Some(milliamperes(150.0)),
        };
    });
}

#[test]
fn points_are_declared_once_each() {
    let mut circuit = quick_feed(volts(5.0), 1, true, false);
    circuit.supplies[0].feed_pins = 2;
    circuit.fuses.push(stock::fuse("F1"));
    circuit.rails.push(stock::rail("B1", volts(12.0)));
    circuit.grounds.push(stock::ground("G2", point("G2")));
    circuit.loads[0].signal_fraction = Some(0.5);
    circuit.loads.push(stock::sensor(
        "S2",
        point("S2.feed"),
        point("S2.return"),
        volts(5.0),
    ));
    let points: Vec<String> = circuit.points().iter().map(ToString::to_string).collect();
    assert_eq!(
        points,
        [
            "M1.feed",
            "M1.feed2",
            "M1.return",
            "C1.1n",
            "C1.1f",
            "X1.1n",
            "X1.1f",
            "G2",
            "F1.in",
            "F1.out",
            "S1.signal",
            "S2.feed",
            "S2.return",
            "B1",
            "BN",
        ]
    );
    assert!(circuit.has_point(&point("G2")) && !circuit.has_point(&point("G1")));
    for (text, label) in [
        ("M1.feed2", "M1 feed pin 2"),
        ("M1.return", "M1 return pin"),
        ("C1.1n", "C1 pin 1, near side"),
        ("S2.feed", "S2 feed pin"),
        ("S1.signal", "S1 signal"),
        ("F1.in", "F1, supply side"),
        ("F1.out", "F1, load side"),
        ("G2", "G2"),
        ("B1", "B1"),
        ("BN", "battery negative"),
        ("ZZ9", "ZZ9"),
    ] {
        assert_eq!(names::point(&point(text)), label);
    }
}

proptest! {
    #[test]
    fn any_wiring_can_be_checked(links in prop::collection::vec(("[A-Z]{1,2}[0-9]?", 0..7u8, 0..4u8, "[A-Z]{1,2}[0-9]?", 0..7u8), 0..30)) {
        let terminal = |kind: u8, n: u8| match kind {
            0 => Terminal::Only,
            1 => Terminal::Feed(n),
            2 => Terminal::Return,
            3 => Terminal::Near(n),
            4 => Terminal::Far(n),
            5 => Terminal::In,
            _ => Terminal::Out,
        };
        let mut circuit = feed();
        for (n, (a, ka, pin, b, kb)) in links.into_iter().enumerate() {
            let from = Point::new(a, terminal(ka, pin));
            let to = Point::new(b, terminal(kb, pin));
            match n % 3 {
                0 => circuit.wires.push(stock::wire(format!("W{n}"), from, to)),
                1 => circuit.loads.push(stock::sensor(format!("S{n}"), from, to, volts(5.0))),
                _ => circuit.grounds.push(stock::ground(format!("G{n}"), from)),
            }
        }
        // Fatal complaints come first, whatever they are.
        let severities: Vec<bool> = check(&circuit).iter().map(|complaint| !complaint.fatal).collect();
        prop_assert!(severities.is_sorted());
    }
}

#[test]
fn a_limit_below_what_healthy_sensors_draw_is_doubted() {
    // Calculated: four sensors of 30 mA draw 120 mA, more than the 100 mA that the module holds.
    let hungry = |circuit: &mut Circuit| {
        circuit.supplies[0].limit = LimitMode::Constant {
            limit: Some(milliamperes(100.0)),
        };
        for load in &mut circuit.loads {
            load.model = LoadModel::Electronic {
                draw: milliamperes(30.0),
                knee: volts(2.5),
            };
        }
    };
    spoiled(
        "M1",
        false,
        "draw 120 mA when nothing is wrong, and its limit is 100 mA",
        hungry,
    );
    let mut circuit = feed();
    hungry(&mut circuit);
    circuit.loads.truncate(3);
    let doubted = |complaint: &pinchpoint::circuit::check::Complaint| complaint.part == "M1";
    assert!(!check(&circuit).iter().any(doubted));
}

/// The requirement is the reference: a sketch of a feed may leave out the module's ground, and then means that it has one.
#[test]
fn a_return_that_is_not_drawn_is_grounded_and_one_that_leads_nowhere_is_named() {
    let mut drawn = quick_feed(volts(5.0), 4, true, false);
    let mut bare = drawn.clone();
    bare.grounds.clear();
    assert_eq!(check(&bare), []);
    let meter = Meter::default();
    let log = [Entry::Reading(Reading::volts(point("M1.feed"), 4.98))];
    let should = |circuit: &Circuit| {
        let found = diagnose(&Question {
            circuit,
            meter: &meter,
            log: &log,
            now: &State::default(),
            out_of_reach: &BTreeSet::new(),
        });
        found.readings[0].healthy.mean
    };
    let (with, without) = (should(&drawn), should(&bare));
    assert!(
        (with - without).abs() < 0.01 && without > 4.5,
        "{with} {without}"
    );
    let mut away = drawn.wires[0].clone();
    away.id = "W99".to_owned();
    away.from = point("M1.return");
    away.to = point("SP99");
    drawn.wires.push(away);
    drawn.splices.push(Splice {
        id: "SP99".to_owned(),
        place: String::new(),
        more_members: false,
    });
    drawn.grounds.clear();
    let said = check(&drawn);
    assert!(
        said.iter()
            .any(|c| c.part == "M1" && c.what.contains("leads to no ground")),
        "{said:?}"
    );
}

#[test]
fn a_module_that_feeds_members_which_are_not_drawn_feeds_something() {
    let mut circuit = feed();
    let second = Supply {
        id: "M2".into(),
        ..circuit.supplies[0].clone()
    };
    circuit.supplies.push(second);
    let idle = |circuit: &Circuit| {
        let mut complaints = check(circuit).into_iter();
        complaints
            .any(|complaint| complaint.part == "M2" && complaint.what.contains("feeds nothing"))
    };
    assert!(idle(&circuit));
    circuit.supplies[1].more_members = true;
    assert!(!idle(&circuit));
}
