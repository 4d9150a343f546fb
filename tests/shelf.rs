//! The notebook: a folder of jobs, found again by any word, learnt from, and packed. An own format and an own search
//! have no reference; that a slip of the pen must not hide a job is common practice, no source.

#[path = "support/full.rs"]
mod full;

use std::{fs, path::Path};

use full::full_job;
use pinchpoint::{
    notebook::{
        Cause, Job, Shelf,
        archive::plain_name,
        attach::{attach, path_of, read_attachment},
        away::put_away_or_back,
        record::{Attachment, Work},
        shelf::CARDS_FILE,
        write_job,
    },
    quantity::units::{as_minutes, minutes},
    reading::{Entry, Reading, Repair},
};

fn job(title: &str, vehicle: &str) -> Job {
    Job {
        title: title.to_owned(),
        vehicle: vehicle.to_owned(),
        ..full_job()
    }
}

fn paths(shelf: &Shelf, question: &str) -> Vec<String> {
    let found = shelf.search(question).expect("a question");
    found.into_iter().map(|card| card.path.clone()).collect()
}

/// A notebook of three jobs, one of them in a folder of its own.
fn notebook(folder: &Path) {
    fs::create_dir(folder.join("2031")).expect("made");
    let mut plain = job("Crane boom dead", "Merrow Lift 40");
    plain.record = Default::default();
    plain.log.clear();
    plain.notes.clear();
    plain.now = Default::default();
    write_job(
        &folder.join("2031/a.ron"),
        &job("Ride-height feed low", "Corran Tender 2.2"),
    )
    .expect("saved");
    write_job(&folder.join("b.ron"), &plain).expect("saved");
    write_job(
        &folder.join("c.ron"),
        &job("Suspension cannot level", "Corran Tender 2.2"),
    )
    .expect("saved");
}

#[test]
fn jobs_are_found_by_any_word_in_any_field_and_in_spite_of_slips() {
    let folder = tempfile::tempdir().expect("a folder");
    notebook(folder.path());
    let shelf = Shelf::open(folder.path()).expect("read");
    assert!(shelf.unreadable.is_empty());
    for (question, found) in [
        ("", &["2031/a.ron", "b.ron", "c.ron"][..]),
        ("crane", &["b.ron"]),
        ("CRANE boom", &["b.ron"]),
        ("crnae", &["b.ron"]),
        ("supsension", &["c.ron"]),
        ("suspens tender", &["c.ron"]),
        ("tender", &["2031/a.ron", "c.ron"]),
        ("vehicle:tender cannot", &["c.ron"]),
        ("vehicle:cannot", &[]),
        ("code:C1A22", &["2031/a.ron", "c.ron"]),
        ("code:C1A23", &[]),
        ("colour:BNRD crane", &["b.ron"]),
        ("number:417 is:signed cannot", &["c.ron"]),
        ("is:signed crane", &[]),
        ("is:repaired", &["2031/a.ron", "c.ron"]),
        ("part:sill vehicle:merrow", &["b.ron"]),
        ("HL 4471 low", &["2031/a.ron", "c.ron"]),
        ("nothing-like-it", &[]),
    ] {
        assert_eq!(paths(&shelf, question), found, "{question}");
    }
    // Who finds by a near word is told by which; who finds by the word itself, or a part of it, is not.
    let note = |question: &str| shelf.find(question).expect("a question")[0].note();
    assert_eq!(
        note("supsension tender"),
        Some("found by “suspension”".to_owned())
    );
    assert_eq!(note("suspens tender"), None);
    let error = shelf.search("is:lost").expect_err("no such filter");
    assert!(error.to_string().contains("is:repaired"), "{error}");
}

#[test]
fn every_field_of_a_record_is_searched() {
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("a.ron");
    write_job(&file, &job("Ride-height feed low", "Corran Tender 2.2")).expect("saved");
    let shelf = Shelf::open(folder.path()).expect("read");
    // Words of the fixture's record, each of which stands in one field only.
    for (word, field) in [
        ("chassis", "module"),
        ("calibration", "kind of follow-up work"),
        ("edition", "source"),
        ("sensor", "what a source says"),
        ("raise", "functional check"),
        ("level", "what was seen at it"),
        ("chafe", "name of a photo"),
        ("customer", "note of the sign-off"),
        ("mileage", "addition"),
    ] {
        assert_eq!(paths(&shelf, word), ["a.ron"], "{field}");
    }
    assert_eq!(shelf.cards[0].day, Some((2031, 4, 2)));
}

#[test]
fn a_job_that_is_put_away_leaves_the_list_and_is_found_and_comes_back() {
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("a.ron");
    let photo = folder.path().join("chafe.jpg");
    fs::write(&photo, b"photo").expect("written");
    let mut first = job("Ride-height feed low", "Corran Tender 2.2");
    first.record.attachments = vec![attach(&file, &photo, "").expect("attached")];
    write_job(&file, &Job::default()).expect("saved");
    write_job(&file, &first).expect("saved again");
    let listed = |question: &str| paths(&Shelf::open(folder.path()).expect("read"), question);
    let photo = &first.record.attachments[0];
    let away = put_away_or_back(folder.path(), "a.ron").expect("moved");
    assert_eq!(away, folder.path().join("put-away/a.ron"));
    assert!(listed("").is_empty() && listed("ride").is_empty());
    assert_eq!(listed("is:away ride"), ["put-away/a.ron"]);
    assert_eq!(read_attachment(&away, photo).expect("came along"), b"photo");
    assert!(folder.path().join("put-away/a.bak.ron").exists());
    assert_eq!(
        Shelf::open(folder.path())
            .expect("read")
            .learnt("Corran Tender 2.2")
            .jobs,
        1
    );
    // Another one has its name meanwhile.
    write_job(&file, &Job::default()).expect("saved");
    let back = put_away_or_back(folder.path(), "put-away/a.ron").expect("moved");
    assert_eq!(back, folder.path().join("a-2.ron"));
    assert_eq!(listed("ride"), ["a-2.ron"]);
    assert!(read_attachment(&back, photo).is_ok());
    assert!(put_away_or_back(folder.path(), "b.ron").is_err());
}

#[test]
fn only_plain_job_files_of_the_folder_are_read() {
    let outside = tempfile::tempdir().expect("a folder");
    write_job(&outside.path().join("secret.ron"), &full_job()).expect("saved");
    let folder = tempfile::tempdir().expect("a folder");
    notebook(folder.path());
    // Saving twice leaves an earlier save beside it, which is no job of its own.
    write_job(
        &folder.path().join("b.ron"),
        &job("Crane boom lives", "Merrow Lift 40"),
    )
    .expect("saved");
    fs::write(
        folder.path().join("torn.ron"),
        "(format: \"pinchpoint\", vers",
    )
    .expect("written");
    fs::write(folder.path().join("notes.txt"), "no job").expect("written");
    fs::write(folder.path().join(".hidden.ron"), "no job").expect("written");
    #[cfg(unix)]
    {
        use std::os::unix::fs::symlink;
        symlink(
            outside.path().join("secret.ron"),
            folder.path().join("link.ron"),
        )
        .expect("linked");
        symlink(folder.path(), folder.path().join("ring")).expect("linked");
        symlink(outside.path(), folder.path().join("out")).expect("linked");
        let made = std::process::Command::new("mkfifo")
            .arg(folder.path().join("pipe.ron"))
            .status();
        assert!(made.expect("mkfifo").success());
    }
    // Four gigabytes that take no room.
    let sparse = fs::File::create(folder.path().join("huge.ron")).expect("made");
    sparse.set_len(4 << 30).expect("sparse");
    let shelf = Shelf::open(folder.path()).expect("read");
    let found: Vec<&str> = shelf.cards.iter().map(|card| card.path.as_str()).collect();
    assert_eq!(found, ["2031/a.ron", "b.ron", "c.ron"]);
    let unreadable: Vec<&str> = shelf
        .unreadable
        .iter()
        .map(|file| file.path.as_str())
        .collect();
    // Nothing that could be a job is passed over in silence.
    let not_read = [
        "huge.ron", "link.ron", "out", "pipe.ron", "ring", "torn.ron",
    ];
    assert_eq!(unreadable, not_read);
    assert!(Shelf::open(&folder.path().join("none")).is_err());
}

#[test]
fn what_is_remembered_gives_way_to_what_the_files_say() {
    let folder = tempfile::tempdir().expect("a folder");
    notebook(folder.path());
    let first = Shelf::open(folder.path()).expect("read");
    let cards = folder.path().join(CARDS_FILE);
    assert!(cards.exists());
    assert_eq!(Shelf::open(folder.path()).expect("read").cards, first.cards);
    write_job(
        &folder.path().join("b.ron"),
        &job("Winch creeps", "Merrow Lift 40"),
    )
    .expect("saved");
    fs::remove_file(folder.path().join("c.ron")).expect("removed");
    let second = Shelf::open(folder.path()).expect("read");
    assert_eq!(paths(&second, "winch"), ["b.ron"]);
    assert_eq!(paths(&second, ""), ["2031/a.ron", "b.ron"]);
    for rubbish in ["", "{}", "[1", "{\"shape\":9,\"cards\":[]}"] {
        fs::write(&cards, rubbish).expect("written");
        assert_eq!(
            Shelf::open(folder.path()).expect("read").cards,
            second.cards,
            "{rubbish}"
        );
    }
}

#[test]
fn a_change_is_seen_whatever_the_clock_says() {
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("a.ron");
    let at = |seconds: i64| {
        let moment = std::time::Duration::from_secs(seconds.unsigned_abs());
        let time = if seconds < 0 {
            std::time::UNIX_EPOCH - moment
        } else {
            std::time::UNIX_EPOCH + moment
        };
        let opened = fs::File::options().write(true).open(&file).expect("there");
        opened.set_modified(time).expect("set");
    };
    // Before 1970, at its beginning, and in 2100; the two titles are of the same length.
    for seconds in [-86_400, 0, 4_102_444_800] {
        for title in ["winch", "crane"] {
            write_job(&file, &job(title, "Merrow Lift 40")).expect("saved");
            at(seconds);
            let shelf = Shelf::open(folder.path()).expect("read");
            assert_eq!(paths(&shelf, title), ["a.ron"], "{title} at {seconds}");
        }
    }
}

#[test]
fn reading_a_folder_can_be_stopped_and_goes_on_where_it_was() {
    let folder = tempfile::tempdir().expect("a folder");
    notebook(folder.path());
    let mut seen = Vec::new();
    let mut once = |done: usize, all: usize| {
        seen.push((done, all));
        done < 2
    };
    assert!(
        Shelf::open_while(folder.path(), &mut once)
            .expect("read")
            .is_none()
    );
    assert_eq!(seen, [(0, 3), (1, 3), (2, 3)]);
    assert!(folder.path().join(CARDS_FILE).exists());
    assert_eq!(
        paths(&Shelf::open(folder.path()).expect("read"), "").len(),
        3
    );
}

#[test]
fn past_jobs_teach_minutes_and_volts_with_how_many_they_come_from() {
    let folder = tempfile::tempdir().expect("a folder");
    for (name, took, volts) in [("a", 6.0, 8.90), ("b", 10.0, 8.94), ("c", 20.0, 8.98)] {
        let mut job = job("Ride height", "Corran  TENDER 2.2");
        job.record.work = vec![Work {
            took: minutes(took),
            ..job.record.work[0].clone()
        }];
        let at = || "M1.feed".parse().expect("a point");
        job.log = vec![
            Entry::Reading(Reading::volts(at(), 0.6)),
            Entry::Repair(Repair {
                part: "W1".into(),
                replaced: false,
                note: String::new(),
            }),
            Entry::Reading(Reading::volts(at(), volts)),
        ];
        write_job(&folder.path().join(format!("{name}.ron")), &job).expect("saved");
    }
    let mut unsigned = job("Ride height", "Corran Tender 2.2");
    unsigned.record.sign_off = Default::default();
    unsigned.record.work.clear();
    write_job(&folder.path().join("d.ron"), &unsigned).expect("saved");
    let shelf = Shelf::open(folder.path()).expect("read");
    let learnt = shelf.learnt("corran tender 2.2");
    assert_eq!(learnt.jobs, 4);
    let known = &learnt.minutes[0];
    assert_eq!(
        (known.connector.as_str(), known.minutes, known.jobs),
        ("C2", 10.0, 3)
    );
    let known = &learnt.volts[0];
    assert_eq!((known.point.as_str(), known.jobs), ("M1.feed", 3));
    assert_eq!(known.volts, (8.90, 8.94, 8.98));
    assert_eq!(shelf.learnt("").jobs, 0);
    assert_eq!(shelf.learnt("Corran Tender 2.3").jobs, 0);

    let mut begun = full_job().begin_from();
    begun.circuit.connectors[0].id = "C2".into();
    assert_eq!(learnt.teach(&mut begun.circuit), 1);
    assert_eq!(as_minutes(begun.circuit.connectors[0].access), 10.0);
    assert!(begun.log.is_empty() && begun.record.is_empty() && begun.now.is_usual());
    assert!(begun.circuit.damage_zones.is_empty() && begun.title.is_empty());
    assert_eq!(begun.vehicle, full_job().vehicle);
}

#[test]
fn attachments_are_kept_by_content_and_checked_when_read() {
    let folder = tempfile::tempdir().expect("a folder");
    let job_file = folder.path().join("job.ron");
    let photo = folder.path().join("chafe.JPG");
    fs::write(&photo, b"not really a photo").expect("written");
    let kept = attach(&job_file, &photo, "W7").expect("attached");
    assert_eq!(kept.bytes, 18);
    // FIPS 180-4 example for "abc" (memory).
    let abc = folder.path().join("abc.txt");
    fs::write(&abc, b"abc").expect("written");
    assert_eq!(
        attach(&job_file, &abc, "").expect("attached").sha256,
        "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
    );
    assert_eq!(attach(&job_file, &photo, "W7").expect("again"), kept);
    assert_eq!(
        read_attachment(&job_file, &kept).expect("read"),
        b"not really a photo"
    );
    let path = path_of(&job_file, &kept).expect("a path");
    assert!(path.starts_with(folder.path().join("attachments")));
    fs::write(&path, b"another photo").expect("written");
    assert_eq!(
        read_attachment(&job_file, &kept)
            .expect_err("changed")
            .cause,
        Cause::Checksum
    );
    fs::remove_file(&path).expect("removed");
    #[cfg(unix)]
    {
        std::os::unix::fs::symlink(&photo, &path).expect("linked");
        let error = read_attachment(&job_file, &kept).expect_err("a link");
        assert!(error.what.contains("no plain file"), "{error}");
    }
}

#[test]
fn names_and_hashes_cannot_lead_out_of_the_folder() {
    let job_file = Path::new("jobs/job.ron");
    for (hash, name) in [
        ("../../etc/passwd", "x.jpg"),
        ("C:\\x", "x.jpg"),
        ("", "x.jpg"),
        (
            "BA7816BF8F01CFEA414140DE5DAE2223B00361A396177A9CB410FF61F20015AD",
            "x.jpg",
        ),
    ] {
        let attachment = Attachment {
            sha256: hash.to_owned(),
            name: name.to_owned(),
            ..Attachment::default()
        };
        assert_eq!(path_of(job_file, &attachment), None, "{hash}");
        assert!(read_attachment(job_file, &attachment).is_err());
    }
    let hash = "0".repeat(64);
    for (name, ending) in [
        ("../../a.jpg", "jpg"),
        ("a.jpg/../../b", "bin"),
        ("a.exe", "bin"),
        ("", "bin"),
        ("a.PNG", "png"),
    ] {
        let attachment = Attachment {
            sha256: hash.clone(),
            name: name.to_owned(),
            ..Attachment::default()
        };
        let path = path_of(job_file, &attachment).expect("a path");
        assert_eq!(
            path,
            Path::new("jobs/attachments").join(format!("{hash}.{ending}")),
            "{name}"
        );
    }
    for (name, plain) in [
        ("CT-4471 rear.ron", "CT-4471 rear"),
        ("../../etc/passwd", "passwd"),
        ("C:\\jobs\\a.ron", "a"),
        ("..", "job"),
        ("con.ron", "jobcon"),
        ("LPT1", "jobLPT1"),
        ("a\u{202e}b:c*?", "a-b-c"),
    ] {
        assert_eq!(plain_name(name), plain, "{name}");
    }
}

#[test]
fn what_is_no_plain_file_or_too_large_is_not_attached() {
    let folder = tempfile::tempdir().expect("a folder");
    let job_file = folder.path().join("job.ron");
    let large = folder.path().join("large.jpg");
    fs::File::create(&large)
        .expect("made")
        .set_len(4 << 30)
        .expect("sparse");
    for (path, word) in [
        (large, "25 MB"),
        (folder.path().to_path_buf(), "a folder"),
        (folder.path().join("none.jpg"), "no such file"),
        #[cfg(unix)]
        ("/dev/zero".into(), "no plain file"),
    ] {
        let error = attach(&job_file, &path, "").expect_err(word);
        assert!(error.what.contains(word), "{error}");
    }
}
