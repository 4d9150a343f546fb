//! Lists of commands replayed on the window's state, without a window.

mod support;

use std::sync::Arc;

use pinchpoint::{
    app::{
        Bench, Command, Log, Model, Note, Screen, Session,
        command::{Field, Typing},
        history::DEPTH,
        update::update,
    },
    notebook::Job,
    reading::{Entry, Inspection, Kind, State, Value},
};
use proptest::prelude::*;
use support::jobs::{job, point, replay, typing};

fn values(model: &Model) -> Vec<Value> {
    let readings = model.job.log.iter().filter_map(|entry| match entry {
        Entry::Reading(reading) => Some(reading.value),
        Entry::Repair(_) | Entry::Inspection(_) => None,
    });
    readings.collect()
}

#[test]
fn typing_a_value_at_a_chosen_point_logs_it_with_the_plug_state() {
    let mut model = Model::new(job());
    replay(
        &mut model,
        vec![
            Bench::Unplug("C2".into()).into(),
            Screen::TypePoint("x4".into()).into(),
            Screen::TypeValue("640m".into()).into(),
            Screen::Submit(None).into(),
        ],
    );
    let [Entry::Reading(reading)] = &model.job.log[..] else {
        panic!("one reading, not {:?}", model.job.log);
    };
    assert_eq!(reading.red, point("X4.1n"));
    assert_eq!(reading.value, Value::Exactly(0.64));
    assert!(reading.state.unplugged.contains("C2"));
    assert_eq!(model.entry.text, "");
    assert_eq!(
        model.history.undo_name(),
        Some("Log 640m at X4 pin 1, near side")
    );
}

#[test]
fn what_cannot_be_logged_says_why_beside_the_box() {
    let check = |commands: Vec<Command>, expected: &str| {
        let mut model = Model::new(job());
        replay(&mut model, commands);
        assert_eq!(model.job.log.len(), 0);
        let error = model.entry.error.unwrap_or_default();
        assert!(error.contains(expected), "{error}");
    };
    let at = |text: &str| Command::from(Screen::SelectPoint(Some(point(text))));
    let value = |text: &str| Command::from(Screen::TypeValue(text.into()));
    let submit = || Command::from(Screen::Submit(None));
    check(vec![value("1"), submit()], "no point chosen");
    check(
        vec![at("C1.1n"), value("abc"), submit()],
        "“abc” is no number",
    );
    check(
        vec![at("C1.1n"), value("120 mA"), submit()],
        "choose the other kind",
    );
    check(
        vec![
            at("C1.1n"),
            Screen::SetKind(Kind::Ohms).into(),
            value("-3"),
            submit(),
        ],
        "the circuit is live",
    );
    check(
        vec![Screen::TypePoint("Q7".into()).into()],
        "no point of this sketch",
    );
    check(vec![at("BN"), value("1"), submit()], "both leads");
}

#[test]
fn ohms_are_noted_only_once_the_supply_is_said_to_be_off() {
    let mut model = Model::new(job());
    replay(
        &mut model,
        vec![
            Screen::SelectPoint(Some(point("X4.1n"))).into(),
            Screen::SetKind(Kind::Ohms).into(),
            Screen::TypeValue("4.7".into()).into(),
            Screen::Submit(None).into(),
        ],
    );
    assert!(
        model.job.log.is_empty(),
        "nobody said that the supply is off"
    );
    let error = model.entry.error.take().unwrap_or_default();
    assert!(error.contains("supply off"), "{error}");
    replay(&mut model, vec![Bench::SupplyOff(true).into()]);
    let typing = Typing {
        kind: Kind::Ohms,
        ..typing("X4.1n", "OL")
    };
    replay(&mut model, vec![Log::Add(typing).into()]);
    let [Entry::Reading(reading)] = &model.job.log[..] else {
        panic!("one reading");
    };
    assert!(reading.state.supply_off);
    assert_eq!(reading.value, Value::OverRange { above: None });
}

#[test]
fn a_retaken_reading_sets_the_old_one_aside() {
    let mut model = Model::new(job());
    replay(
        &mut model,
        vec![
            Bench::Unplug("C2".into()).into(),
            Log::Add(typing("C1.1n", "8.9")).into(),
            Bench::PlugAll.into(),
            Log::Retake(0).into(),
            Screen::TypeValue("8.7".into()).into(),
            Screen::Submit(None).into(),
        ],
    );
    let aside: Vec<bool> = model
        .job
        .log
        .iter()
        .map(|entry| matches!(entry, Entry::Reading(r) if r.set_aside))
        .collect();
    assert_eq!(aside, [true, false]);
    assert_eq!(values(&model), [Value::Exactly(8.9), Value::Exactly(8.7)]);
    assert!(
        model.job.now.unplugged.contains("C2"),
        "the state of the old reading is back"
    );
    assert_eq!(model.entry.retaking, None);
}

#[test]
fn correcting_a_reading_keeps_its_state() {
    let mut model = Model::new(job());
    replay(
        &mut model,
        vec![
            Bench::Unplug("C2".into()).into(),
            Log::Add(typing("C1.1n", "89")).into(),
            Bench::PlugAll.into(),
            Screen::EditReading(0).into(),
            Screen::TypeValue("8.9".into()).into(),
            Screen::Submit(None).into(),
        ],
    );
    let [Entry::Reading(reading)] = &model.job.log[..] else {
        panic!("one reading");
    };
    assert_eq!(reading.value, Value::Exactly(8.9));
    assert!(reading.state.unplugged.contains("C2"));
}

#[test]
fn a_refused_command_changes_nothing_and_names_place_and_remedy() {
    let mut model = Model::new(job());
    let before = Arc::clone(&model.job);
    replay(
        &mut model,
        vec![
            Bench::Unplug("C9".into()).into(),
            Log::Remove(3).into(),
            Log::MarkRepaired {
                part: "W99".into(),
                replaced: false,
                note: String::new(),
            }
            .into(),
        ],
    );
    assert_eq!(model.job, before);
    assert_eq!(model.history.depth(), 0);
    let places: Vec<&str> = model.notices.iter().map(|n| n.place.as_str()).collect();
    assert_eq!(places, ["C9", "line 4", "W99"]);
    assert!(model.notices.iter().all(|n| !n.remedy.is_empty()));
}

#[test]
fn typing_on_in_one_field_is_one_step() {
    let mut model = Model::new(job());
    let set = |text: &str| Command::from(Note::Set(Field::Shop, text.into()));
    replay(&mut model, vec![set("H"), set("Ha"), set("Hav")]);
    assert_eq!(model.history.depth(), 1);
    replay(&mut model, vec![Command::EndGesture, set("Haven Yard")]);
    assert_eq!(model.history.depth(), 2);
    replay(&mut model, vec![Command::Undo]);
    assert_eq!(model.job.shop, "Hav");
    replay(&mut model, vec![Command::Undo]);
    assert_eq!(model.job.shop, "");
}

#[test]
fn history_is_bounded() {
    let mut model = Model::new(job());
    for i in 0..DEPTH + 50 {
        let id = if i % 2 == 0 { "C1" } else { "C2" };
        update(&mut model, Bench::TogglePlug(id.into()).into());
    }
    assert_eq!(model.history.depth(), DEPTH);
}

#[test]
fn another_state_can_be_compared_until_the_log_changes() {
    let mut session = Session::start(job(), Arc::new(|| {})).expect("threads");
    session.send(Log::Add(typing("C1.1n", "0.65")));
    let mut apart = State::default();
    apart.unplugged.insert("C2".to_owned());
    session.send(Screen::Compare(Some(apart.clone())));
    session.settle();
    let volts = |session: &Session| {
        let other = session.model().current_comparison()?;
        let at = other
            .findings
            .points
            .iter()
            .find(|p| p.point == point("SP2"))?;
        Some(at.healthy.mean)
    };
    let plugged = session
        .model()
        .current_findings()
        .expect("an answer")
        .points
        .clone();
    let at = plugged
        .iter()
        .find(|p| p.point == point("SP2"))
        .expect("a point");
    assert!(at.healthy.mean > 8.5, "nominally 9 V");
    // Behind the parted connector nothing feeds the splice.
    assert!(
        volts(&session).is_some_and(|v| v < 0.5),
        "{:?}",
        volts(&session)
    );
    session.send(Log::Add(typing("C1.1f", "0.64")));
    assert_eq!(volts(&session), None, "of the log before");
    session.settle();
    assert!(volts(&session).is_some());
    session.send(Screen::Compare(None));
    assert_eq!(volts(&session), None);
}

#[test]
fn a_long_computation_stops_when_something_newer_is_asked() {
    use std::time::{Duration, Instant};
    let engine = |question: &pinchpoint::diagnosis::Question<'_>, go_on: &dyn Fn() -> bool| {
        let started = Instant::now();
        while question.log.is_empty() && go_on() {
            assert!(
                started.elapsed() < Duration::from_secs(60),
                "never told to stop"
            );
            std::thread::sleep(Duration::from_millis(1));
        }
        pinchpoint::diagnosis::diagnose_while(question, go_on)
    };
    let mut session = Session::with_engine(job(), Arc::new(|| {}), engine).expect("threads");
    session.send(Log::Add(typing("C1.1n", "8.9")));
    session.settle();
    assert!(session.model().current_findings().is_some());
    // Nobody waits any longer for the answer to an empty log, so closing does not hang on it.
    session.send(Log::Remove(0));
    drop(session);
}

#[test]
fn a_broken_computation_is_told_and_the_next_one_works() {
    let engine = |question: &pinchpoint::diagnosis::Question<'_>, go_on: &dyn Fn() -> bool| {
        assert!(question.log.is_empty(), "a reading broke it");
        pinchpoint::diagnosis::diagnose_while(question, go_on)
    };
    let mut session = Session::with_engine(job(), Arc::new(|| {}), engine).expect("threads");
    session.send(Log::Add(typing("C1.1n", "8.9")));
    session.settle();
    assert!(session.model().current_findings().is_none() && !session.model().is_busy());
    assert!(
        session.model().notices[0]
            .what
            .contains("a reading broke it")
    );
    session.send(Command::Undo);
    session.settle();
    assert!(session.model().current_findings().is_some());
}

fn any_command() -> impl Strategy<Value = Command> {
    let id = prop::sample::select(vec!["C1", "C2", "X3", "X9"]).prop_map(str::to_owned);
    let red = prop::sample::select(vec!["M1.feed", "C1.1f", "SP2", "X3.1n", "Q1", "BN"]);
    let text = prop::sample::select(vec!["8.9", "640m", "OL", "x", "0.4..0.6", ""]);
    prop_oneof![
        id.clone().prop_map(|id| Bench::TogglePlug(id).into()),
        id.clone().prop_map(|id| Bench::MarkUnknown(id).into()),
        Just(Bench::PlugAll.into()),
        any::<bool>().prop_map(|off| Bench::SupplyOff(off).into()),
        any::<Option<bool>>().prop_map(|cycled| Bench::KeyCycled(cycled).into()),
        (red, text).prop_map(|(red, text)| Log::Add(typing(red, text)).into()),
        (0usize..5).prop_map(|i| Log::Remove(i).into()),
        (0usize..5, any::<bool>()).prop_map(|(i, aside)| Log::SetAside(i, aside).into()),
        (0usize..5).prop_map(|i| Log::Retake(i).into()),
        (0usize..5).prop_map(|i| Log::Edit(i, typing("SP1", "1.5")).into()),
        (0usize..5).prop_map(|i| Log::SetState(i, State::default()).into()),
        id.prop_map(|part| Log::MarkRepaired {
            part,
            replaced: true,
            note: String::new()
        }
        .into()),
        "[a-z]{0,3}".prop_map(|text| Note::Set(Field::Notes, text).into()),
        Just(Command::EndGesture),
    ]
}

proptest! {
    #[test]
    fn undo_takes_back_every_command_and_redo_does_it_again(commands in prop::collection::vec(any_command(), 1..40)) {
        let mut model = Model::new(job());
        let mut before: Vec<Arc<Job>> = Vec::new();
        for command in commands {
            let (depth, job) = (model.history.depth(), Arc::clone(&model.job));
            update(&mut model, command);
            prop_assert_eq!(model.harness.points.len(), Model::new(Job::clone(&model.job)).harness.points.len());
            if model.history.depth() > depth {
                before.push(job);
            } else if model.history.depth() == depth && model.history.redo_name().is_none() && *model.job != *job {
                prop_assert!(model.history.undo_name().is_some(), "a joined step");
            }
        }
        let last = Arc::clone(&model.job);
        let mut states = vec![Arc::clone(&last)];
        while model.history.depth() > 0 {
            update(&mut model, Command::Undo);
            prop_assert_eq!(&model.job, &before[model.history.depth()]);
            states.push(Arc::clone(&model.job));
        }
        prop_assert!(!model.is_dirty(), "back where it began");
        states.pop();
        while let Some(expected) = states.pop() {
            update(&mut model, Command::Redo);
            prop_assert_eq!(&model.job, &expected);
        }
        prop_assert_eq!(&model.job, &last);
    }
}

#[test]
fn a_look_that_found_nothing_is_a_line_and_one_that_cannot_be_is_refused() {
    let mut model = Model::new(job());
    let look = |part: &str, metres| Inspection {
        part: part.to_owned(),
        metres,
        ..Inspection::default()
    };
    let good = look("W2", Some((0.1, 0.3)));
    replay(&mut model, vec![Log::MarkLooked(good.clone()).into()]);
    assert_eq!(model.job.log, [Entry::Inspection(good)]);
    assert_eq!(model.history.undo_name(), Some("Note W2 as looked at"));
    replay(
        &mut model,
        vec![
            Log::MarkLooked(look("W99", None)).into(),
            Log::MarkLooked(look("W2", Some((0.3, 0.1)))).into(),
            Log::SetNote(0, "unwrapped".to_owned()).into(),
            Log::SetAside(0, true).into(),
        ],
    );
    let [Entry::Inspection(kept)] = &model.job.log[..] else {
        panic!("one look, not {:?}", model.job.log);
    };
    assert!(kept.set_aside && kept.note == "unwrapped");
    // It is no reading to be taken again.
    replay(&mut model, vec![Log::Retake(0).into()]);
    assert_eq!(model.entry.retaking, None);
}

#[test]
fn a_connector_that_was_seen_settles_the_readings_since() {
    let mut model = Model::new(job());
    let read = |text: &str| {
        vec![
            Command::from(Screen::TypePoint("x4".into())),
            Screen::TypeValue(text.into()).into(),
            Screen::Submit(None).into(),
        ]
    };
    replay(&mut model, read("1"));
    replay(&mut model, vec![Bench::MarkUnknown("C2".into()).into()]);
    replay(&mut model, read("2"));
    replay(&mut model, vec![Bench::Settle("C2".into(), true).into()]);
    let parted: Vec<bool> = (model.job.log.iter())
        .map(|entry| match entry {
            Entry::Reading(reading) => {
                assert!(reading.state.unknown.is_empty());
                reading.state.unplugged.contains("C2")
            }
            other => panic!("{other:?}"),
        })
        .collect();
    assert_eq!(parted, [false, true]);
    assert!(model.job.now.unplugged.contains("C2") && model.job.now.unknown.is_empty());
}
