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
    Case {
        id: text(&case["id"]),
        circuit: circuit(&case),
        meter: meter(&case["meter"]),
        log: list(&case["readings"]).iter().map(entry).collect(),
        truth: case["truth"].clone(),
    }
}

fn list(value: &Value) -> &Vec<Value> {
    value.as_array().expect("a list")
}

fn circuit(case: &Value) -> Circuit {
    let wires: Vec<Wire> = list(&case["wires"]).iter().map(wire).collect();
    let splices: BTreeSet<String> = wires
        .iter()
        .flat_map(|w| [&w.from, &w.to])
        .filter(|p| p.terminal == pinchpoint::circuit::Terminal::Only)
        .map(|p| p.part.clone())
        .collect();
    let splice = |id: String| Splice {
        id,
        place: String::new(),
        more_members: false,
    };
    let ground = |g: &Value| Ground {
        id: text(&g["id"]),
        at: point(&text(&g["node"])),
        strap: ohms(number(&g["ohm"])),
        place: String::new(),
    };
    Circuit {
        supplies: vec![supply(&case["supply"])],
        wires,
        connectors: list(&case["connectors"]).iter().map(connector).collect(),
        splices: splices.into_iter().map(splice).collect(),
        grounds: list(&case["grounds"]).iter().map(ground).collect(),
        loads: list(&case["loads"]).iter().map(load).collect(),
        ..Circuit::default()
    }
}

fn supply(s: &Value) -> Supply {
    let limit = Some(amperes(number(&s["limit_a"])));
    Supply {
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
    }
}

fn wire(w: &Value) -> Wire {
    Wire {
        id: text(&w["id"]),
        from: point(&text(&w["a"])),
        to: point(&text(&w["b"])),
        length: Some(metres(number(&w["length_m"]))),
        size: ConductorSize::SquareMillimetres(square_millimetres(number(&w["mm2"]))),
        colour: None,
        circuit_number: String::new(),
        bundle: String::new(),
    }
}

fn connector(c: &Value) -> Connector {
    let contact = ohms(number(&c["contact_ohm"]));
    Connector {
        id: text(&c["id"]),
        name: String::new(),
        place: String::new(),
        pins: vec![Pin { contact }; list(&c["pins"]).len()],
        access: minutes(number(&c["minutes"])),
        sealed: false,
    }
}

fn load(l: &Value) -> Load {
    Load {
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
    }
}

fn meter(m: &Value) -> Meter {
    let range = |r: &Value| Range {
        top: number(&r[0]),
        step: number(&r[1]),
    };
    Meter {
        percent: number(&m["percent"]),
        counts: number(&m["counts"]),
        ranges: list(&m["ranges"]).iter().map(range).collect(),
        input: ohms(number(&m["input_ohm"])),
        ..Meter::default()
    }
}

fn entry(r: &Value) -> Entry {
    Entry::Reading(Reading {
        black: point(&text(&r["black"])),
        state: State {
            unplugged: list(&r["unplugged"]).iter().map(text).collect(),
            ..State::default()
        },
        ..Reading::volts(point(&text(&r["red"])), number(&r["value"]))
    })
}
