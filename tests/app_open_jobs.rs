//! Several jobs open at once, without the window: nothing of any of them is lost, and what is loose on one is asked about
//! when it is left. The requirement itself; no outside source.

mod support;

use std::{fs, path::Path, sync::Arc};

use pinchpoint::{
    app::{
        Bench, FileCommand, Log, Model, NotebookCommand, Screen, Session,
        command::{GuardAnswer, Leave},
        home::Home,
        model::{Ask, Page},
        notebook::{Filter, Order},
    },
    notebook::{Job, read_job, write_job},
};
use support::jobs::{job, replay, typing};

fn titled(title: &str) -> Job {
    Job {
        title: title.to_owned(),
        ..job()
    }
}

fn start(title: &str) -> pinchpoint::app::Command {
    FileCommand::Leave(Leave::Start(Box::new(titled(title)))).into()
}

fn titles(model: &Model) -> Vec<String> {
    model.tabs().into_iter().map(|tab| tab.title).collect()
}

#[test]
fn a_job_with_changes_stays_open_with_its_steps_when_another_comes() {
    let mut model = Model::new(titled("one"));
    replay(
        &mut model,
        vec![
            Log::Add(typing("C1.1n", "8.9")).into(),
            start("two"),
            Log::Add(typing("C1.1n", "0.6")).into(),
            start("three"),
        ],
    );
    assert_eq!(titles(&model), ["one", "two", "three"]);
    assert_eq!(model.job.title, "three");
    let one = model.tabs()[0].number;
    replay(
        &mut model,
        vec![FileCommand::Leave(Leave::Switch(one)).into()],
    );
    assert_eq!((model.job.title.as_str(), model.job.log.len()), ("one", 1));
    // What was never changed and has no file is a sample or an empty sheet, and goes.
    assert_eq!(titles(&model), ["one", "two"]);
    replay(&mut model, vec![pinchpoint::app::Command::Undo]);
    assert!(model.job.log.is_empty(), "its steps came with it");
    let none = FileCommand::Leave(Leave::Switch(99)).into();
    replay(&mut model, vec![none]);
    assert_eq!(model.job.title, "one");
}

#[test]
fn closing_the_window_asks_about_every_job_with_changes() {
    let mut model = Model::new(titled("one"));
    replay(
        &mut model,
        vec![
            Log::Add(typing("C1.1n", "8.9")).into(),
            start("two"),
            Log::Add(typing("C1.1n", "0.6")).into(),
        ],
    );
    let effects = replay(&mut model, vec![FileCommand::Leave(Leave::Quit).into()]);
    let ask = |model: &Model| model.guard.as_ref().map(|guard| guard.ask.clone());
    assert!(effects.is_empty());
    assert_eq!(
        (model.job.title.as_str(), ask(&model)),
        ("two", Some(Ask::Unsaved))
    );
    let discard = || vec![FileCommand::Answer(GuardAnswer::Discard).into()];
    assert!(replay(&mut model, discard()).is_empty());
    assert_eq!(
        (model.job.title.as_str(), ask(&model)),
        ("one", Some(Ask::Unsaved))
    );
    assert_eq!(
        replay(&mut model, discard()),
        [pinchpoint::app::Effect::Quit]
    );
}

#[test]
fn a_save_that_ends_after_a_change_of_jobs_belongs_to_the_job_it_was_of() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut session = Session::start(titled("one"), Arc::new(|| {})).expect("threads");
    session.send(Log::Add(typing("C1.1n", "8.9")));
    session.send(FileCommand::SaveAs(folder.path().join("one.ron")));
    session.send(start("two"));
    session.settle();
    let model = session.model();
    assert_eq!((model.job.title.as_str(), &model.path), ("two", &None));
    let one = &model.beside[0];
    assert!(!one.is_dirty());
    assert_eq!(
        one.path.as_deref(),
        Some(folder.path().join("one.ron").as_path())
    );
}

#[test]
fn changes_in_every_open_job_come_back_after_a_crash() {
    let folder = tempfile::tempdir().expect("a folder");
    let open = |folder: &Path| {
        Session::start_at(Home::at(folder), Job::default(), Arc::new(|| {})).expect("threads")
    };
    let mut session = open(folder.path());
    for title in ["one", "two", "three"] {
        session.send(start(title));
        session.send(Log::Add(typing("C1.1n", "8.9")));
    }
    let one = session.model().tabs()[0].number;
    session.send(FileCommand::Leave(Leave::Switch(one)));
    session.send(Log::Add(typing("C1.1n", "8.8")));
    drop(session);
    let session = open(folder.path());
    let mut left: Vec<(String, usize)> = session
        .model()
        .recovered
        .iter()
        .map(|left| (left.job.title.clone(), left.job.log.len()))
        .collect();
    left.sort();
    let all = [("one", 2), ("three", 1), ("two", 1)];
    assert_eq!(left, all.map(|(title, lines)| (title.to_owned(), lines)));
}

#[test]
fn a_file_that_is_open_already_comes_to_the_bench_as_it_is() {
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("one.ron");
    write_job(&file, &titled("one")).expect("saved");
    let mut session = Session::start(Job::default(), Arc::new(|| {})).expect("threads");
    session.send(FileCommand::Leave(Leave::Open(file.clone())));
    session.settle();
    session.send(Log::Add(typing("C1.1n", "8.9")));
    session.send(start("two"));
    session.send(FileCommand::Leave(Leave::Open(file.clone())));
    session.settle();
    assert_eq!(session.model().job.log.len(), 1, "with its changes");
    assert_eq!(titles(session.model()), ["one"]);
    session.send(FileCommand::Leave(Leave::Open(file.clone())));
    session.settle();
    assert_eq!(session.model().job.log.len(), 1);
    assert!(
        session
            .model()
            .notices
            .last()
            .is_some_and(|n| n.what.contains("already"))
    );
    session.send(FileCommand::Save);
    session.settle();
    assert_eq!(read_job(&file).expect("saved").job.log.len(), 1);
}

#[test]
fn the_notebook_is_read_searched_and_read_anew_after_a_save() {
    let folder = tempfile::tempdir().expect("a folder");
    for (name, title, date) in [
        ("a", "crane boom", "2031-01-05"),
        ("b", "winch", "2031-03-01"),
    ] {
        let mut job = titled(title);
        job.record.date = date.to_owned();
        write_job(&folder.path().join(format!("{name}.ron")), &job).expect("saved");
    }
    let home = tempfile::tempdir().expect("a folder");
    let at = || Session::start_at(Home::at(home.path()), job(), Arc::new(|| {})).expect("threads");
    let found = |session: &Session| -> Vec<String> {
        let listing = session.model().notebook.listing.as_ref().expect("read");
        let cards = &listing.shelf.as_ref().expect("read").cards;
        listing
            .found
            .iter()
            .map(|found| cards[found.at].path.clone())
            .collect()
    };
    let mut session = at();
    session.send(NotebookCommand::SetFolder(folder.path().to_path_buf()));
    session.settle();
    assert!(
        session.model().notebook.listing.is_none(),
        "nobody looks at it"
    );
    session.send(Screen::Show(Page::Notebook));
    session.settle();
    assert_eq!(found(&session), ["b.ron", "a.ron"], "the latest day first");
    session.send(NotebookCommand::SetOrder(Order::File));
    session.settle();
    assert_eq!(found(&session), ["a.ron", "b.ron"]);
    session.send(NotebookCommand::Toggle(Filter::Signed));
    session.settle();
    assert!(found(&session).is_empty());
    session.send(NotebookCommand::Toggle(Filter::Signed));
    session.send(NotebookCommand::Ask("wimch".into()));
    session.settle();
    assert_eq!(found(&session), ["b.ron"]);
    session.send(NotebookCommand::Ask(String::new()));
    session.send(NotebookCommand::PutAway("a.ron".into()));
    session.settle();
    assert_eq!(found(&session), ["b.ron"], "it is put away");
    session.send(NotebookCommand::Toggle(Filter::Away));
    session.settle();
    assert_eq!(found(&session), ["put-away/a.ron"]);
    session.send(FileCommand::Leave(Leave::Open(
        folder.path().join("put-away/a.ron"),
    )));
    session.settle();
    session.send(NotebookCommand::PutAway("put-away/a.ron".into()));
    session.settle();
    let told = session.model().notices.last().expect("a notice");
    assert_eq!(told.what, "this job is open");
    session.send(FileCommand::Leave(Leave::Close));
    session.send(NotebookCommand::PutAway("put-away/a.ron".into()));
    session.send(NotebookCommand::Toggle(Filter::Away));
    session.settle();
    assert_eq!(found(&session), ["a.ron", "b.ron"], "and is back");
    session.send(Bench::Unplug("C2".into()));
    session.send(FileCommand::SaveAs(folder.path().join("c.ron")));
    session.send(NotebookCommand::Ask(String::new()));
    session.settle();
    assert_eq!(found(&session).len(), 3);
    drop(session);
    assert_eq!(at().model().notebook.folder.as_deref(), Some(folder.path()));
    // A folder that is gone is told on the page, and nothing else suffers.
    fs::remove_dir_all(folder.path()).expect("removed");
    let mut session = at();
    session.send(Screen::Show(Page::Notebook));
    session.settle();
    let listing = session.model().notebook.listing.clone().expect("an answer");
    assert!(
        listing
            .trouble
            .as_ref()
            .is_some_and(|error| error.what.contains("no such file"))
    );
    fs::create_dir_all(folder.path()).expect("as it was");
}
