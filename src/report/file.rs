//! A job's report as a file: computed, composed, and written whole or not at all.

use std::{
    fs,
    path::{Path, PathBuf},
};

use super::{Photo, Reader, Report, compose, compose::Source, csv, html, pdf, study};
use crate::{
    diagnosis::Problem,
    notebook::{
        Cause, FileError, Job, attach, format_job,
        import::first_free,
        record::Attachment,
        trouble::excerpt,
        whole::{Limits, read_plain, write_whole},
    },
};

/// How a file is read that may be an earlier report.
const OWN: Limits = Limits {
    most: 512 * 1024 * 1024,
    larger: "it is larger than any report",
    remedy: "Choose another name",
    choose: "Choose another name",
};

/// What a report is written as.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Form {
    /// A PDF file.
    Pdf,
    /// A page for a browser.
    Html,
    /// The log alone, for a spreadsheet.
    Csv,
}

impl Form {
    /// The form that a file's ending asks for.
    pub fn of(file: &Path) -> Option<Self> {
        let ending = file.extension()?.to_ascii_lowercase();
        match ending.to_str()? {
            "pdf" => Some(Self::Pdf),
            "html" | "htm" => Some(Self::Html),
            "csv" => Some(Self::Csv),
            _ => None,
        }
    }

    /// The usual ending.
    pub fn ending(self) -> &'static str {
        match self {
            Self::Pdf => "pdf",
            Self::Html => "html",
            Self::Csv => "csv",
        }
    }
}

/// Writes the report of a job that was read from `job_file`, beside which its attachments lie. Answers what stands in
/// the way of an answer, if anything does; the report then says so, too.
///
/// # Errors
/// The file cannot be written, or the job is too large for its form.
pub fn write_report(
    job: &Job,
    job_file: Option<&Path>,
    to: &Path,
    readers: &[Reader],
    form: Form,
) -> Result<Option<Problem>, FileError> {
    let study = study(job);
    let bytes = if form == Form::Csv {
        csv::csv(job, &study.now).into_bytes()
    } else {
        let text = format_job("the job", job)?;
        let report = compose(
            &Source {
                job,
                study: &study,
                photos: &photos(job, job_file),
                checksum: crc32fast::hash(text.as_bytes()),
            },
            readers,
        );
        written(&report, form, to)?
    };
    write_whole(to, &bytes)?;
    Ok(study.now.problems.into_iter().find(|problem| problem.fatal))
}

/// Where a report goes that nobody gave a name: the wanted place, or a name beside it where something else than an earlier
/// report of this program has that.
///
/// # Errors
/// Thousands of names beside it are taken as well.
pub fn free_place(wanted: &Path, form: Form) -> Result<PathBuf, FileError> {
    let free = |place: &Path| fs::symlink_metadata(place).is_err() || is_own(place, form);
    if free(wanted) {
        return Ok(wanted.to_path_buf());
    }
    let stem = wanted.file_stem().unwrap_or_default().to_string_lossy();
    let folder = wanted.parent().unwrap_or(Path::new(""));
    first_free(folder, &format!("{stem}-report"), form.ending(), &free)
}

/// Whether a file was written by this program as a report, as far as it says so itself.
fn is_own(file: &Path, form: Form) -> bool {
    let Ok(bytes) = read_plain(file, "", false, &OWN) else {
        return false;
    };
    match form {
        Form::Pdf => pdf::is_own(&bytes),
        Form::Html => html::is_own(&bytes),
        Form::Csv => bytes.starts_with(csv::head().as_bytes()),
    }
}

fn written(report: &Report, form: Form, to: &Path) -> Result<Vec<u8>, FileError> {
    if form == Form::Html {
        return Ok(html::html(report).into_bytes());
    }
    pdf::pdf(report).map_err(|error| {
        let name = to.display().to_string();
        FileError::new(
            &name,
            Cause::Refused,
            error.to_string(),
            "Write it as .html",
        )
    })
}

/// The job's photos, and for what cannot be printed its name and why.
fn photos(job: &Job, file: Option<&Path>) -> Vec<Result<Photo, String>> {
    let read = |attachment: &Attachment| {
        let name = excerpt(&attachment.name);
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

#[cfg(test)]
mod tests {
    use super::*;

    /// Only an earlier report is written over: not what speaks of the program, nor what was saved by others in its form.
    #[test]
    fn a_report_takes_the_place_of_a_report_only() {
        let folder = tempfile::tempdir().expect("a folder");
        let job = Job::default();
        for form in [Form::Pdf, Form::Html] {
            let place = folder.path().join(format!("job.{}", form.ending()));
            let free = || free_place(&place, form).expect("a free name");
            assert_eq!(free(), place);
            write_report(&job, None, &place, &Reader::ALL, form).expect("written");
            assert_eq!(free(), place, "an earlier report");
            let report = std::fs::read(&place).expect("read");
            let old = String::from_utf8_lossy(&report).replace(
                "<meta name=\"generator\" content=\"Pinchpoint report\">\n",
                "",
            );
            if form == Form::Html {
                std::fs::write(&place, old.as_bytes()).expect("written");
                assert_eq!(free(), place, "one from before the mark");
            }
            for other in [
                &b"<html><body>We use Pinchpoint here.</body></html>"[..],
                b"<!DOCTYPE html>\n<meta name=\"generator\" content=\"Pinchpoint report\">",
                b"%PDF-1.7\n1 0 obj\n<</Title(On Pinchpoint)/Creator(Other)>>\nendobj\n/Creator(Pinchpoint)>>\ntrailer\n<</Info 1 0 R>>",
                b"%PDF-1.7\n/Info ",
                &report[..report.len() / 2],
            ] {
                // Half of a page begins as a report does.
                if form == Form::Html && other.len() == report.len() / 2 {
                    continue;
                }
                std::fs::write(&place, other).expect("written");
                assert_ne!(free(), place, "{}", String::from_utf8_lossy(&other[..other.len().min(80)]));
            }
        }
    }
}
