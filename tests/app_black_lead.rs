//! Where the black lead goes, without the window: back after a test, never to the other end of a wire, and along with a part that is
//! renamed. The requirement itself; no outside source.

mod support;

use std::sync::Arc;

use pinchpoint::{
    app::{Command, Log, Model, Screen, Sketch},
    circuit::Point,
    reading::{Entry, Kind},
};
use support::jobs::{job, point, replay};

#[test]
fn the_black_lead_goes_back_after_a_test_between_two_points() {
    let mut model = Model::new(job());
    let at = |text: &str| Command::from(Screen::SelectPoint(Some(point(text))));
    let begin = |black: &str| Command::from(Screen::BeginTest(Kind::Volts, point(black)));
    let value = || Command::from(Screen::Submit(Some("0.1".into())));
    let own = point("C1.1n");
    let commands = vec![
        Screen::SetBlack(own.clone()).into(),
        begin("C1.1f"),
        // Another test in its place is no choice of the person's.
        begin("X4.1n"),
        at("X4.1f"),
        value(),
    ];
    replay(&mut model, commands);
    let Some(Entry::Reading(reading)) = model.job.log.last() else {
        panic!("no reading: {:?}", model.entry);
    };
    assert_eq!(reading.black, point("X4.1n"));
    assert_eq!(model.entry.black, own);
    // A line that is read again or corrected asks for its own place, too.
    replay(&mut model, vec![Log::Retake(0).into()]);
    assert_eq!(model.entry.black, point("X4.1n"));
    replay(&mut model, vec![value()]);
    assert_eq!(model.entry.black, own);
    replay(&mut model, vec![Screen::EditReading(0).into()]);
    replay(&mut model, vec![Screen::ClearEntry.into()]);
    assert_eq!(model.entry.black, own);
    // Where the person moves it in the midst of a test, it stays.
    let moved = vec![
        begin("C1.1f"),
        Screen::SetBlack(point("X4.1f")).into(),
        at("X4.1n"),
        value(),
    ];
    replay(&mut model, moved);
    assert_eq!(model.entry.black, point("X4.1f"));
}

#[test]
fn the_other_end_of_a_wire_is_no_black_lead_and_the_reverse() {
    let wire = job().circuit.wires[0].clone();
    let battery = Point::battery_negative();
    let begin = |kind, black: &Point| Command::from(Screen::BeginTest(kind, black.clone()));
    let at = |point: &Point| Command::from(Screen::SelectPoint(Some(point.clone())));
    let value = |text: &str| Command::from(Screen::Submit(Some(text.into())));
    let amperes = || {
        let mut model = Model::new(job());
        let commands = vec![
            Screen::SetKind(Kind::Amperes).into(),
            Screen::SetBlack(wire.to.clone()).into(),
        ];
        replay(&mut model, commands);
        assert_eq!(model.entry.black, wire.to);
        model
    };
    // A test in volts between the two, logged, given up, or a line of the log read again or corrected.
    let mut model = amperes();
    let logged = vec![
        begin(Kind::Volts, &point("X4.1n")),
        at(&point("X4.1f")),
        value("0.1"),
    ];
    replay(&mut model, logged);
    assert_eq!(
        (model.entry.kind, &model.entry.black),
        (Kind::Volts, &battery)
    );
    let log = Arc::clone(&model.job);
    for aside in [Command::from(Log::Retake(0)), Screen::EditReading(0).into()] {
        let mut model = amperes();
        model.job = Arc::clone(&log);
        replay(&mut model, vec![aside, Screen::ClearEntry.into()]);
        assert_eq!(model.entry.black, battery);
    }
    let mut model = amperes();
    let given_up = vec![begin(Kind::Amperes, &battery), Screen::ClearEntry.into()];
    replay(&mut model, given_up);
    assert_eq!(
        (model.entry.kind, &model.entry.black),
        (Kind::Volts, &battery)
    );
    // And the reverse.
    let mut model = Model::new(job());
    let reverse = vec![
        Screen::SetBlack(point("X4.1n")).into(),
        begin(Kind::Amperes, &wire.to),
        at(&wire.from),
        value("0.1"),
    ];
    replay(&mut model, reverse);
    assert_eq!(model.job.log.len(), 1, "{:?}", model.entry.error);
    assert_eq!(
        (model.entry.kind, &model.entry.black),
        (Kind::Amperes, &battery)
    );
}

#[test]
fn the_black_lead_goes_back_to_a_part_that_was_renamed_meanwhile() {
    let mut model = Model::new(job());
    let commands = vec![
        Screen::SetBlack(point("C1.1n")).into(),
        Screen::BeginTest(Kind::Volts, point("X4.1n")).into(),
        Sketch::Rename {
            old: "C1".into(),
            new: "C17".into(),
            called: None,
        }
        .into(),
        // A test of an answer to the sketch as it was asks for a place that is gone.
        Screen::BeginTest(Kind::Ohms, point("C1.1f")).into(),
        Screen::ClearEntry.into(),
    ];
    replay(&mut model, commands);
    assert_eq!(model.entry.black, point("C17.1n"));
}
