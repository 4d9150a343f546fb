//! The window at its limits: small, with hostile names, with an empty job; and the questions in front of it.

use crate::{
    driver::{Window, click, press, sample, settle, shows, type_into, window},
    shapes::words,
};
use eframe::egui::{Key, Modifiers, Pos2, Rect};
use egui_kittest::kittest::Queryable;
use pinchpoint::{
    advise::Asked, circuit::quick_feed, explain::names::point, notebook::Job,
    quantity::units::volts,
};

#[test]
fn a_feed_is_started_by_three_answers() {
    let mut harness = window(sample(), [1440.0, 900.0]);
    harness.key_press_modifiers(Modifiers::COMMAND, Key::N);
    settle(&mut harness);
    click(&mut harness, "8 V");
    click(&mut harness, "Draw it");
    let model = harness.state().model();
    assert_eq!(model.job.circuit.loads.len(), 6);
    assert_eq!(model.job.circuit.supplies[0].nominal, volts(8.0));
    harness.get_by_label("C1 inline connector, plugged");
}

#[test]
fn leaving_with_something_unplugged_asks_to_reconnect() {
    let mut harness = window(sample(), [1440.0, 900.0]);
    click(&mut harness, "C2 inline connector, plugged");
    harness.key_press_modifiers(Modifiers::COMMAND, Key::N);
    settle(&mut harness);
    click(&mut harness, "Draw it");
    harness.get_by_label("Reconnect before you leave?");
    click(&mut harness, "Stay here");
    assert!(
        harness
            .query_by_label("Reconnect before you leave?")
            .is_none()
    );
    assert_eq!(harness.state().model().job.vehicle, "Corran Tender 2.2");
}

#[test]
fn a_small_window_holds_the_whole_page() {
    for size in [[640.0, 400.0], [560.0, 360.0], [320.0, 240.0]] {
        let mut harness = window(sample(), size);
        click(&mut harness, "Page Job");
        click(&mut harness, "Page Bench");
    }
}

#[test]
fn an_empty_job_and_a_crowded_one_are_drawn() {
    window(Job::default(), [1280.0, 800.0]);
    let crowded = Job {
        circuit: quick_feed(volts(5.0), 40, true, true),
        ..Job::default()
    };
    let harness = window(crowded, [1280.0, 800.0]);
    assert!(shows(&harness, " sensor"));
}

#[test]
fn names_of_a_letter_or_two_are_drawn_at_every_scale() {
    for sensors in [3, 6, 14] {
        let mut job = Job {
            circuit: quick_feed(volts(5.0), sensors, true, true),
            ..Job::default()
        };
        for (number, load) in job.circuit.loads.iter_mut().enumerate() {
            load.name = ["i", "IP", "l", "mm", "."][number % 5].to_owned();
        }
        let mut harness = window(job, [1280.0, 800.0]);
        click(&mut harness, "Fit the drawing");
        for _ in 0..8 {
            click(&mut harness, "Zoom in");
        }
        for _ in 0..8 {
            harness.key_press_modifiers(Modifiers::COMMAND, Key::Plus);
            settle(&mut harness);
        }
    }
}

/// The sheet of the drawing: under its title and over its metres.
fn sheet(harness: &Window) -> std::ops::Range<f32> {
    let metre = words(harness).into_iter();
    let mut metre = metre.filter(|(word, _)| word == "0 m");
    let (_, metre) = metre.next().expect("the metres");
    harness.get_by_label("Fit the drawing").rect().bottom()..metre.top()
}

#[test]
fn all_of_fourteen_sensors_are_in_sight_once_the_drawing_is_fitted() {
    for size in [[1280.0, 720.0], [1280.0, 800.0], [1440.0, 900.0]] {
        let job = Job {
            circuit: quick_feed(volts(5.0), 14, true, false),
            ..Job::default()
        };
        let mut harness = window(job, size);
        click(&mut harness, "Fit the drawing");
        let sheet = sheet(&harness);
        let boxes: Vec<Rect> = (1..=14)
            .map(|n| harness.get_by_label(&format!("S{n} sensor")).rect())
            .collect();
        let high = boxes[0].height();
        for rect in boxes {
            assert!(
                rect.height() > 7.0 && rect.height() > 0.9 * high,
                "cut: {rect}"
            );
            let within = rect.top() > sheet.start && rect.bottom() < sheet.end;
            assert!(
                within && rect.right() < size[0],
                "{size:?}: {rect} of {sheet:?}"
            );
        }
    }
}

#[test]
fn doing_a_test_brings_its_place_in_sight() {
    let mut job = sample();
    job.log.truncate(1);
    let mut harness = window(job, [1280.0, 800.0]);
    click(&mut harness, "S1 sensor");
    for _ in 0..7 {
        press(&mut harness, Key::Plus);
    }
    let findings = harness
        .state()
        .model()
        .current_findings()
        .expect("an answer");
    let asked = findings.next.tests[0].asked.clone();
    let Asked::Read { red, .. } = asked else {
        panic!("another kind of test: {asked:?}");
    };
    let point = format!("Point {}", point(&red));
    assert!(!shows(&harness, &point), "it is in sight before");
    // The card is below what is told of the chosen sensor; its keys do the same.
    harness.key_press_modifiers(Modifiers::COMMAND, Key::T);
    settle(&mut harness);
    let rect = harness.get_by_label_contains(&point).rect();
    assert!(rect.is_positive() && rect.width() > 20.0, "{rect}");
}

#[test]
fn hostile_names_are_shown_as_marks_and_never_obeyed() {
    let mut job = sample();
    job.vehicle = format!("left\u{202E}thgir{}", "x".repeat(10_000));
    job.title = "\u{0}\u{7}\u{1B}[31m\u{200F}שלום\u{2028}".to_owned();
    job.circuit.loads[0].name = "\u{2066}hidden\u{2069}".repeat(1_000);
    job.circuit.connectors[0].name = "Ω".repeat(10_000);
    job.notes = "\u{202E}".repeat(5_000);
    let mut harness = window(job, [1440.0, 900.0]);
    assert!(shows(&harness, "left¤thgir"));
    assert!(!shows(&harness, "\u{202E}"));
    click(&mut harness, "Page Job");
}

#[test]
fn texts_of_the_job_are_typed_and_taken_back_as_one_step() {
    let mut harness = window(sample(), [1280.0, 800.0]);
    click(&mut harness, "Page Job");
    type_into(&mut harness, "Shop", " North");
    assert_eq!(
        harness.state().model().history.undo_name(),
        Some("Edit the shop")
    );
    assert!(harness.state().model().job.shop.contains(" North"));
}

#[test]
fn the_dim_theme_and_gloves_can_be_switched_on() {
    let mut harness = window(sample(), [1440.0, 900.0]);
    for name in ["Dim theme", "Gloves", "Larger"] {
        click(&mut harness, name);
    }
    // Common practice, no source: 44 points and up for gloved hands.
    assert!(harness.get_by_label("Log").rect().height() >= 44.0);
    harness.get_by_label("Day theme");
}

#[test]
fn the_outline_and_the_drawing_edit_each_other() {
    let mut harness = window(sample(), [1440.0, 900.0]);
    click(&mut harness, "Show the outline");
    let outline = harness
        .get_by_label("Outline of the circuit")
        .value()
        .unwrap();
    assert!(outline.contains("W7 2.4m 0.35 BNRD X3"));
    harness.get_by_label("Outline of the circuit").focus();
    settle(&mut harness);
    harness
        .get_by_label("Outline of the circuit")
        .type_text("\n");
    settle(&mut harness);
    assert_eq!(harness.state().model().job.circuit.loads.len(), 5);
    click(&mut harness, "Show the readings");
}

#[test]
fn a_part_is_renamed_measured_and_removed_beside_the_drawing() {
    let mut harness = window(sample(), [1440.0, 900.0]);
    click(&mut harness, "W5 wire BN, 2.20 m");
    let select_all = (Modifiers::COMMAND, Key::A);
    harness.get_by_label("Designation").click();
    settle(&mut harness);
    harness.key_press_modifiers(select_all.0, select_all.1);
    harness.get_by_label("Designation").type_text("W55");
    settle(&mut harness);
    harness.key_press(Key::Enter);
    settle(&mut harness);
    harness.get_by_label("W55 wire BN, 2.20 m");
    assert_eq!(
        harness.state().model().history.undo_name(),
        Some("Rename W5 to W55")
    );
    harness.get_by_label("Length (empty: not known)").click();
    settle(&mut harness);
    harness.key_press_modifiers(select_all.0, select_all.1);
    harness
        .get_by_label("Length (empty: not known)")
        .type_text("250 cm");
    settle(&mut harness);
    harness.key_press(Key::Enter);
    settle(&mut harness);
    harness.get_by_label("W55 wire BN, 2.50 m");
    click(&mut harness, "Put a splice into W55");
    assert_eq!(harness.state().model().job.circuit.splices.len(), 3);
    harness.key_press_modifiers(Modifiers::COMMAND, Key::Z);
    settle(&mut harness);
    assert_eq!(harness.state().model().job.circuit.splices.len(), 2);
}

#[test]
fn a_length_that_is_none_is_refused_beside_its_field() {
    let mut harness = window(sample(), [1440.0, 900.0]);
    click(&mut harness, "W5 wire BN, 2.20 m");
    type_into(&mut harness, "Length (empty: not known)", " furlongs");
    harness.key_press(Key::Enter);
    settle(&mut harness);
    harness.get_by_label("W5 wire BN, 2.20 m");
    assert!(shows(&harness, "furlongs"));
}

/// A small screen with everything at 200 %: half of its points.
#[test]
fn what_is_unplugged_and_every_page_are_in_sight_on_the_smallest_screen() {
    for size in [[320.0, 200.0], [640.0, 400.0], [1280.0, 800.0]] {
        let mut job = sample();
        job.vehicle = "a vehicle with a name that is far too long for any banner".repeat(4);
        job.now.unplugged.extend(["C1", "C2"].map(str::to_owned));
        let mut harness = window(job, size);
        let screen = Rect::from_min_size(Pos2::ZERO, size.into());
        for name in [
            "Unplugged now: C1 and C2 unplugged",
            "Page Bench",
            "Page Job",
            "Page Notebook",
            "Page Practice",
        ] {
            let rect = harness.get_by_label(name).rect();
            assert!(screen.contains_rect(rect), "{size:?} {name}: {rect}");
        }
        let pill = harness.get_by_label("Unplugged now: C1 and C2 unplugged");
        let (pill, tool) = (pill.rect(), harness.get_by_label("New feed").rect());
        // On one row with the tools the bar under them leaves it whole.
        let said = harness.query_all_by_label_contains("Short to ground");
        let page = said.map(|node| node.rect().top()).fold(f32::MAX, f32::min);
        assert!(page < f32::MAX, "the answer is shown");
        let beside = (pill.center().y - tool.center().y).abs() < 2.0;
        assert!(!beside || page - pill.bottom() > 14.0, "{pill} {page}");
        click(&mut harness, "Unplugged now: C1 and C2 unplugged");
        assert!(harness.state().model().job.now.unplugged.is_empty());
    }
}
