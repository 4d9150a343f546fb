//! `report`: a job as PDF, HTML or CSV, written whole or not at all.

use std::path::Path;

use super::{
    args::ReportAs,
    run::{FAILED, FINE, tell},
    whole::write_whole,
};
use crate::{
    notebook::{Job, attach, format_job},
    report::{Photo, Reader, Report, Study, compose, compose::Source, csv, html, pdf, study},
};

/// Writes the report of a job that was read from a file.
/// Answers the exit code.
pub fn report(job: &Job, file: Option<&Path>, to: &Path, readers: &[Reader], kind: ReportAs) -> u8 {
    let study = study(job);
    let bytes = match contents(job, file, readers, kind, &study) {
        Ok(bytes) => bytes,
        Err(why) => {
            tell(&why);
            return FAILED;
        }
    };
    if let Err(error) = write_whole(to, &bytes) {
        tell(&error.to_string());
        return FAILED;
    }
    let fatal = study.now.problems.iter().find(|problem| problem.fatal);
    if let Some(problem) = fatal {
        tell(&format!(
            "the report has no answer: {}",
            super::text::problem(problem)
        ));
        return FAILED;
    }
    FINE
}

fn contents(
    job: &Job,
    file: Option<&Path>,
    readers: &[Reader],
    kind: ReportAs,
    study: &Study,
) -> Result<Vec<u8>, String> {
    let write: fn(&Report) -> Result<Vec<u8>, String> = match kind {
        ReportAs::Csv => return Ok(csv::csv(job, &study.now).into_bytes()),
        ReportAs::Html => |report| Ok(html::html(report).into_bytes()),
        ReportAs::Pdf => |report| pdf::pdf(report).map_err(|error| error.to_string()),
    };
    let text = format_job("the job", job).map_err(|error| error.to_string())?;
    let report = compose(
        &Source {
            job,
            study,
            photos: &photos(job, file),
            checksum: crc32fast::hash(text.as_bytes()),
        },
        readers,
    );
    write(&report)
}

/// The job's photos, and for what cannot be printed its name and why.
fn photos(job: &Job, file: Option<&Path>) -> Vec<Result<Photo, String>> {
    let read = |attachment: &crate::notebook::record::Attachment| {
        let name = crate::notebook::trouble::excerpt(&attachment.name);
        let Some(file) = file else {
            return Err(format!(
                "{name}: not printed, as the job came without its folder"
            ));
        };
        let caption = if attachment.caption.is_empty() {
            &attachment.name
        } else {
            &attachment.caption
        };
        attach::read_attachment(file, attachment)
            .map_err(|error| error.to_string())
            .and_then(|bytes| {
                Photo::read(bytes, caption).map_err(|why| format!("{name}: not printed, {why}"))
            })
    };
    job.record.attachments.iter().map(read).collect()
}
