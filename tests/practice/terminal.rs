//! A scripted session in the terminal, and the files of practice.

use pinchpoint::{
    cli::practice::{Practice, Trouble, practise},
    notebook::training::{read_exercise, read_trainee, write_exercise, write_trainee},
    practice::{Drill, Level, Record},
};

fn played(practice: &Practice, script: &str) -> (bool, String) {
    let mut out = Vec::new();
    match practise(practice, 1, &mut script.as_bytes(), &mut out) {
        Ok(found) => (found, String::from_utf8(out).expect("text")),
        Err(Trouble::Told(what)) => panic!("{what}"),
        Err(Trouble::Io(error)) => panic!("{error}"),
    }
}

fn drill(drill: Drill) -> Practice {
    Practice {
        drill: Some(drill),
        seed: Some(7),
        ..Practice::default()
    }
}

#[test]
fn drills_are_listed() {
    let (_, text) = played(&Practice::default(), "");
    for drill in Drill::ALL {
        assert!(
            text.contains(drill.key()) && text.contains(drill.name()),
            "{text}"
        );
    }
}

#[test]
fn a_script_finds_the_fault() {
    let exercise = Drill::AccessMinutes.exercise(Level::First, 7);
    let part = &exercise.hidden[0].site.part;
    let folder = tempfile::tempdir().expect("a folder");
    let practice = Practice {
        trainee: Some(folder.path().join("trainee.ron")),
        ..drill(Drill::AccessMinutes)
    };
    let script = format!(
        "# a comment\nvolts M1.feed\nunplug C1\nunplug C1\nplug C1\nhint\nnonsense\nvolts M1.feed to\nclamp M1.feed\nopen {part}\n\
         volts M1.feed\nlog\nclock\nhelp\ndone\nvolts M1.feed\n"
    );
    let (found, text) = played(&practice, &script);
    assert!(found, "{text}");
    for words in [
        "C1 is unplugged already",
        "everything is plugged",
        "“nonsense” is no command",
        "say where",
        "there it is; repaired",
        "handed over, and proven",
        "Looking back",
        "Score:",
    ] {
        assert!(text.contains(words), "“{words}” in\n{text}");
    }
    assert!(text.contains(" mA\n") || text.contains(" A\n"), "{text}");
    // The same typed again gives the same, but for the record that grows.
    let (_, again) = played(&drill(Drill::AccessMinutes), &script);
    assert!(text.starts_with(&again), "{again}");
    played(&practice, &script);
    let record = read_trainee(&folder.path().join("trainee.ron")).expect("a record");
    assert_eq!(record.done.len(), 2);
    assert!(record.done[0].found && record.done[0].proven);
}

#[test]
fn points_are_named_as_on_the_bench_and_an_error_names_some() {
    let exercise = Drill::AccessMinutes.exercise(Level::First, 7);
    let circuit = &exercise.circuit;
    let (connector, load) = (&circuit.connectors[0].id, &circuit.loads[0]);
    assert_ne!(load.feed.part, load.id, "it hangs at a plug");
    let small = connector.to_lowercase();
    // As a part, with a blank, in small letters, and by the sensor's own name.
    let named = [
        format!("volts {}.feed", load.id),
        format!("volts {}", load.id),
        format!("volts {small}"),
        format!("volts {small} 1"),
        format!("volts {small} 1 to battery negative"),
    ];
    let script = format!(
        "{}\nunplug {small}\nvolts {connector}.7n\nvolts Q9\nvolts M\nload M\n",
        named.join("\n")
    );
    let (_, text) = played(&drill(Drill::AccessMinutes), &script);
    assert!(text.contains("5 readings"), "{text}");
    assert!(
        text.contains(&format!("unplugged now: {connector}")),
        "{text}"
    );
    let instead = format!("there is no point “{connector}.7n”; {connector} has {connector}.1n, ");
    assert!(text.contains(&instead), "{text}");
    assert!(
        text.contains("there is no point “Q9”; this sketch has M1.feed"),
        "{text}"
    );
    // What was read is told with its point, and a beginning that several names share is none.
    assert!(text.contains(&format!("{}: ", load.feed.shown())), "{text}");
    assert!(text.contains("there is no point “M”; M1.feed, "), "{text}");
    // The steps of the advice say how things stood.
    assert!(text.contains(", with all plugged ("), "{text}");
}

#[test]
fn nothing_typed_or_in_a_file_steers_the_terminal() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut exercise = Drill::SplitHalf.exercise(Level::First, 7);
    exercise.title = "\u{1b}[31m\u{202e}title".to_owned();
    let file = folder.path().join("exercise.ron");
    write_exercise(&file, &exercise).expect("written");
    let practice = Practice {
        exercise: Some(file),
        ..Practice::default()
    };
    let (_, text) = played(
        &practice,
        "volts \u{1b}]0;x\u{7}\nopen \u{202e}W1\n\u{9b}2J\n",
    );
    let steers = |sign: char| sign != '\n' && (sign.is_control() || sign == '\u{202e}');
    assert!(!text.contains(steers), "{text:?}");
    assert!(text.contains("\\u{1b}[31m"), "{text}");
}

#[test]
fn a_session_that_breaks_off_is_looked_back_on_and_leaves_no_record() {
    let folder = tempfile::tempdir().expect("a folder");
    let practice = Practice {
        trainee: Some(folder.path().join("trainee.ron")),
        ..drill(Drill::SplitHalf)
    };
    for script in ["volts M1.feed\n", "volts M1.feed\nquit\nvolts M1.feed\n"] {
        let (found, text) = played(&practice, script);
        assert!(!found && text.contains("Looking back"), "{text}");
        assert!(text.contains("no score"), "{text}");
        assert!(
            text.contains("1 reading, 0 hints"),
            "what follows “quit” is not read: {text}"
        );
        assert!(!folder.path().join("trainee.ron").exists());
    }
    let (_, text) = played(&practice, "");
    assert!(text.contains("Nothing was done"), "{text}");
    let (_, text) = played(&practice, "give up\n");
    assert!(
        text.contains("given up") && text.contains("Score: 0 of 100"),
        "{text}"
    );
    let record = read_trainee(&folder.path().join("trainee.ron")).expect("a record");
    assert!(record.done[0].given_up && record.done[0].score == 0);
}

/// A script during which something happens to the disk.
struct Meanwhile<'a> {
    script: &'a [u8],
    happens: Option<Box<dyn FnOnce() + 'a>>,
}

impl std::io::Read for Meanwhile<'_> {
    fn read(&mut self, into: &mut [u8]) -> std::io::Result<usize> {
        if let Some(happens) = self.happens.take() {
            happens();
        }
        self.script.read(into)
    }
}

#[test]
fn a_record_that_cannot_be_kept_is_refused_before_the_drill() {
    let folder = tempfile::tempdir().expect("a folder");
    let foreign = folder.path().join("job.ron");
    std::fs::write(&foreign, "(format: \"pinchpoint\", version: 1, body: ())").expect("written");
    let nowhere = folder.path().join("none").join("trainee.ron");
    for path in [&foreign, &nowhere, &folder.path().to_path_buf()] {
        let practice = Practice {
            trainee: Some(path.clone()),
            ..drill(Drill::SplitHalf)
        };
        let mut out = Vec::new();
        let ended = practise(&practice, 1, &mut "give up\n".as_bytes(), &mut out);
        assert!(matches!(ended, Err(Trouble::Told(_))), "{}", path.display());
        assert!(out.is_empty(), "nothing was begun: {}", path.display());
    }
    let left = std::fs::read_dir(folder.path()).expect("a folder").count();
    assert_eq!(left, 1, "nothing is left of trying");
}

#[test]
fn a_result_that_cannot_be_written_is_told_whole() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("trainee.ron");
    let practice = Practice {
        trainee: Some(path.clone()),
        ..drill(Drill::SplitHalf)
    };
    let script = Meanwhile {
        script: b"volts C2.1n\ngive up\n",
        happens: Some(Box::new(|| {
            std::fs::write(&path, "(format: \"pinchpoint\", version: 1, body: ())")
                .expect("written");
        })),
    };
    let mut out = Vec::new();
    let ended = practise(&practice, 1, &mut std::io::BufReader::new(script), &mut out);
    assert!(matches!(ended, Err(Trouble::Told(_))));
    let text = String::from_utf8(out).expect("text");
    assert!(text.contains("This could not be kept: A trainee"), "{text}");
    assert!(text.contains("given up after 2.5 min"), "{text}");
}

#[test]
fn a_slip_of_the_keyboard_does_not_end_the_session() {
    let mut out = Vec::new();
    let mut script: &[u8] = b"volts \xff\xfe\nopen C1.99\nopen W1.1\nopen C9.1\nclock\n";
    let ended = practise(&drill(Drill::SplitHalf), 1, &mut script, &mut out);
    assert!(matches!(ended, Ok(false)));
    let text = String::from_utf8(out).expect("text");
    for words in [
        "C1 has no pin 99; its only pin is C1.1",
        "W1 has no pin 1; name W1 alone",
        "C9 is not on this sketch",
        "0 min",
    ] {
        assert!(text.contains(words), "“{words}” in\n{text}");
    }
}

#[test]
fn a_record_of_an_older_version_goes_on_in_this_one() {
    let old = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/golden/trainee-1.ron");
    let record = read_trainee(old.as_ref()).expect("version 1 stays readable");
    assert_eq!(record.name, "A. Trainee");
    assert_eq!(record.done[0].drill, Some(Drill::SplitHalf));
    assert_eq!((record.done[0].score, record.done[1].in_vain), (73, 3));
    assert!(record.done.iter().all(|done| !done.given_up));
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("trainee.ron");
    std::fs::copy(old, &path).expect("can be copied");
    write_trainee(&path, &record).expect("is written in this version");
    let text = std::fs::read_to_string(&path).expect("can be read");
    assert!(text.contains("version: 2"), "{text}");
    assert_eq!(read_trainee(&path).expect("can be read"), record);
    std::fs::write(&path, text.replace("version: 2", "version: 3")).expect("can be written");
    let said = read_trainee(&path).expect_err("newer").to_string();
    assert!(
        said.contains("version 3") && said.contains("1 to 2"),
        "{said}"
    );
}

#[test]
fn exercises_are_files() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("exercise.ron");
    for drill in Drill::ALL {
        let exercise = drill.exercise(Level::Hard, 5);
        write_exercise(&path, &exercise).expect("can be written");
        assert_eq!(read_exercise(&path).expect("can be read"), exercise);
    }
    let practice = Practice {
        exercise: Some(path),
        ..Practice::default()
    };
    let (_, text) = played(&practice, "clock\n");
    assert!(text.contains("One reading is wrong"), "{text}");
}

#[test]
fn bad_files_are_named_with_their_place() {
    let folder = tempfile::tempdir().expect("a folder");
    let said = |text: &str| {
        let path = folder.path().join("x.ron");
        std::fs::write(&path, text).expect("can be written");
        read_exercise(&path).expect_err(text).to_string()
    };
    let empty = said(" \n");
    assert!(
        empty.contains("x.ron") && empty.contains("empty") && empty.contains("an exercise"),
        "{empty}"
    );
    let other = said("(format: \"pinchpoint\", version: 1, body: ())");
    assert!(other.contains("of the format “pinchpoint”"), "{other}");
    let newer = said("(format: \"pinchpoint exercise\", version: 9, body: ())");
    assert!(newer.contains("version 9"), "{newer}");
    let missing = said("(format: \"pinchpoint exercise\", version: 1, body: (title: \"x\"))");
    assert!(missing.contains("x.ron:1:"), "{missing}");
    // A job's file is not overwritten by a record.
    let path = folder.path().join("job.ron");
    std::fs::write(&path, "(format: \"pinchpoint\", version: 1, body: ())")
        .expect("can be written");
    assert!(write_trainee(&path, &Record::default()).is_err());
    let left = std::fs::read_to_string(&path).expect("can be read");
    assert!(left.contains("\"pinchpoint\""));
}

/// What the window says of a way of measuring, and of what could hurt somebody near the sketch, is said here too.
#[test]
fn cautions_are_given_where_they_apply() {
    let (_, text) = played(
        &drill(Drill::AccessMinutes),
        "lamp M1.feed\nlamp M1.feed\nohms M1.feed\nquit\n",
    );
    let lamp = "a plain lamp never goes on a reference or data line";
    assert_eq!(text.matches(lamp).count(), 1, "{text}");
    assert!(text.contains("the supply is switched off first"), "{text}");
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("near-the-tank.ron");
    let mut exercise = Drill::AccessMinutes.exercise(Level::First, 7);
    exercise.circuit.connectors[0].place = "on top of the fuel tank".to_owned();
    write_exercise(&file, &exercise).expect("written");
    let practice = Practice {
        exercise: Some(file),
        ..Practice::default()
    };
    let (_, text) = played(&practice, "quit\n");
    let begun = |text: &str| {
        text.split("Commands:")
            .next()
            .unwrap_or_default()
            .to_owned()
    };
    assert!(begun(&text).contains("Fuel vapour: ventilate"), "{text}");
    let (_, text) = played(&drill(Drill::SplitHalf), "quit\n");
    assert!(!begun(&text).contains("Fuel vapour"), "{text}");
}
