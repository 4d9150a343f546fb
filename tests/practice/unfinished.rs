//! A session that is not finished is kept as it goes on and can be gone on with; what cannot be read is told and kept aside.

use std::{fs, path::Path, sync::Arc};

use pinchpoint::{
    app::{
        home::Home,
        practice::{Command, Kept, Room, Stage, Wish},
        settings::Practised,
    },
    circuit::Point,
    notebook::training::{read_session, read_trainee, write_session},
    practice::{Drill, Level, Move, Session, Unfinished},
    reading::{Kind, Lamp, Seen, Value},
};

fn room(folder: &Path) -> Room {
    let home = Home::at(folder);
    Room::start(Some(&home), &Practised::default(), Arc::new(|| ())).expect("a thread")
}

fn send(room: &mut Room, command: Command) {
    room.send(command);
    room.settle();
}

fn start(room: &mut Room, seed: u64, trainee: &str) {
    let wish = Wish {
        seed: seed.to_string(),
        trainee: trainee.to_owned(),
        ..Wish::default()
    };
    send(room, Command::Wish(wish));
    send(room, Command::Start);
    assert_eq!(room.state().stage, Stage::Vehicle);
}

fn volts(red: &str) -> Move {
    Move::Read {
        kind: Kind::Volts,
        red: red.parse().expect("a point"),
        black: Point::battery_negative(),
    }
}

fn session(room: &Room) -> &Session {
    &room.state().go.as_ref().expect("a vehicle").session
}

/// What was done, read and spent.
fn stands(session: &Session) -> String {
    format!(
        "{:?} {:?} {}",
        session.steps(),
        session.log(),
        session.minutes()
    )
}

#[test]
fn a_session_is_offered_again_as_it_stood_and_ends_in_one_line_of_the_record() {
    let folder = tempfile::tempdir().expect("a folder");
    let stood = {
        let mut room = room(folder.path());
        start(&mut room, 7, "Ada Brandt");
        for done in [
            volts("M1.feed"),
            Move::Plug("C1".into()),
            volts("M1.feed"),
            Move::Hint,
        ] {
            send(&mut room, Command::Do(done));
        }
        // While one window has it, no other offers it.
        assert!(self::room(folder.path()).state().left.is_empty());
        stands(session(&room))
    };
    let mut room = room(folder.path());
    let left = room.state().left.clone();
    assert_eq!(left.len(), 1);
    assert!(left[0].asks && left[0].name().contains("Ada Brandt"));
    send(&mut room, Command::TakeUp(left[0].clone()));
    assert_eq!(room.state().stage, Stage::Vehicle);
    assert_eq!(stands(session(&room)), stood);
    assert!(room.state().left.is_empty());
    let go = room.state().go.as_ref().expect("a vehicle");
    assert_eq!(go.drill, Some((Drill::SplitHalf, Level::First)));
    assert_eq!(go.trainee, "Ada Brandt");
    // It goes on, and ends; then nothing is left, and looking back again adds no second line.
    send(&mut room, Command::Do(Move::GiveUp));
    let Some(Kept::In(record)) = room.state().back.as_ref().map(|back| back.kept.clone()) else {
        panic!("{:?}", room.state().trouble);
    };
    send(&mut room, Command::Show(Stage::Vehicle));
    send(&mut room, Command::LookBack);
    assert_eq!(room.state().stage, Stage::Back);
    assert_eq!(read_trainee(&record).expect("a record").done.len(), 1);
    drop(room);
    assert!(self::room(folder.path()).state().left.is_empty());
}

#[test]
fn another_vehicle_sets_the_one_before_aside_and_what_was_forgotten_is_gone() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut room = room(folder.path());
    start(&mut room, 7, "");
    // Nothing was done yet, so there is nothing to keep.
    start(&mut room, 8, "");
    assert!(room.state().left.is_empty());
    send(&mut room, Command::Do(Move::Key));
    start(&mut room, 9, "");
    send(&mut room, Command::Do(Move::Key));
    let left = room.state().left.clone();
    assert_eq!(
        left.iter()
            .map(|left| left.unfinished.seed)
            .collect::<Vec<_>>(),
        [8]
    );
    assert!(!left[0].asks, "nobody has to decide about it");
    // Taking it up sets the other one aside in its turn.
    send(
        &mut room,
        Command::TakeUp(left.into_iter().next().expect("one")),
    );
    assert_eq!(session(&room).steps().len(), 1);
    let left = room.state().left.clone();
    assert_eq!(left[0].unfinished.seed, 9);
    send(&mut room, Command::Forget(left[0].clone()));
    assert!(room.state().left.is_empty());
    // What holds a diary keeps others from it.
    drop((room, left));
    let seeds: Vec<u64> = (self::room(folder.path()).state().left.iter())
        .map(|left| left.unfinished.seed)
        .collect();
    assert_eq!(seeds, [8]);
}

#[test]
fn what_ended_without_its_look_back_is_looked_back_on_when_it_is_taken_up() {
    let folder = tempfile::tempdir().expect("a folder");
    {
        let mut room = room(folder.path());
        start(&mut room, 7, "Ada");
        send(&mut room, Command::Do(Move::Key));
        room.send(Command::Do(Move::GiveUp));
        while room
            .state()
            .pending
            .as_ref()
            .is_some_and(|p| p.what != "Looking back")
        {
            room.poll();
            std::thread::yield_now();
        }
        send(&mut room, Command::CallOff);
        assert!(room.state().back.is_none());
    }
    let mut room = room(folder.path());
    let left = room.state().left[0].clone();
    send(&mut room, Command::TakeUp(left));
    assert_eq!(room.state().stage, Stage::Back);
    assert!(matches!(
        room.state().back.as_ref().map(|back| &back.kept),
        Some(Kept::In(_))
    ));
}

#[test]
fn a_session_that_cannot_be_read_or_done_again_is_told() {
    let folder = tempfile::tempdir().expect("a folder");
    let sessions = Home::at(folder.path()).sessions();
    fs::create_dir_all(&sessions).expect("a folder");
    fs::write(
        sessions.join("session-0.ron"),
        "(format: \"pinchpoint session\"",
    )
    .expect("written");
    let mut session = Session::start(Drill::SplitHalf.exercise(Level::First, 3)).expect("starts");
    session.make(volts("M1.feed")).expect("reads");
    let aim = Some((Drill::SplitHalf, Level::First));
    let mut unfinished = Unfinished::of(&session, aim, 3, "Ada");
    unfinished.moves.push(Move::Plug("C99".into()));
    let file = sessions.join("session-5.ron");
    write_session(&file, &unfinished).expect("written");
    assert_eq!(read_session(&file).expect("reads back"), unfinished);
    let mut room = room(folder.path());
    let trouble = room.state().trouble.clone().expect("it is told");
    assert!(trouble.place.contains("session-0.ron"), "{trouble:?}");
    assert!(sessions.join("session-0.unreadable.ron").exists());
    let left = room.state().left[0].clone();
    send(&mut room, Command::TakeUp(left));
    let trouble = room.state().trouble.clone().expect("it is told");
    assert!(
        trouble.what.contains("step 2") && trouble.what.contains("C99"),
        "{trouble:?}"
    );
    // It stays until it is forgotten.
    assert_eq!(room.state().left.len(), 1);
}

#[test]
fn a_folder_that_cannot_be_written_is_told_and_practice_goes_on() {
    let folder = tempfile::tempdir().expect("a folder");
    // A file where the folder would be.
    fs::write(Home::at(folder.path()).sessions(), "").expect("written");
    let mut room = room(folder.path());
    start(&mut room, 7, "");
    send(&mut room, Command::Do(Move::Key));
    assert_eq!(session(&room).steps().len(), 1);
    let trouble = room.state().trouble.clone().expect("it is told");
    assert!(trouble.what.contains("cannot be kept"), "{trouble:?}");
}

/// The thresholds are those of `assets/signs.ron`; that a lamp loads what it hangs on is Ohm's law.
#[test]
fn lamps_and_the_scan_answer_by_the_volts_that_are_left() {
    let exercise = Drill::GhostVoltage.exercise(Level::First, 11);
    let sensor = exercise.circuit.loads[0].clone();
    let mut session = Session::start(exercise).expect("starts");
    let look = |kind, red: &Point| Move::Read {
        kind,
        red: red.clone(),
        black: Point::battery_negative(),
    };
    let feed: Point = "M1.feed".parse().expect("a point");
    let seen = |session: &mut Session, kind, red: &Point| {
        session.make(look(kind, red)).expect("can be done");
        let outcome = session.steps().last().expect("a step").outcome.clone();
        match outcome {
            pinchpoint::practice::Outcome::Read(Value::Seen(seen)) => seen,
            other => panic!("{other:?}"),
        }
    };
    // At the module all is right in this drill, so an LED is lit there.
    assert_eq!(seen(&mut session, Kind::Lamp(Lamp::Led), &feed), Seen::Lit);
    let by_id = Point::new(&sensor.id, pinchpoint::circuit::Terminal::Feed(1));
    let answer = seen(&mut session, Kind::Scan, &by_id);
    assert!(matches!(answer, Seen::Answers | Seen::Silent));
    // It is noted with the leads of what was asked, as on the bench.
    let log = session.log().last().expect("a line");
    assert!(matches!(log, pinchpoint::reading::Entry::Reading(r) if r.red == sensor.feed));
    // With its plug off it is silent, whatever is wrong.
    session.make(Move::Plug("C1".into())).expect("can be done");
    assert_eq!(seen(&mut session, Kind::Scan, &by_id), Seen::Silent);
    let refused = session.make(look(Kind::Scan, &Point::battery_negative()));
    assert!(refused.is_err_and(|error| error.to_string().contains("answer on the scan")));
}
