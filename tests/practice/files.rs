//! Files of practice that are none: what would never end, leads elsewhere, is far too large, or came over only in part.

use std::{fs, path::PathBuf, process::Command as Run, sync::Arc};

use pinchpoint::{
    app::{
        practice::{Command, Room},
        settings::Practised,
    },
    notebook::training::{
        Held, held, read_exercise, read_session, read_trainee, write_exercise, write_session,
        write_trainee,
    },
    practice::{Drill, Hidden, Level, Move, Record, Session, Unfinished},
};

#[test]
fn what_would_never_end_or_is_far_too_large_is_refused_before_it_is_read() {
    let folder = tempfile::tempdir().expect("a folder");
    let (pipe, sparse) = (
        folder.path().join("pipe.ron"),
        folder.path().join("huge.ron"),
    );
    let made = Run::new("mkfifo").arg(&pipe).status().expect("mkfifo");
    assert!(made.success());
    // Four gigabytes that take no room.
    let file = fs::File::create(&sparse).expect("made");
    file.set_len(4 << 30).expect("sparse");
    for (path, word) in [
        (pipe, "no plain file"),
        (PathBuf::from("/dev/zero"), "no plain file"),
        (sparse, "larger than 8 MB"),
        (folder.path().to_path_buf(), "a folder"),
    ] {
        assert_eq!(held(&path), None, "{word}");
        let errors = [
            read_exercise(&path).expect_err(word),
            read_trainee(&path).expect_err(word),
            read_session(&path).expect_err(word),
        ];
        for error in errors {
            assert!(error.what.contains(word), "{error}");
        }
    }
}

#[test]
fn a_folder_of_records_is_read_past_everything_else_in_it() {
    let folder = tempfile::tempdir().expect("a folder");
    let at = |name: &str| folder.path().join(name);
    for name in ["Ada Brandt", "Tom Ferris"] {
        let record = Record {
            name: name.to_owned(),
            done: Vec::new(),
        };
        write_trainee(&at(&format!("{name}.ron")), &record).expect("written");
    }
    // Only half of it has come over from another machine.
    let whole = fs::read(at("Tom Ferris.ron")).expect("there");
    fs::write(at("Tom Ferris.ron"), &whole[..whole.len() / 2]).expect("written");
    fs::write(at("bytes.ron"), [0xff, 0xfe, 0x00, 0x80]).expect("written");
    fs::write(at("empty.ron"), "").expect("written");
    write_exercise(
        &at("exercise.ron"),
        &Drill::SplitHalf.exercise(Level::First, 1),
    )
    .expect("written");
    fs::create_dir(at("folder.ron")).expect("a folder");
    let made = Run::new("mkfifo")
        .arg(at("pipe.ron"))
        .status()
        .expect("mkfifo");
    assert!(made.success());
    let mut room = Room::start(None, &Practised::default(), Arc::new(|| ())).expect("a thread");
    room.send(Command::Folder(folder.path().display().to_string()));
    room.settle();
    let trainees = &room.state().trainees;
    let read: Vec<(String, bool)> = (trainees.iter())
        .map(|trainee| {
            let name = trainee
                .path
                .file_name()
                .unwrap_or_default()
                .to_string_lossy();
            (name.into_owned(), trainee.record.is_ok())
        })
        .collect();
    // What is half there is listed with the reason, not passed over.
    assert_eq!(
        read,
        [
            ("Tom Ferris.ron".to_owned(), false),
            ("Ada Brandt.ron".to_owned(), true)
        ]
    );
    assert_eq!(held(&at("exercise.ron")), Some(Held::Exercise));
}

#[test]
fn a_name_of_a_megabyte_is_kept_and_its_file_has_a_short_name() {
    let folder = tempfile::tempdir().expect("a folder");
    let name = "Ada ".repeat(250_000);
    let file = pinchpoint::app::practice::file_of(&format!("../../{name}"));
    let stem = file.strip_suffix(".ron").expect("the ending");
    assert!(
        stem.len() < 80 && !stem.contains(['/', '.', '\\']),
        "{file}"
    );
    let path = folder.path().join(&file);
    let record = Record {
        name: name.clone(),
        done: Vec::new(),
    };
    write_trainee(&path, &record).expect("written");
    assert_eq!(read_trainee(&path).expect("read").name, name);
}

#[test]
fn the_format_page_says_what_is_written() {
    let page = include_str!("../../assets/formats/practice-files.md");
    let hidden = "(site: (part: \"W3\"), kind: short_to_ground, at: 0.5, size: 12.0)";
    assert!(page.contains(hidden));
    assert!(ron::from_str::<Hidden>(hidden).is_ok());
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("file.ron");
    let exercise = Drill::SplitHalf.exercise(Level::First, 1);
    let mut session = Session::start(exercise.clone()).expect("starts");
    session.make(Move::Key).expect("can be done");
    let aim = Some((Drill::SplitHalf, Level::First));
    write_exercise(&file, &exercise).expect("written");
    let mut written = vec![fs::read_to_string(&file).expect("there")];
    write_session(&file, &Unfinished::of(&session, aim, 1, "Ada")).expect("written");
    written.push(fs::read_to_string(&file).expect("there"));
    for text in written {
        let head: String = text.split(',').take(2).collect::<Vec<_>>().join(",");
        let head: String = head.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(page.contains(&head.replace("( ", "(")), "{head}");
        // Every field of the body is named on the page.
        for line in text
            .lines()
            .filter(|line| line.starts_with("        ") && !line.starts_with("         "))
        {
            let field = line.trim().split(':').next().unwrap_or_default();
            assert!(
                field.contains([')', ']']) || page.contains(field),
                "{field}"
            );
        }
    }
}
