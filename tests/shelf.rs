//! The notebook: a folder of jobs, found again by any word, learnt from, and packed. An own format and an own search
//! have no reference; that a slip of the pen must not hide a job is common practice, no source.

mod shared;

use std::{fs, path::Path};

use pinchpoint::{
    notebook::{
        Cause, Job, Shelf,
        archive::{archive, plain_name},
        attach::{attach, path_of, read_attachment},
        parse_job, read_job,
        record::{Attachment, Work},
        shelf::CARDS_FILE,
        write_job,
    },
    quantity::units::{as_minutes, minutes},
    reading::{Entry, Reading, Repair},
};
use shared::full_job;

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
        ("number:417 is:signed level", &["c.ron"]),
        ("is:signed crane", &[]),
        ("is:repaired", &["2031/a.ron", "c.ron"]),
        ("part:sill vehicle:merrow", &["b.ron"]),
        ("HL 4471 low", &["2031/a.ron", "c.ron"]),
        ("nothing-like-it", &[]),
    ] {
        assert_eq!(paths(&shelf, question), found, "{question}");
    }
    let error = shelf.search("is:lost").expect_err("no such filter");
    assert!(error.to_string().contains("is:repaired"), "{error}");
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
    assert_eq!(unreadable, ["huge.ron", "torn.ron"]);
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
        (folder.path().to_path_buf(), "no plain file"),
        (folder.path().join("none.jpg"), "no such file"),
        #[cfg(unix)]
        ("/dev/zero".into(), "no plain file"),
    ] {
        let error = attach(&job_file, &path, "").expect_err(word);
        assert!(error.what.contains(word), "{error}");
    }
}

/// Little-endian numbers by the places that APPNOTE.TXT 4.3 gives them.
fn number(bytes: &[u8], at: usize, size: usize) -> usize {
    bytes[at..at + size]
        .iter()
        .rev()
        .fold(0, |sum, &byte| sum << 8 | usize::from(byte))
}

#[test]
fn a_job_is_packed_with_its_attachments() {
    let folder = tempfile::tempdir().expect("a folder");
    let job_file = folder.path().join("job.ron");
    let photo = folder.path().join("chafe.jpg");
    fs::write(&photo, b"photo").expect("written");
    let mut job = full_job();
    job.record
        .attachments
        .push(attach(&job_file, &photo, "").expect("attached"));
    let packed = archive(&job, &job_file, "../CT-4471.ron").expect("packed");
    assert_eq!(
        packed.missing.len(),
        1,
        "the fixture's own attachment has no file"
    );
    assert_eq!(
        archive(&job, &job_file, "../CT-4471.ron").expect("packed"),
        packed
    );
    let bytes = packed.bytes;
    let end = bytes.len() - 22;
    assert_eq!(&bytes[end..end + 4], b"PK\x05\x06");
    assert_eq!(number(&bytes, end + 10, 2), 2);
    let mut at = number(&bytes, end + 16, 4);
    assert_eq!(at + number(&bytes, end + 12, 4), end);
    let mut files = Vec::new();
    for _ in 0..2 {
        assert_eq!(&bytes[at..at + 4], b"PK\x01\x02");
        let (sum, size) = (number(&bytes, at + 16, 4), number(&bytes, at + 24, 4));
        let length = number(&bytes, at + 28, 2);
        let local = number(&bytes, at + 42, 4);
        let name = &bytes[at + 46..at + 46 + length];
        assert_eq!(&bytes[local..local + 4], b"PK\x03\x04");
        assert_eq!(&bytes[local + 30..local + 30 + length], name);
        let content = &bytes[local + 30 + length..local + 30 + length + size];
        assert_eq!(crc32fast::hash(content) as usize, sum);
        files.push((String::from_utf8_lossy(name).into_owned(), content.to_vec()));
        at += 46 + length;
    }
    assert_eq!(files[0].0, "CT-4471.ron");
    assert_eq!(parse_job("packed", &files[0].1).expect("reads").job, job);
    assert!(files[1].0.starts_with("attachments/") && files[1].1 == b"photo");
    assert!(read_job(&job_file).is_err(), "packing writes no job file");
}
