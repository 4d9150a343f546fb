//! The bench page: plugs, readings, the answer, steps back, the keyboard.

use crate::driver::{Window, click, name_with, press, sample, settle, shows, type_into, window};
use eframe::egui::{Key, Modifiers};
use egui_kittest::kittest::Queryable;
use pinchpoint::reading::{Entry, Value};

fn volts(harness: &Window, line: usize) -> f64 {
    match &harness.state().model().job.log[line] {
        Entry::Reading(reading) => match reading.value {
            Value::Exactly(volts) => volts,
            other => panic!("not one number: {other:?}"),
        },
        Entry::Repair(_) | Entry::Inspection(_) => panic!("not a reading"),
    }
}

#[test]
fn clicking_a_connector_parts_it_and_the_banner_says_so() {
    let mut harness = window(sample(), [1440.0, 900.0]);
    harness.get_by_label("Unplugged now: All plugged");
    click(&mut harness, "C2 inline connector, plugged");
    harness.get_by_label("C2 inline connector, unplugged");
    harness.get_by_label("Unplugged now: C2 unplugged");
    assert!(harness.state().model().job.now.unplugged.contains("C2"));
    click(&mut harness, "Unplugged now: C2 unplugged");
    harness.get_by_label("C2 inline connector, plugged");
}

#[test]
fn readings_are_logged_by_click_type_enter_with_the_plug_state_of_the_moment() {
    let mut job = sample();
    job.log.clear();
    let mut harness = window(job, [1440.0, 900.0]);
    let feed = name_with(&harness, "Point M1 feed pin").unwrap();
    click(&mut harness, &feed);
    harness.get_by_label("Value").type_text("663m");
    settle(&mut harness);
    press(&mut harness, Key::Enter);
    assert!((volts(&harness, 0) - 0.663).abs() < 1e-12);
    click(&mut harness, "C2 inline connector, plugged");
    type_into(&mut harness, "Value", "8,96");
    click(&mut harness, "Log");
    let model = harness.state().model();
    assert_eq!(model.job.log.len(), 2);
    match &model.job.log[1] {
        Entry::Reading(reading) => assert!(reading.state.unplugged.contains("C2")),
        Entry::Repair(_) | Entry::Inspection(_) => panic!("not a reading"),
    }
}

#[test]
fn the_answer_stands_on_the_page_in_words() {
    let harness = window(sample(), [1440.0, 900.0]);
    // The sample hides a short to ground on W7 between SP2 and X3 (calculated; see the tests of the samples).
    assert!(shows(&harness, "Short to ground"));
    assert!(shows(&harness, "on W7 near 6."));
    assert!(shows(&harness, "Suspect W7, SP2 to X3"));
}

#[test]
fn a_value_that_is_none_is_refused_beside_the_box() {
    let mut harness = window(sample(), [1440.0, 900.0]);
    let lines = harness.state().model().job.log.len();
    harness.get_by_label_contains("Point SP1").click();
    settle(&mut harness);
    harness.get_by_label("Value").type_text("twelve");
    settle(&mut harness);
    press(&mut harness, Key::Enter);
    assert_eq!(harness.state().model().job.log.len(), lines);
    assert!(shows(&harness, "“twelve”"));
}

#[test]
fn undo_and_redo_name_the_step_and_take_it_back() {
    let mut harness = window(sample(), [1440.0, 900.0]);
    click(&mut harness, "C1 inline connector, plugged");
    assert_eq!(
        harness.state().model().history.undo_name(),
        Some("Unplug C1")
    );
    harness.key_press_modifiers(Modifiers::COMMAND, Key::Z);
    settle(&mut harness);
    harness.get_by_label("C1 inline connector, plugged");
    harness.key_press_modifiers(Modifiers::COMMAND | Modifiers::SHIFT, Key::Z);
    settle(&mut harness);
    harness.get_by_label("C1 inline connector, unplugged");
    click(&mut harness, "Undo");
    harness.key_press_modifiers(Modifiers::COMMAND, Key::Y);
    settle(&mut harness);
    assert!(harness.state().model().job.now.unplugged.contains("C1"));
}

#[test]
fn the_drawing_is_walked_and_worked_by_keys_alone() {
    let mut harness = window(sample(), [1440.0, 900.0]);
    harness.get_by_label_contains("Point M1 feed pin").focus();
    harness.run();
    // Feed pin, W1, near side of C1, C1.
    for _ in 0..3 {
        press(&mut harness, Key::ArrowRight);
    }
    assert_eq!(
        harness.state().model().selection.part.as_deref(),
        Some("C1")
    );
    press(&mut harness, Key::Space);
    assert!(harness.state().model().job.now.unplugged.contains("C1"));
    press(&mut harness, Key::Space);
    assert!(harness.state().model().job.now.unplugged.is_empty());
}

#[test]
fn the_reading_that_was_logged_last_is_in_sight() {
    let mut harness = window(sample(), [1280.0, 800.0]);
    type_into(&mut harness, "Point", "X1.1n");
    press(&mut harness, Key::Enter);
    // More than the feed has there: what is said about it needs room, too.
    harness.get_by_label("Value").type_text("8.2");
    settle(&mut harness);
    press(&mut harness, Key::Enter);
    settle(&mut harness);
    let line = harness.state().model().job.log.len();
    let name = name_with(&harness, &format!("Line {line}: ")).unwrap();
    let row = harness.get_by_label(&name).rect();
    let tab = harness.get_by_label("Show the readings").rect();
    assert!(row.top() >= tab.bottom(), "{row:?} under {tab:?}");
    assert!(row.bottom() <= 800.0 - 14.0, "{row:?}");
}
