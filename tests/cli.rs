//! The program as people and scripts run it. Exit codes are the requirement: 0 fine, 1 could not be read or
//! computed, 2 wrongly typed.

use std::{
    fs,
    io::Write as _,
    path::{Path, PathBuf},
    process::{Command, Output, Stdio},
};

use pinchpoint::{
    circuit::{Point, Terminal},
    notebook::{read_job, write_job},
    reading::{Entry, Kind, Reading},
};

fn pinchpoint(args: &[&str]) -> Output {
    command(args).output().expect("the program runs")
}

fn command(args: &[&str]) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_pinchpoint"));
    command.args(args).stdin(Stdio::null());
    command
}

fn sample(name: &str) -> String {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("sample_circuits");
    folder.join(name).display().to_string()
}

fn every_sample() -> Vec<PathBuf> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("sample_circuits");
    let entries = fs::read_dir(folder).expect("the folder is there");
    entries
        .map(|entry| entry.expect("an entry").path())
        // A folder that was listed as a notebook holds cards beside its jobs.
        .filter(|path| path.extension().is_some_and(|ending| ending == "ron"))
        .collect()
}

fn out(output: &Output) -> String {
    String::from_utf8(output.stdout.clone()).expect("UTF-8")
}

fn err(output: &Output) -> String {
    String::from_utf8(output.stderr.clone()).expect("UTF-8")
}

#[test]
fn help_and_version_print_and_succeed() {
    let help = pinchpoint(&["--help"]);
    assert_eq!(help.status.code(), Some(0));
    for word in ["diagnose", "check", "--json", "Exit code", "window"] {
        assert!(out(&help).contains(word), "{word}");
    }
    let version = pinchpoint(&["--version"]);
    assert_eq!(version.status.code(), Some(0));
    assert_eq!(
        out(&version),
        format!("pinchpoint {}\n", env!("CARGO_PKG_VERSION"))
    );
}

#[test]
fn the_licences_name_what_ships() {
    let licences = pinchpoint(&["--licences"]);
    assert_eq!(licences.status.code(), Some(0));
    let manifest = include_str!("../Cargo.toml");
    let dependencies = manifest
        .lines()
        .skip_while(|line| *line != "[dependencies]")
        .skip(1)
        .take_while(|line| !line.starts_with('['))
        .filter_map(|line| line.split_once(" = "));
    for (name, _) in dependencies {
        assert!(out(&licences).contains(name), "{name} is not listed");
    }
    assert!(out(&licences).contains("B612"));
}

#[test]
fn what_is_wrongly_typed_is_named_and_gives_2() {
    for args in [
        &["--nonsense"][..],
        &["diagnose"],
        &["check"],
        &["a", "b"],
        &["check", "x", "--json"],
    ] {
        let output = pinchpoint(args);
        assert_eq!(output.status.code(), Some(2), "{args:?}");
        assert!(out(&output).is_empty());
        assert!(err(&output).contains("--help"), "{}", err(&output));
    }
}

#[test]
fn a_word_that_is_neither_command_nor_file_opens_nothing() {
    let output = pinchpoint(&["frobnicate"]);
    assert_eq!(output.status.code(), Some(2));
    let said = err(&output);
    assert!(
        said.contains("“frobnicate” is no command") && said.contains("--help"),
        "{said}"
    );
    let output = pinchpoint(&["no/such/job.ron"]);
    assert_eq!(output.status.code(), Some(1));
    assert!(
        err(&output).contains("there is no such file"),
        "{}",
        err(&output)
    );
}

#[test]
fn an_older_version_is_said_to_be_one() {
    let older = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/golden/version-2.ron");
    let said = out(&pinchpoint(&["check", older]));
    assert!(
        said.contains("written in version 2 of the format, the newest is 4; nothing to do"),
        "{said}"
    );
    let newest = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/golden/version-4.ron");
    let said = out(&pinchpoint(&["check", newest]));
    assert!(!said.contains("written in version"), "{said}");
}

#[cfg(not(feature = "gui"))]
#[test]
fn without_a_window_the_program_says_how_to_use_it() {
    let output = pinchpoint(&[]);
    assert_eq!(output.status.code(), Some(2));
    assert!(err(&output).contains("--help"), "{}", err(&output));
}

#[test]
fn every_sample_is_fine() {
    for path in every_sample() {
        let output = pinchpoint(&["check", &path.display().to_string()]);
        assert_eq!(output.status.code(), Some(0), "{}", out(&output));
        assert!(out(&output).contains(": fine, "), "{}", out(&output));
    }
}

/// What is only doubtful is printed with its place and remedy and leaves the exit code alone, as the help says.
#[test]
fn a_module_that_feeds_nothing_and_lines_that_are_not_used_are_warned_of() {
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("job.ron");
    let text = fs::read_to_string(sample("01-ride-height.ron")).expect("a sample");
    let text = &text[..text.find("// checksum").expect("a checksum")];
    let supply = &text[text.find("supplies: [").expect("a module") + 11..];
    let supply = &supply[..supply.find("wires:").expect("wires")];
    let supply = &supply[..supply.rfind(']').expect("an end")];
    let second = supply.trim_end().trim_end_matches(',').replace("M1", "M2");
    let text = text.replacen("supplies: [", &format!("supplies: [{second},"), 1);
    let text = text.replacen("Exactly(0.641)", "Exactly(1e300)", 1);
    fs::write(&file, text).expect("written");
    let output = pinchpoint(&["check", &file.display().to_string()]);
    let said = out(&output);
    assert_eq!(output.status.code(), Some(0), "{said}");
    assert!(
        said.contains("M2: nothing leads away from its feed"),
        "{said}"
    );
    assert!(
        said.contains("draw the wire that it feeds, or remove it"),
        "{said}"
    );
    assert!(
        said.contains("log line 3: no meter shows such a value; the line is not used"),
        "{said}"
    );
    assert!(said.lines().all(|line| line.len() < 300), "{said}");
}

#[test]
fn a_line_that_is_not_used_is_said_to_be_where_something_else_is_said_of_it_too() {
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("job.ron");
    let mut job = read_job(Path::new(&sample("01-ride-height.ron")))
        .expect("a sample")
        .job;
    let splice = Point::new(&job.circuit.splices[0].id, Terminal::Only);
    job.log.push(Entry::Reading(Reading {
        kind: Kind::Amperes,
        black: Point::new("M1", Terminal::Feed(1)),
        step: Some(-1.0),
        ..Reading::volts(splice, 0.1)
    }));
    write_job(&file, &job).expect("written");
    let said = out(&pinchpoint(&["check", &file.display().to_string()]));
    let line = format!("log line {}: ", job.log.len());
    for words in [
        "the last digit is worth nothing",
        "is not used: no wire joins",
    ] {
        let found = said
            .lines()
            .any(|told| told.contains(&line) && told.contains(words));
        assert!(found, "“{words}” in\n{said}");
    }
}

#[test]
fn one_thing_is_counted_as_one() {
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("small.ron");
    let small = "(format: \"pinchpoint\", version: 1, body: (circuit: (
        supplies: [(id: \"M1\", nominal_v: 5.0, tolerance_percent: 2.0, source_factor: 2.0, limit: Unknown, limit_factor: 1.5, probe_minutes: 3.0)],
        wires: [(id: \"W1\", from: \"M1.feed\", to: \"S1.feed\", length_m: 1.2, size: mm2(0.5))],
        connectors: [], splices: [], grounds: [], fuses: [], rails: [], damage_zones: [],
        loads: [(id: \"S1\", feed: \"S1.feed\", return: \"BN\", model: Resistive(ohm: 5000.0), spread_percent: 10.0)]),
        log: [Reading(kind: Volts, red: \"M1.feed\", value: Exactly(5.0))]))";
    fs::write(&file, small).expect("written");
    let output = pinchpoint(&["check", &file.display().to_string()]);
    let said = out(&output);
    let counted = "fine, 1 wire, 0 connectors, 1 sensor, 1 line in the log";
    assert!(said.contains(counted), "{said}");
}

#[test]
fn a_job_prints_its_title_and_every_line_of_its_log() {
    let output = pinchpoint(&["diagnose", &sample("01-ride-height.ron")]);
    assert_eq!(output.status.code(), Some(0), "{}", err(&output));
    let text = out(&output);
    for word in [
        "CT-4471",
        "Corran Tender 2.2",
        "663 mV",
        "8.96 V",
        "C2 unplugged",
        "X5.1n",
        "should read",
    ] {
        assert!(text.contains(word), "{word} in\n{text}");
    }
}

#[test]
fn many_jobs_give_one_line_of_json_each() {
    let (one, two) = (sample("01-ride-height.ron"), sample("08-healthy-feed.ron"));
    let output = pinchpoint(&["diagnose", "--json", &one, "no such file", &two]);
    assert_eq!(output.status.code(), Some(1));
    let lines: Vec<serde_json::Value> = out(&output)
        .lines()
        .map(|line| serde_json::from_str(line).expect("JSON"))
        .collect();
    assert_eq!(lines.len(), 3);
    assert_eq!(lines[0]["file"], one.as_str());
    assert!(
        lines[0]["title"]
            .as_str()
            .is_some_and(|t| t.contains("CT-4471"))
    );
    for field in [
        "suspects",
        "groups",
        "readings",
        "points",
        "fit",
        "healthy",
        "unexplained",
    ] {
        assert!(!lines[2]["findings"][field].is_null(), "{field}");
    }
    assert!(lines[1]["findings"].is_null());
    let place = &lines[0]["headline"]["place"];
    assert!(place.as_str().is_some_and(|p| p.contains("W7")), "{place}");
    for list in [
        &lines[0]["sum"]["lines"],
        &lines[0]["steps"],
        &lines[0]["cautions"],
    ] {
        let first = &list[0]["text"];
        assert!(first.as_str().is_some_and(|t| !t.is_empty()), "{list}");
    }
    let what = lines[1]["error"]["what"].as_str().expect("told");
    assert!(what.contains("no such file"), "{what}");
    assert!(err(&output).contains("no such file"));
}

#[test]
fn standard_input_is_read_for_a_dash() {
    let mut child = command(&["diagnose", "-", "--json"])
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .expect("runs");
    let text = fs::read(sample("02-crane-boom.ron")).expect("a sample");
    let mut input = child.stdin.take().expect("piped");
    input.write_all(&text).expect("written");
    drop(input);
    let output = child.wait_with_output().expect("ends");
    assert_eq!(output.status.code(), Some(0));
    let line: serde_json::Value = serde_json::from_str(&out(&output)).expect("JSON");
    assert_eq!(line["file"], "-");
}

#[test]
fn a_mistake_in_a_file_is_named_with_its_place() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("job.ron");
    let text = fs::read_to_string(sample("01-ride-height.ron")).expect("a sample");
    let text = &text[..text.find("// checksum").expect("a checksum")];
    let cases = [
        // What is replaced, by what, the exit code of check, what it says.
        ("length_m: 1.4", "length_m: 1e400", 1, "job.ron:15:"),
        ("colour: \"BNWH\"", "colour: \"BNXX\"", 1, "wires[2].colour"),
        ("length_m: 1.4", "length_m: -1.4", 1, "W1"),
        ("to: \"SP1\"", "to: \"SP9\"", 1, "SP9"),
        ("input_ohm: 10000000.0", "input_ohm: -1.0", 1, "meter"),
        ("red: \"X3.1n\"", "red: \"X9.1n\"", 0, "log line 4"),
        (
            "Exactly(0.663)",
            "OverRange(above: Some(-1.0))",
            0,
            "log line 1",
        ),
        (
            "unplugged: [\"C2\"]",
            "unplugged: [\"C9\"]",
            0,
            "log line 2",
        ),
    ];
    for (from, to, code, named) in cases {
        assert!(text.contains(from), "the sample has {from}");
        fs::write(&path, text.replacen(from, to, 1)).expect("written");
        let name = path.display().to_string();
        let output = pinchpoint(&["check", &name]);
        assert_eq!(output.status.code(), Some(code), "{to}: {}", out(&output));
        assert!(out(&output).contains(named), "{to}: {}", out(&output));
        let diagnosed = pinchpoint(&["diagnose", &name]);
        assert_eq!(
            diagnosed.status.code(),
            Some(code),
            "{to}: {}",
            out(&diagnosed)
        );
        let told = out(&diagnosed) + &err(&diagnosed);
        assert!(told.contains(named), "{to}: {told}");
    }
}

#[test]
fn text_from_a_file_cannot_steer_the_terminal() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("job.ron");
    let text = fs::read_to_string(sample("01-ride-height.ron")).expect("a sample");
    let text = &text[..text.find("// checksum").expect("a checksum")];
    fs::write(&path, text.replace("CT-4471", "\\u{1b}[2J\\u{202e}CT")).expect("written");
    let output = pinchpoint(&["diagnose", &path.display().to_string()]);
    let shown = out(&output);
    assert!(shown.contains("\\u{1b}[2J\\u{202e}CT"), "{shown}");
    assert!(!shown.contains('\u{1b}') && !shown.contains('\u{202e}'));
}

#[cfg(unix)]
#[test]
fn a_reader_that_goes_away_is_no_error_and_a_full_disk_is() {
    let samples: Vec<String> = every_sample()
        .iter()
        .map(|p| p.display().to_string())
        .collect();
    let mut args = vec!["diagnose", "--json"];
    args.extend(samples.iter().map(String::as_str));
    let mut child = command(&args)
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("runs");
    drop(child.stdout.take());
    let output = child.wait_with_output().expect("ends");
    assert_eq!(output.status.code(), Some(0), "{}", err(&output));
    assert!(err(&output).is_empty(), "{}", err(&output));
    if let Ok(full) = fs::File::create("/dev/full") {
        let output = command(&["--help"]).stdout(full).output().expect("runs");
        assert_eq!(output.status.code(), Some(1));
        assert!(err(&output).contains("could not be written"));
    }
}
