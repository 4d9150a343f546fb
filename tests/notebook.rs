//! Job files: round trips, damage and bad input. No published reference exists for an own file format; the
//! properties (nothing lost, nothing silently different, no panic) are the requirement itself.

use std::{fs, path::Path};

use pinchpoint::{
    circuit::{
        Circuit, Colour, ConductorSize, Connector, DamageZone, Fuse, Ground, LimitMode, Load,
        LoadModel, Pin, Point, Rail, Splice, Supply, Terminal, Wire,
    },
    notebook::{
        Cause, Job, format_job, parse_job, read_job, save::previous_name, save_job, write_job,
    },
    quantity::units::as_milliamperes,
    quantity::units::{metres, milliamperes, minutes, ohms, square_millimetres, volts},
    reading::{Attached, Entry, Kind, Reading, Repair, State, Value},
};

/// A job that uses every kind of part, reading and option once.
fn full_job() -> Job {
    let point = |text: &str| text.parse::<Point>().expect("a point");
    let supply = Supply {
        id: "M1".into(),
        name: "body module".into(),
        nominal: volts(9.0),
        tolerance_percent: 2.0,
        source: Some(ohms(4.7)),
        source_factor: 2.0,
        limit: LimitMode::Foldback {
            limit: Some(milliamperes(140.0)),
            short_circuit: None,
        },
        limit_factor: 1.5,
        feed_pins: 2,
        latches: true,
        sinks: false,
        more_members: true,
        probe: minutes(3.0),
    };
    let wire = Wire {
        id: "W1".into(),
        from: point("M1.feed2"),
        to: point("C1.1n"),
        length: Some(metres(1.4)),
        size: ConductorSize::Awg(20),
        colour: Some("BNRD".parse::<Colour>().expect("a colour")),
        circuit_number: "417".into(),
        bundle: "left sill".into(),
    };
    let plain_wire = Wire {
        id: "W2".into(),
        from: point("C1.1f"),
        to: point("S1.feed"),
        length: None,
        size: ConductorSize::SquareMillimetres(square_millimetres(0.35)),
        colour: None,
        circuit_number: String::new(),
        bundle: String::new(),
    };
    let circuit = Circuit {
        supplies: vec![supply],
        wires: vec![wire, plain_wire],
        connectors: vec![Connector {
            id: "C1".into(),
            name: "sill".into(),
            place: "left \"front\" \\ sill".into(),
            pins: vec![
                Pin {
                    contact: ohms(0.005),
                },
                Pin {
                    contact: ohms(0.012),
                },
            ],
            access: minutes(9.0),
            sealed: true,
        }],
        splices: vec![Splice {
            id: "SP1".into(),
            place: String::new(),
            more_members: true,
        }],
        grounds: vec![Ground {
            id: "G1".into(),
            at: point("G1"),
            strap: ohms(0.01),
            place: "pillar".into(),
        }],
        fuses: vec![Fuse {
            id: "F1".into(),
            rated: milliamperes(5000.0),
            resistance: ohms(0.02),
        }],
        loads: vec![
            Load {
                id: "S1".into(),
                name: "ride height\nleft".into(),
                feed: point("S1.feed"),
                ret: Point::battery_negative(),
                model: LoadModel::Electronic {
                    draw: milliamperes(15.7),
                    knee: volts(3.5),
                },
                spread_percent: 10.0,
                signal_fraction: Some(0.4),
                blocks_ohmmeter: true,
            },
            Load {
                id: "S2".into(),
                name: String::new(),
                feed: point("C1.2f"),
                ret: point("S2.return"),
                model: LoadModel::Resistive {
                    resistance: ohms(4700.0),
                },
                spread_percent: 5.0,
                signal_fraction: None,
                blocks_ohmmeter: false,
            },
        ],
        rails: vec![Rail {
            id: "B1".into(),
            name: "battery".into(),
            potential: volts(12.6),
            source: ohms(0.05),
        }],
        damage_zones: vec![DamageZone {
            note: "jacked here".into(),
            parts: vec!["W1".into(), "left sill".into()],
            factor: 4.0,
        }],
    };
    let state = State {
        unplugged: ["C1".to_owned()].into(),
        unknown: ["C2".to_owned()].into(),
        supply_off: true,
        attached: vec![Attached {
            from: point("SP1"),
            to: Point::battery_negative(),
            resistance: ohms(1000.0),
        }],
        key_cycled: Some(true),
    };
    let reading = |kind, value, black| {
        Entry::Reading(Reading {
            kind,
            red: point("C1.1n"),
            black,
            value,
            state: state.clone(),
            set_aside: true,
            note: "unsteady // checksum 00000000".into(),
        })
    };
    Job {
        title: "CT-4471 · ride-height feed".into(),
        vehicle: "Corran Tender 2.2".into(),
        shop: "Halyard Lane Works".into(),
        request: "all four corners read low".into(),
        notes: "Ω µ ± \u{202e}turned\u{7} 'quoted' \"#\n// checksum 12345678\n".into(),
        circuit,
        log: vec![
            Entry::Reading(Reading::volts(Point::new("M1", Terminal::Feed(1)), 0.669)),
            reading(
                Kind::Ohms,
                Value::OverRange { above: None },
                Point::battery_negative(),
            ),
            reading(
                Kind::Ohms,
                Value::OverRange { above: Some(6e7) },
                point("S1.return"),
            ),
            reading(
                Kind::Amperes,
                Value::Between(0.1, 0.139),
                point("S1.signal"),
            ),
            Entry::Repair(Repair {
                part: "W1".into(),
                replaced: true,
                note: "new section".into(),
            }),
        ],
        now: state,
        ..Job::default()
    }
}

fn text_of(job: &Job) -> String {
    format_job("test.ron", job).expect("the job can be written")
}

use proptest::prelude::*;

/// The page that describes the file must name every field that the program writes.
#[test]
fn every_field_is_on_the_format_page() {
    let page = include_str!("../docs/job-file.md");
    let text = text_of(&full_job());
    let mut fields = 0;
    for (at, _) in text.match_indices(": ") {
        let before = &text[..at];
        let start = before
            .rfind(|c: char| !c.is_ascii_lowercase() && !c.is_ascii_digit() && c != '_')
            .map_or(0, |at| at + 1);
        let field = &before[start..];
        fields += 1;
        assert!(page.contains(field), "{field} is not on the page");
    }
    assert!(fields > 60, "{fields} fields");
}

#[test]
fn a_job_with_everything_comes_back_as_it_was() {
    for job in [full_job(), Job::default()] {
        let text = text_of(&job);
        let opened = parse_job("test.ron", text.as_bytes()).expect("reads back");
        assert!(opened.sealed);
        assert_eq!(opened.newer, None);
        assert_eq!(text_of(&opened.job), text);
        assert_eq!(opened.job, job);
    }
}

/// A number with up to 15 significant digits, as people and meters give them.
fn number() -> impl Strategy<Value = f64> {
    (-999_999_999_999_999_i64..=999_999_999_999_999, -20_i32..=8)
        .prop_map(|(digits, power)| format!("{digits}e{power}").parse().expect("a number"))
}

fn point() -> impl Strategy<Value = Point> {
    let terminal = prop_oneof![
        Just(Terminal::Only),
        (1u8..=255).prop_map(Terminal::Feed),
        Just(Terminal::Return),
        Just(Terminal::Signal),
        (1u8..=255).prop_map(Terminal::Near),
        (1u8..=255).prop_map(Terminal::Far),
        Just(Terminal::In),
        Just(Terminal::Out),
    ];
    ("[A-Za-z][A-Za-z0-9_-]{0,8}", terminal).prop_map(|(part, terminal)| Point::new(part, terminal))
}

fn value() -> impl Strategy<Value = Value> {
    prop_oneof![
        number().prop_map(Value::Exactly),
        proptest::option::of(number()).prop_map(|above| Value::OverRange { above }),
        (number(), number()).prop_map(|(low, high)| Value::Between(low, high)),
    ]
}

fn state() -> impl Strategy<Value = State> {
    let names = || proptest::collection::btree_set(".{0,8}", 0..4);
    let attached = (point(), point(), number()).prop_map(|(from, to, ohm)| Attached {
        from,
        to,
        resistance: ohms(ohm),
    });
    (
        names(),
        names(),
        any::<bool>(),
        proptest::collection::vec(attached, 0..3),
        any::<Option<bool>>(),
    )
        .prop_map(
            |(unplugged, unknown, supply_off, attached, key_cycled)| State {
                unplugged,
                unknown,
                supply_off,
                attached,
                key_cycled,
            },
        )
}

fn entry() -> impl Strategy<Value = Entry> {
    let kind = prop_oneof![Just(Kind::Volts), Just(Kind::Ohms), Just(Kind::Amperes)];
    let reading = (
        kind,
        point(),
        point(),
        value(),
        state(),
        any::<bool>(),
        any::<String>(),
    )
        .prop_map(|(kind, red, black, value, state, set_aside, note)| {
            Entry::Reading(Reading {
                kind,
                red,
                black,
                value,
                state,
                set_aside,
                note,
            })
        });
    let repair =
        (any::<String>(), any::<bool>(), any::<String>()).prop_map(|(part, replaced, note)| {
            Entry::Repair(Repair {
                part,
                replaced,
                note,
            })
        });
    prop_oneof![4 => reading, 1 => repair]
}

fn wire() -> impl Strategy<Value = Wire> {
    let size = prop_oneof![
        number().prop_map(|mm2| ConductorSize::SquareMillimetres(square_millimetres(mm2))),
        any::<i8>().prop_map(ConductorSize::Awg),
    ];
    let colour = proptest::option::of(
        "(BK|BN|RD|GY)(WH|YE|TQ)?"
            .prop_map(|letters| letters.parse::<Colour>().expect("IEC letters")),
    );
    (
        any::<String>(),
        point(),
        point(),
        proptest::option::of(number()),
        size,
        colour,
        any::<String>(),
    )
        .prop_map(|(id, from, to, length, size, colour, bundle)| Wire {
            id,
            from,
            to,
            length: length.map(metres),
            size,
            colour,
            circuit_number: bundle.clone(),
            bundle,
        })
}

/// A file of each released version, kept for ever: it must go on reading as the job it was.
#[test]
fn files_of_released_versions_still_read() {
    let golden = include_str!("golden/version-1.ron");
    let opened = parse_job("version-1.ron", golden.as_bytes()).expect("reads");
    assert!(opened.sealed && opened.newer.is_none());
    assert_eq!(opened.job, full_job());
}

proptest! {
    #[test]
    fn any_job_comes_back_as_it_was(
        texts in any::<[String; 5]>(),
        wires in proptest::collection::vec(wire(), 0..4),
        log in proptest::collection::vec(entry(), 0..5),
        now in state(),
        milliampere in number(),
        minute in number(),
    ) {
        let mut job = full_job();
        [job.title, job.vehicle, job.shop, job.request, job.notes] = texts;
        job.circuit.wires = wires;
        job.circuit.connectors[0].access = minutes(minute);
        job.circuit.fuses[0].rated = milliamperes(milliampere);
        job.log = log;
        job.now = now;
        let text = text_of(&job);
        let opened = parse_job("test.ron", text.as_bytes()).expect("reads back");
        prop_assert_eq!(text_of(&opened.job), text);
        prop_assert_eq!(opened.job, job);
    }

    /// Any bytes at all give an answer, not a panic; so does a sample with a piece of it overwritten.
    #[test]
    fn any_bytes_give_an_answer(
        bytes in proptest::collection::vec(any::<u8>(), 0..300),
        at in 0usize..4000,
        piece in "[-(){}\\[\\]\"':,.rbe#/*0-9A-Za-z]{1,12}",
    ) {
        let _ = parse_job("test.ron", &bytes);
        let mut text = text_of(&full_job()).into_bytes();
        let at = at.min(text.len() - piece.len());
        text[at..at + piece.len()].copy_from_slice(piece.as_bytes());
        let end = text.windows(11).rposition(|w| w == b"// checksum").unwrap_or(text.len());
        let _ = parse_job("test.ron", &text[..end]);
    }
}

#[test]
fn a_number_read_from_a_file_is_written_back_as_it_stood() {
    // 15.7 mA is 0.0157 A, which scales back to 15.699999999999998 mA; the file must say 15.7 again.
    let raw = as_milliamperes(milliamperes(15.7));
    assert_ne!(raw, 15.7, "the example shows the trouble");
    assert!(text_of(&full_job()).contains("draw_ma: 15.7,"));
}

fn saved(path: &Path) -> Job {
    read_job(path).expect("reads").job
}

fn files_in(folder: &Path) -> Vec<String> {
    let mut names: Vec<_> = fs::read_dir(folder)
        .expect("a folder")
        .map(|entry| {
            entry
                .expect("an entry")
                .file_name()
                .to_string_lossy()
                .into_owned()
        })
        .collect();
    names.sort();
    names
}

#[test]
fn saving_replaces_the_file_and_keeps_the_previous_save() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("job.ron");
    let first = full_job();
    write_job(&path, &first).expect("saved");
    assert_eq!(files_in(folder.path()), ["job.ron"]);
    let second = Job {
        notes: "second".into(),
        ..full_job()
    };
    write_job(&path, &second).expect("saved again");
    assert_eq!(saved(&path), second);
    assert_eq!(saved(&previous_name(&path, 1)), first);
    assert_eq!(files_in(folder.path()), ["job.bak.ron", "job.ron"]);
}

#[test]
fn several_saves_are_kept_and_saving_the_same_again_costs_none() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("CT-4471.v2.ron");
    let job = |title: &str| Job {
        title: title.into(),
        ..Job::default()
    };
    for title in ["1", "2", "3", "4", "5", "5", "5"] {
        write_job(&path, &job(title)).expect("saved");
    }
    assert_eq!(saved(&path).title, "5");
    for (generation, title) in [(1, "4"), (2, "3"), (3, "2")] {
        assert_eq!(saved(&previous_name(&path, generation)).title, title);
    }
    assert_eq!(files_in(folder.path()).len(), 4);
}

#[test]
fn of_two_programs_on_one_file_the_later_one_saves_a_copy_beside_it() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("job.ron");
    let job = |title: &str| Job {
        title: title.into(),
        ..Job::default()
    };
    let first = save_job(&path, &job("mine"), None).expect("saved");
    assert_eq!(first.stamp, read_job(&path).expect("reads").stamp);
    write_job(&path, &job("theirs")).expect("saved by the other program");
    for copy in ["job.conflict.ron", "job.conflict2.ron"] {
        let kept = save_job(&path, &job(copy), Some(first.stamp)).expect("saved beside");
        assert!(kept.conflict);
        assert_eq!(kept.path, folder.path().join(copy));
        assert_eq!(saved(&kept.path).title, copy);
    }
    assert_eq!(saved(&path).title, "theirs");
    let seen = read_job(&path).expect("reads").stamp;
    let after = save_job(&path, &job("both"), Some(seen)).expect("saved");
    assert!(!after.conflict);
    assert_eq!(saved(&path).title, "both");
    fs::remove_file(&path).expect("somebody deletes it");
    let anew = save_job(&path, &job("anew"), Some(seen)).expect("saved");
    assert!(!anew.conflict);
}

#[test]
fn a_damaged_file_is_put_aside_and_the_good_previous_save_stays() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("job.ron");
    write_job(&path, &full_job()).expect("saved");
    write_job(&path, &Job::default()).expect("saved");
    fs::write(&path, "half a fi").expect("damaged");
    write_job(&path, &Job::default()).expect("saved over it");
    assert_eq!(saved(&previous_name(&path, 1)), full_job());
    let aside = fs::read_to_string(folder.path().join("job.unreadable.ron"));
    assert_eq!(aside.expect("put aside"), "half a fi");
}

#[test]
fn a_newer_file_is_never_saved_over() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("job.ron");
    for text in [
        "(format: \"pinchpoint\", version: 9, body: (title: \"x\"))",
        "(format: \"pinchpoint\", version: 9, body: (labour: 3))",
    ] {
        fs::write(&path, text).expect("written");
        let error = write_job(&path, &Job::default()).expect_err("refused");
        assert_eq!(error.cause, Cause::Refused);
        assert!(error.remedy.contains("another name"), "{error}");
        assert_eq!(fs::read_to_string(&path).expect("still there"), text);
    }
    assert_eq!(files_in(folder.path()), ["job.ron"]);
}

#[test]
fn what_cannot_be_saved_is_refused_and_the_old_file_stays() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("job.ron");
    write_job(&path, &full_job()).expect("saved");
    let mut job = full_job();
    job.circuit.wires[0].length = Some(metres(f64::NAN));
    let error = write_job(&path, &job).expect_err("no number");
    assert!(error.what.contains("NaN"), "{error}");
    assert_eq!(saved(&path), full_job());
    assert_eq!(files_in(folder.path()), ["job.ron"]);
}

#[test]
fn places_that_cannot_be_written_are_said_in_plain_words() {
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("job.ron");
    write_job(&file, &Job::default()).expect("saved");
    for (path, word) in [
        (folder.path().to_path_buf(), "a folder"),
        (folder.path().join("none/job.ron"), "no such file or folder"),
        (file.join("job.ron"), "a file, not a folder"),
        (folder.path().join("..").join(".."), "a folder"),
        (Path::new("").to_path_buf(), "no name for a file"),
        (folder.path().join("x".repeat(300)), "file name"),
    ] {
        let error = write_job(&path, &Job::default()).expect_err(word);
        assert_eq!(error.cause, Cause::Disk, "{error}");
        assert!(error.what.contains(word), "{word}: {error}");
        assert!(!error.remedy.is_empty());
    }
    let mut rights = fs::metadata(&file).expect("there").permissions();
    rights.set_readonly(true);
    fs::set_permissions(&file, rights).expect("set");
    let error = write_job(&file, &full_job()).expect_err("protected");
    assert!(error.what.contains("write-protected"), "{error}");
    assert_eq!(saved(&file), Job::default());
}

#[cfg(target_os = "linux")]
#[test]
fn a_full_disk_is_said_to_be_full() {
    // The device that refuses every byte as a full disk does; its own folder takes no temporary file, so the
    // words are checked on the error itself.
    use std::io::Write as _;
    let error = fs::File::create("/dev/full")
        .and_then(|mut full| full.write_all(b"x"))
        .expect_err("full");
    let told = pinchpoint::notebook::trouble::disk("job.ron", &error);
    assert!(told.what.contains("disk is full"), "{told}");
}

#[cfg(unix)]
#[test]
fn saving_through_a_link_keeps_the_link() {
    let folder = tempfile::tempdir().expect("a folder");
    let (file, link) = (
        folder.path().join("job.ron"),
        folder.path().join("link.ron"),
    );
    write_job(&file, &Job::default()).expect("saved");
    std::os::unix::fs::symlink(&file, &link).expect("linked");
    write_job(&link, &full_job()).expect("saved");
    assert_eq!(saved(&file), full_job());
    assert!(fs::symlink_metadata(&link).expect("there").is_symlink());
}
