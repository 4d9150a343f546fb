//! The record through the window's state: steps with names, typing that joins, a report beside the job's file.

mod support;

use std::sync::Arc;

use pinchpoint::{
    app::{
        Command, FileCommand, Model, Note, Session,
        job::Piece,
        update::{Effect, update},
    },
    notebook::{Record, read_job},
    report::Form,
};
use support::jobs::{job, replay};

fn plate(text: &str) -> Command {
    let mut record = Record::default();
    record.vehicle.plate = text.to_owned();
    Note::Record(Piece::Vehicle, Box::new(record)).into()
}

#[test]
fn typing_in_one_field_is_one_step_with_a_name() {
    let mut model = Model::new(job());
    replay(
        &mut model,
        vec![
            plate("H"),
            plate("HL"),
            plate("HL 4471"),
            Command::EndGesture,
            plate("HL 4472"),
        ],
    );
    assert_eq!(model.job.record.vehicle.plate, "HL 4472");
    assert_eq!(
        model.history.undo_name(),
        Some("Edit the vehicle's particulars")
    );
    replay(&mut model, vec![Command::Undo]);
    assert_eq!(model.job.record.vehicle.plate, "HL 4471");
    replay(&mut model, vec![Command::Undo]);
    assert!(model.job.record.is_empty());
    assert!(!model.is_dirty());
}

#[test]
fn a_report_needs_a_file_and_goes_beside_it() {
    let mut model = Model::new(job());
    assert_eq!(
        update(&mut model, FileCommand::Report(Form::Pdf).into()),
        []
    );
    assert!(
        model
            .notices
            .iter()
            .any(|notice| notice.remedy.contains("Save the job first"))
    );
    model.path = Some("jobs/CT-4471.ron".into());
    let effects = update(&mut model, FileCommand::Report(Form::Pdf).into());
    assert_eq!(
        effects,
        [Effect::Report {
            file: "jobs/CT-4471.ron".into(),
            to: "jobs/CT-4471.pdf".into(),
            job: Arc::clone(&model.job),
            form: Form::Pdf,
        }]
    );
}

#[test]
fn a_session_writes_the_report_and_says_so() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("CT-4471.ron");
    let mut session = Session::start(job(), Arc::new(|| {})).expect("started");
    session.send(plate("HL 4471"));
    session.send(FileCommand::SaveAs(path.clone()));
    session.settle();
    assert_eq!(
        read_job(&path).expect("saved").job.record.vehicle.plate,
        "HL 4471"
    );
    for form in [Form::Pdf, Form::Html, Form::Csv] {
        session.send(FileCommand::Report(form));
        session.settle();
        let written = std::fs::read(path.with_extension(form.ending())).expect("written");
        assert!(!written.is_empty());
    }
    assert!(
        session
            .model()
            .notices
            .iter()
            .any(|notice| notice.what.contains("beside the job"))
    );
    let page = std::fs::read_to_string(path.with_extension("html")).expect("text");
    assert!(page.contains("HL 4471"));
}

#[test]
fn a_report_is_not_written_over_a_file_of_somebody_else() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("CT-4471.ron");
    let mut session = Session::start(job(), Arc::new(|| {})).expect("started");
    session.send(FileCommand::SaveAs(path.clone()));
    session.settle();
    for form in [Form::Pdf, Form::Html, Form::Csv] {
        let estimate = path.with_extension(form.ending());
        std::fs::write(&estimate, "the estimate").expect("written");
        let own = folder
            .path()
            .join(format!("CT-4471-report.{}", form.ending()));
        // The second one replaces the first, which is ours.
        for _ in 0..2 {
            session.send(FileCommand::Report(form));
            session.settle();
            let notice = session.model().notices.last().expect("a notice");
            assert!(notice.place.starts_with("CT-4471-report."), "{notice:?}");
        }
        assert_eq!(std::fs::read(&estimate).expect("there"), b"the estimate");
        assert!(std::fs::read(&own).expect("written").len() > 100);
    }
    assert_eq!(std::fs::read_dir(folder.path()).expect("read").count(), 7);
}
