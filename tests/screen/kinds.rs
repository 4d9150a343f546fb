//! What is noted with a reading, and kinds of reading beside volts, by the names of the controls.

use eframe::egui::{Key, Modifiers};
use pinchpoint::reading::{Kind, Lamp, Seen, Value};

use crate::{
    driver::{click, name_with, press, sample, settle, shows, type_into, window},
    reach::{WIDE, choose, last},
};

const MORE: &str = "Show black lead, clamp, lamp, scan, supply, key, clipped-on loads and ranges";

#[test]
fn the_digits_that_were_typed_stay_with_the_reading() {
    let mut harness = window(sample(), WIDE);
    choose(&mut harness, "Point M1 feed pin");
    type_into(&mut harness, "Value", "0.30");
    // The meter shows 0.1 mV there; what is left out is not made up.
    assert!(shows(&harness, "counts to 10 mV: type every digit"));
    press(&mut harness, Key::Enter);
    let reading = last(&harness);
    assert_eq!(
        (reading.value, reading.step),
        (Value::Exactly(0.3), Some(0.01))
    );
    assert!(shows(&harness, "0.30 V"));
}

#[test]
fn an_led_and_a_scan_are_noted_by_what_was_seen() {
    let mut harness = window(sample(), WIDE);
    choose(&mut harness, "Point M1 feed pin");
    click(&mut harness, MORE);
    click(&mut harness, "LED with its resistor");
    click(&mut harness, "Log dim");
    let reading = last(&harness);
    assert_eq!(reading.kind, Kind::Lamp(Lamp::Led));
    assert_eq!(reading.value, Value::Seen(Seen::Dim));
    // The caution stands beside the bulb, and only there (common practice, no source).
    assert!(!shows(&harness, "never goes on a reference"));
    click(&mut harness, "test lamp");
    assert!(shows(&harness, "never goes on a reference"));
    choose(&mut harness, "Point X1 pin 1, far");
    click(&mut harness, "answers on the scan");
    click(&mut harness, "Log silent");
    let reading = last(&harness);
    assert_eq!(
        (reading.kind, reading.red.part.as_str()),
        (Kind::Scan, "X1")
    );
    assert_eq!(reading.value, Value::Seen(Seen::Silent));
}

#[test]
fn a_clamp_goes_round_the_wire_that_was_chosen() {
    let mut harness = window(sample(), WIDE);
    choose(&mut harness, "Point SP1");
    click(&mut harness, MORE);
    click(&mut harness, "amperes by clamp");
    let wire = name_with(&harness, "Current in the wire to").unwrap();
    click(&mut harness, &wire);
    type_into(&mut harness, "Value", "120m");
    press(&mut harness, Key::Enter);
    let reading = last(&harness);
    assert_eq!(reading.kind, Kind::Clamp);
    assert!(!reading.black.is_battery_negative());
    assert!(shows(&harness, "clamp at SP1"));
}

#[test]
fn a_line_is_corrected_with_how_it_stood_in_one_step() {
    let mut harness = window(sample(), WIDE);
    let steps = harness.state().model().job.log.clone();
    let line = name_with(&harness, "Line 1: ").unwrap();
    click(&mut harness, &line);
    click(&mut harness, "State, moved, note, line 1");
    click(&mut harness, "C1 was plugged");
    for how in ["was plugged", "was unplugged"] {
        click(&mut harness, &format!("C2 {how}"));
    }
    assert!(shows(&harness, "C2 is not known"));
    type_into(&mut harness, "What it read, if not as noted", "0.7");
    type_into(&mut harness, "Moved: connector, wire or bundle", "c1");
    click(&mut harness, "It changed");
    assert!(shows(&harness, "Moving C1 changed it"));
    click(&mut harness, "Correct the line");
    let model = harness.state().model();
    let pinchpoint::reading::Entry::Reading(reading) = &model.job.log[0] else {
        panic!("{:?}", model.job.log[0]);
    };
    assert_eq!(reading.value, Value::Exactly(0.7));
    assert!(reading.state.unplugged.contains("C1") && reading.state.unknown.contains("C2"));
    assert_eq!(reading.wiggled[0].place, "C1");
    assert!(reading.note.contains("was "), "{}", reading.note);
    assert_eq!(model.history.undo_name(), Some("Correct line 1"));
    harness.key_press_modifiers(Modifiers::COMMAND, Key::Z);
    settle(&mut harness);
    assert_eq!(harness.state().model().job.log, steps);
}

#[test]
fn the_key_is_asked_for_where_the_supply_latches() {
    let mut job = sample();
    job.circuit.supplies[0].latches = true;
    let mut harness = window(job, WIDE);
    assert!(shows(&harness, "M1 can latch off after an overload"));
    click(&mut harness, "Key not cycled");
    assert!(shows(&harness, "may still be latched off"));
    click(&mut harness, "Key cycled and waited");
    assert!(!shows(&harness, "latched off"));
}
