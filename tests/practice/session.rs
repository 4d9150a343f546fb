//! A session from the first reading to the handing over, and what the look back says of it.

use pinchpoint::{
    circuit::{Point, quick_feed},
    diagnosis::diagnose,
    fault::{FaultKind, Site},
    practice::{
        Debrief, Done, Drill, Exercise, ExerciseError, Flaw, Hidden, Hint, Level, Move, MoveError,
        Outcome, Record, Session, path, trainee::Way,
    },
    quantity::units,
    reading::{Kind, Meter, Value},
};

fn at(text: &str) -> Point {
    text.parse().expect("a point")
}

fn volts(point: &str) -> Move {
    Move::Read {
        kind: Kind::Volts,
        red: at(point),
        black: Point::battery_negative(),
    }
}

fn open(part: &str, metres: Option<f64>) -> Move {
    Move::Open {
        site: Site::part(part),
        metres,
        reach: None,
    }
}

/// Four stretches W1 to W4 through C1 to C3 to one sensor; W3 is open.
fn chain() -> Exercise {
    let mut exercise = Drill::SplitHalf.exercise(Level::First, 1);
    exercise.hidden = vec![Hidden::new(Site::part("W3"), FaultKind::Open, 1.0)];
    exercise
}

#[test]
fn brackets_find_an_open_wire_and_the_proof_counts() {
    let mut session = Session::start(chain()).expect("it can be done");
    let mut read = |point: &str| match session.make(volts(point)) {
        Ok(Outcome::Read(Value::Exactly(value))) => *value,
        other => panic!("{point}: {other:?}"),
    };
    assert!((read("C2.1f") - 5.0).abs() < 0.3);
    assert!(read("C3.1n").abs() < 0.05);
    // Probing costs half of the five minutes of each connector.
    assert!((session.minutes() - 5.0).abs() < 1e-9);
    assert_eq!(session.make(open("W4", None)), Ok(&Outcome::NothingThere));
    assert_eq!(session.make(open("W3", None)), Ok(&Outcome::Repaired));
    session.make(volts("C3.1n")).expect("can be read");
    let over = session.make(Move::HandOver).expect("nothing is unplugged");
    assert_eq!(
        *over,
        Outcome::HandedOver {
            left: 0,
            proven: true
        }
    );
    assert_eq!(session.make(Move::Hint), Err(MoveError::Over));
    let debrief = Debrief::of(&session).expect("it could be started");
    assert!(debrief.found && debrief.proven);
    assert_eq!((debrief.tests, debrief.in_vain, debrief.hints), (3, 1, 0));
    // Two readings bracket the fault.
    let (first, second) = (&debrief.looked[0], &debrief.looked[1]);
    assert!(
        second.after.bits < first.before.bits,
        "{:?} {:?}",
        first.before,
        second.after
    );
    assert!(
        second.after.left < first.before.left,
        "{:?} {:?}",
        first.before,
        second.after
    );
    assert_eq!(debrief.others.len(), Way::PEOPLE.len());
    let done = Done::of(&debrief, "x", Some((Drill::SplitHalf, Level::First)), 1);
    let record = Record {
        name: "A. Trainee".to_owned(),
        done: vec![done; 5],
    };
    let skill = &record.skills()[0];
    assert_eq!((skill.drill, skill.times), (Drill::SplitHalf, 5));
    let ready = skill.score >= 75.0;
    assert_eq!(skill.next == Level::Everyday, ready);
}

/// Calculated: with W3 open the module's pin reads 5 V as well as without, so that it proves nothing of the repair; behind
/// W3 nothing was read before.
#[test]
fn what_the_fault_left_right_proves_no_repair() {
    for (read, proves) in [("M1.feed", false), ("C2.1f", false), ("C3.1n", true)] {
        let mut session = Session::start(chain()).expect("it can be done");
        for done in [open("W3", None), volts(read), Move::HandOver] {
            session.make(done).expect("can be done");
        }
        let over = session.steps().last().map(|step| step.outcome.clone());
        let proven = Outcome::HandedOver {
            left: 0,
            proven: proves,
        };
        assert_eq!(over, Some(proven), "{read}");
    }
    // Every way ends with a proof that counts, where the fault showed.
    let short = Drill::AccessMinutes.exercise(Level::First, 7);
    for (exercise, never) in [(chain(), "M1 feed pin"), (short, "nowhere")] {
        let mut session = Session::start(exercise.clone()).expect("it can be done");
        let part = exercise.hidden[0].site.part.clone();
        session.make(open(&part, None)).expect("it is drawn");
        assert!(path::prove(&mut session));
        let over = session.make(Move::HandOver).expect("nothing is unplugged");
        assert!(matches!(over, Outcome::HandedOver { proven: true, .. }));
        let path = path::follow(&exercise, &|_| true).expect("it can be done");
        let line = path.steps.last().expect("it is proved").line();
        assert!(line.starts_with("prove it: volts at "), "{line}");
        assert!(line.contains(", with all plugged ("), "{line}");
        assert!(!line.contains(never), "{line}");
    }
}

#[test]
fn a_fault_left_is_told_and_a_second_look_is_redundant() {
    let mut session = Session::start(chain()).expect("it can be done");
    for moved in [open("W1", Some(0.2)), volts("C2.1f"), volts("C2.1f")] {
        session.make(moved).expect("can be done");
    }
    let over = session.make(Move::HandOver).expect("nothing is unplugged");
    assert_eq!(
        *over,
        Outcome::HandedOver {
            left: 1,
            proven: false
        }
    );
    let debrief = Debrief::of(&session).expect("it could be started");
    assert!(!debrief.found);
    let flaws: Vec<Option<Flaw>> = debrief.looked.iter().map(|looked| looked.flaw).collect();
    let told = [Some(Flaw::Premature), None, Some(Flaw::Redundant)];
    assert_eq!(flaws[..3], told, "{flaws:?}");
    assert!(debrief.score < 50);
}

#[test]
fn moves_that_cannot_be_made_cost_nothing() {
    let mut session = Session::start(chain()).expect("it can be done");
    for (moved, named) in [
        (volts("C9.1n"), "C9.1n is not on this sketch"),
        (Move::Plug("C9".to_owned()), "C9 is no connector"),
        (open("W9", None), "W9 is not on this sketch"),
        (open("W3", Some(99.0)), "give a place from 0"),
        (
            Move::Load(Point::battery_negative()),
            "a load hangs between a point and battery negative",
        ),
    ] {
        let said = session.make(moved).expect_err(named).to_string();
        assert!(said.contains(named), "{said}");
    }
    assert_eq!((session.minutes(), session.steps().len()), (0.0, 0));
    session
        .make(Move::Plug("C2".to_owned()))
        .expect("C2 is drawn");
    let said = session
        .make(Move::HandOver)
        .expect_err("unplugged")
        .to_string();
    assert!(said.contains("C2 is still unplugged"), "{said}");
    let mut exercise = chain();
    exercise.allowed.unplugging = false;
    let mut session = Session::start(exercise).expect("volts are enough");
    let said = session
        .make(Move::Plug("C2".to_owned()))
        .expect_err("not allowed")
        .to_string();
    assert!(said.contains("without unplugging"), "{said}");
}

#[test]
fn hints_are_the_advisors_and_point_at_a_test_that_tells_something() {
    let mut session = Session::start(chain()).expect("it can be done");
    session.make(volts("M1.feed")).expect("can be read");
    let advice = diagnose(&session.question()).next;
    match session.make(Move::Hint) {
        Ok(Outcome::Hint(Hint::Test { test, words, .. })) => {
            assert!(test.bits > 0.5 && test.minutes > 0.0 && !words.is_empty());
            assert_eq!(**test, advice.tests[0]);
        }
        other => panic!("{other:?}"),
    }
    assert!(
        (session.minutes() - 8.0).abs() < 1e-9,
        "three to read, five for the hint"
    );
    // Asked again with nothing done since, it says the same and is not paid for, nor counted, again.
    let told = session.steps().last().map(|step| step.outcome.clone());
    assert_eq!(session.make(Move::Hint).ok().cloned(), told);
    assert!((session.minutes() - 8.0).abs() < 1e-9);
    assert_eq!(session.steps().len(), 2);
    session.make(volts("C2.1f")).expect("can be read");
    assert_eq!(
        session.make_while(Move::Hint, &|| false),
        Err(MoveError::CalledOff)
    );
}

#[test]
fn a_hint_keeps_to_what_is_allowed_and_never_leads_back_to_a_place_that_was_opened() {
    let mut exercise = chain();
    exercise.allowed.unplugging = false;
    exercise.allowed.ohms = false;
    exercise.allowed.amperes = false;
    exercise.allowed.loads = false;
    let mut session = Session::start(exercise).expect("volts are enough");
    let mut opened: Vec<Site> = Vec::new();
    for _ in 0..12 {
        match session.make(Move::Hint).expect("can be asked").clone() {
            Outcome::Hint(Hint::Test { test, .. }) => {
                assert!(test.state.unplugged.is_empty() && test.state.attached.is_empty());
                session.follow(&test).expect("an allowed test can be done");
            }
            Outcome::Hint(Hint::Open { opening, .. }) => {
                assert!(opening.metres.is_some() || !opened.contains(&opening.site));
                opened.push(opening.site.clone());
                // As if nothing were there: the fault is put back by looking elsewhere first.
                if opening.site == Site::part("W3") {
                    return;
                }
                session.follow_opening(&opening).expect("is on the sketch");
            }
            other => panic!("{other:?}"),
        }
    }
    panic!("W3 was never named: {opened:?}");
}

#[test]
fn giving_up_ends_the_session_and_scores_nothing() {
    let mut session = Session::start(chain()).expect("it can be done");
    session.make(volts("C2.1f")).expect("can be read");
    assert_eq!(session.make(Move::GiveUp), Ok(&Outcome::GivenUp));
    assert!(session.is_over() && !session.is_handed_over());
    let debrief = Debrief::of(&session).expect("it could be started");
    assert!(debrief.given_up && debrief.score == 0 && !debrief.found);
    // The advisor finds it on the same vehicle, and its clock runs forward.
    assert!(debrief.path.found && debrief.path.tests > 0);
    let clock: Vec<f64> = debrief.path.steps.iter().map(|step| step.minutes).collect();
    assert!(clock.windows(2).all(|pair| pair[0] <= pair[1]), "{clock:?}");
    assert!(debrief.par() <= debrief.path.minutes);
    assert_eq!(
        Debrief::of_while(&session, &|_| false),
        Err(ExerciseError::CalledOff)
    );
}

#[test]
fn a_feed_of_forty_sensors_is_looked_back_on_with_every_way_beside() {
    let circuit = quick_feed(units::volts(5.0), 40, true, false);
    let exercise = Drill::UnequalOdds
        .exercise_on(&circuit, &Meter::default(), Level::First, 3)
        .expect("it can be drilled");
    let mut session = Session::start(exercise).expect("it can be done");
    session.make(volts("M1.feed")).expect("can be read");
    session.make(Move::GiveUp).expect("can be given up");
    let debrief = Debrief::of(&session).expect("it could be started");
    assert_eq!(debrief.others.len(), Way::PEOPLE.len());
    assert_eq!(debrief.looked.len(), 1);
}

#[test]
fn a_reading_that_tells_nothing_of_any_suspect_is_irrelevant() {
    let mut session = Session::start(chain()).expect("it can be done");
    // Behind a parted connector nothing is left that could be read, whatever is wrong.
    session
        .make(Move::Plug("C1".to_owned()))
        .expect("C1 is drawn");
    session.make(volts("C3.1n")).expect("can be read");
    session.make(Move::GiveUp).expect("can be given up");
    let debrief = Debrief::of(&session).expect("it could be started");
    assert_eq!(debrief.looked[0].flaw, Some(Flaw::Irrelevant));
}
