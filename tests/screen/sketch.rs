//! What the window has for drawing: parts, wires, zones, rows of a spreadsheet, several parts at once, the outline.

use crate::{
    driver::{Window, click, name_with, press, sample, settle, shows, window},
    reach::{WIDE, choose, command},
};
use eframe::egui::{Event, Key, Modifiers};
use egui_kittest::kittest::Queryable;
use pinchpoint::{circuit::quick_feed, notebook::Job, quantity::units::volts};

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
