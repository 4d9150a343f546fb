//! Saving while the process is really killed, the disk is really full, and two programs really save at once: the old job
//! or the new one, never a mixture, and nothing that was said to be saved is lost. The requirement itself; no outside
//! source.

#[path = "support/full.rs"]
mod full;

use std::{
    env, fs, io,
    path::{Path, PathBuf},
    process::{Command, Stdio},
    sync::atomic::{AtomicUsize, Ordering},
};

use full::full_job;
use pinchpoint::notebook::{
    Job,
    attach::read_attachment,
    calls::{About, FileCalls, System},
    read_job,
    save::previous_name,
    save_job_with, write_job,
};

const PROGRAM: &str = env!("CARGO_BIN_EXE_pinchpoint");
/// Tells a child of this test at which call to die.
const DIES_AT: &str = "PINCHPOINT_TEST_DIES_AT";
/// Where it saves.
const SAVES_AT: &str = "PINCHPOINT_TEST_SAVES_AT";

fn titled(title: &str) -> Job {
    let mut job = full_job();
    job.title = title.to_owned();
    job.record.attachments.clear();
    job
}

/// A folder with a job that was saved twice, and a photo to attach to it.
fn prepared() -> (tempfile::TempDir, PathBuf, PathBuf) {
    let folder = tempfile::tempdir().expect("a folder");
    let (file, photo) = (
        folder.path().join("job.ron"),
        folder.path().join("photo.jpg"),
    );
    write_job(&file, &titled("first")).expect("saved");
    write_job(&file, &titled("second")).expect("saved");
    fs::write(&photo, "not really a photo").expect("written");
    (folder, file, photo)
}

/// The job is the one before or the one after, whole, and what it names is there. Answers whether it is the one after.
fn old_or_new(file: &Path, when: &str) -> bool {
    let job = read_job(file).expect("always a whole job").job;
    assert_eq!(job.title, "second", "{when}");
    for attachment in &job.record.attachments {
        read_attachment(file, attachment).unwrap_or_else(|error| panic!("{when}: {error}"));
    }
    // Between two renames the newest earlier save is on its way from one name to the next.
    let names = [1, 2].map(|generation| previous_name(file, generation));
    let earlier = names.iter().find(|name| name.exists());
    let earlier = earlier.expect("an earlier save is always there");
    let earlier = read_job(earlier).expect("it is always whole").job;
    assert!(
        ["first", "second"].contains(&earlier.title.as_str()),
        "{when}"
    );
    !job.record.attachments.is_empty()
}

/// Calls of a process that dies at one of them.
struct Dying {
    at: usize,
    count: AtomicUsize,
}

impl Dying {
    fn step(&self) {
        if self.count.fetch_add(1, Ordering::Relaxed) == self.at {
            std::process::abort();
        }
    }
}

impl FileCalls for Dying {
    fn behind_links(&self, path: &Path) -> io::Result<PathBuf> {
        self.step();
        System.behind_links(path)
    }
    fn about(&self, path: &Path) -> io::Result<About> {
        self.step();
        System.about(path)
    }
    fn read(&self, path: &Path, most: u64) -> io::Result<Vec<u8>> {
        self.step();
        System.read(path, most)
    }
    fn write(&self, path: &Path, bytes: &[u8]) -> io::Result<()> {
        self.step();
        // Half of it is there when the process dies at the next step of the same write.
        fs::write(path, &bytes[..bytes.len() / 2])?;
        self.step();
        System.write(path, bytes)
    }
    fn copy(&self, from: &Path, to: &Path) -> io::Result<()> {
        self.step();
        System.copy(from, to)
    }
    fn rename(&self, from: &Path, to: &Path) -> io::Result<()> {
        self.step();
        System.rename(from, to)
    }
    fn remove(&self, path: &Path) -> io::Result<()> {
        self.step();
        System.remove(path)
    }
    fn sync_folder(&self, folder: &Path) -> io::Result<()> {
        self.step();
        System.sync_folder(folder)
    }
}

/// This test runs itself as a child that dies at the chosen call; without the two variables it is the parent.
#[test]
fn a_process_that_dies_at_any_call_leaves_the_old_job_or_the_new_one() {
    if let (Ok(at), Ok(file)) = (env::var(DIES_AT), env::var(SAVES_AT)) {
        let at = at.parse().expect("a number");
        let count = AtomicUsize::new(0);
        save_job_with(&Dying { at, count }, file.as_ref(), &titled("third"), None).expect("saved");
        return;
    }
    dies_at_every_call();
}

fn dies_at_every_call() {
    let mut deaths = 0;
    loop {
        let (_folder, file, _) = prepared();
        let child = Command::new(env::current_exe().expect("this test"))
            .args([
                "--exact",
                "a_process_that_dies_at_any_call_leaves_the_old_job_or_the_new_one",
            ])
            .env(DIES_AT, deaths.to_string())
            .env(SAVES_AT, &file)
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .status()
            .expect("started");
        let title = read_job(&file).expect("always a whole job").job.title;
        if child.success() {
            assert_eq!(title, "third");
            break;
        }
        assert!(
            ["second", "third"].contains(&title.as_str()),
            "{deaths}: {title}"
        );
        // What it left behind is in nobody's way.
        write_job(&file, &titled("fourth")).expect("saved");
        assert_eq!(read_job(&file).expect("reads").job.title, "fourth");
        deaths += 1;
    }
    assert!(deaths > 10, "it died only {deaths} times");
}

fn traced(file: &Path, photo: &Path, options: &[String]) -> bool {
    Command::new("strace")
        .args(["-qq", "-o"])
        .arg(file.with_file_name("trace"))
        .args(options)
        .args([PROGRAM, "attach"])
        .args([file, photo])
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .status()
        .is_ok_and(|status| status.success())
}

/// The system calls of a run from the first one on that touches the job's folder, each with its number among its kind.
fn calls_on(trace: &str, folder: &Path) -> Vec<(String, usize)> {
    let folder = folder.display().to_string();
    let mut counts = std::collections::BTreeMap::<String, usize>::new();
    let mut begun = false;
    let mut calls = Vec::new();
    for line in trace.lines() {
        let Some((name, _)) = line.split_once('(') else {
            continue;
        };
        let count = counts.entry(name.to_owned()).or_default();
        *count += 1;
        // The program's own start names the job, too.
        begun |= name != "execve" && line.contains(&folder);
        if begun && name != "exit_group" {
            calls.push((name.to_owned(), *count));
        }
    }
    calls
}

/// Killed at the entry of every system call of a real run; where nobody may trace, at every call of the saving code.
#[test]
fn a_program_killed_at_any_system_call_leaves_the_old_job_or_the_new_one() {
    let (folder, file, photo) = prepared();
    if !traced(&file, &photo, &[]) {
        return dies_at_every_call();
    }
    let trace = fs::read_to_string(folder.path().join("trace")).expect("a trace");
    assert!(old_or_new(&file, "left alone"));
    let calls = calls_on(&trace, folder.path());
    assert!(calls.len() > 20, "{trace}");
    let mut seen = [0, 0];
    for (name, number) in calls {
        let (_folder, file, photo) = prepared();
        // A folder of another name may move a call or two; a run that is not struck must end well.
        let inject = format!("inject={name}:signal=KILL:when={number}");
        let whole = traced(&file, &photo, &["-e".to_owned(), inject.clone()]);
        let new = old_or_new(&file, &inject);
        assert!(new || !whole, "{inject}: said to be saved");
        seen[usize::from(new)] += 1;
    }
    assert!(
        seen[0] > 5 && seen[1] > 0,
        "before and after the change: {seen:?}"
    );
}

/// A file system of its own that is full but for so many kilobytes, on which the program saves; or, where nobody may
/// mount one, the calls that say so.
#[test]
fn a_full_disk_is_told_and_keeps_the_old_job() {
    let script = r#"set -e
        mount -t tmpfs -o size=192k tmpfs "$1"
        cp "$2"/job.ron "$2"/job.bak.ron "$2"/photo.jpg "$1"
        dd if=/dev/zero of="$1/fill" bs=1024 count=100000 2>/dev/null || true
        truncate -s "-$3K" "$1/fill" 2>/dev/null || rm "$1/fill"
        "$4" attach "$1/job.ron" "$1/photo.jpg" 2>"$2/said" && code=0 || code=$?
        cp -r "$1"/. "$2/out"
        exit "$code""#;
    let mut ends = [0, 0];
    for left in (0..=96).step_by(8) {
        let (folder, ..) = prepared();
        let (mount, out) = (folder.path().join("mount"), folder.path().join("out"));
        fs::create_dir(&mount).expect("made");
        fs::create_dir(&out).expect("made");
        let ran = Command::new("unshare")
            .args(["-rm", "sh", "-c", script, "sh"])
            .args([mount.as_os_str(), folder.path().as_os_str()])
            .args([left.to_string().as_str(), PROGRAM])
            .output();
        let file = out.join("job.ron");
        let Some(ran) = ran.ok().filter(|_| file.exists()) else {
            return every_write_finds_the_disk_full();
        };
        let said = fs::read_to_string(folder.path().join("said")).expect("written");
        let saved = ran.status.success();
        assert_eq!(
            old_or_new(&file, &format!("{left} kB left: {said}")),
            saved,
            "{said}"
        );
        assert!(
            saved || said.contains("the disk is full"),
            "{left} kB left: {said}"
        );
        ends[usize::from(saved)] += 1;
    }
    assert!(ends[0] > 0 && ends[1] > 0, "full and not full: {ends:?}");
}

/// Calls of a disk on which no byte finds room any more.
struct Full;

impl FileCalls for Full {
    fn behind_links(&self, path: &Path) -> io::Result<PathBuf> {
        System.behind_links(path)
    }
    fn about(&self, path: &Path) -> io::Result<About> {
        System.about(path)
    }
    fn read(&self, path: &Path, most: u64) -> io::Result<Vec<u8>> {
        System.read(path, most)
    }
    fn write(&self, path: &Path, _: &[u8]) -> io::Result<()> {
        fs::write(path, "")?;
        Err(io::ErrorKind::StorageFull.into())
    }
    fn copy(&self, _: &Path, _: &Path) -> io::Result<()> {
        Err(io::ErrorKind::StorageFull.into())
    }
    fn rename(&self, from: &Path, to: &Path) -> io::Result<()> {
        System.rename(from, to)
    }
    fn remove(&self, path: &Path) -> io::Result<()> {
        System.remove(path)
    }
    fn sync_folder(&self, folder: &Path) -> io::Result<()> {
        System.sync_folder(folder)
    }
}

#[test]
fn a_disk_without_room_leaves_nothing_behind() {
    every_write_finds_the_disk_full();
}

fn every_write_finds_the_disk_full() {
    let (folder, file, _) = prepared();
    let before = fs::read_dir(folder.path()).expect("a folder").count();
    let error = save_job_with(&Full, &file, &titled("third"), None).expect_err("no room");
    assert!(error.what.contains("the disk is full"), "{error}");
    assert!(!error.remedy.is_empty());
    assert!(!old_or_new(&file, "full"));
    assert_eq!(
        fs::read_dir(folder.path()).expect("a folder").count(),
        before
    );
}

/// Two programs attach photos to one record, over and over, at the same time.
#[test]
fn of_two_programs_that_save_at_once_neither_loses_what_it_was_told_is_saved() {
    const EACH: usize = 8;
    let (folder, file, _) = prepared();
    let attach = |name: String| {
        let photo = folder.path().join(&name);
        fs::write(&photo, &name).expect("written");
        let run = Command::new(PROGRAM)
            .arg("attach")
            .args([&file, &photo])
            .output()
            .expect("started");
        (
            name,
            run.status.success(),
            String::from_utf8_lossy(&run.stderr).into_owned(),
        )
    };
    let runs: Vec<(String, bool, String)> = std::thread::scope(|scope| {
        let workers = ["a", "b"].map(|who| {
            let attach = &attach;
            scope.spawn(move || {
                let names = (0..EACH).map(|n| format!("{who}{n}.jpg"));
                names.map(attach).collect::<Vec<_>>()
            })
        });
        let ended = workers
            .into_iter()
            .map(|worker| worker.join().expect("ended"));
        ended.flatten().collect()
    });
    let named = |path: &Path| -> Vec<String> {
        let job = read_job(path).expect("a whole job").job;
        job.record
            .attachments
            .into_iter()
            .map(|photo| photo.name)
            .collect()
    };
    let all = named(&file);
    let copies: Vec<Vec<String>> = fs::read_dir(folder.path())
        .expect("a folder")
        .map(|entry| entry.expect("an entry").path())
        .filter(|path| path.to_string_lossy().contains(".conflict"))
        .map(|path| named(&path))
        .collect();
    for (name, saved, said) in runs {
        if saved {
            assert!(all.contains(&name), "{name} is not in the job: {all:?}");
        } else {
            assert!(said.contains("was changed meanwhile"), "{said}");
            assert!(
                copies.iter().any(|copy| copy.contains(&name)),
                "{name}: {copies:?}"
            );
        }
    }
}
