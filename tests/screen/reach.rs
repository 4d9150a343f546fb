//! What the window has a control for: every part of the model that a technician needs.

use crate::driver::{Window, click, name_with, press, sample, settle, shows, type_into, window};
use eframe::egui::{Event, Key, Modifiers};
use egui_kittest::kittest::Queryable;
use pinchpoint::{
    circuit::quick_feed,
    notebook::Job,
    quantity::units::volts,
    reading::{Entry, Reading, Value},
};

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
fn a_wire_is_drawn_between_two_points_that_are_there() {
    let mut harness = window(sample(), WIDE);
    let wires = harness.state().model().job.circuit.wires.len();
    choose(&mut harness, "Point SP1");
    command(&mut harness, "wire to another");
    assert!(harness.state().model().wiring.is_some());
    choose(&mut harness, "Point C2 pin 1, far");
    let model = harness.state().model();
    assert_eq!(model.job.circuit.wires.len(), wires + 1);
    assert!(model.wiring.is_none());
}

#[test]
fn a_rail_a_fuse_and_a_ground_are_added_by_name() {
    let mut harness = window(sample(), WIDE);
    command(&mut harness, "another rail");
    click(&mut harness, "Add the rail");
    assert_eq!(harness.state().model().job.circuit.rails.len(), 1);
    choose(&mut harness, "Point SP2");
    command(&mut harness, "add a fuse");
    assert_eq!(harness.state().model().job.circuit.fuses.len(), 1);
    let grounds = harness.state().model().job.circuit.grounds.len();
    command(&mut harness, "add a ground");
    assert_eq!(
        harness.state().model().job.circuit.grounds.len(),
        grounds + 1
    );
}

#[test]
fn a_place_is_marked_as_wet_and_an_unknown_plug_as_unknown() {
    let mut harness = window(sample(), WIDE);
    let wire = name_with(&harness, "W5 wire").unwrap();
    click(&mut harness, &wire);
    click(&mut harness, "wet");
    let zones = &harness.state().model().job.circuit.damage_zones;
    assert_eq!(zones[0].parts, ["W5"]);
    let model = harness.state().model();
    assert_eq!(model.selection.part.as_deref(), Some("W5"));
    harness
        .get_by_label_contains("C2 inline connector")
        .click_secondary();
    settle(&mut harness);
    click(&mut harness, "C2 plugged or not is not known");
    harness.get_by_label("C2 inline connector, plugged or not is not known");
}

#[test]
fn parts_are_copied_pasted_and_duplicated_by_keys() {
    let mut harness = window(sample(), WIDE);
    click(&mut harness, "S3 sensor");
    harness.key_press_modifiers(Modifiers::COMMAND, Key::D);
    settle(&mut harness);
    assert_eq!(harness.state().model().job.circuit.loads.len(), 6);
    click(&mut harness, "S3 sensor");
    harness.event(Event::Copy);
    settle(&mut harness);
    choose(&mut harness, "Point SP1");
    press(&mut harness, Key::Escape);
    harness.get_by_label_contains("Point SP1").focus();
    harness.run();
    harness.event(Event::Paste("S3".to_owned()));
    settle(&mut harness);
    assert_eq!(harness.state().model().job.circuit.loads.len(), 7);
}

#[test]
fn rows_of_a_spreadsheet_become_sensors() {
    let mut harness = window(sample(), WIDE);
    choose(&mut harness, "Point SP1");
    // Chosen again as a thing of the drawing, so that no box has the keyboard.
    press(&mut harness, Key::Escape);
    harness.get_by_label_contains("Point SP1").focus();
    harness.run();
    harness.event(Event::Paste(
        "Oil pressure\t0.7 m\t8 mA\nLevel\t1.2 m\t5 kΩ".to_owned(),
    ));
    settle(&mut harness);
    click(&mut harness, "Draw them");
    let circuit = &harness.state().model().job.circuit;
    assert_eq!(circuit.loads.len(), 7);
    assert!(circuit.loads.iter().any(|load| load.name == "Oil pressure"));
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

/// Types six named sensors with plugs into an empty window, counts the keys and prints the count.
#[test]
fn six_named_sensors_with_plugs_by_keyboard_alone() {
    let mut harness = window(
        Job {
            circuit: quick_feed(volts(5.0), 1, false, false),
            ..Job::default()
        },
        [1280.0, 800.0],
    );
    let mut keys = 0;
    harness.key_press_modifiers(Modifiers::COMMAND, Key::N);
    settle(&mut harness);
    keys += 2;
    while !harness
        .query_by_label("Their names (may stay empty)")
        .is_some_and(|field| field.is_focused())
    {
        press(&mut harness, Key::Tab);
        keys += 1;
        assert!(keys < 40, "the box for names is not reached by Tab");
    }
    let names = "intake,oil,fuel rail,boost,coolant,ambient";
    harness
        .get_by_label("Their names (may stay empty)")
        .type_text(names);
    settle(&mut harness);
    keys += names.chars().count();
    press(&mut harness, Key::Enter);
    keys += 1;
    let circuit = &harness.state().model().job.circuit;
    assert_eq!(circuit.loads.len(), 6);
    assert_eq!(circuit.loads[2].name, "fuel rail");
    assert!(
        circuit.loads.iter().all(|load| load.feed.part != load.id),
        "a plug each"
    );
    println!("six named sensors with plugs: {keys} keys");
    // Two minutes at two keys a second (common practice, no source).
    assert!(keys <= 240);
}

/// Chooses X4 and X5 together, whatever was chosen before.
fn choose_two(harness: &mut Window) {
    choose(harness, "Point M1 feed pin");
    for id in ["X4 ", "X5 "] {
        let name = name_with(harness, id).unwrap();
        harness
            .get_by_label(&name)
            .click_modifiers(Modifiers::COMMAND);
        settle(harness);
    }
    let many = &harness.state().model().selection.many;
    assert!(many.contains("X4") && many.contains("X5"), "{many:?}");
}

#[test]
fn parts_are_chosen_together_and_hang_elsewhere_as_one_step() {
    let mut harness = window(sample(), WIDE);
    harness.key_press_modifiers(Modifiers::COMMAND, Key::A);
    settle(&mut harness);
    let all = harness.state().model().job.circuit.ids().count();
    assert_eq!(harness.state().model().selection.many.len(), all);
    press(&mut harness, Key::Escape);
    assert!(harness.state().model().selection.many.is_empty());
    choose_two(&mut harness);
    click(&mut harness, "worked on (all)");
    let zones = &harness.state().model().job.circuit.damage_zones;
    assert_eq!(zones[0].parts, ["X4", "X5"]);
    click(&mut harness, "Hang what is chosen from another point");
    choose(&mut harness, "Point SP1");
    let circuit = &harness.state().model().job.circuit;
    for id in ["W8", "W9"] {
        let wire = circuit.wires.iter().find(|wire| wire.id == id).unwrap();
        assert_eq!(wire.from.part, "SP1");
    }
    assert_eq!(
        harness.state().model().history.undo_name(),
        Some("Hang 2 parts from SP1")
    );
    choose_two(&mut harness);
    click(&mut harness, "Duplicate what is chosen");
    assert_eq!(harness.state().model().job.circuit.loads.len(), 7);
    choose_two(&mut harness);
    click(&mut harness, "Remove what is chosen");
    let circuit = &harness.state().model().job.circuit;
    assert!(circuit.part("X4").is_none() && circuit.part("X5").is_none());
}

#[test]
fn a_lasso_chooses_what_lies_inside() {
    let mut harness = window(sample(), WIDE);
    let feed = name_with(&harness, "Point M1 feed pin").unwrap();
    let feed = harness.get_by_label(&feed).rect().center();
    let end = name_with(&harness, "S3 sensor").unwrap();
    let end = harness.get_by_label(&end).rect().center();
    let from = feed + eframe::egui::vec2(-20.0, -60.0);
    let to = eframe::egui::pos2(end.x + 30.0, feed.y + 25.0);
    let shift = Modifiers::SHIFT;
    harness.event(Event::PointerMoved(from));
    harness.event_modifiers(Event::ModifiersChanged(shift), shift);
    harness.run();
    for (at, pressed) in [(from, Some(true)), (to, None), (to, Some(false))] {
        harness.event_modifiers(Event::PointerMoved(at), shift);
        if let Some(pressed) = pressed {
            harness.event_modifiers(
                Event::PointerButton {
                    pos: at,
                    button: eframe::egui::PointerButton::Primary,
                    pressed,
                    modifiers: shift,
                },
                shift,
            );
        }
        harness.step();
    }
    settle(&mut harness);
    let many = &harness.state().model().selection.many;
    // The trunk: everything on lane 0 and nothing of the branches below it.
    assert!(
        many.contains("C1") && many.contains("SP1") && many.contains("W1"),
        "{many:?}"
    );
    assert!(!many.contains("X2") && !many.contains("X5"), "{many:?}");
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

#[test]
fn the_properties_of_a_module_hold_all_that_its_file_knows() {
    let mut harness = window(sample(), WIDE);
    click(&mut harness, "M1 module");
    let set = |harness: &mut Window, name: &str, text: &str| {
        harness.get_by_label(name).click();
        settle(harness);
        harness.key_press_modifiers(Modifiers::COMMAND, Key::A);
        harness.get_by_label(name).type_text(text);
        settle(harness);
        press(harness, Key::Enter);
    };
    set(&mut harness, "Feed pins, joined inside", "2");
    set(&mut harness, "Limit within a factor", "1.2");
    click(&mut harness, "Latches off or retries after an overload");
    click(&mut harness, "May feed more than is drawn");
    click(&mut harness, "Current limit folds back");
    set(&mut harness, "Into a dead short", "40");
    let supply = harness.state().model().job.circuit.supplies[0].clone();
    assert_eq!(supply.feed_pins, 2);
    assert!(supply.latches && supply.more_members);
    assert!((supply.limit_factor - 1.2).abs() < 1e-12);
    assert!(matches!(
        supply.limit,
        pinchpoint::circuit::LimitMode::Foldback {
            short_circuit: Some(_),
            ..
        }
    ));
    set(&mut harness, "Feed pins, joined inside", "many");
    assert!(shows(&harness, "A whole number from 1 to 16"));
}

#[test]
fn the_outline_proposes_what_comes_next_and_indents_it() {
    let mut harness = window(sample(), WIDE);
    click(&mut harness, "Show the outline");
    harness.get_by_label("Outline of the circuit").focus();
    settle(&mut harness);
    harness.key_press_modifiers(Modifiers::COMMAND, Key::End);
    settle(&mut harness);
    press(&mut harness, Key::Enter);
    harness
        .get_by_label("Outline of the circuit")
        .type_text("W");
    settle(&mut harness);
    assert!(shows(&harness, "Write W10, new wire"));
    let text = harness
        .get_by_label("Outline of the circuit")
        .value()
        .unwrap();
    assert!(text.ends_with("\n  W") || text.ends_with("\nW"), "{text:?}");
}

#[test]
fn dragging_a_part_along_its_lane_changes_the_length_of_its_wire_as_one_step() {
    let mut harness = window(sample(), WIDE);
    let length = |harness: &Window| {
        let wires = &harness.state().model().job.circuit.wires;
        let wire = wires.iter().find(|wire| wire.id == "W4").unwrap();
        pinchpoint::quantity::units::as_metres(wire.length.unwrap())
    };
    let before = length(&harness);
    let name = name_with(&harness, "X2 ").unwrap();
    let at = harness.get_by_label(&name).rect().center();
    let points = harness.get_by_label("W4 wire BNYE, 1.90 m").rect().width();
    harness.drag_at(at);
    harness.run();
    for step in 1..=4 {
        harness.hover_at(at + eframe::egui::vec2(20.0 * step as f32, 0.0));
        harness.step();
    }
    harness.drop_at(at + eframe::egui::vec2(80.0, 0.0));
    settle(&mut harness);
    let longer = length(&harness) - before;
    // The wire was drawn to scale, so that many points were its length; a drag begins a few points late.
    let expected = 80.0 * before / f64::from(points);
    assert!(
        longer > 0.6 * expected && longer < 1.3 * expected,
        "{longer} m longer, {expected} m expected"
    );
    let name = harness.state().model().history.undo_name().unwrap();
    assert!(name.starts_with("Set W4 to"), "{name}");
    harness.key_press_modifiers(Modifiers::COMMAND, Key::Z);
    settle(&mut harness);
    assert!((length(&harness) - before).abs() < 1e-12);
}
