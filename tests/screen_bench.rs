//! The bench page driven as a person or a screen reader does: by the names of its controls, without display or GPU.
#![cfg(feature = "gui")]

use eframe::egui::{Key, Modifiers};
use egui_kittest::{Harness, kittest::Queryable};
use pinchpoint::{
    notebook::{Job, parse_job},
    reading::{Entry, Value},
    ui::Shell,
};

const SAMPLE: &str = include_str!("../sample_circuits/01-ride-height.ron");

fn sample() -> Job {
    parse_job("sample", SAMPLE.as_bytes()).unwrap().job
}

fn window(job: Job, size: [f32; 2]) -> Harness<'static, Shell> {
    let mut harness = Harness::builder()
        .with_size(size)
        .build_eframe(move |creation| Shell::with_job(&creation.egui_ctx, job).unwrap());
    settle(&mut harness);
    harness
}

/// Lets the engine finish and the window show what it found.
fn settle(harness: &mut Harness<'static, Shell>) {
    harness.run();
    harness.state_mut().settle();
    harness.run();
}

fn log(harness: &mut Harness<'static, Shell>, point: &str, value: &str) {
    harness.get_by_label(point).click();
    settle(harness);
    harness.get_by_label("Value").type_text(value);
    harness.run();
    harness.key_press(Key::Enter);
    settle(harness);
}

fn volts(harness: &Harness<'static, Shell>, line: usize) -> f64 {
    match &harness.state().model().job.log[line] {
        Entry::Reading(reading) => match reading.value {
            Value::Exactly(volts) => volts,
            other => panic!("not one number: {other:?}"),
        },
        Entry::Repair(_) => panic!("not a reading"),
    }
}

#[test]
fn clicking_a_connector_parts_it_and_the_banner_says_so() {
    let mut harness = window(sample(), [1440.0, 900.0]);
    harness.get_by_label("Unplugged now: All plugged");
    harness.get_by_label("C2 inline connector, plugged").click();
    settle(&mut harness);
    harness.get_by_label("C2 inline connector, unplugged");
    harness.get_by_label("Unplugged now: C2 unplugged");
    assert!(harness.state().model().job.now.unplugged.contains("C2"));
    harness.get_by_label("Unplugged now: C2 unplugged").click();
    settle(&mut harness);
    harness.get_by_label("C2 inline connector, plugged");
}

#[test]
fn readings_are_logged_by_click_type_enter_with_the_plug_state_of_the_moment() {
    let mut job = sample();
    job.log.clear();
    let mut harness = window(job, [1440.0, 900.0]);
    let feed = harness
        .query_all_by_label_contains("Point M1 feed pin")
        .next()
        .and_then(|node| node.value_or_label());
    let feed = feed.expect("the module's feed pin is on the drawing");
    log(&mut harness, &feed, "663m");
    assert!((volts(&harness, 0) - 0.663).abs() < 1e-12);
    harness.get_by_label("C2 inline connector, plugged").click();
    settle(&mut harness);
    harness.get_by_label("Value").click();
    harness.get_by_label("Value").type_text("8,96");
    harness.run();
    harness.get_by_label("Log").click();
    settle(&mut harness);
    let model = harness.state().model();
    assert_eq!(model.job.log.len(), 2);
    match &model.job.log[1] {
        Entry::Reading(reading) => assert!(reading.state.unplugged.contains("C2")),
        Entry::Repair(_) => panic!("not a reading"),
    }
}

trait Named {
    fn value_or_label(&self) -> Option<String>;
}

impl Named for egui_kittest::Node<'_> {
    fn value_or_label(&self) -> Option<String> {
        use egui_kittest::kittest::NodeT;
        self.accesskit_node().label()
    }
}

#[test]
fn the_answer_stands_on_the_page_in_words() {
    let harness = window(sample(), [1440.0, 900.0]);
    // The sample hides 4.7 Ω to ground on W7, 6.5 m from the module (its own notes; calculated).
    assert!(
        harness
            .query_all_by_label_contains("Short to ground")
            .next()
            .is_some()
    );
    assert!(
        harness
            .query_all_by_label_contains("on W7 near 6.")
            .next()
            .is_some()
    );
    assert!(
        harness
            .query_all_by_label_contains("Suspect W7 short to ground")
            .next()
            .is_some()
    );
}

#[test]
fn a_value_that_is_none_is_refused_beside_the_box() {
    let mut harness = window(sample(), [1440.0, 900.0]);
    let lines = harness.state().model().job.log.len();
    harness.get_by_label_contains("Point splice SP1").click();
    settle(&mut harness);
    harness.get_by_label("Value").type_text("twelve");
    harness.run();
    harness.key_press(Key::Enter);
    settle(&mut harness);
    assert_eq!(harness.state().model().job.log.len(), lines);
    assert!(
        harness
            .query_all_by_label_contains("“twelve”")
            .next()
            .is_some()
    );
}

#[test]
fn undo_and_redo_name_the_step_and_take_it_back() {
    let mut harness = window(sample(), [1440.0, 900.0]);
    harness.get_by_label("C1 inline connector, plugged").click();
    settle(&mut harness);
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
    harness.get_by_label("Undo").click();
    settle(&mut harness);
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
        harness.key_press(Key::ArrowRight);
        settle(&mut harness);
    }
    assert_eq!(
        harness.state().model().selection.part.as_deref(),
        Some("C1")
    );
    harness.key_press(Key::Space);
    settle(&mut harness);
    assert!(harness.state().model().job.now.unplugged.contains("C1"));
    harness.key_press(Key::Space);
    settle(&mut harness);
    assert!(harness.state().model().job.now.unplugged.is_empty());
}
