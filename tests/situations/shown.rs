//! What the engine says reaches who asked: the same findings in the program's text and in its JSON, from a job file on its
//! standard input.

use std::{
    io::Write as _,
    process::{Command, Stdio},
};

use pinchpoint::{
    fault::{FaultKind, Site},
    notebook::{Job, file::format_job},
    practice::Hidden,
    reading::{Kind, State},
};
use serde_json::Value;

use crate::vehicle::{Vehicle, clipped, off, with_returns};

fn program(vehicle: &Vehicle, more: &[&str]) -> String {
    let job = Job {
        circuit: vehicle.circuit.clone(),
        log: vehicle.log.clone(),
        now: vehicle.now.clone(),
        ..Job::default()
    };
    let text = format_job("job.ron", &job).expect("a job that can be written");
    let mut child = Command::new(env!("CARGO_BIN_EXE_pinchpoint"))
        .args(["diagnose", "-"])
        .args(more)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .expect("the program runs");
    let mut input = child.stdin.take().expect("piped");
    input.write_all(text.as_bytes()).expect("it reads");
    drop(input);
    let output = child.wait_with_output().expect("it ends");
    String::from_utf8(output.stdout).expect("UTF-8")
}

fn json(vehicle: &Vehicle) -> Value {
    serde_json::from_str(&program(vehicle, &["--json"])).expect("one line of JSON")
}

fn contains(text: &str, all: &[&str]) {
    for word in all {
        assert!(text.contains(word), "“{word}” in\n{text}");
    }
}

/// A load at two currents: what it narrows of the source is printed beside what was stated.
#[test]
fn what_a_load_test_narrows_is_printed() {
    let mut circuit = with_returns(2);
    circuit.supplies[0].source = None;
    let mut vehicle = Vehicle::new(circuit, &[]);
    vehicle.volts("M1.feed", &["X1", "X2"]);
    let mut loaded = off(&["X1", "X2"]);
    loaded.attached.push(clipped("M1.feed", 100.0));
    vehicle.read(Kind::Volts, "M1.feed", "BN", loaded);
    contains(
        &program(&vehicle, &[]),
        &[
            "Supply, as far as the readings tell",
            "M1: ",
            "source ",
            "(stated ",
        ],
    );
    let answer = json(&vehicle);
    let source = &answer["findings"]["supplies"][0]["source_ohm"];
    assert_eq!(source["narrowed"], true);
    let of = |which: &str, end: &str| source[which][end].as_f64().expect("a number");
    assert!(
        of("now", "low") < 2.0 && 2.0 < of("now", "high"),
        "{source}"
    );
    assert!(of("stated", "high") > 2.0 * of("now", "high"), "{source}");
}

/// What contradicts, what latched off and what stands between a module and its replacement.
#[test]
fn what_contradicts_and_what_latched_off_is_printed() {
    let mut circuit = with_returns(3);
    circuit.supplies[0].latches = true;
    let fault = Hidden::new(Site::part("S2"), FaultKind::DrawsTooMuch, 5.0);
    let mut vehicle = Vehicle::new(circuit, &[fault]);
    vehicle.volts("M1.feed", &[]);
    vehicle.volts("M1.feed", &["X2"]);
    let cycled = State {
        key_cycled: Some(true),
        ..off(&["X2"])
    };
    vehicle.read(Kind::Volts, "M1.feed", "BN", cycled);
    vehicle.noted("X1.1n", 4.2, &["X2"]).state.key_cycled = Some(true);
    vehicle.noted("C1.1f", 3.6, &["X2"]).state.key_cycled = Some(true);
    let text = program(&vehicle, &[]);
    contains(
        &text,
        &[
            "had probably latched off; cycle the key, wait and read again",
            "M1 can latch off, and nobody noted whether the key was cycled",
            "through which it is fed",
            "cycle the key after each change, wait, then read",
        ],
    );
    let answer = json(&vehicle);
    let readings = answer["findings"]["readings"].as_array().expect("a list");
    assert_eq!(readings[0]["mistake"]["latched_off"]["supply"], "M1");
    let problems = answer["findings"]["problems"].to_string();
    contains(
        &problems,
        &["log line 4", "through which it is fed", "log line 2"],
    );
    assert!(answer["findings"]["modules"][0]["not_tested"].is_object());
}

/// A low supply: the next step is its pin alone, and once it is accused both say what is still to do.
#[test]
fn the_gate_of_a_module_is_printed() {
    let low = Hidden::new(Site::part("M1"), FaultKind::SupplyLow, 0.6);
    let mut vehicle = Vehicle::new(with_returns(3), &[low]);
    for unplugged in [&[][..], &["X1"], &["X2"], &["X3"]] {
        vehicle.volts("M1.feed", unplugged);
    }
    let answer = json(&vehicle);
    assert_eq!(answer["next"]["best"], "test", "{answer}");
    contains(
        answer["next"]["line"].as_str().expect("a sentence"),
        &["Unplug C1", "M1 feed pin"],
    );
    vehicle.volts("M1.feed", &["C1"]);
    let text = program(&vehicle, &[]);
    contains(
        &text,
        &[
            "M1 is accused",
            "Before it is replaced",
            "powers and grounds",
        ],
    );
    let accused = &json(&vehicle)["findings"]["modules"][0]["accused"];
    let steps = accused["before_replacing"].as_array().expect("a list");
    assert!(steps.contains(&Value::from("read_again")), "{accused}");
}
