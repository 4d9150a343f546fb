//! The drawing under mouse and keys: names on it, choosing several, zooming.

use crate::{
    driver::{Window, click, press, sample, settle, shows, window},
    reach::{WIDE, choose},
};
use eframe::egui::{Event, Key, Modifiers, PointerButton};
use egui_kittest::kittest::Queryable;

/// Two presses at one place, close to each other.
fn double_click(harness: &mut Window, name: &str) {
    let at = harness.get_by_label(name).rect().center();
    harness.event(Event::PointerMoved(at));
    harness.step();
    // In one frame: two frames of a test are further apart than two presses of a double click.
    let presses = [true, false, true, false].map(|pressed| Event::PointerButton {
        pos: at,
        button: PointerButton::Primary,
        pressed,
        modifiers: Modifiers::NONE,
    });
    harness.input_mut().events.extend(presses);
    harness.step();
    settle(harness);
}

/// Types over what is chosen in the box with this name.
fn type_over(harness: &mut Window, name: &str, text: &str) {
    harness.get_by_label(name).type_text(text);
    settle(harness);
}

const DESIGNATION: &str = "Designation on the drawing";
const CALLED: &str = "What people call it";

#[test]
fn a_part_is_named_on_the_drawing_by_a_key() {
    let mut harness = window(sample(), WIDE);
    click(&mut harness, "S3 sensor");
    press(&mut harness, Key::F2);
    assert!(harness.get_by_label(DESIGNATION).is_focused());
    type_over(&mut harness, DESIGNATION, "S33");
    press(&mut harness, Key::Tab);
    assert!(harness.get_by_label(CALLED).is_focused());
    type_over(&mut harness, CALLED, "rear left height");
    press(&mut harness, Key::Enter);
    let model = harness.state().model();
    assert!(model.naming.is_none());
    let load = model
        .job
        .circuit
        .loads
        .iter()
        .find(|l| l.id == "S33")
        .unwrap();
    assert_eq!(load.name, "rear left height");
    assert_eq!(model.selection.part.as_deref(), Some("S33"));
    assert_eq!(model.history.undo_name(), Some("Rename S3 to S33"));
    harness.key_press_modifiers(Modifiers::COMMAND, Key::Z);
    settle(&mut harness);
    harness.get_by_label("S3 sensor");
}

#[test]
fn a_name_that_is_taken_is_refused_where_it_is_typed_and_escape_leaves() {
    let mut harness = window(sample(), WIDE);
    double_click(&mut harness, "Name of W5");
    type_over(&mut harness, DESIGNATION, "W4");
    press(&mut harness, Key::Enter);
    assert!(shows(&harness, "W4 is the designation of another part"));
    assert!(harness.get_by_label(DESIGNATION).is_focused());
    assert!(harness.state().model().notices.is_empty());
    press(&mut harness, Key::Escape);
    assert!(harness.query_by_label(DESIGNATION).is_none());
    assert!(harness.state().model().history.undo_name().is_none());
}

#[test]
fn a_click_on_a_label_chooses_and_a_click_elsewhere_takes_a_name_over() {
    let mut harness = window(sample(), WIDE);
    click(&mut harness, "Name of C2");
    let model = harness.state().model();
    assert_eq!(model.selection.part.as_deref(), Some("C2"));
    assert!(model.job.now.unplugged.is_empty());
    double_click(&mut harness, "Name of C2");
    type_over(&mut harness, DESIGNATION, "C22");
    click(&mut harness, "S1 sensor");
    harness.get_by_label_contains("C22 inline connector");
}

#[test]
fn several_are_chosen_by_the_keyboard_alone() {
    let mut harness = window(sample(), WIDE);
    choose(&mut harness, "Point M1 feed pin");
    press(&mut harness, Key::Escape);
    harness.get_by_label_contains("Point M1 feed pin").focus();
    harness.run();
    let many = |harness: &Window| {
        let many = &harness.state().model().selection.many;
        many.iter().cloned().collect::<Vec<_>>().join(" ")
    };
    let reach = |harness: &mut Window, key: Key| {
        harness.key_press_modifiers(Modifiers::SHIFT, key);
        settle(harness);
    };
    for _ in 0..3 {
        reach(&mut harness, Key::ArrowRight);
    }
    assert_eq!(many(&harness), "C1 M1 W1 W2");
    reach(&mut harness, Key::ArrowLeft);
    assert_eq!(many(&harness), "C1 M1 W1");
    // Without Shift the keyboard goes on from there and lets go of them.
    press(&mut harness, Key::ArrowRight);
    assert_eq!(many(&harness), "");
}

#[test]
fn the_drawing_is_zoomed_by_keys() {
    let mut harness = window(sample(), WIDE);
    let width = |harness: &Window| {
        let wire = harness.get_by_label("W5 wire BN, 2.20 m");
        wire.rect().width()
    };
    let before = width(&harness);
    press(&mut harness, Key::Plus);
    assert!(width(&harness) > 1.2 * before);
    press(&mut harness, Key::Minus);
    assert!((width(&harness) - before).abs() < 2.0);
}

/// The height that a technician's laptop leaves (1280 by 800), and the sum, the answer and what to do next on it.
#[test]
fn answer_evidence_next_step_and_sum_are_on_one_screen() {
    let harness = window(sample(), [1280.0, 800.0]);
    let shown = [
        "Short to ground, about 4.7 Ω,",
        "on W7 near 6.5 m",
        "Next test",
        "The sum behind it",
        "629.0 mV ÷ 132.8 mA = 4.74 Ω to ground.",
    ];
    for text in shown {
        let rect = harness.get_by_label(text).rect();
        assert!(rect.bottom() < 800.0 && rect.top() > 0.0, "{text}: {rect}");
    }
}

#[test]
fn hostile_text_typed_on_the_drawing_is_refused_or_shown_and_never_obeyed() {
    let mut harness = window(sample(), WIDE);
    click(&mut harness, "S3 sensor");
    press(&mut harness, Key::F2);
    type_over(&mut harness, DESIGNATION, &"\u{202E}\u{7}S3".repeat(2_000));
    press(&mut harness, Key::Enter);
    assert!(shows(&harness, "cannot be a designation"));
    assert!(!shows(&harness, "\u{202E}"));
    press(&mut harness, Key::Escape);
    press(&mut harness, Key::F2);
    press(&mut harness, Key::Tab);
    type_over(&mut harness, CALLED, &"\u{2067}漢x".repeat(3_000));
    press(&mut harness, Key::Enter);
    let name = |harness: &Window| {
        let loads = &harness.state().model().job.circuit.loads;
        loads
            .iter()
            .find(|load| load.id == "S3")
            .unwrap()
            .name
            .clone()
    };
    assert_eq!(name(&harness).chars().count(), 9_000);
    assert!(!shows(&harness, "\u{2067}"));
    harness.key_press_modifiers(Modifiers::COMMAND, Key::Z);
    settle(&mut harness);
    assert!(name(&harness).chars().count() < 40);
}
