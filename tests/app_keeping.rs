//! Settings and unsaved changes: what is kept for the next start, and what becomes of it.

mod support;

use std::{fs, path::Path, sync::Arc, time::Instant};

use pinchpoint::{
    app::{
        FileCommand, Log, Model, Screen, Session,
        command::{GuardAnswer, Leave},
        home::Home,
        model::{Ask, Look, Page, Theme},
        settings::{Settings, WindowPlace},
    },
    notebook::{Job, read_job},
};
use support::jobs::{job, typing};

fn open(folder: &Path) -> Session {
    Session::start_at(Home::at(folder), Job::default(), Arc::new(|| {})).expect("threads")
}

fn recovered(session: &Session) -> Vec<String> {
    let left = session.model().recovered.iter();
    left.map(|left| left.job.title.clone()).collect()
}

#[test]
fn settings_come_back_at_the_next_start() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut session = open(folder.path());
    let place = WindowPlace {
        at: Some((10.0, 20.0)),
        size: (1280.0, 800.0),
        maximised: false,
    };
    session.send(Screen::SetTheme(Theme::Dim));
    session.send(Screen::SetScale(400));
    session.send(Screen::SetGlove(true));
    session.send(Screen::Show(Page::Job));
    session.send(Screen::SetWindow(place));
    drop(session);
    let session = open(folder.path());
    let look = Look {
        theme: Theme::Dim,
        scale: 250,
        glove: true,
    };
    assert_eq!(
        session.model().look,
        look,
        "the size is held within its range"
    );
    assert_eq!(
        (session.model().page, session.model().window),
        (Page::Job, Some(place))
    );
    assert!(session.model().notices.is_empty());
}

#[test]
fn settings_that_cannot_be_read_are_told_and_kept() {
    let check = |text: &str| {
        let folder = tempfile::tempdir().expect("a folder");
        let home = Home::at(folder.path());
        fs::write(home.settings(), text).expect("written");
        let (settings, trouble) = Settings::read(&home);
        (
            settings,
            trouble,
            folder.path().join("settings.unreadable.ron").exists(),
        )
    };
    for text in ["", "(", "(look: 3)", "(page: Kitchen)", "(recent: [\"a\"]"] {
        let (settings, trouble, kept) = check(text);
        assert_eq!(settings, Settings::default(), "{text}");
        let trouble = trouble.expect("a sentence about it");
        assert!(
            !trouble.what.is_empty() && !trouble.remedy.is_empty() && kept,
            "{text}"
        );
    }
    // Of a later version, or by hand: what is known applies, and impossible numbers do not.
    let (settings, trouble, _) =
        check("(look: (theme: Dim, scale: 9), window: Some((size: (NaN, 5.0))), tilt: 3)");
    assert_eq!(
        (settings.look.theme, settings.look.scale, settings.window),
        (Theme::Dim, 80, None)
    );
    assert_eq!(trouble, None);
}

#[test]
fn a_change_is_on_disk_within_four_seconds() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut session = open(folder.path());
    session.send(FileCommand::Leave(Leave::Start(Box::new(job()))));
    let slot = Home::at(folder.path()).recovery().join("window-0.ron");
    for value in ["8.9", "8.8", "8.7"] {
        session.send(Log::Add(typing("C1.1n", value)));
        let (start, lines) = (Instant::now(), session.model().job.log.len());
        // Four seconds are promised to whoever works here, so that this one test looks at a clock.
        // Read as another program would after a crash: the file is whole at every moment.
        while read_job(&slot).map_or(0, |opened| opened.job.log.len()) < lines {
            assert!(start.elapsed().as_secs_f64() < 4.0, "not kept within 4 s");
            std::thread::sleep(std::time::Duration::from_millis(20));
        }
    }
}

#[test]
fn what_a_window_left_behind_is_offered_and_recovered() {
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("tender.ron");
    let mut session = open(folder.path());
    session.send(FileCommand::Leave(Leave::Start(Box::new(job()))));
    session.send(FileCommand::SaveAs(file.clone()));
    session.settle();
    session.send(Log::Add(typing("C1.1n", "8.9")));
    // The window goes without a question, as when the machine is switched off.
    drop(session);
    let mut session = open(folder.path());
    assert_eq!(recovered(&session), [job().title]);
    // A second window leaves it to the first.
    assert_eq!(recovered(&open(folder.path())), [""; 0]);
    let left = session.model().recovered[0].clone();
    session.send(FileCommand::Leave(Leave::Recover(Box::new(left))));
    session.settle();
    assert_eq!(session.model().job.log.len(), 1);
    assert_eq!(session.model().path.as_deref(), Some(file.as_path()));
    assert!(session.model().is_dirty());
    session.send(FileCommand::Save);
    session.settle();
    assert_eq!(read_job(&file).expect("saved").job.log.len(), 1);
    assert!(!folder.path().join("tender.conflict.ron").exists());
    drop(session);
    assert_eq!(recovered(&open(folder.path())), [""; 0]);
}

#[test]
fn what_is_recovered_is_safe_before_the_old_copy_goes() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut session = open(folder.path());
    session.send(FileCommand::Leave(Leave::Start(Box::new(job()))));
    session.send(Log::Add(typing("C1.1n", "8.9")));
    drop(session);
    let mut session = open(folder.path());
    let left = session.model().recovered[0].clone();
    session.send(FileCommand::Leave(Leave::Recover(Box::new(left))));
    drop(session);
    let session = open(folder.path());
    let logs: Vec<usize> = session
        .model()
        .recovered
        .iter()
        .map(|r| r.job.log.len())
        .collect();
    assert_eq!(logs, [1], "once, and whole");
}

#[test]
fn what_is_not_wanted_is_gone_for_good() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut session = open(folder.path());
    session.send(FileCommand::Leave(Leave::Start(Box::new(job()))));
    session.send(Log::Add(typing("C1.1n", "8.9")));
    drop(session);
    let mut session = open(folder.path());
    let left = session.model().recovered[0].clone();
    session.send(FileCommand::Forget(Box::new(left)));
    drop(session);
    assert_eq!(recovered(&open(folder.path())), [""; 0]);
}

#[test]
fn discarding_on_the_way_out_leaves_nothing_to_recover() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut session = open(folder.path());
    session.send(FileCommand::Leave(Leave::Start(Box::new(job()))));
    session.send(Log::Add(typing("C1.1n", "8.9")));
    session.send(FileCommand::Leave(Leave::Quit));
    let ask = |model: &Model| model.guard.as_ref().map(|guard| guard.ask.clone());
    assert_eq!(ask(session.model()), Some(Ask::Unsaved));
    session.send(FileCommand::Answer(GuardAnswer::Discard));
    drop(session);
    assert_eq!(recovered(&open(folder.path())), [""; 0]);
}

#[test]
fn a_damaged_copy_is_told_once_and_kept() {
    let folder = tempfile::tempdir().expect("a folder");
    let recovery = Home::at(folder.path()).recovery();
    fs::create_dir_all(&recovery).expect("made");
    fs::write(
        recovery.join("window-0.ron"),
        "(format: \"pinchpoint\", ver",
    )
    .expect("written");
    assert_eq!(open(folder.path()).model().notices.len(), 1);
    assert_eq!(open(folder.path()).model().notices.len(), 0);
    assert!(recovery.join("window-0.unreadable.ron").exists());
}

#[test]
fn a_home_that_cannot_be_written_is_told() {
    let folder = tempfile::tempdir().expect("a folder");
    let blocked = folder.path().join("file");
    fs::write(&blocked, "in the way").expect("written");
    let mut session = open(&blocked);
    assert!(!session.model().notices.is_empty());
    session.send(Screen::SetGlove(true));
    session.settle();
    assert!(
        session
            .model()
            .notices
            .iter()
            .all(|notice| !notice.remedy.is_empty())
    );
    assert!(session.model().look.glove);
}

#[test]
fn a_job_that_puts_the_question_answered_last_is_answered_too() {
    let mut session = Session::start(job(), Arc::new(|| {})).expect("threads");
    session.settle();
    assert!(session.model().current_findings().is_some());
    // As when a file is opened that holds the very circuit and log that are on the bench.
    session.send(FileCommand::Leave(Leave::Start(Box::new(job()))));
    session.settle();
    assert!(session.model().guard.is_none());
    assert!(session.model().current_findings().is_some());
}
