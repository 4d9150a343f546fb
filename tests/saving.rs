//! Saving jobs: the old file or the new one, never a mixture, and nothing that somebody else saved is lost. The
//! requirement itself is the reference.

#[path = "support/full.rs"]
mod full;

use std::{fs, path::Path};

use full::full_job;
use pinchpoint::{
    notebook::{Cause, Job, read_job, save::previous_name, save_job, write_job},
    quantity::units::metres,
};

fn saved(path: &Path) -> Job {
    read_job(path).expect("reads").job
}

fn files_in(folder: &Path) -> Vec<String> {
    let mut names: Vec<_> = fs::read_dir(folder)
        .expect("a folder")
        .map(|entry| {
            entry
                .expect("an entry")
                .file_name()
                .to_string_lossy()
                .into_owned()
        })
        .collect();
    names.sort();
    names
}

#[test]
fn saving_replaces_the_file_and_keeps_the_previous_save() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("job.ron");
    let first = full_job();
    write_job(&path, &first).expect("saved");
    assert_eq!(files_in(folder.path()), ["job.ron"]);
    let second = Job {
        notes: "second".into(),
        ..full_job()
    };
    write_job(&path, &second).expect("saved again");
    assert_eq!(saved(&path), second);
    assert_eq!(saved(&previous_name(&path, 1)), first);
    assert_eq!(files_in(folder.path()), ["job.bak.ron", "job.ron"]);
}

#[test]
fn several_saves_are_kept_and_saving_the_same_again_costs_none() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("CT-4471.v2.ron");
    let job = |title: &str| Job {
        title: title.into(),
        ..Job::default()
    };
    for title in ["1", "2", "3", "4", "5", "5", "5"] {
        write_job(&path, &job(title)).expect("saved");
    }
    assert_eq!(saved(&path).title, "5");
    for (generation, title) in [(1, "4"), (2, "3"), (3, "2")] {
        assert_eq!(saved(&previous_name(&path, generation)).title, title);
    }
    assert_eq!(files_in(folder.path()).len(), 4);
}

#[test]
fn of_two_programs_on_one_file_the_later_one_saves_a_copy_beside_it() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("job.ron");
    let job = |title: &str| Job {
        title: title.into(),
        ..Job::default()
    };
    let first = save_job(&path, &job("mine"), None).expect("saved");
    assert_eq!(first.stamp, read_job(&path).expect("reads").stamp);
    write_job(&path, &job("theirs")).expect("saved by the other program");
    for copy in ["job.conflict.ron", "job.conflict2.ron"] {
        let kept = save_job(&path, &job(copy), Some(first.stamp)).expect("saved beside");
        assert!(kept.conflict);
        assert_eq!(kept.path, folder.path().join(copy));
        assert_eq!(saved(&kept.path).title, copy);
    }
    assert_eq!(saved(&path).title, "theirs");
    let seen = read_job(&path).expect("reads").stamp;
    let after = save_job(&path, &job("both"), Some(seen)).expect("saved");
    assert!(!after.conflict);
    assert_eq!(saved(&path).title, "both");
    fs::remove_file(&path).expect("somebody deletes it");
    let anew = save_job(&path, &job("anew"), Some(seen)).expect("saved");
    assert!(!anew.conflict);
}

#[test]
fn a_damaged_file_is_put_aside_and_the_good_previous_save_stays() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("job.ron");
    write_job(&path, &full_job()).expect("saved");
    write_job(&path, &Job::default()).expect("saved");
    fs::write(&path, "half a fi").expect("damaged");
    write_job(&path, &Job::default()).expect("saved over it");
    assert_eq!(saved(&previous_name(&path, 1)), full_job());
    let aside = fs::read_to_string(folder.path().join("job.unreadable.ron"));
    assert_eq!(aside.expect("put aside"), "half a fi");
}

#[test]
fn a_newer_file_is_never_saved_over() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("job.ron");
    for text in [
        "(format: \"pinchpoint\", version: 9, body: (title: \"x\"))",
        "(format: \"pinchpoint\", version: 9, body: (labour: 3))",
    ] {
        fs::write(&path, text).expect("written");
        let error = write_job(&path, &Job::default()).expect_err("refused");
        assert_eq!(error.cause, Cause::Refused);
        assert!(error.remedy.contains("another name"), "{error}");
        assert_eq!(fs::read_to_string(&path).expect("still there"), text);
    }
    assert_eq!(files_in(folder.path()), ["job.ron"]);
}

#[test]
fn what_cannot_be_saved_is_refused_and_the_old_file_stays() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("job.ron");
    write_job(&path, &full_job()).expect("saved");
    let mut job = full_job();
    job.circuit.wires[0].length = Some(metres(f64::NAN));
    let error = write_job(&path, &job).expect_err("no number");
    assert!(error.what.contains("NaN"), "{error}");
    assert_eq!(saved(&path), full_job());
    assert_eq!(files_in(folder.path()), ["job.ron"]);
}

#[test]
fn places_that_cannot_be_written_are_said_in_plain_words() {
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("job.ron");
    write_job(&file, &Job::default()).expect("saved");
    for (path, word) in [
        (folder.path().to_path_buf(), "a folder"),
        (folder.path().join("none/job.ron"), "no such file or folder"),
        (file.join("job.ron"), "a file, not a folder"),
        (folder.path().join("..").join(".."), "a folder"),
        (Path::new("").to_path_buf(), "no name for a file"),
        (folder.path().join("x".repeat(300)), "file name"),
    ] {
        let error = write_job(&path, &Job::default()).expect_err(word);
        assert_eq!(error.cause, Cause::Disk, "{error}");
        assert!(error.what.contains(word), "{word}: {error}");
        assert!(!error.remedy.is_empty());
    }
    let mut rights = fs::metadata(&file).expect("there").permissions();
    rights.set_readonly(true);
    fs::set_permissions(&file, rights).expect("set");
    let error = write_job(&file, &full_job()).expect_err("protected");
    assert!(error.what.contains("write-protected"), "{error}");
    assert_eq!(saved(&file), Job::default());
}

#[cfg(target_os = "linux")]
#[test]
fn a_full_disk_is_said_to_be_full() {
    // The device that refuses every byte as a full disk does; its own folder takes no temporary file, so the
    // words are checked on the error itself.
    use std::io::Write as _;
    let error = fs::File::create("/dev/full")
        .and_then(|mut full| full.write_all(b"x"))
        .expect_err("full");
    let told = pinchpoint::notebook::trouble::disk("job.ron", &error);
    assert!(told.what.contains("disk is full"), "{told}");
}

#[cfg(unix)]
#[test]
fn saving_through_a_link_keeps_the_link() {
    let folder = tempfile::tempdir().expect("a folder");
    let (file, link) = (
        folder.path().join("job.ron"),
        folder.path().join("link.ron"),
    );
    write_job(&file, &Job::default()).expect("saved");
    std::os::unix::fs::symlink(&file, &link).expect("linked");
    write_job(&link, &full_job()).expect("saved");
    assert_eq!(saved(&file), full_job());
    assert!(fs::symlink_metadata(&link).expect("there").is_symlink());
}
