//! What is in front: keys go to the question that stands there, the value box waits where it is and in sight, a sketch
//! in pieces is told, and nothing is drawn that was not asked for.

use crate::{
    driver::{Window, click, name_with, press, sample, settle, shows, type_into, window},
    reach::{WIDE, choose},
};
use eframe::egui::{Event, Key, Modifiers};
use egui_kittest::kittest::Queryable;

const LAPTOP: [f32; 2] = [1280.0, 800.0];

/// A key with the letter that it writes, as the desktop tells them.
fn struck(key: Key, modifiers: Modifiers, letter: Option<&str>) -> Vec<Event> {
    let event = |pressed| Event::Key {
        key,
        physical_key: None,
        pressed,
        repeat: false,
        modifiers,
    };
    let letter = letter.map(|letter| Event::Text(letter.to_owned()));
    let events = [Some(event(true)), letter, Some(event(false))];
    events.into_iter().flatten().collect()
}

/// Strikes Ctrl and a key, then letters, all before the window draws a frame.
fn at_once(harness: &mut Window, command: Key, letters: &[(Key, &str)]) {
    let mut events = struck(command, Modifiers::COMMAND, None);
    for (key, letter) in letters {
        events.extend(struck(*key, Modifiers::NONE, Some(letter)));
    }
    harness.input_mut().events.extend(events);
    settle(harness);
}

#[test]
fn keys_that_follow_a_command_go_to_its_question_and_not_to_the_drawing() {
    let mut harness = window(sample(), WIDE);
    click(&mut harness, "S3 sensor");
    let before = harness.state().model().job.circuit.clone();
    // S and P would add a sensor and a splice, L would clip a resistor on.
    let letters = [(Key::S, "s"), (Key::P, "p"), (Key::L, "l")];
    at_once(&mut harness, Key::K, &letters);
    assert_eq!(harness.state().model().job.circuit, before);
    let field = harness.get_by_label("Search the commands");
    assert_eq!(field.value().as_deref(), Some("spl"));
}

#[test]
fn keys_that_follow_a_command_are_not_typed_into_the_box_behind() {
    let mut harness = window(sample(), WIDE);
    choose(&mut harness, "Point M1 feed pin");
    type_into(&mut harness, "Value", "8");
    at_once(&mut harness, Key::K, &[(Key::Num9, "9")]);
    assert_eq!(harness.state().model().entry.text, "8");
    let field = harness.get_by_label("Search the commands");
    assert_eq!(field.value().as_deref(), Some("9"));
}

#[test]
fn keys_let_go_before_the_frame_is_drawn_are_a_command_on_every_page_and_in_every_box() {
    let boxes = [
        ("Page Bench", "Value"),
        ("Page Job", "Signed by"),
        ("Page Job", "Mileage"),
        ("Page Notebook", ""),
        ("Page Practice", ""),
    ];
    for (page, field) in boxes {
        let mut harness = window(sample(), WIDE);
        click(&mut harness, page);
        if !field.is_empty() {
            harness.get_by_label(field).focus();
            harness.run();
        }
        let keys = struck(Key::S, Modifiers::COMMAND | Modifiers::SHIFT, None);
        harness.input_mut().events.extend(keys);
        settle(&mut harness);
        assert!(shows(&harness, "Path to save at"), "{page}, {field}");
    }
}

#[test]
fn a_question_without_a_box_keeps_keys_from_the_drawing_too() {
    let mut harness = window(sample(), WIDE);
    harness.get_by_label("C2 inline connector, plugged").focus();
    harness.run();
    let mut events = struck(Key::F1, Modifiers::NONE, None);
    events.extend(struck(Key::Space, Modifiers::NONE, Some(" ")));
    events.extend(struck(Key::Delete, Modifiers::NONE, None));
    harness.input_mut().events.extend(events);
    settle(&mut harness);
    assert!(shows(&harness, "The first minute"));
    let job = &harness.state().model().job;
    assert!(job.now.unplugged.is_empty(), "{:?}", job.now);
    assert_eq!(job.circuit, sample().circuit);
}

#[test]
fn a_job_that_was_never_saved_is_asked_where_to_while_it_is_closed() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut harness = window(sample(), LAPTOP);
    choose(&mut harness, "Point M1 feed pin");
    type_into(&mut harness, "Value", "8.9");
    press(&mut harness, Key::Enter);
    for given_up in [true, false] {
        harness.key_press_modifiers(Modifiers::COMMAND, Key::W);
        settle(&mut harness);
        let buttons = harness.get_all_by_label("Save");
        buttons.last().expect("the answer").click();
        settle(&mut harness);
        assert!(shows(&harness, "Path to save at"));
        if given_up {
            press(&mut harness, Key::Escape);
            assert!(harness.state().model().guard.is_none(), "back to work");
        }
    }
    let file = folder.path().join("kept.ron");
    harness.key_press_modifiers(Modifiers::COMMAND, Key::A);
    let field = harness.get_by_label("Path to save at");
    field.type_text(&file.display().to_string());
    settle(&mut harness);
    press(&mut harness, Key::Enter);
    settle(&mut harness);
    assert!(file.exists());
    assert_ne!(harness.state().model().path, Some(file), "it is closed");
}

#[test]
fn the_value_box_stays_where_it_is_when_a_point_is_chosen_or_typed() {
    for size in [LAPTOP, WIDE] {
        let mut harness = window(sample(), size);
        let top = |harness: &Window| harness.get_by_label("Value").rect().top();
        let before = top(&harness);
        choose(&mut harness, "Point M1 feed pin");
        assert_eq!(top(&harness), before, "a point is chosen");
        click(&mut harness, "Point");
        harness.key_press_modifiers(Modifiers::COMMAND, Key::A);
        harness.get_by_label("Point").type_text("x");
        settle(&mut harness);
        assert!(name_with(&harness, "Choose ").is_some());
        assert_eq!(top(&harness), before, "a point is typed");
    }
}

#[test]
fn accepting_a_test_brings_the_value_box_in_sight_with_the_keyboard_in_it() {
    let mut job = sample();
    job.log.truncate(1);
    let mut harness = window(job, [640.0, 400.0]);
    let name = name_with(&harness, "Do it: ").unwrap();
    // The card is further down; what a screen reader presses is scrolled to.
    harness.get_by_label(&name).scroll_to_me();
    settle(&mut harness);
    click(&mut harness, &name);
    let value = harness.get_by_label("Value");
    assert!(value.is_focused());
    let rect = value.rect();
    assert!(rect.top() > 0.0 && rect.bottom() < 400.0, "{rect}");
    value.type_text("8.9");
    settle(&mut harness);
    press(&mut harness, Key::Enter);
    assert_eq!(harness.state().model().job.log.len(), 2);
}

#[test]
fn more_names_than_sensors_are_told_before_they_are_drawn() {
    let mut harness = window(sample(), LAPTOP);
    harness.key_press_modifiers(Modifiers::COMMAND, Key::N);
    settle(&mut harness);
    harness.get_by_label("Draws 6 sensors without names.");
    let names = "a, b, c, d, e, f, g";
    type_into(&mut harness, "Their names (may stay empty)", names);
    harness.get_by_label("Draws 7 sensors, one for each name, and not 6.");
    click(&mut harness, "Draw it");
    assert_eq!(harness.state().model().job.circuit.loads.len(), 7);
}

#[test]
fn the_number_of_sensors_is_typed_over_at_once() {
    let mut harness = window(sample(), LAPTOP);
    at_once(&mut harness, Key::N, &[(Key::Num7, "7")]);
    press(&mut harness, Key::Enter);
    assert_eq!(harness.state().model().job.circuit.loads.len(), 7);
}

#[test]
fn a_sketch_in_pieces_is_told_with_its_parts_and_the_remedy() {
    for size in [LAPTOP, [640.0, 400.0]] {
        let mut job = sample();
        // Everything behind C2 hangs in the air.
        job.circuit.wires.retain(|wire| wire.id != "W6");
        let harness = window(job, size);
        let said = name_with(&harness, "No module feeds ").unwrap();
        for part in ["W7", "W8", "W9", "X3", "X4", "and"] {
            assert!(said.contains(part), "{said}");
        }
        assert!(shows(&harness, "Draw the wire that leads there"));
        assert!(!shows(&harness, "no module feeds this"), "told once");
    }
    let harness = window(sample(), LAPTOP);
    assert!(!shows(&harness, "No module feeds"));
}
