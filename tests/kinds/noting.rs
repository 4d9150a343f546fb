//! How readings of every kind are noted, and how a line is corrected: through the window's state, without the window.

use pinchpoint::{
    app::{Amended, Command, Log, Model, Screen, update},
    circuit::Point,
    notebook::Job,
    reading::{Entry, Kind, Lamp, Reading, Seen, State, Value, Wiggled},
};

use super::shared::{circuit, point, without};

fn model() -> Model {
    Model::new(Job {
        circuit: circuit(5.0),
        ..Job::default()
    })
}

fn send(model: &mut Model, command: impl Into<Command>) {
    update(model, command.into());
}

fn last(model: &Model) -> Reading {
    match model.job.log.last() {
        Some(Entry::Reading(reading)) => reading.clone(),
        other => panic!("no reading: {other:?}, {:?}", model.entry.error),
    }
}

/// Chooses a point and a kind and submits a text.
fn log_at(model: &mut Model, at: &str, kind: Kind, text: &str) {
    send(model, Screen::SelectPoint(Some(point(at))));
    send(model, Screen::SetKind(kind));
    send(model, Screen::Submit(Some(text.to_owned())));
}

#[test]
fn digits_stay_when_a_line_is_taken_up_again() {
    let mut model = model();
    log_at(&mut model, "M1.feed", Kind::Volts, "0.30");
    assert_eq!(last(&model).step, Some(0.01));
    send(&mut model, Screen::EditReading(0));
    assert_eq!(model.entry.text, "0.30 V");
    send(&mut model, Screen::Submit(None));
    let reading = last(&model);
    assert_eq!(
        (reading.value, reading.step),
        (Value::Exactly(0.3), Some(0.01))
    );
    assert_eq!(model.job.log.len(), 1);
}

#[test]
fn a_current_needs_its_wire_where_several_meet() {
    let mut model = model();
    log_at(&mut model, "SP1", Kind::Clamp, "0.12");
    assert!(model.job.log.is_empty());
    let error = model.entry.error.clone().expect("it is said");
    assert!(error.contains("several wires meet"), "{error}");
    send(&mut model, Screen::SetBlack(point("X2.1n")));
    send(&mut model, Screen::Submit(Some("0.12".to_owned())));
    let reading = last(&model);
    assert_eq!((reading.kind, reading.black), (Kind::Clamp, point("X2.1n")));
    // Back at volts the black lead is on ground again, not at the end of a wire.
    send(&mut model, Screen::SetKind(Kind::Volts));
    assert!(model.entry.black.is_battery_negative());
    // One wire only, or a pin: nothing to choose.
    log_at(&mut model, "M1.feed", Kind::Amperes, "0.12");
    assert!(last(&model).black.is_battery_negative());
    log_at(&mut model, "C1.1f", Kind::Amperes, "0.12");
    assert!(last(&model).black.is_battery_negative());
}

#[test]
fn what_is_seen_is_noted_by_its_word() {
    let mut model = model();
    log_at(&mut model, "X1.1n", Kind::Lamp(Lamp::Led), "dim");
    assert_eq!(last(&model).value, Value::Seen(Seen::Dim));
    log_at(&mut model, "X1.1n", Kind::Lamp(Lamp::Led), "3.1");
    assert_eq!(model.job.log.len(), 1);
    let error = model.entry.error.clone().expect("it is said");
    assert!(error.contains("lit or dim or dark"), "{error}");
    // The feed of a module is asked against its return.
    log_at(&mut model, "X2.1f", Kind::Scan, "silent");
    let reading = last(&model);
    let load = &model.job.circuit.loads[1];
    assert_eq!((&reading.red, &reading.black), (&load.feed, &load.ret));
}

#[test]
fn a_line_is_corrected_in_one_step_and_keeps_its_trace() {
    let mut model = model();
    log_at(&mut model, "M1.feed", Kind::Volts, "4.1");
    let steps = model.history.undo_name().map(str::to_owned);
    let state = State {
        unknown: ["X2".to_owned()].into(),
        key_cycled: Some(false),
        ..without(&["C1"])
    };
    let amended = Amended {
        value: Some("0.41".to_owned()),
        state: state.clone(),
        wiggled: vec![Wiggled {
            place: "W2".to_owned(),
            changed: true,
        }],
        set_aside: true,
        note: "in the rain".to_owned(),
    };
    send(&mut model, Log::Amend(0, Box::new(amended.clone())));
    let reading = last(&model);
    assert_eq!(
        (reading.value, reading.step),
        (Value::Exactly(0.41), Some(0.01))
    );
    assert_eq!((reading.state, reading.wiggled.len()), (state, 1));
    assert!(reading.set_aside);
    assert_eq!(reading.note, "in the rain; was 4.1 V with all plugged");
    assert_eq!(model.history.undo_name(), Some("Correct line 1"));
    send(&mut model, Command::Undo);
    let reading = last(&model);
    assert_eq!(
        (reading.value, reading.note),
        (Value::Exactly(4.1), String::new())
    );
    assert_eq!(model.history.undo_name().map(str::to_owned), steps);
    // What is no value is refused, and the line stays as it was.
    let wrong = Amended {
        value: Some("about four".to_owned()),
        ..amended.clone()
    };
    send(&mut model, Log::Amend(0, Box::new(wrong)));
    assert_eq!(last(&model).value, Value::Exactly(4.1));
    assert!(model.notices.iter().any(|n| n.what.contains("about four")));
    // Nothing that stays as it was leaves a trace.
    let same = Amended {
        value: None,
        state: State::default(),
        wiggled: Vec::new(),
        set_aside: false,
        note: "dry".to_owned(),
    };
    send(&mut model, Log::Amend(0, Box::new(same)));
    assert_eq!(last(&model).note, "dry");
    let nowhere = Log::Amend(7, Box::new(amended));
    send(&mut model, nowhere);
    assert!(
        model
            .notices
            .iter()
            .any(|n| n.what.contains("no such line"))
    );
}

#[test]
fn ohms_are_not_corrected_into_a_live_circuit() {
    let mut model = model();
    send(&mut model, pinchpoint::app::Bench::SupplyOff(true));
    log_at(&mut model, "C1.1f", Kind::Ohms, "12");
    let live = Amended {
        value: None,
        state: State::default(),
        wiggled: Vec::new(),
        set_aside: false,
        note: String::new(),
    };
    send(&mut model, Log::Amend(0, Box::new(live)));
    assert!(last(&model).state.supply_off);
    assert_eq!(last(&model).black, Point::battery_negative());
}
