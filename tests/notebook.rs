//! Job files: round trips, damage and bad input. No published reference exists for an own file format; the
//! properties (nothing lost, nothing silently different, no panic) are the requirement itself.

#[path = "support/full.rs"]
mod full;

use full::full_job;
use pinchpoint::{
    circuit::{Colour, ConductorSize, Point, Terminal, Wire},
    notebook::{Job, Record, format_job, parse_job},
    quantity::units::{as_milliamperes, metres, milliamperes, minutes, ohms, square_millimetres},
    reading::{
        Attached, Entry, Inspection, Kind, Lamp, Reading, Repair, Seen, State, Value, Wiggled,
    },
};
use proptest::prelude::*;

/// The job that uses everything, with a log line of every kind that version 3 of the format added.
fn kinds_job() -> Job {
    let mut job = full_job();
    let pin = || "C1.1n".parse::<Point>().expect("a point");
    job.log.push(Entry::Reading(Reading {
        step: Some(0.01),
        ..Reading::volts(pin(), 0.31)
    }));
    for (kind, value) in [
        (Kind::Clamp, Value::Exactly(0.12)),
        (Kind::Lamp(Lamp::Filament), Value::Seen(Seen::Dark)),
        (Kind::Lamp(Lamp::Led), Value::Seen(Seen::Dim)),
        (Kind::Scan, Value::Seen(Seen::Silent)),
    ] {
        job.log.push(Entry::Reading(Reading {
            kind,
            value,
            ..Reading::volts(pin(), 0.0)
        }));
    }
    job.log.push(Entry::Reading(Reading {
        wiggled: vec![Wiggled {
            place: "left sill".to_owned(),
            changed: true,
        }],
        ..Reading::volts(pin(), 0.669)
    }));
    job.meter.clamp.zero_a = 0.02;
    job
}

/// The same with places that were looked at, which version 4 added.
fn looked_job() -> Job {
    let mut job = kinds_job();
    let looks = [
        Inspection {
            part: "W1".to_owned(),
            metres: Some((0.5, 1.2)),
            note: "unwrapped".to_owned(),
            ..Inspection::default()
        },
        Inspection {
            part: "C1".to_owned(),
            pin: Some(2),
            set_aside: true,
            ..Inspection::default()
        },
        Inspection {
            part: "SP1".to_owned(),
            undrawn: true,
            ..Inspection::default()
        },
    ];
    job.log.extend(looks.map(Entry::Inspection));
    job
}

/// Its text as a file.
fn text_of(job: &Job) -> String {
    format_job("test.ron", job).expect("the job can be written")
}

/// The page that describes the file must name every field that the program writes.
#[test]
fn every_field_is_on_the_format_page() {
    let page = include_str!("../assets/formats/job-file.md");
    let text = text_of(&looked_job());
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
    for job in [full_job(), kinds_job(), Job::default()] {
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
    // Battery negative has one point only, whatever is written behind its name.
    let part = "[A-Za-z][A-Za-z0-9_-]{0,8}".prop_filter("battery negative", |part| part != "BN");
    (part, terminal).prop_map(|(part, terminal)| Point::new(part, terminal))
}

fn value() -> impl Strategy<Value = Value> {
    prop_oneof![
        number().prop_map(Value::Exactly),
        proptest::option::of(number()).prop_map(|above| Value::OverRange { above }),
        (number(), number()).prop_map(|(low, high)| Value::Between(low, high)),
        prop_oneof![Just(Seen::Lit), Just(Seen::Dark), Just(Seen::Answers)].prop_map(Value::Seen),
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
    let kind = prop_oneof![
        Just(Kind::Volts),
        Just(Kind::Ohms),
        Just(Kind::Amperes),
        Just(Kind::Clamp),
        Just(Kind::Lamp(Lamp::Led)),
        Just(Kind::Lamp(Lamp::Filament)),
        Just(Kind::Scan),
    ];
    let moved =
        (any::<String>(), any::<bool>()).prop_map(|(place, changed)| Wiggled { place, changed });
    let reading = (
        kind,
        point(),
        point(),
        value(),
        proptest::option::of(number()),
        state(),
        proptest::collection::vec(moved, 0..3),
        any::<bool>(),
        any::<String>(),
    )
        .prop_map(
            |(kind, red, black, value, step, state, wiggled, set_aside, note)| {
                Entry::Reading(Reading {
                    kind,
                    red,
                    black,
                    value,
                    step,
                    state,
                    wiggled,
                    set_aside,
                    note,
                })
            },
        );
    let look = (
        any::<String>(),
        any::<Option<u8>>(),
        proptest::option::of((number(), number())),
        any::<[bool; 2]>(),
        any::<String>(),
    )
        .prop_map(|(part, pin, metres, [undrawn, set_aside], note)| {
            Entry::Inspection(Inspection {
                part,
                pin,
                metres,
                undrawn,
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
    prop_oneof![4 => reading, 1 => repair, 1 => look]
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
    let first = Job {
        record: Record::default(),
        ..full_job()
    };
    for (golden, job) in [
        (include_str!("golden/version-1.ron"), first),
        (include_str!("golden/version-2.ron"), full_job()),
        (include_str!("golden/version-3.ron"), kinds_job()),
        (include_str!("golden/version-4.ron"), looked_job()),
    ] {
        let opened = parse_job("golden.ron", golden.as_bytes()).expect("reads");
        assert!(opened.sealed && opened.newer.is_none());
        assert_eq!(opened.job, job);
    }
}

/// A file says the oldest version that can read it, so that a shop with two versions of the program is not locked out.
#[test]
fn a_job_is_written_as_the_oldest_version_that_says_all_of_it() {
    for (job, version) in [
        (Job::default(), 1),
        (full_job(), 2),
        (kinds_job(), 3),
        (looked_job(), 4),
    ] {
        let text = text_of(&job);
        let line = format!("version: {version},");
        assert_eq!(text.lines().nth(2).map(str::trim), Some(&*line));
        assert_eq!(text.contains("record: ("), version > 1);
    }
    // One line with more than version 2 can say is enough, and none is not.
    for entry in kinds_job().log.split_off(full_job().log.len()) {
        let job = Job {
            log: vec![entry],
            ..Job::default()
        };
        assert!(text_of(&job).contains("version: 3,"), "{job:?}");
    }
}

proptest! {
    #[test]
    fn any_job_comes_back_as_it_was(
        texts in any::<[String; 5]>(),
        written in any::<[String; 6]>(),
        wires in proptest::collection::vec(wire(), 0..4),
        log in proptest::collection::vec(entry(), 0..5),
        now in state(),
        milliampere in number(),
        minute in number(),
    ) {
        let mut job = full_job();
        [job.title, job.vehicle, job.shop, job.request, job.notes] = texts;
        let record = &mut job.record;
        [record.cause, record.arrival, record.vehicle.plate, record.codes[0].code, record.work[0].what,
            record.attachments[0].name] = written;
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
