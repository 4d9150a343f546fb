//! The notebook and bad files from a terminal: exit codes for scripts (the requirement: 0 fine, 1 something could not be
//! read), and nothing that hangs.

#[path = "support/full.rs"]
mod full;

use std::{
    fs,
    path::Path,
    process::{Command, Output, Stdio},
    time::{Duration, Instant},
};

use full::full_job;
use pinchpoint::notebook::{Job, read_job, write_job};

fn pinchpoint(args: &[&str]) -> Output {
    let mut child = Command::new(env!("CARGO_BIN_EXE_pinchpoint"))
        .args(args)
        .stdin(Stdio::null())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("the program runs");
    let begun = Instant::now();
    while child.try_wait().expect("a child").is_none() {
        if begun.elapsed() > Duration::from_secs(60) {
            child.kill().expect("killed");
            panic!("{args:?} hangs");
        }
        std::thread::sleep(Duration::from_millis(10));
    }
    child.wait_with_output().expect("its output")
}

fn text(path: &Path) -> String {
    path.display().to_string()
}

fn out(output: &Output) -> String {
    String::from_utf8(output.stdout.clone()).expect("UTF-8")
}

fn err(output: &Output) -> String {
    String::from_utf8(output.stderr.clone()).expect("UTF-8")
}

fn titled(title: &str) -> Job {
    Job {
        title: title.to_owned(),
        ..full_job()
    }
}

#[test]
fn of_very_many_bad_files_some_are_named_and_the_rest_counted() {
    let folder = tempfile::tempdir().expect("a folder");
    for number in 0..25 {
        let file = folder.path().join(format!("{number:02}.ron"));
        fs::write(file, "(torn").expect("written");
    }
    let list = pinchpoint(&["notebook", &text(folder.path())]);
    assert_eq!(list.status.code(), Some(1));
    let said = err(&list);
    assert_eq!(said.lines().count(), 21, "{said}");
    assert!(said.contains("5 more files and folders"), "{said}");
}

/// Who misspelt a word sees by which word a job was found.
#[test]
fn a_job_that_is_found_by_a_near_word_says_so() {
    let folder = tempfile::tempdir().expect("a folder");
    write_job(&folder.path().join("a.ron"), &titled("crane boom dead")).expect("saved");
    let search = |word: &str| {
        out(&pinchpoint(&[
            "notebook",
            &text(folder.path()),
            "search",
            word,
        ]))
    };
    assert!(
        search("crnae").contains("found by “crane”"),
        "{}",
        search("crnae")
    );
    assert!(!search("crane").contains("found by"), "{}", search("crane"));
}

#[test]
fn a_list_that_lacks_a_file_says_so_by_its_exit_code() {
    let folder = tempfile::tempdir().expect("a folder");
    let folder = folder.path();
    write_job(&folder.join("a.ron"), &titled("crane boom dead")).expect("saved");
    let list = pinchpoint(&["notebook", &text(folder), "search", "crane"]);
    assert_eq!(list.status.code(), Some(0), "{}", err(&list));
    assert!(out(&list).contains("1 job"));
    fs::write(folder.join("torn.ron"), "(format: \"pinchpoint\", vers").expect("written");
    for words in [
        &["search", "crane"][..],
        &["learnt", "Corran Tender 2.2"],
        &[],
    ] {
        let list = pinchpoint(&[&["notebook", &text(folder)], words].concat());
        assert_eq!(list.status.code(), Some(1), "{words:?}");
        assert!(err(&list).contains("torn.ron"), "{}", err(&list));
    }
    assert_eq!(
        pinchpoint(&["notebook", &text(folder), "search", "is:lost"])
            .status
            .code(),
        Some(2)
    );
    assert_eq!(
        pinchpoint(&["notebook", &text(&folder.join("none"))])
            .status
            .code(),
        Some(1)
    );
}

#[test]
fn jobs_are_packed_and_imported_from_a_terminal() {
    let folder = tempfile::tempdir().expect("a folder");
    let other = tempfile::tempdir().expect("a folder");
    let (file, packed) = (folder.path().join("a.ron"), folder.path().join("a.zip"));
    let mut job = titled("crane boom dead");
    job.record.attachments.clear();
    write_job(&file, &job).expect("saved");
    let pack = [
        "notebook",
        &text(folder.path()),
        "pack",
        "a.ron",
        "-o",
        &text(&packed),
    ];
    assert_eq!(pinchpoint(&pack).status.code(), Some(0));
    let import = pinchpoint(&[
        "notebook",
        &text(other.path()),
        "import",
        &text(&packed),
        &text(&file),
    ]);
    assert_eq!(import.status.code(), Some(0), "{}", err(&import));
    for name in ["a.ron", "a-2.ron"] {
        assert!(out(&import).contains(name), "{}", out(&import));
        assert_eq!(read_job(&other.path().join(name)).expect("there").job, job);
    }
    let nothing = pinchpoint(&[
        "notebook",
        &text(other.path()),
        "import",
        &text(&folder.path().join("no")),
    ]);
    assert_eq!(nothing.status.code(), Some(1));
    assert!(err(&nothing).contains("no such file"), "{}", err(&nothing));
}

#[test]
fn what_is_attached_is_said_and_a_file_of_another_kind_is_called_that() {
    let folder = tempfile::tempdir().expect("a folder");
    let (file, photo) = (folder.path().join("a.ron"), folder.path().join("a.txt"));
    let mut job = titled("crane boom dead");
    job.record.attachments.clear();
    write_job(&file, &job).expect("saved");
    fs::write(&photo, "a note").expect("written");
    for how in ["a.txt is kept, 6 bytes", "a.txt was kept already, 6 bytes"] {
        let attach = pinchpoint(&["attach", &text(&file), &text(&photo)]);
        assert_eq!(attach.status.code(), Some(0), "{}", err(&attach));
        assert!(out(&attach).contains(how), "{}", out(&attach));
    }
    let foreign = folder.path().join("hosts");
    for content in ["root:x:0:0:root\n", "<html></html>", "[section]\nkey=1\n"] {
        fs::write(&foreign, content).expect("written");
        for args in [
            &["notebook", &text(folder.path()), "import", &text(&foreign)][..],
            &["diagnose", &text(&foreign)],
        ] {
            let output = pinchpoint(args);
            assert_eq!(output.status.code(), Some(1), "{args:?}");
            let said = err(&output);
            assert!(said.contains("this is no job file"), "{said}");
            assert!(
                !said.contains("Document") && !said.contains("struct"),
                "{said}"
            );
        }
    }
}

#[test]
fn a_report_is_written_over_a_report_and_over_nothing_else() {
    let folder = tempfile::tempdir().expect("a folder");
    let job = folder.path().join("a.ron");
    write_job(&job, &titled("one")).expect("saved");
    for ending in ["html", "csv", "pdf"] {
        let to = folder.path().join(format!("out.{ending}"));
        let report = || pinchpoint(&["report", &text(&job), "-o", &text(&to)]);
        fs::write(&to, "own notes on Pinchpoint").expect("written");
        let refused = report();
        assert_eq!(refused.status.code(), Some(1), "{ending}");
        let said = err(&refused);
        assert!(said.contains("name another file"), "{said}");
        assert_eq!(fs::read(&to).expect("read"), b"own notes on Pinchpoint");
        fs::remove_file(&to).expect("removed");
        for _ in 0..2 {
            let written = report();
            assert_eq!(written.status.code(), Some(0), "{}", err(&written));
        }
    }
}

#[cfg(unix)]
#[test]
fn a_report_does_not_take_the_place_of_a_link_that_leads_nowhere() {
    let folder = tempfile::tempdir().expect("a folder");
    let (job, to) = (folder.path().join("a.ron"), folder.path().join("out.html"));
    write_job(&job, &titled("one")).expect("saved");
    std::os::unix::fs::symlink(folder.path().join("stick/out.html"), &to).expect("a link");
    let refused = pinchpoint(&["report", &text(&job), "-o", &text(&to)]);
    assert_eq!(refused.status.code(), Some(1));
    let said = err(&refused);
    assert!(said.contains("name another file"), "{said}");
    assert!(to.is_symlink());
}

#[cfg(unix)]
#[test]
fn nothing_that_never_ends_is_waited_for() {
    let folder = tempfile::tempdir().expect("a folder");
    let pipe = folder.path().join("pipe.ron");
    let made = Command::new("mkfifo").arg(&pipe).status().expect("mkfifo");
    assert!(made.success());
    let report = text(&folder.path().join("out.pdf"));
    for path in [text(&pipe), "/dev/zero".to_owned(), text(folder.path())] {
        for args in [
            &["check", &path][..],
            &["diagnose", &path],
            &["diagnose", "--json", &path],
            &["report", &path, "-o", &report],
            &["attach", &path, &path],
        ] {
            let run = pinchpoint(args);
            assert_eq!(run.status.code(), Some(1), "{args:?}");
            let said = out(&run) + &err(&run);
            assert!(
                said.contains("plain file") || said.contains("a folder"),
                "{args:?}: {said}"
            );
        }
    }
    let list = pinchpoint(&["notebook", &text(folder.path())]);
    assert_eq!(list.status.code(), Some(1));
    assert!(err(&list).contains("pipe.ron"), "{}", err(&list));
}

#[test]
fn what_is_attached_under_a_signature_leaves_a_line_among_the_additions() {
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("a.ron");
    let signed = titled("one");
    assert!(!signed.record.sign_off.by.is_empty());
    let before = signed.record.amendments.len();
    write_job(&file, &signed).expect("saved");
    let photo = folder.path().join("later.jpg");
    fs::write(&photo, "a photo").expect("written");
    for _ in 0..2 {
        let attached = pinchpoint(&["attach", &text(&file), &text(&photo)]);
        assert_eq!(attached.status.code(), Some(0), "{}", err(&attached));
    }
    let added = read_job(&file).expect("reads").job.record.amendments;
    assert_eq!(added.len(), before + 1);
    assert!(added[before].text.contains("“later.jpg” was added"));
}

#[test]
fn jobs_are_put_away_and_brought_back_from_a_terminal() {
    let folder = tempfile::tempdir().expect("a folder");
    write_job(&folder.path().join("a.ron"), &titled("one")).expect("saved");
    let dir = text(folder.path());
    let ask = |words: &[&str]| pinchpoint(&[&["notebook", &dir], words].concat());
    assert_eq!(ask(&["put-away", "a.ron"]).status.code(), Some(0));
    assert!(out(&ask(&[])).contains("0 jobs"));
    assert!(out(&ask(&["search", "is:away"])).contains("put-away/a.ron"));
    let again = ask(&["put-away", "put-away/a.ron", "../a.ron"]);
    assert_eq!(again.status.code(), Some(1));
    assert!(
        err(&again).contains("is put away already"),
        "{}",
        err(&again)
    );
    assert!(
        err(&again).contains("is no job of this notebook"),
        "{}",
        err(&again)
    );
    assert_eq!(
        ask(&["bring-back", "put-away/a.ron"]).status.code(),
        Some(0)
    );
    assert!(out(&ask(&[])).contains("1 job"));
}

#[test]
fn a_photo_that_is_lost_and_a_file_of_a_newer_version_are_said() {
    let folder = tempfile::tempdir().expect("a folder");
    let (file, photo) = (
        folder.path().join("job.ron"),
        folder.path().join("note.txt"),
    );
    fs::copy("sample_circuits/01-ride-height.ron", &file).expect("copied");
    fs::write(&photo, "seen at the plug").expect("written");
    pinchpoint(&["attach", &text(&file), &text(&photo)]);
    assert!(out(&pinchpoint(&["check", &text(&file)])).contains(": fine"));
    fs::remove_dir_all(folder.path().join("attachments")).expect("removed");
    let said = out(&pinchpoint(&["check", &text(&file)]));
    assert!(
        said.contains("note.txt") && !said.contains(": fine"),
        "{said}"
    );
    let (now, newer) = (text(&file), folder.path().join("newer.ron"));
    let written = fs::read_to_string(now).expect("read");
    // Without the checksum, as one leaves it who edits by hand.
    let (written, _) = written.trim_end().rsplit_once('\n').expect("lines");
    let (before, body) = written.split_once("body:").expect("a body");
    let version = before.find("version:").expect("a version");
    let newer_text = format!("{}version: 99, body:{body}", &before[..version]);
    fs::write(&newer, newer_text).expect("written");
    for command in ["check", "diagnose"] {
        let output = pinchpoint(&[command, &text(&newer)]);
        let said = format!("{}{}", out(&output), err(&output));
        assert!(
            said.contains("version 99, newer than this program"),
            "{said}"
        );
    }
}
