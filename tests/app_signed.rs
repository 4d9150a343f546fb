//! A signed record, without the window: what was signed stays, what is added stays once it is saved, and a signature that
//! is taken off leaves its trace. The requirement itself; no outside source.

mod support;

use pinchpoint::{
    app::{Log, Model, Note, Sketch, job::Piece, signed::is_trace, update::update},
    notebook::{
        Job, Record,
        record::{Amendment, Attachment},
    },
    reading::Meter,
};
use std::sync::Arc;
use support::jobs::{job, replay, typing};

/// Changes a piece of the record and answers what was said against it.
fn write(model: &mut Model, piece: Piece, change: impl FnOnce(&mut Record)) -> Option<String> {
    let mut record = model.job.record.clone();
    change(&mut record);
    said(model, Note::Record(piece, Box::new(record)).into())
}

fn said(model: &mut Model, command: pinchpoint::app::Command) -> Option<String> {
    model.notices.clear();
    update(model, command);
    model.notices.last().map(|notice| notice.what.clone())
}

/// A job with a reading, signed and saved so.
fn signed() -> Model {
    let mut model = Model::new(job());
    replay(&mut model, vec![Log::Add(typing("C1.1n", "8.9")).into()]);
    let none = write(&mut model, Piece::SignOff, |record| {
        record.sign_off.by = "H. Aldersey".into();
        record.sign_off.date = "2031-04-02".into();
    });
    assert_eq!(none, None);
    model.saved = Arc::clone(&model.job);
    model
}

fn added(text: &str) -> Amendment {
    Amendment {
        text: text.into(),
        ..Amendment::default()
    }
}

#[test]
fn neither_the_record_nor_the_drawing_nor_the_meter_changes_under_a_signature() {
    let mut model = signed();
    let before = Arc::clone(&model.job);
    let other = Meter {
        percent: 3.0,
        ..Meter::default()
    };
    for command in [
        Sketch::SetZones(Vec::new()).into(),
        Sketch::Remove("W7".into()).into(),
        Note::SetMeter(other).into(),
        Note::Nominal("M1".into(), 5.0).into(),
        Note::Access(vec![("C2".into(), 1.0)]).into(),
        Log::Remove(0).into(),
    ] {
        let told = said(&mut model, command).expect("refused");
        assert!(told.contains("H. Aldersey has signed it"), "{told}");
    }
    assert!(write(&mut model, Piece::Outcome, |r| r.cause = "W7".into()).is_some());
    assert!(
        write(&mut model, Piece::SignOff, |r| r.sign_off.date =
            "2031-05-01".into())
        .is_some()
    );
    assert!(Arc::ptr_eq(&model.job, &before));
    let photo = Attachment::default();
    assert_eq!(
        write(&mut model, Piece::Photos, |r| r.attachments.push(photo)),
        None
    );
    assert!(write(&mut model, Piece::Photos, |r| r.attachments.clear()).is_some());
    // What adds to it goes on.
    assert_eq!(
        said(&mut model, Log::Add(typing("C1.1n", "9.0")).into()),
        None
    );
}

#[test]
fn additions_stay_once_they_are_saved() {
    let mut model = signed();
    let add = |text: &'static str| move |r: &mut Record| r.amendments.push(added(text));
    assert_eq!(write(&mut model, Piece::Amendments, add("came back")), None);
    assert_eq!(
        write(&mut model, Piece::Amendments, |r| r.amendments[0].text =
            "came back dry".into()),
        None,
        "it is still being written"
    );
    model.saved = Arc::clone(&model.job);
    for change in [
        (|r: &mut Record| r.amendments[0].text = "never came back".into()) as fn(&mut Record),
        |r| r.amendments.clear(),
    ] {
        let told = write(&mut model, Piece::Amendments, change).expect("refused");
        assert!(told.contains("saved and stays"), "{told}");
    }
    assert_eq!(write(&mut model, Piece::Amendments, add("and went")), None);
    assert_eq!(model.job.record.amendments.len(), 2);
}

#[test]
fn a_signature_that_is_taken_off_or_replaced_leaves_its_trace() {
    let mut model = signed();
    write(&mut model, Piece::SignOff, |r| r.sign_off.by.clear());
    let trace = |model: &Model, at: usize| model.job.record.amendments[at].text.clone();
    assert!(trace(&model, 0).contains("signature of H. Aldersey of 2031-04-02 was taken off"));
    assert_eq!(
        write(&mut model, Piece::Outcome, |r| r.cause = "W7".into()),
        None
    );
    write(&mut model, Piece::SignOff, |r| {
        r.sign_off.by = "H. Aldersey".into()
    });
    assert_eq!(
        write(&mut model, Piece::SignOff, |r| r.sign_off.date =
            "2031-04-09".into()),
        None,
        "the new signature has a day of its own"
    );
    write(&mut model, Piece::SignOff, |r| {
        r.sign_off.by = "N. Comer".into()
    });
    assert!(trace(&model, 1).contains("N. Comer signed in the place of H. Aldersey of 2031-04-09"));
}

#[test]
fn an_empty_job_cannot_be_signed() {
    let mut model = Model::new(Job::default());
    let sign = |r: &mut Record| r.sign_off.by = "N. Comer".into();
    let told = write(&mut model, Piece::SignOff, sign).expect("refused");
    assert!(told.contains("nothing to sign yet"), "{told}");
    assert_eq!(model.job.record.sign_off.by, "");
    assert_eq!(
        write(&mut model, Piece::Arrival, |r| r.arrival =
            "sits low".into()),
        None
    );
    assert_eq!(write(&mut model, Piece::SignOff, sign), None);
}

#[test]
fn lines_that_come_to_the_log_after_the_signature_are_told_in_one_addition() {
    let mut model = signed();
    for value in ["8.8", "8.7"] {
        replay(&mut model, vec![Log::Add(typing("C1.1n", value)).into()]);
    }
    let told = "Lines 2 to 3 came to the log after the signature.";
    assert_eq!(model.job.record.amendments, [added(told)]);
    // Another word in between, and the next line is told by itself.
    let said = write(&mut model, Piece::Amendments, |record| {
        record
            .amendments
            .push(added("Read again at the owner's wish."));
    });
    assert_eq!(said, None);
    replay(&mut model, vec![Log::Add(typing("C1.1n", "8.6")).into()]);
    let last = model.job.record.amendments.last();
    assert_eq!(
        last,
        Some(&added("Line 4 came to the log after the signature."))
    );
}

#[test]
fn what_the_program_told_is_neither_changed_nor_taken_out_saved_or_not() {
    let mut model = signed();
    replay(&mut model, vec![Log::Add(typing("C1.1n", "8.8")).into()]);
    let before = model.job.record.amendments.clone();
    let rub_out: [fn(&mut Record); 3] = [
        |r| r.amendments.clear(),
        |r| r.amendments[0].text = "Nothing came.".into(),
        |r| r.amendments[0].by = "N. Comer".into(),
    ];
    for change in rub_out {
        let told = write(&mut model, Piece::Amendments, change).expect("refused");
        assert!(told.contains("and stays"), "{told}");
    }
    assert_eq!(model.job.record.amendments, before);
    let add = |r: &mut Record| r.amendments.push(added("Read again."));
    assert_eq!(write(&mut model, Piece::Amendments, add), None);
    // Words of a person are theirs until they are saved.
    let take = |r: &mut Record| r.amendments.truncate(1);
    assert_eq!(write(&mut model, Piece::Amendments, take), None);
    // Nor once the signature is off.
    write(&mut model, Piece::SignOff, |r| r.sign_off.by.clear());
    assert!(write(&mut model, Piece::Amendments, |r| r.amendments.clear()).is_some());
}

#[test]
fn a_persons_own_words_that_end_alike_are_not_locked() {
    let mut model = signed();
    let own = "A second reading came to the log after the signature.";
    let write_own = |record: &mut Record| record.amendments.push(added(own));
    assert_eq!(write(&mut model, Piece::Amendments, write_own), None);
    assert!(!is_trace(&model.job.record.amendments[0]));
    let refused = write(&mut model, Piece::Amendments, |r| r.amendments.clear());
    assert_eq!(refused, None);
}
