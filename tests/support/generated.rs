//! The generated cases with known faults: reading them and turning them into the program's own types.
//!
//! Source of `tests/cases/*.json`: an independent simulator (full non-linear nodal solve, true tolerances drawn at
//! random, meter errors over the specification band), made for this project; the truth stands in each file.
#![allow(dead_code, reason = "each test binary uses a part of it")]

use std::collections::BTreeSet;

use pinchpoint::{
    circuit::{
        Circuit, ConductorSize, Connector, Ground, LimitMode, Load, LoadModel, Pin, Point, Splice,
        Supply, Wire,
    },
    quantity::units::{amperes, metres, milliamperes, minutes, ohms, square_millimetres, volts},
    reading::{Entry, Meter, Range, Reading, State},
};
use serde_json::Value;

/// A case in the program's own types, with its truth.
pub struct Case {
    pub id: String,
    pub circuit: Circuit,
    pub meter: Meter,
    pub log: Vec<Entry>,
    pub truth: Value,
}

fn text(value: &Value) -> String {
    value.as_str().expect("a text").to_owned()
}

fn number(value: &Value) -> f64 {
    value.as_f64().expect("a number")
}

/// `C1.2m` is the near side of pin 2, `C1.2f` its far side; everything else is written as in the program.
pub fn point(name: &str) -> Point {
    let mine = match name.split_once('.') {
        Some((part, pin)) if pin.ends_with('m') => format!("{part}.{}n", &pin[..pin.len() - 1]),
        _ => name.to_owned(),
    };
    mine.parse().expect("a point")
}

/// Volts against battery negative at a point, one connector unplugged unless it is called nothing.
pub fn reading(red: &str, off: &str, value: f64) -> Entry {
    Entry::Reading(Reading {
        state: State {
            unplugged: (!off.is_empty())
                .then(|| off.to_owned())
                .into_iter()
                .collect(),
            ..State::default()
        },
        ..Reading::volts(point(red), value)
    })
}

/// All cases of a level, in order.
pub fn cases(level: &str) -> Vec<Case> {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/cases");
    let mut names: Vec<_> = std::fs::read_dir(folder)
        .expect("the cases are there")
        .map(|entry| entry.expect("an entry").path())
        .filter(|path| {
            path.file_name()
                .is_some_and(|n| n.to_string_lossy().starts_with(level))
        })
        .collect();
    names.sort();
    names
        .iter()
        .map(|path| convert(&std::fs::read_to_string(path).expect("readable")))
        .collect()
}

pub fn convert(json: &str) -> Case {
    let case: Value = serde_json::from_str(json).expect("JSON");
    let list = |name: &str| case[name].as_array().expect("a list").clone();
    let s = &case["supply"];
    let limit = Some(amperes(number(&s["limit_a"])));
    let supply = Supply {
        id: text(&s["id"]),
        name: String::new(),
        nominal: volts(number(&s["nominal_v"])),
        tolerance_percent: 100.0 * number(&s["tolerance"]),
        source: Some(ohms(number(&s["source_ohm"]))),
        source_factor: number(&s["source_ohm_factor"]),
        limit: match s["limit_mode"].as_str() {
            Some("foldback") => LimitMode::Foldback {
                limit,
                short_circuit: Some(amperes(number(&s["short_circuit_a"]))),
            },
            _ => LimitMode::Constant { limit },
        },
        limit_factor: number(&s["limit_factor"]),
        feed_pins: 1,
        latches: false,
        sinks: true,
        more_members: false,
        probe: minutes(3.0),
    };
    let wires: Vec<Wire> = list("wires")
        .iter()
        .map(|w| Wire {
            id: text(&w["id"]),
            from: point(&text(&w["a"])),
            to: point(&text(&w["b"])),
            length: Some(metres(number(&w["length_m"]))),
            size: ConductorSize::SquareMillimetres(square_millimetres(number(&w["mm2"]))),
            colour: None,
            circuit_number: String::new(),
            bundle: String::new(),
        })
        .collect();
    let connectors: Vec<Connector> = list("connectors")
        .iter()
        .map(|c| Connector {
            id: text(&c["id"]),
            name: String::new(),
            place: String::new(),
            pins: c["pins"]
                .as_array()
                .expect("pins")
                .iter()
                .map(|_| Pin {
                    contact: ohms(number(&c["contact_ohm"])),
                })
                .collect(),
            access: minutes(number(&c["minutes"])),
            sealed: false,
        })
        .collect();
    let splices: BTreeSet<String> = wires
        .iter()
        .flat_map(|w| [&w.from, &w.to])
        .filter(|p| p.terminal == pinchpoint::circuit::Terminal::Only)
        .map(|p| p.part.clone())
        .collect();
    let loads = list("loads")
        .iter()
        .map(|l| Load {
            id: text(&l["id"]),
            name: String::new(),
            feed: point(&text(&l["a"])),
            ret: point(&text(&l["b"])),
            model: match l["model"].as_str() {
                Some("amp") => LoadModel::Electronic {
                    draw: milliamperes(number(&l["ma"])),
                    knee: volts(number(&l["knee_v"])),
                },
                _ => LoadModel::Resistive {
                    resistance: ohms(number(&l["ohm"])),
                },
            },
            spread_percent: 10.0,
            signal_fraction: None,
            blocks_ohmmeter: false,
        })
        .collect();
    let grounds = list("grounds")
        .iter()
        .map(|g| Ground {
            id: text(&g["id"]),
            at: point(&text(&g["node"])),
            strap: ohms(number(&g["ohm"])),
            place: String::new(),
        })
        .collect();
    let m = &case["meter"];
    let meter = Meter {
        percent: number(&m["percent"]),
        counts: number(&m["counts"]),
        ranges: m["ranges"]
            .as_array()
            .expect("ranges")
            .iter()
            .map(|r| Range {
                top: number(&r[0]),
                step: number(&r[1]),
            })
            .collect(),
        input: ohms(number(&m["input_ohm"])),
        ..Meter::default()
    };
    let log = list("readings")
        .iter()
        .map(|r| {
            let unplugged = r["unplugged"]
                .as_array()
                .expect("a list")
                .iter()
                .map(text)
                .collect();
            Entry::Reading(Reading {
                black: point(&text(&r["black"])),
                state: State {
                    unplugged,
                    ..State::default()
                },
                ..Reading::volts(point(&text(&r["red"])), number(&r["value"]))
            })
        })
        .collect();
    Case {
        id: text(&case["id"]),
        circuit: Circuit {
            supplies: vec![supply],
            wires,
            connectors,
            splices: splices
                .into_iter()
                .map(|id| Splice {
                    id,
                    place: String::new(),
                    more_members: false,
                })
                .collect(),
            grounds,
            loads,
            ..Circuit::default()
        },
        meter,
        log,
        truth: case["truth"].clone(),
    }
}
