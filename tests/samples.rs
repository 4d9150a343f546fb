//! The sample circuits: each is a job file as the program itself would write it, and each log leads to the fault
//! that was put in when its readings were computed.

use std::{fs, path::PathBuf};

use pinchpoint::notebook::{Job, format_job, parse_job};

fn samples() -> Vec<(String, String, Job)> {
    let folder = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("sample_circuits");
    let mut samples: Vec<_> = fs::read_dir(folder)
        .expect("the folder is there")
        .map(|entry| {
            let path = entry.expect("an entry").path();
            let name = path
                .file_name()
                .expect("a name")
                .to_string_lossy()
                .into_owned();
            let text = fs::read_to_string(&path).expect("text");
            let opened =
                parse_job(&name, text.as_bytes()).unwrap_or_else(|error| panic!("{error}"));
            assert!(opened.sealed, "{name} has its checksum");
            (name, text, opened.job)
        })
        .collect();
    samples.sort_by(|a, b| a.0.cmp(&b.0));
    samples
}

#[test]
fn every_sample_is_written_as_the_program_writes_it() {
    let samples = samples();
    assert!(samples.len() >= 9, "{} samples", samples.len());
    for (name, text, job) in samples {
        assert!(
            format_job(&name, &job).expect("can be written") == text,
            "{name} is not as the program writes it"
        );
        for (field, value) in [
            ("title", &job.title),
            ("vehicle", &job.vehicle),
            ("notes", &job.notes),
        ] {
            assert!(!value.is_empty(), "{name} has no {field}");
        }
        assert!(job.log.len() >= 4, "{name} has a log");
    }
}
