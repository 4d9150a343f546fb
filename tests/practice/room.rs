//! The practice page without its drawing: what is called off leaves no trace, records of a group are read, and a job's names
//! stay out of practice.

use std::sync::Arc;

use pinchpoint::{
    app::{
        practice::{Command, Kept, Room, Source, Stage, Wish, file_of, step_words, truth},
        settings::Practised,
    },
    circuit::{DamageZone, quick_feed},
    notebook::{Job, training::write_trainee},
    practice::{Done, Drill, Level, Move, Record},
    quantity::units::volts,
};

fn room() -> Room {
    Room::start(None, &Practised::default(), Arc::new(|| ())).expect("a thread")
}

fn send(room: &mut Room, command: Command) {
    room.send(command);
    room.settle();
}

fn started(wish: Wish) -> Room {
    let mut room = room();
    send(&mut room, Command::Wish(wish));
    send(&mut room, Command::Start);
    assert_eq!(
        room.state().stage,
        Stage::Vehicle,
        "{:?}",
        room.state().trouble
    );
    room
}

fn wish() -> Wish {
    Wish {
        seed: "7".to_owned(),
        ..Wish::default()
    }
}

#[test]
fn what_is_called_off_leaves_no_trace() {
    let mut room = started(wish());
    room.send(Command::Do(Move::Hint));
    assert!(room.state().pending.is_some());
    // A second wish while the first is worked on is not taken.
    room.send(Command::Do(Move::Key));
    send(&mut room, Command::CallOff);
    let steps = |room: &Room| room.state().go.as_ref().map(|go| go.session.steps().len());
    assert_eq!(steps(&room), Some(0));
    send(&mut room, Command::Do(Move::Key));
    assert_eq!(steps(&room), Some(1));
    // Giving up looks back at once; called off, it can be looked back on later.
    room.send(Command::Do(Move::GiveUp));
    while room
        .state()
        .pending
        .as_ref()
        .is_none_or(|pending| pending.what != "Looking back")
    {
        room.poll();
        std::thread::yield_now();
    }
    send(&mut room, Command::CallOff);
    assert!(room.state().back.is_none() && room.state().stage == Stage::Vehicle);
    send(&mut room, Command::LookBack);
    let back = room.state().back.as_ref().expect("it is looked back on");
    assert_eq!((back.kept.clone(), back.done.score), (Kept::NoName, 0));
    let hidden = truth(&back.session);
    assert_eq!(hidden.len(), 1);
    assert!(
        hidden[0].contains(&back.session.exercise().hidden[0].site.part),
        "{hidden:?}"
    );
    let go = room
        .state()
        .go
        .as_ref()
        .expect("the vehicle is still there");
    let last = go.session.steps().last().expect("it was given up");
    assert_eq!(step_words(&go.session, last).0, "given up");
}

#[test]
fn the_same_vehicle_comes_again() {
    let mut room = started(wish());
    let exercise = |room: &Room| {
        let go = room.state().go.as_ref();
        go.map(|go| go.session.exercise().clone())
    };
    let first = exercise(&room);
    send(&mut room, Command::Do(Move::Key));
    send(&mut room, Command::Again);
    assert_eq!(exercise(&room), first);
    assert_eq!(first, Some(Drill::SplitHalf.exercise(Level::First, 7)));
    send(
        &mut room,
        Command::Wish(Wish {
            seed: String::new(),
            ..wish()
        }),
    );
    send(&mut room, Command::Start);
    assert!(room.state().go.is_some() && room.state().trouble.is_none());
}

#[test]
fn a_job_is_drilled_without_what_tells_whose_it_was() {
    let mut job = Job {
        title: "Order 4471".to_owned(),
        vehicle: "Corran Tender 2.2, Mrs Quill".to_owned(),
        circuit: quick_feed(volts(5.0), 3, true, false),
        ..Job::default()
    };
    job.circuit.damage_zones.push(DamageZone {
        note: "hit by Mr Lund".to_owned(),
        parts: vec![job.circuit.wires[0].id.clone()],
        factor: 4.0,
    });
    let mut room = room();
    send(
        &mut room,
        Command::Use(Source::Job("it".to_owned(), Arc::new(job))),
    );
    send(
        &mut room,
        Command::Wish(Wish {
            drill: Drill::UnequalOdds,
            ..wish()
        }),
    );
    send(&mut room, Command::Start);
    let go = room.state().go.as_ref().expect("it can be drilled");
    let text = format!("{:?} {:?}", go.session.exercise(), go.bench.job);
    for private in ["4471", "Corran", "Quill", "Lund"] {
        assert!(!text.contains(private), "{private}");
    }
    assert!((go.session.exercise().circuit.damage_zones[0].factor - 4.0).abs() < 1e-12);
}

#[test]
fn a_folder_of_records_is_a_group_in_which_one_may_be_damaged() {
    let folder = tempfile::tempdir().expect("a folder");
    let done: Done = ron::from_str(
        r#"(drill: Some(two_faults), level: Some(hard), title: "Two", seed: 7, minutes: 24.6, par_minutes: 19.0, tests: 4,
            hints: 1, in_vain: 0, found: true, proven: true, score: 73)"#,
    )
    .expect("a line of a record");
    for name in ["Berta Lund", "ada Brandt"] {
        let record = Record {
            name: name.to_owned(),
            done: vec![done.clone()],
        };
        write_trainee(&folder.path().join(file_of(name)), &record).expect("can be written");
    }
    let write = |file: &str, text: &str| {
        std::fs::write(folder.path().join(file), text).expect("can be written");
    };
    write(
        "damaged.ron",
        "(format: \"pinchpoint trainee\", version: 2, body: (name: 4))",
    );
    write("job.ron", "(format: \"pinchpoint\", version: 1, body: ())");
    let mut room = room();
    send(
        &mut room,
        Command::Folder(folder.path().display().to_string()),
    );
    let names: Vec<Result<&str, bool>> = (room.state().trainees.iter())
        .map(|trainee| match &trainee.record {
            Ok(record) => Ok(record.name.as_str()),
            Err(what) => Err(what.contains("damaged.ron")),
        })
        .collect();
    assert_eq!(names, [Err(true), Ok("ada Brandt"), Ok("Berta Lund")]);
    let to = folder.path().join("group.csv");
    send(&mut room, Command::Page { to, all: true });
    let trouble = room.state().trouble.clone().expect("no such form");
    assert!(trouble.what.contains(".html or .pdf"), "{trouble:?}");
    let to = folder.path().join("group.html");
    send(
        &mut room,
        Command::Page {
            to: to.clone(),
            all: true,
        },
    );
    let page = std::fs::read_to_string(to).expect("it is written");
    for words in [
        "ada Brandt",
        "Berta Lund",
        "two-faults",
        "73",
        "Cannot be read: damaged.ron",
    ] {
        assert!(page.contains(words), "{words}");
    }
}
