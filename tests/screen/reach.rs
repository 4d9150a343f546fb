//! What the window has a control for: every part of the model that a technician needs.

use crate::driver::{Window, click, name_with, press, sample, settle, shows, type_into, window};
use eframe::egui::{Key, Modifiers};
use egui_kittest::kittest::Queryable;
use pinchpoint::{
    notebook::read_job,
    reading::{Entry, Reading, Value},
};
use std::path::Path;

pub const WIDE: [f32; 2] = [1440.0, 1400.0];

pub fn last(harness: &Window) -> Reading {
    match harness.state().model().job.log.last() {
        Some(Entry::Reading(reading)) => reading.clone(),
        other => panic!("no reading: {other:?}"),
    }
}

pub fn choose(harness: &mut Window, point: &str) {
    let name = name_with(harness, point).unwrap();
    click(harness, &name);
}

pub fn command(harness: &mut Window, text: &str) {
    harness.key_press_modifiers(Modifiers::COMMAND, Key::K);
    settle(harness);
    type_into(harness, "Search the commands", text);
    press(harness, Key::Enter);
    settle(harness);
}

#[test]
fn the_next_test_is_done_by_one_press_and_its_value_is_waited_for() {
    let mut job = sample();
    job.log.truncate(1);
    let mut harness = window(job, [1280.0, 800.0]);
    let next = harness
        .state()
        .model()
        .current_findings()
        .unwrap()
        .next
        .clone();
    assert!(!next.tests.is_empty());
    let name = name_with(&harness, "Do it: ").unwrap();
    let button = harness.get_by_label(&name).rect();
    assert!(button.bottom() < 800.0, "hidden below the window: {button}");
    click(&mut harness, &name);
    assert_eq!(harness.state().model().job.now, next.tests[0].state);
    harness.get_by_label("Value").type_text("8.9");
    settle(&mut harness);
    press(&mut harness, Key::Enter);
    assert_eq!(last(&harness).state, next.tests[0].state);
}

#[test]
fn what_cannot_be_reached_is_remembered_and_another_test_takes_its_place() {
    let mut job = sample();
    job.log.truncate(1);
    let mut harness = window(job, WIDE);
    let before = name_with(&harness, "Do it: ").unwrap();
    let barred = name_with(&harness, "t reach ").unwrap();
    click(&mut harness, &barred);
    assert_eq!(harness.state().model().job.out_of_reach.len(), 1);
    assert_ne!(name_with(&harness, "Do it: "), Some(before));
    let again = name_with(&harness, " can be reached").unwrap();
    click(&mut harness, &again);
    assert!(harness.state().model().job.out_of_reach.is_empty());
}

#[test]
fn supply_key_and_clipped_on_load_are_noted_with_the_reading() {
    let mut job = sample();
    job.circuit.supplies[0].latches = true;
    let mut harness = window(job, WIDE);
    click(&mut harness, "Key cycled and waited");
    choose(&mut harness, "Point M1 feed pin");
    command(&mut harness, "clip a resistor");
    click(&mut harness, "It is clipped on");
    choose(&mut harness, "Point M1 feed pin");
    type_into(&mut harness, "Value", "0.3..0.5");
    press(&mut harness, Key::Enter);
    let reading = last(&harness);
    assert_eq!(reading.value, Value::Between(0.3, 0.5));
    assert_eq!(reading.state.key_cycled, Some(true));
    assert_eq!(reading.state.attached.len(), 1);
    assert!(shows(&harness, "key cycled"));
    let off = name_with(&harness, "Take 1.000 kΩ off")
        .or_else(|| name_with(&harness, "Take 1"))
        .unwrap();
    click(&mut harness, &off);
    assert!(harness.state().model().job.now.attached.is_empty());
}

#[test]
fn over_range_keeps_its_range() {
    let mut harness = window(sample(), WIDE);
    choose(&mut harness, "Point M1 feed pin");
    type_into(&mut harness, "Value", "OL 6");
    press(&mut harness, Key::Enter);
    assert_eq!(last(&harness).value, Value::OverRange { above: Some(6.0) });
}

#[test]
fn another_state_is_drawn_beside_that_of_now() {
    let mut harness = window(sample(), WIDE);
    let line = name_with(&harness, "Line 2: ").unwrap();
    click(&mut harness, &line);
    click(&mut harness, "Compare, line 2");
    assert!(shows(
        &harness,
        "Beside it: C2 unplugged: Plot of the feed voltage"
    ));
    command(&mut harness, "compare no longer");
    assert!(!shows(&harness, "Beside it"));
}

#[test]
fn a_line_gets_a_note_and_a_correction_leaves_a_trace() {
    let mut harness = window(sample(), WIDE);
    let line = name_with(&harness, "Line 2: ").unwrap();
    click(&mut harness, &line);
    type_into(&mut harness, "Note on line 2", "wet morning");
    click(&mut harness, "Correct, line 2");
    harness.get_by_label("Value").click();
    settle(&mut harness);
    harness.key_press_modifiers(Modifiers::COMMAND, Key::A);
    harness.get_by_label("Value").type_text("8.90");
    settle(&mut harness);
    press(&mut harness, Key::Enter);
    let Entry::Reading(reading) = &harness.state().model().job.log[1] else {
        panic!("not a reading");
    };
    assert_eq!(reading.value, Value::Exactly(8.90));
    assert!(
        reading.note.ends_with("wet morning; was 8.96 V"),
        "{}",
        reading.note
    );
}

#[test]
fn a_repair_opens_the_list_of_what_must_read_right() {
    let mut harness = window(sample(), WIDE);
    click(&mut harness, "Note W7 as repaired");
    assert!(shows(&harness, "Not proved: the repair of W7"));
    let read = name_with(&harness, "Read M1 feed pin").unwrap();
    click(&mut harness, &read);
    harness.get_by_label("Value").type_text("8.95");
    settle(&mut harness);
    press(&mut harness, Key::Enter);
    assert!(shows(&harness, "Partly proved"));
}

#[test]
fn of_two_faults_either_can_be_noted_as_repaired() {
    let job = read_job(Path::new("sample_circuits/09-two-at-once.ron")).expect("a sample");
    let mut harness = window(job.job, WIDE);
    harness.get_by_label("Note S2 as replaced");
    click(&mut harness, "Note W5 as repaired");
    assert!(shows(&harness, "Repaired; still to be repaired: S2"));
}

#[test]
fn the_lower_card_shows_outline_story_point_and_list() {
    let mut harness = window(sample(), WIDE);
    click(&mut harness, "Show the story of the log");
    assert!(shows(&harness, "Unplugging C2 brought"));
    choose(&mut harness, "Point M1 feed pin");
    click(&mut harness, "Show what this point read");
    assert!(shows(&harness, "2 readings here"));
    click(&mut harness, "Show the drawing as a list");
    assert!(shows(&harness, "M1 module"));
    assert!(shows(&harness, "W7"));
}

#[test]
fn another_meter_is_chosen() {
    let mut harness = window(sample(), WIDE);
    harness.key_press_modifiers(Modifiers::COMMAND, Key::M);
    settle(&mut harness);
    click(&mut harness, "Simple, 2000 counts");
    click(&mut harness, "Use this meter");
    let meter = &harness.state().model().job.meter;
    assert!((meter.percent - 1.0).abs() < 1e-12);
    assert_eq!(meter.ranges.len(), 3);
}

#[test]
fn help_and_the_number_pad_are_there() {
    let mut harness = window(sample(), WIDE);
    press(&mut harness, Key::F1);
    assert!(shows(&harness, "The first minute"));
    click(&mut harness, "Close help");
    click(&mut harness, "Gloves");
    choose(&mut harness, "Point M1 feed pin");
    for key in ["Key 8", "Key point", "Key 9", "Key 7", "Key back"] {
        click(&mut harness, key);
    }
    assert_eq!(harness.state().model().entry.text, "8.9");
}

#[test]
fn a_picture_is_written_as_svg_and_as_png() {
    let folder = tempfile::tempdir().unwrap();
    let mut harness = window(sample(), WIDE);
    for (choice, name) in [("As SVG", "bench.svg"), ("As PNG", "bench.png")] {
        let path = folder.path().join(name);
        command(&mut harness, "export pictures");
        click(&mut harness, choice);
        harness.get_by_label("Path of the picture").click();
        settle(&mut harness);
        harness.key_press_modifiers(Modifiers::COMMAND, Key::A);
        harness
            .get_by_label("Path of the picture")
            .type_text(&path.display().to_string());
        settle(&mut harness);
        click(&mut harness, "Write it");
        let bytes = std::fs::read(&path).unwrap();
        assert!(bytes.len() > 10_000, "{name}: {} bytes", bytes.len());
    }
    let svg = std::fs::read_to_string(folder.path().join("bench.svg")).unwrap();
    assert!(svg.contains(">W5") && svg.contains("Harness, to scale"));
}

#[test]
fn the_plots_change_place_and_say_what_they_show() {
    let mut harness = window(sample(), WIDE);
    command(&mut harness, "probability along");
    assert!(shows(
        &harness,
        "Plot of the probability along the metres, most at 6."
    ));
    command(&mut harness, "probability along");
    assert!(shows(&harness, "Plot of the feed voltage along the metres"));
    click(&mut harness, "Show how many suspects every reading left");
    settle(&mut harness);
    assert!(shows(
        &harness,
        "Plot of the suspects left: before any reading:"
    ));
    assert!(shows(&harness, "after line 5:"));
}

#[test]
fn the_tour_leads_over_the_bench_and_can_be_left() {
    let mut harness = window(sample(), WIDE);
    assert!(harness.query_by_label("Next step of the tour").is_none());
    press(&mut harness, Key::F1);
    click(&mut harness, "Tour of the bench");
    for step in 1..6 {
        assert!(shows(&harness, &format!("{step} of 6")));
        click(&mut harness, "Next step of the tour");
    }
    click(&mut harness, "Next step of the tour");
    assert!(harness.query_by_label("Next step of the tour").is_none());
    assert!(harness.state().model().toured);
}
