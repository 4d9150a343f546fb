//! Saving with every call to the file system failing in turn, and with the process dying in every one of them: the old
//! job or the new one, never a mixture, and earlier saves are not lost. The requirement itself; no outside source.

#[path = "support/full.rs"]
mod full;

use std::{
    cell::Cell,
    fs, io,
    path::{Path, PathBuf},
};

use full::full_job;
use pinchpoint::notebook::{
    Job, Stamp,
    calls::{About, FileCalls, System},
    read_job,
    save::previous_name,
    save_job, save_job_with, write_job,
};

/// What happens at the chosen call.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Fate {
    /// It does nothing and says that the disk is full.
    Fails,
    /// It says so after doing half of its work, as a disk that fills up does.
    Half,
    /// The process dies before it; nothing is called any more.
    DiesBefore,
    /// The process dies in the middle of it: a write leaves half of the bytes.
    DiesWithin,
    /// The process dies right after it.
    DiesAfter,
}

const FATES: [Fate; 5] = [
    Fate::Fails,
    Fate::Half,
    Fate::DiesBefore,
    Fate::DiesWithin,
    Fate::DiesAfter,
];

struct Faulty {
    fate: Fate,
    at: usize,
    count: Cell<usize>,
    dead: Cell<bool>,
}

impl Faulty {
    fn new(fate: Fate, at: usize) -> Self {
        Self {
            fate,
            at,
            count: Cell::new(0),
            dead: Cell::new(false),
        }
    }

    /// Whether the chosen call was reached.
    fn struck(&self) -> bool {
        self.count.get() > self.at
    }

    fn call<T>(&self, whole: impl FnOnce() -> io::Result<T>, half: impl FnOnce()) -> io::Result<T> {
        let full = || Err(io::Error::from(io::ErrorKind::StorageFull));
        if self.dead.get() {
            return full();
        }
        let number = self.count.get();
        self.count.set(number + 1);
        if number != self.at {
            return whole();
        }
        match self.fate {
            Fate::Fails => {}
            Fate::Half => half(),
            Fate::DiesBefore => self.dead.set(true),
            Fate::DiesWithin => {
                half();
                self.dead.set(true);
            }
            Fate::DiesAfter => {
                let done = whole();
                self.dead.set(true);
                return done;
            }
        }
        full()
    }
}

impl FileCalls for Faulty {
    fn behind_links(&self, path: &Path) -> io::Result<PathBuf> {
        self.call(|| System.behind_links(path), || {})
    }
    fn about(&self, path: &Path) -> io::Result<About> {
        self.call(|| System.about(path), || {})
    }
    fn read(&self, path: &Path, most: u64) -> io::Result<Vec<u8>> {
        self.call(|| System.read(path, most), || {})
    }
    fn write(&self, path: &Path, bytes: &[u8]) -> io::Result<()> {
        self.call(
            || System.write(path, bytes),
            || fs::write(path, &bytes[..bytes.len() / 2]).expect("half of it"),
        )
    }
    fn copy(&self, from: &Path, to: &Path) -> io::Result<()> {
        self.call(
            || System.copy(from, to),
            || {
                let bytes = fs::read(from).expect("there");
                fs::write(to, &bytes[..bytes.len() / 2]).expect("half of it");
            },
        )
    }
    fn rename(&self, from: &Path, to: &Path) -> io::Result<()> {
        self.call(|| System.rename(from, to), || {})
    }
    fn remove(&self, path: &Path) -> io::Result<()> {
        self.call(|| System.remove(path), || {})
    }
    fn sync_folder(&self, folder: &Path) -> io::Result<()> {
        self.call(|| System.sync_folder(folder), || {})
    }
}

fn titled(title: &str) -> Job {
    Job {
        title: title.to_owned(),
        ..full_job()
    }
}

fn title(path: &Path) -> Option<String> {
    read_job(path).ok().map(|opened| opened.job.title)
}

/// Titles of the file and of every save that is kept beside it, sound ones only.
fn kept(file: &Path) -> Vec<String> {
    let names = std::iter::once(file.to_path_buf()).chain((1..=3).map(|n| previous_name(file, n)));
    names.filter_map(|name| title(&name)).collect()
}

#[test]
fn whatever_call_fails_the_file_holds_the_old_job_or_the_new_one() {
    let mut most = 0;
    for fate in FATES {
        for at in 0.. {
            let folder = tempfile::tempdir().expect("a folder");
            let file = folder.path().join("job.ron");
            for save in ["first", "second", "third"] {
                write_job(&file, &titled(save)).expect("saved");
            }
            let calls = Faulty::new(fate, at);
            let saved = save_job_with(&calls, &file, &titled("fourth"), None);
            let found = title(&file).expect("the file is always a whole job");
            assert!(
                ["third", "fourth"].contains(&found.as_str()),
                "{fate:?} at {at}: {found}"
            );
            if saved.is_ok() {
                assert_eq!(found, "fourth", "{fate:?} at {at}: said to be saved");
            }
            let kept = kept(&file);
            for save in ["second", "third"] {
                assert!(
                    kept.iter().any(|title| title == save),
                    "{fate:?} at {at}: {save} is lost, {kept:?}"
                );
            }
            // The next save works whatever was left behind, and nothing of it is taken for a job.
            save_job(&file, &titled("fifth"), None).expect("saved");
            assert_eq!(title(&file).as_deref(), Some("fifth"));
            most = most.max(at);
            if !calls.struck() {
                break;
            }
        }
    }
    assert!(most > 10, "only {most} calls");
}

#[test]
fn a_first_save_is_whole_or_not_there() {
    for fate in FATES {
        for at in 0.. {
            let folder = tempfile::tempdir().expect("a folder");
            let file = folder.path().join("job.ron");
            let calls = Faulty::new(fate, at);
            let saved = save_job_with(&calls, &file, &titled("first"), None);
            assert!(
                !file.exists() || title(&file).as_deref() == Some("first"),
                "{fate:?} at {at}"
            );
            assert!(saved.is_err() || file.exists(), "{fate:?} at {at}");
            if !calls.struck() {
                break;
            }
        }
    }
}

#[test]
fn what_another_program_saved_is_never_written_over() {
    for fate in FATES {
        for at in 0.. {
            let folder = tempfile::tempdir().expect("a folder");
            let file = folder.path().join("job.ron");
            write_job(&file, &titled("ours")).expect("saved");
            let seen = Stamp::of(&fs::read(&file).expect("there"));
            write_job(&file, &titled("theirs")).expect("saved");
            let calls = Faulty::new(fate, at);
            let saved = save_job_with(&calls, &file, &titled("ours, later"), Some(seen));
            let found = title(&file).expect("a whole job");
            // One call tells what is in the file; where just that one fails, ours goes over it and theirs is kept beside.
            let theirs = found == "theirs" || kept(&file).iter().any(|title| title == "theirs");
            assert!(theirs, "{fate:?} at {at}: {found}");
            if saved.is_ok_and(|saved| saved.conflict) {
                let copy = folder.path().join("job.conflict.ron");
                assert_eq!(
                    title(&copy).as_deref(),
                    Some("ours, later"),
                    "{fate:?} at {at}"
                );
            }
            if !calls.struck() {
                break;
            }
        }
    }
}

#[test]
fn an_unreadable_file_in_the_way_is_put_aside_and_kept() {
    for fate in FATES {
        for at in 0.. {
            let folder = tempfile::tempdir().expect("a folder");
            let file = folder.path().join("job.ron");
            fs::write(&file, "half a jo").expect("written");
            let calls = Faulty::new(fate, at);
            let saved = save_job_with(&calls, &file, &titled("new"), None);
            let aside = fs::read(folder.path().join("job.unreadable.ron")).unwrap_or_default();
            let there = fs::read(&file).expect("there");
            assert!(
                there == b"half a jo" || aside == b"half a jo",
                "{fate:?} at {at}"
            );
            assert!(
                there == b"half a jo" || title(&file).as_deref() == Some("new"),
                "{fate:?} at {at}"
            );
            assert!(
                saved.is_err() || title(&file).as_deref() == Some("new"),
                "{fate:?} at {at}"
            );
            if !calls.struck() {
                break;
            }
        }
    }
}
