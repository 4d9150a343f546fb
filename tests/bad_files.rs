//! Damaged, hostile and mistaken files: always a clear error with its place and remedy, never a panic, never a
//! job that silently differs. The requirement itself is the reference; there is no outside one.

use std::fs;

use pinchpoint::notebook::{Cause, FileError, Job, parse_job, read_job, write_job};

const SAMPLE: &str = include_str!("../sample_circuits/02-crane-boom.ron");

/// The sample as if edited by hand: without its checksum line.
fn unsealed() -> String {
    let end = SAMPLE.rfind("// checksum").expect("a checksum line");
    SAMPLE[..end].to_owned()
}

fn parse(bytes: &[u8]) -> Result<Job, FileError> {
    parse_job("test.ron", bytes).map(|opened| opened.job)
}

fn sample() -> Job {
    parse(SAMPLE.as_bytes()).expect("the sample reads")
}

#[test]
fn every_truncation_is_an_error_or_the_same_job() {
    let whole = sample();
    for end in 0..SAMPLE.len() {
        if let Ok(job) = parse(&SAMPLE.as_bytes()[..end]) {
            assert_eq!(job, whole, "cut at byte {end}");
        }
    }
    assert!(parse(&SAMPLE.as_bytes()[..SAMPLE.len() / 2]).is_err());
}

#[test]
fn every_flipped_bit_is_an_error_or_the_same_job() {
    let whole = sample();
    let mut bytes = SAMPLE.as_bytes().to_vec();
    let mut refused = 0;
    for bit in 0..bytes.len() * 8 {
        bytes[bit / 8] ^= 1 << (bit % 8);
        match parse(&bytes) {
            Ok(job) => assert_eq!(job, whole, "bit {bit}"),
            Err(_) => refused += 1,
        }
        bytes[bit / 8] ^= 1 << (bit % 8);
    }
    assert!(refused > bytes.len() * 7, "{refused} refused");
}

#[test]
fn without_a_checksum_flipped_bits_never_panic_and_errors_name_their_place() {
    let text = unsealed();
    let mut bytes = text.clone().into_bytes();
    for bit in (0..bytes.len() * 8).step_by(3) {
        bytes[bit / 8] ^= 1 << (bit % 8);
        if let Err(error) = parse(&bytes) {
            let whole_file = ["another format", "version"];
            let placed = error.place.is_some() || whole_file.iter().any(|w| error.what.contains(w));
            assert!(placed, "bit {bit}: {error}");
            assert!(!error.remedy.is_empty() && error.to_string().len() < 2000);
        }
        bytes[bit / 8] ^= 1 << (bit % 8);
    }
}

#[test]
fn an_edited_file_is_told_how_to_be_accepted() {
    let edited = SAMPLE.replace("nominal_v: 5.0", "nominal_v: 5.5");
    let error = parse(edited.as_bytes()).expect_err("the checksum does not fit");
    assert_eq!(error.cause, Cause::Checksum);
    assert!(error.remedy.contains("delete the last line"), "{error}");
    let accepted = unsealed().replace("nominal_v: 5.0", "nominal_v: 5.5");
    assert_ne!(parse(accepted.as_bytes()).expect("accepted"), sample());
}

#[test]
fn line_ends_and_a_byte_order_mark_change_nothing() {
    let windows = format!("\u{feff}{}", SAMPLE.replace('\n', "\r\n"));
    let opened = parse_job("test.ron", windows.as_bytes()).expect("reads");
    assert!(opened.sealed);
    assert_eq!(opened.job, sample());
}

#[test]
fn mistakes_are_named_with_line_field_and_remedy() {
    // What is replaced, by what, the field's path or a part of it, a word of the complaint, a word of the remedy.
    let cases = [
        (
            "tolerance_percent: 2.0",
            "tolerance_percent: NaN",
            "",
            "NaN",
            "finite",
        ),
        (
            "tolerance_percent: 2.0",
            "tolerance_percent: -inf",
            "",
            "inf",
            "finite",
        ),
        (
            "tolerance_percent: 2.0",
            "tolerance_percent: 1e400",
            "",
            "1e400",
            "ordinary",
        ),
        (
            "probe_minutes: 3.0",
            "probe_minutes: 1e308",
            "supplies[0].probe_minutes",
            "finite",
            "value",
        ),
        (
            "nominal_v: 5.0",
            "nominal_v: \"5\"",
            "supplies[0].nominal_v",
            "float",
            "place",
        ),
        (
            "nominal_v: 5.0, ",
            "",
            "supplies[0]",
            "“nominal_v” is missing",
            "Add",
        ),
        (
            "nominal_v: 5.0",
            "nominal_v: 5.0, nominal_v: 6.0",
            "supplies[0]",
            "twice",
            "one of the two",
        ),
        (
            "nominal_v: 5.0",
            "nominal_volts: 5.0",
            "supplies[0]",
            "nominal_volts",
            "nominal_v",
        ),
        (
            "version: 1",
            "version: 1, version: 1",
            "",
            "twice",
            "one of the two",
        ),
        ("    version: 1,\n", "", "", "“version” is missing", "Add"),
        ("version: 1", "version: 0", "", "version 0", "version: 1"),
        (
            "\"pinchpoint\"",
            "\"shopping\"",
            "",
            "another format",
            "pinchpoint",
        ),
        ("title:", "titel:", "body", "titel", "title"),
        (
            "colour: \"RDWH\"",
            "colour: \"RDXX\"",
            "wires[0].colour",
            "RDXX",
            "value",
        ),
        (
            "from: \"M1.feed\"",
            "from: \"M1.fed\"",
            "wires[0].from",
            "fed",
            "value",
        ),
        (
            "to: \"C1.1n\"",
            "to: \"1C.1n\"",
            "wires[0].to",
            "1C",
            "value",
        ),
        ("mm2(0.75)", "inch(0.75)", "wires[0].size", "inch", "mm2"),
        ("kind: Volts", "kind: Watts", "log[0]", "Watts", "Volts"),
        ("log: [", "log: {", "log", "[", "place"),
        ("now: (),", "now: (), }", "body", "bracket", "wrong kind"),
    ];
    for (from, to, field, complaint, remedy) in cases {
        let text = unsealed();
        assert!(text.contains(from), "the sample has {from}");
        let text = text.replacen(from, to, 1);
        let error = parse(text.as_bytes()).expect_err(to);
        let shown = error.to_string();
        assert_eq!(error.cause, Cause::Content, "{shown}");
        assert!(error.field.contains(field), "{to}: field in {shown}");
        assert!(error.what.contains(complaint), "{to}: complaint in {shown}");
        assert!(error.remedy.contains(remedy), "{to}: remedy in {shown}");
        let line = text
            .lines()
            .position(|line| line.contains(to) && !to.is_empty());
        if let (Some(line), Some((told, _))) = (line, error.place) {
            let line = line as u32 + 1;
            assert!(
                (line..=line + 1).contains(&told),
                "{to}: line {line}, {shown}"
            );
        }
    }
}

#[test]
fn text_behind_the_end_is_an_error_but_a_comment_is_not() {
    let error = parse(format!("{}()", unsealed()).as_bytes()).expect_err("trailing text");
    assert!(error.what.contains("behind the end"), "{error}");
    let commented = format!("/* by hand */\n{}// until Friday\n", unsealed());
    assert_eq!(parse(commented.as_bytes()).expect("reads"), sample());
}

#[test]
fn newer_files_are_read_where_they_can_be_and_named_where_not() {
    let newer = unsealed().replace("version: 1", "version: 7");
    let opened = parse_job("test.ron", newer.as_bytes()).expect("same shape");
    assert_eq!((opened.newer, opened.job), (Some(7), sample()));
    let unknown = newer.replace("title:", "labour: (minutes: [1, {2: \"x\"}]), title:");
    let error = parse(unknown.as_bytes()).expect_err("another shape");
    assert_eq!(error.cause, Cause::Newer(7));
    assert!(error.what.contains("version 7"), "{error}");
}

#[test]
fn hostile_sizes_are_refused_at_once() {
    for open in ["(", "[", "{", "Some(", "Reading("] {
        let brackets = open.repeat(7_000_000 / open.len());
        let error = parse(brackets.as_bytes()).expect_err("nested");
        assert!(error.what.contains("nested"), "{error}");
        let error = parse(open.repeat(10_000_000).as_bytes()).expect_err("large");
        assert!(error.what.contains("8 MB"), "{error}");
    }
    for text in [
        "x".repeat(7_000_000),
        "\"".repeat(7_000_000),
        "/*".repeat(3_000_000),
        "1".repeat(7_000_000),
        "r#".repeat(3_000_000),
        "(format:\"pinchpoint\",version:1,body:(title:\"".to_owned() + &"x".repeat(7_000_000),
    ] {
        let error = parse(text.as_bytes()).expect_err("nonsense");
        assert!(error.to_string().len() < 2000);
    }
}

#[test]
fn no_text_at_all_is_said_to_be_none() {
    for (bytes, word) in [
        (&b""[..], "empty"),
        (b" \n\t\n", "empty"),
        (b"\0\0\0\0", "zero bytes"),
        (b"(a\xff", "UTF-8"),
        (b"\xef\xbb\xbf", "empty"),
    ] {
        let error = parse(bytes).expect_err(word);
        assert!(error.what.contains(word), "{error}");
    }
}

#[test]
fn a_torn_or_altered_file_names_the_newest_save_that_is_whole() {
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("job.ron");
    for title in ["1", "2", "3"] {
        let title = title.to_owned();
        write_job(&file, &Job { title, ..sample() }).expect("saved");
    }
    let whole = fs::read(&file).expect("there");
    let torn = |at: &std::path::Path| {
        let bytes = fs::read(at).expect("there");
        fs::write(at, &bytes[..bytes.len() / 2]).expect("written");
    };
    let mut altered = whole.clone();
    let at = altered
        .windows(5)
        .position(|five| five == b"title")
        .expect("a title");
    altered[at + 8] ^= 1;
    fs::write(&file, &altered).expect("written");
    let error = read_job(&file).expect_err("altered");
    assert_eq!(error.cause, Cause::Checksum);
    assert!(error.remedy.ends_with("whole is job.bak.ron"), "{error}");
    torn(&file);
    let error = read_job(&file).expect_err("torn").to_string();
    assert!(
        error.contains("too early") || error.contains("cut off"),
        "{error}"
    );
    torn(&folder.path().join("job.bak.ron"));
    let error = read_job(&file).expect_err("torn");
    assert!(error.remedy.ends_with("whole is job.bak2.ron"), "{error}");
    let kept = read_job(&folder.path().join("job.bak2.ron"))
        .expect("whole")
        .job;
    assert_eq!(kept.title, "1");
    torn(&folder.path().join("job.bak2.ron"));
    let error = read_job(&file).expect_err("torn");
    assert!(!error.remedy.contains("newest earlier save"), "{error}");
}

#[test]
fn fields_of_a_megabyte_are_kept_and_found() {
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("job.ron");
    let long = "Ω feed ".repeat(150_000);
    let mut job = Job {
        title: long.clone(),
        notes: format!("{long} zeppelin"),
        ..sample()
    };
    job.record.arrival = "x".repeat(1_000_000);
    write_job(&file, &job).expect("saved");
    assert_eq!(read_job(&file).expect("reads").job, job);
    let shelf = pinchpoint::notebook::Shelf::open(folder.path()).expect("read");
    assert_eq!(shelf.search("zeppelin").expect("a question").len(), 1);
}

#[cfg(unix)]
#[test]
fn what_would_never_end_is_refused_before_it_is_read() {
    let folder = tempfile::tempdir().expect("a folder");
    let pipe = folder.path().join("pipe.ron");
    let made = std::process::Command::new("mkfifo").arg(&pipe).status();
    assert!(made.expect("mkfifo").success());
    for path in [pipe.as_path(), "/dev/zero".as_ref(), "/dev/tty".as_ref()] {
        let error = read_job(path).expect_err("no plain file");
        assert_eq!(error.cause, Cause::Disk);
        assert!(error.what.contains("no plain file"), "{error}");
    }
}

#[test]
fn what_is_no_file_is_said_in_plain_words() {
    let folder = tempfile::tempdir().expect("a folder");
    let missing = read_job(&folder.path().join("none.ron")).expect_err("missing");
    assert_eq!(missing.cause, Cause::Disk);
    assert!(missing.what.contains("no such file"), "{missing}");
    let error = read_job(folder.path()).expect_err("a folder");
    assert!(error.what.contains("folder"), "{error}");
    let large = folder.path().join("large.ron");
    fs::write(&large, vec![b' '; 9_000_000]).expect("written");
    let error = read_job(&large).expect_err("large");
    assert!(error.what.contains("8 MB"), "{error}");
}
