//! The record of a job: what is doubtful is said and keeps nobody from working; sums of minutes.

#[path = "support/full.rs"]
mod full;

use full::{full_job, full_record};
use pinchpoint::{
    notebook::{
        Job, Record, parse_job, problems,
        record::{Amendment, Attachment, Code, SignOff, Work, doubts},
    },
    quantity::units::{minutes, volts},
};

/// A complete record, with one thing changed.
fn changed(change: impl FnOnce(&mut Record)) -> Record {
    let mut record = full_record();
    change(&mut record);
    record
}

#[test]
fn a_proper_record_raises_no_doubt() {
    assert_eq!(doubts(&full_record()), []);
    assert_eq!(doubts(&Record::default()), []);
}

#[test]
fn doubts_name_the_place_and_the_remedy_and_are_never_fatal() {
    let hostile = "P06\u{202e}41".to_owned() + &"x".repeat(1_000_000);
    for (record, place, word) in [
        (
            changed(|r| r.vehicle.identification = "1G4AH59H55G118341".into()),
            "identification",
            "4 would fit",
        ),
        (
            changed(|r| r.vehicle.identification = "TR-118".into()),
            "identification",
            "17",
        ),
        (
            changed(|r| r.vehicle.battery = Some(volts(124.0))),
            "battery",
            "124 V",
        ),
        (
            changed(|r| {
                r.codes.push(Code {
                    code: hostile,
                    ..Code::default()
                })
            }),
            "code 2",
            "\\u{202e}",
        ),
        (
            changed(|r| r.work[1].took = minutes(-5.0)),
            "step 2",
            "-5 minutes",
        ),
        (
            changed(|r| r.work[0].took = minutes(9e9)),
            "step 1",
            "cannot be right",
        ),
        (
            changed(|r| r.attachments[0].sha256 = "../../secret".into()),
            "attachments",
            "chafe.jpg",
        ),
        (
            changed(|r| r.date = "31.02.2026".into()),
            "date",
            "February 2026 has 28 days",
        ),
        (
            changed(|r| r.sign_off.date = "2/4/2031".into()),
            "sign-off",
            "4 February or 2 April 2031",
        ),
        (
            changed(|r| r.amendments[0].date = "tomorrow".into()),
            "addition 1",
            "not read as a day",
        ),
        (
            changed(|r| r.sign_off = SignOff::default()),
            "amendments",
            "nobody has signed",
        ),
    ] {
        let found = doubts(&record);
        assert_eq!(found.len(), 1, "{place}: {found:?}");
        assert!(found[0].place.contains(place), "{found:?}");
        assert!(
            found[0].what.contains(word) && found[0].what.len() < 600,
            "{found:?}"
        );
        assert!(!found[0].remedy.is_empty() && !found[0].fatal);
        let job = Job {
            record,
            ..full_job()
        };
        assert!(problems(&job).contains(&found[0]), "`check` says it too");
    }
}

#[test]
fn minutes_add_up_and_nonsense_counts_nothing() {
    let record = full_record();
    // 9 minutes not billed, 35 billed, by the fixture.
    assert_eq!(record.minutes(), (44.0, 35.0));
    let step = |minute| Work {
        took: minutes(minute),
        ..record.work[1].clone()
    };
    let work = vec![step(f64::NAN), step(-4.0), step(f64::INFINITY), step(6.0)];
    assert_eq!(
        Record {
            work,
            ..Record::default()
        }
        .minutes(),
        (6.0, 6.0)
    );
}

#[test]
fn a_record_is_read_as_strictly_as_the_rest() {
    let head = "(format: \"pinchpoint\", version: 2, body: (record: (";
    for (inner, word) in [
        ("colour: \"red\"", "unknown field"),
        ("date: \"a\", date: \"b\"", "twice"),
        ("vehicle: (mileage: km(-1))", ""),
        ("vehicle: (battery_v: 1e999)", ""),
        ("work: [(what: \"x\")]", "minutes"),
        (
            "work: [(what: \"x\", minutes: 3, relation: Maybe)]",
            "Maybe",
        ),
        ("codes: [(text: \"no code\")]", "code"),
    ] {
        let error = parse_job("test.ron", format!("{head}{inner})))").as_bytes()).expect_err(inner);
        assert!(error.what.contains(word), "{inner}: {error}");
        assert!(error.place.is_some(), "{error}");
    }
    let read = parse_job("test.ron", format!("{head})))").as_bytes()).expect("an empty record");
    assert!(read.job.record.is_empty());
}

#[test]
fn records_without_the_optional_fields_read_with_the_usual_values() {
    let text = "(format: \"pinchpoint\", version: 2, body: (record: (work: [(what: \"x\", minutes: 3.0)], \
        amendments: [(text: \"late\")], attachments: [(sha256: \"\", name: \"a\", bytes: 1)])))";
    let record = parse_job("test.ron", text.as_bytes())
        .expect("reads")
        .job
        .record;
    assert!(record.work[0].billable && record.work[0].by.is_empty());
    assert_eq!(
        record.amendments[0],
        Amendment {
            text: "late".into(),
            ..Amendment::default()
        }
    );
    assert_eq!(
        record.attachments[0].bytes,
        Attachment {
            bytes: 1,
            ..Attachment::default()
        }
        .bytes
    );
}
