//! Photos go wherever their job goes: to another folder, with a copy, through a crash. The requirement itself; no outside
//! source.

mod support;

use std::{fs, path::Path, sync::Arc};

use pinchpoint::{
    app::{FileCommand, Log, NotebookCommand, Session, command::Leave, home::Home},
    notebook::{attach::read_attachment, read_job},
};
use support::jobs::{job, typing};

fn session(home: &Path) -> Session {
    Session::start_at(Home::at(home), job(), Arc::new(|| {})).expect("threads")
}

/// A folder with a saved job that has a photo.
fn with_photo(home: &Path, shop: &Path) -> Session {
    let photo = shop.join("chafe.jpg");
    fs::write(&photo, b"a photo").expect("written");
    let mut session = session(home);
    session.send(Log::Add(typing("C1.1n", "8.9")));
    session.send(FileCommand::SaveAs(shop.join("tender.ron")));
    session.settle();
    session.send(NotebookCommand::Attach(vec![photo]));
    session.settle();
    session.send(FileCommand::Save);
    session.settle();
    session
}

/// Whether a saved job has all that its record names.
fn has_its_photo(file: &Path) -> bool {
    let job = read_job(file).expect("saved").job;
    let photos = &job.record.attachments;
    photos.len() == 1
        && photos
            .iter()
            .all(|photo| read_attachment(file, photo).is_ok())
}

#[test]
fn a_job_saved_in_another_folder_takes_its_photos_along() {
    let (home, shop, stick) = folders();
    let mut session = with_photo(home.path(), shop.path());
    session.send(FileCommand::SaveAs(stick.path().join("tender.ron")));
    session.settle();
    assert!(has_its_photo(&stick.path().join("tender.ron")));
    assert!(
        has_its_photo(&shop.path().join("tender.ron")),
        "and leaves them where they were"
    );
}

#[test]
fn copies_of_a_job_have_its_photos_even_after_a_crash() {
    let (home, shop, stick) = folders();
    let mut session = with_photo(home.path(), shop.path());
    session.send(FileCommand::Duplicate);
    session.send(FileCommand::SaveAs(stick.path().join("copy.ron")));
    session.settle();
    assert!(has_its_photo(&stick.path().join("copy.ron")));
    let listed = shop.path().join("tender.ron");
    session.send(FileCommand::Leave(Leave::Copy(listed)));
    session.settle();
    session.send(FileCommand::SaveAs(stick.path().join("listed.ron")));
    session.settle();
    assert!(has_its_photo(&stick.path().join("listed.ron")));
    session.send(FileCommand::Duplicate);
    session.settle();
    // The window goes without a question, as when the machine is switched off.
    drop(session);
    let mut session = self::session(home.path());
    let left = session.model().recovered[0].clone();
    session.send(FileCommand::Leave(Leave::Recover(Box::new(left))));
    let later = tempfile::tempdir().expect("a folder");
    session.send(FileCommand::SaveAs(later.path().join("later.ron")));
    session.settle();
    assert!(has_its_photo(&later.path().join("later.ron")));
}

#[test]
fn a_photo_that_cannot_come_along_is_named() {
    let (home, shop, stick) = folders();
    let mut session = with_photo(home.path(), shop.path());
    fs::remove_dir_all(shop.path().join("attachments")).expect("removed");
    session.send(FileCommand::SaveAs(stick.path().join("tender.ron")));
    session.settle();
    let mut notices = session.model().notices.iter();
    let told = notices.find(|notice| notice.place.contains("chafe.jpg"));
    assert!(told.is_some_and(|notice| notice.what.contains("did not come along")));
}

fn folders() -> (tempfile::TempDir, tempfile::TempDir, tempfile::TempDir) {
    let folder = || tempfile::tempdir().expect("a folder");
    (folder(), folder(), folder())
}

#[test]
fn photos_of_two_jobs_without_files_wait_for_their_own() {
    let (home, shop, stick) = folders();
    let mut session = session(home.path());
    let mut begun = Vec::new();
    for folder in [&shop, &stick] {
        let photo = folder.path().join("chafe.jpg");
        fs::write(&photo, b"a photo").expect("written");
        session.send(FileCommand::Leave(Leave::Start(Box::new(job()))));
        session.send(Log::Add(typing("C1.1n", "8.9")));
        session.send(NotebookCommand::Attach(vec![photo]));
        begun.push((session.model().number, folder.path().join("tender.ron")));
    }
    for (number, file) in begun.into_iter().rev() {
        session.send(FileCommand::Leave(Leave::Switch(number)));
        session.send(FileCommand::SaveAs(file.clone()));
        session.settle();
        session.send(FileCommand::Save);
        session.settle();
        assert!(has_its_photo(&file), "{}", file.display());
    }
}
