//! What was typed behind `notebook`.

use std::path::PathBuf;

use super::args::{Request, Source, UsageError, path, text};

/// What is to be done with a notebook.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum NotebookTask {
    /// List the jobs that fit a question; all of them for an empty one.
    Search(String),
    /// Say what the jobs on a vehicle have taught.
    Learnt(String),
    /// Write a job with its attachments as one file.
    Pack {
        /// The job, as the list shows it.
        job: String,
        /// The file to write.
        to: PathBuf,
    },
    /// Put listed jobs away, or bring them back.
    PutAway {
        /// The jobs, as the list shows them.
        jobs: Vec<String>,
        /// Back into the list.
        back: bool,
    },
    /// Take jobs from elsewhere into the folder.
    Import(Vec<PathBuf>),
    /// Begin a job on the circuit of an earlier one.
    Begin {
        /// The earlier job, as the list shows it.
        job: String,
        /// The file to write.
        to: PathBuf,
    },
}

/// Reads the words behind `notebook`.
///
/// # Errors
/// What cannot be done, in words.
pub(super) fn notebook(sources: Vec<Source>, to: Option<PathBuf>) -> Result<Request, UsageError> {
    let wrong = |what: &str| Err(UsageError(what.to_owned()));
    let mut words = sources.into_iter();
    let Some(folder) = words.next().map(path).transpose()? else {
        return wrong("“notebook” needs a folder");
    };
    let task = words.next().map(|word| text(&word));
    if task.as_deref() == Some("import") {
        let files = words.map(path).collect::<Result<Vec<PathBuf>, _>>()?;
        if files.is_empty() || to.is_some() {
            return wrong("“import” needs a file to import, and no -o");
        }
        let task = NotebookTask::Import(files);
        return Ok(Request::Notebook { folder, task });
    }
    let rest: Vec<String> = words.map(|word| text(&word)).collect();
    let task = match (task.as_deref(), rest.as_slice(), to) {
        (None, _, None) => NotebookTask::Search(String::new()),
        (Some("search"), words, None) => {
            // A field that is asked for nothing would be found in every job.
            if let Some(field) = words.iter().find(|word| word.ends_with(':')) {
                return wrong(&format!(
                    "“{field}” needs a word right behind it, e.g. code:P0641"
                ));
            }
            NotebookTask::Search(words.join(" "))
        }
        (Some("learnt"), [_, ..], None) => NotebookTask::Learnt(rest.join(" ")),
        (Some("pack"), [job], Some(to)) => NotebookTask::Pack {
            job: job.clone(),
            to,
        },
        (Some("begin"), [job], Some(to)) => NotebookTask::Begin {
            job: job.clone(),
            to,
        },
        (Some(word @ ("put-away" | "bring-back")), [_, ..], None) => NotebookTask::PutAway {
            jobs: rest.clone(),
            back: word == "bring-back",
        },
        (Some("put-away" | "bring-back"), ..) => {
            return wrong("“put-away” and “bring-back” need a job as the list shows it, and no -o");
        }
        (Some("learnt"), ..) => return wrong("“learnt” needs a vehicle, and no -o"),
        (Some("pack" | "begin"), ..) => {
            return wrong("“pack” and “begin” need one job and a file to write: -o OUT");
        }
        (Some("search"), ..) | (None, ..) => {
            return wrong("a list of jobs is printed and takes no -o");
        }
        (Some(_), ..) => {
            return wrong(
                "a notebook can be asked for: search, learnt, begin, pack, import, put-away, bring-back",
            );
        }
    };
    Ok(Request::Notebook { folder, task })
}
