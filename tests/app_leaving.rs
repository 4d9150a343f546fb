//! Leaving a job: what is asked first, and what is kept.

mod support;

use std::sync::Arc;

use pinchpoint::{
    app::{
        Bench, FileCommand, Log, Model, Session,
        command::{GuardAnswer, Leave},
        model::Ask,
        session::WindowRequest,
        update::Effect,
    },
    notebook::{Saved, Stamp},
    reading::{Entry, Value},
};
use support::jobs::{job, replay, typing};

#[test]
fn leaving_asks_to_reconnect_and_then_to_save() {
    let mut model = Model::new(job());
    let effects = replay(
        &mut model,
        vec![
            Bench::Unplug("C2".into()).into(),
            FileCommand::Leave(Leave::Close).into(),
        ],
    );
    assert_eq!(effects, []);
    let ask = |model: &Model| model.guard.as_ref().map(|g| g.ask.clone());
    assert_eq!(ask(&model), Some(Ask::Reconnect(vec!["C2".into()])));
    replay(
        &mut model,
        vec![FileCommand::Answer(GuardAnswer::LeaveUnplugged).into()],
    );
    assert_eq!(ask(&model), Some(Ask::Unsaved));
    let effects = replay(
        &mut model,
        vec![FileCommand::Answer(GuardAnswer::Save).into()],
    );
    assert_eq!(effects, [Effect::AskWhereToSave]);
    let effects = replay(&mut model, vec![FileCommand::SaveAs("a.ron".into()).into()]);
    assert_eq!(
        effects,
        [Effect::Save {
            path: "a.ron".into(),
            job: Arc::clone(&model.job),
            seen: None,
            photos_at: None,
        }]
    );
    let saved = Saved {
        path: "a.ron".into(),
        stamp: Stamp::of(b""),
        conflict: false,
    };
    let done = FileCommand::Saved("a.ron".into(), Arc::clone(&model.job), Box::new(Ok(saved)));
    assert_eq!(replay(&mut model, vec![done.into()]), []);
    assert_eq!((model.job.title.as_str(), ask(&model)), ("", None));
}

#[test]
fn staying_keeps_everything_and_reconnecting_notes_it() {
    let mut model = Model::new(job());
    replay(
        &mut model,
        vec![
            Bench::Unplug("C2".into()).into(),
            FileCommand::Leave(Leave::Quit).into(),
            FileCommand::Answer(GuardAnswer::Stay).into(),
        ],
    );
    assert!(model.guard.is_none() && model.job.now.unplugged.contains("C2"));
    let effects = replay(
        &mut model,
        vec![
            FileCommand::Leave(Leave::Quit).into(),
            FileCommand::Answer(GuardAnswer::Reconnected).into(),
        ],
    );
    // Everything is as it was when the job came to the bench, so there is nothing to save.
    assert_eq!(effects, [Effect::Quit]);
}

#[test]
fn a_session_answers_by_itself_and_reads_and_writes_files() {
    let folder = std::env::temp_dir().join(format!("pinchpoint-session-{}", std::process::id()));
    std::fs::create_dir_all(&folder).expect("a folder for the test");
    let path = folder.join("tender.ron");
    let mut session = Session::start(job(), Arc::new(|| {})).expect("threads");
    session.settle();
    assert!(session.model().current_findings().is_some());
    session.send(Log::Add(typing("C1.1n", "8.9")));
    assert!(session.model().is_dirty());
    session.send(FileCommand::SaveAs(path.clone()));
    session.settle();
    assert!(!session.model().is_dirty(), "{:?}", session.model().notices);
    assert!(session.model().current_findings().is_some());
    session.send(FileCommand::Leave(Leave::Start(Box::default())));
    session.send(FileCommand::Leave(Leave::Open(path)));
    session.settle();
    let [Entry::Reading(reading)] = &session.model().job.log[..] else {
        panic!("one reading, not {:?}", session.model().job.log);
    };
    assert_eq!(reading.value, Value::Exactly(8.9));
    session.send(FileCommand::Leave(Leave::Open(folder.join("none.ron"))));
    session.settle();
    assert_eq!(session.model().notices.len(), 1);
    session.send(FileCommand::Leave(Leave::Quit));
    assert_eq!(session.window_requests(), [WindowRequest::Close]);
    std::fs::remove_dir_all(&folder).expect("the test's own folder");
}
