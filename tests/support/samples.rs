//! The sample jobs with their findings.

use std::path::PathBuf;

use pinchpoint::{
    diagnosis::{Findings, diagnose},
    notebook::{Job, read_job},
};

/// Every sample with its findings.
pub fn samples() -> Vec<(String, Job, Findings)> {
    let folder = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("sample_circuits");
    let mut paths: Vec<PathBuf> = std::fs::read_dir(folder)
        .expect("the folder is there")
        .map(|entry| entry.expect("an entry").path())
        // A folder that was listed as a notebook holds cards beside its jobs.
        .filter(|path| path.extension().is_some_and(|ending| ending == "ron"))
        .collect();
    paths.sort();
    paths
        .into_iter()
        .map(|path| {
            let job = read_job(&path).expect("a sample opens").job;
            let findings = diagnose(&job.question());
            (path.display().to_string(), job, findings)
        })
        .collect()
}

/// A sample with its findings, to be changed at will.
pub fn sample(name: &str) -> (Job, Findings) {
    let folder = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("sample_circuits");
    let path = folder.join(format!("{name}.ron"));
    let job = read_job(&path).expect("a sample of that name").job;
    let findings = diagnose(&job.question());
    (job, findings)
}
