//! What was typed, turned into what is to be done.

use std::{ffi::OsString, path::PathBuf};

use lexopt::prelude::*;

use super::{
    notebook_args::{NotebookTask, notebook},
    practice::Practice,
    practice_args,
};
use crate::report::{Form, Reader};

/// Where a job is read from.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Source {
    /// A file.
    File(PathBuf),
    /// Standard input, typed as `-`.
    Standard,
}

/// What is to be done.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Request {
    /// Open the window, on a file if one was named.
    Window(Option<PathBuf>),
    /// Print the findings of each job.
    Diagnose {
        /// The jobs.
        sources: Vec<Source>,
        /// One line of JSON each, instead of text.
        json: bool,
    },
    /// Say what is wrong with each file, if anything.
    Check(Vec<Source>),
    /// Write a report of a job.
    Report {
        /// The job.
        source: Source,
        /// The file to write.
        to: PathBuf,
        /// As what.
        form: Form,
        /// For whom.
        readers: Vec<Reader>,
    },
    /// Look into a folder of jobs.
    Notebook {
        /// The folder.
        folder: PathBuf,
        /// What is to be done with it.
        task: NotebookTask,
    },
    /// Keep files with a job.
    Attach {
        /// The job's file.
        job: PathBuf,
        /// What to keep.
        files: Vec<PathBuf>,
    },
    /// Practise on a hidden fault.
    Practice(Practice),
    /// Print the help text.
    Help,
    /// Print the version.
    Version,
    /// Print the licences of everything that ships.
    Licences,
}

/// Something typed that cannot be done.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{0}; “pinchpoint --help” lists what there is")]
pub struct UsageError(pub(super) String);

/// The help text.
pub const HELP: &str = "\
Pinchpoint finds the short, open or bad joint in a sensor feed circuit, and says what each point should read.

  pinchpoint [FILE]                   open the window, on a job if one is named
  pinchpoint diagnose [--json] FILE...
                                      print what the readings of each job say
  pinchpoint check FILE...            say what is wrong with each job file, if anything
  pinchpoint report FILE -o OUT [--for READER]...
                                      write a job's report as OUT.pdf or OUT.html, or its log as OUT.csv
  pinchpoint notebook DIR             list the jobs in a folder
  pinchpoint notebook DIR search WORDS...
                                      list those that have the words; also code:P0641, colour:BNRD, number:417,
                                      vehicle:…, shop:…, part:…, is:open, is:repaired, is:signed,
                                      is:unplugged, is:away
  pinchpoint notebook DIR learnt VEHICLE
                                      minutes to reach connectors, and volts that were right, from past jobs
  pinchpoint notebook DIR begin JOB -o NEW.ron
                                      begin a job on the circuit of an earlier one
  pinchpoint notebook DIR pack JOB -o OUT.zip
                                      write a job with its attachments as one file
  pinchpoint notebook DIR import FILE...
                                      take job files and packed jobs into the folder, with their attachments
  pinchpoint notebook DIR put-away JOB...
                                      take jobs out of the list of every day; “bring-back JOB...” undoes it
  pinchpoint attach FILE PHOTO...     keep photos and other files with a job
  pinchpoint practice                 list the drills
  pinchpoint practice --drill NAME [--level 1|2|3] [--seed N] [--on FILE] [--trainee RECORD]
                                      find a hidden fault, test by test; --on hides it in the circuit of a job
  pinchpoint practice --exercise FILE [--trainee RECORD]
                                      the same with an exercise that a trainer made
  pinchpoint --help                   print this
  pinchpoint --version                print the version
  pinchpoint --licences               print the licences of everything that ships

FILE is a job file (.ron). For diagnose, check and report “-” reads standard input. With --json each job gives one line.
READER is shop, insurer or own; without --for a report has the parts for all three.
Exit code: 0 fine, 1 something could not be read or computed, 2 wrongly typed. What “check” only warns of is printed,
with its place and what to do, and leaves the code at 0.
";

/// Reads the arguments that follow the program's name.
///
/// # Errors
/// Unknown options and commands without their files, each named.
///
/// ```
/// use pinchpoint::cli::{Request, parse};
/// assert_eq!(parse(["--version"]), Ok(Request::Version));
/// assert!(parse(["diagnose"]).is_err());
/// ```
pub fn parse<I>(args: I) -> Result<Request, UsageError>
where
    I: IntoIterator,
    I::Item: Into<OsString>,
{
    let mut parser = lexopt::Parser::from_args(args.into_iter().map(Into::into));
    let mut command = None;
    let mut sources = Vec::new();
    let mut json = false;
    let mut to: Option<PathBuf> = None;
    let mut readers: Vec<Reader> = Vec::new();
    let unreadable = |error: lexopt::Error| UsageError(error.to_string());
    while let Some(argument) = parser.next().map_err(unreadable)? {
        match argument {
            Long("help") | Short('h') => return Ok(Request::Help),
            Long("version") | Short('V') => return Ok(Request::Version),
            Long("licences") => return Ok(Request::Licences),
            Long("json") => json = true,
            Short('o') | Long("output") => {
                let file = PathBuf::from(parser.value().map_err(unreadable)?);
                if let Some(first) = to.replace(file) {
                    let first = first.display();
                    return Err(UsageError(format!(
                        "-o stands twice; {first} and one more: give one file to write"
                    )));
                }
            }
            Long("for") => readers.push(reader(&parser.value().map_err(unreadable)?)?),
            Value(word) if command.is_none() && sources.is_empty() => match word.to_str() {
                Some("practice") if !json && to.is_none() => {
                    return practice_args::parse(parser);
                }
                Some("diagnose") => command = Some(Command::Diagnose),
                Some("check") => command = Some(Command::Check),
                Some("report") => command = Some(Command::Report),
                Some("notebook") => command = Some(Command::Notebook),
                Some("attach") => command = Some(Command::Attach),
                Some("help") => return Ok(Request::Help),
                _ => sources.push(source(word)),
            },
            Value(word) => sources.push(source(word)),
            other => return Err(unreadable(other.unexpected())),
        }
    }
    if json && command != Some(Command::Diagnose) {
        return Err(UsageError("--json goes with “diagnose” only".to_owned()));
    }
    if command != Some(Command::Report) && !readers.is_empty() {
        return Err(UsageError("--for goes with “report” only".to_owned()));
    }
    if !matches!(command, Some(Command::Report | Command::Notebook)) && to.is_some() {
        let what = "-o goes with “report” and “notebook” only";
        return Err(UsageError(what.to_owned()));
    }
    match command {
        None => window(sources),
        Some(command) => {
            if sources.is_empty() {
                return Err(UsageError(format!(
                    "“{}” needs {}",
                    command.name(),
                    command.needs()
                )));
            }
            if sources.iter().filter(|s| **s == Source::Standard).count() > 1 {
                return Err(UsageError(
                    "standard input can be read only once".to_owned(),
                ));
            }
            Ok(match command {
                Command::Diagnose => Request::Diagnose { sources, json },
                Command::Check => Request::Check(sources),
                Command::Report => report(sources, to, readers)?,
                Command::Notebook => notebook(sources, to)?,
                Command::Attach => attach(sources)?,
            })
        }
    }
}

#[derive(Clone, Copy, PartialEq)]
enum Command {
    Diagnose,
    Check,
    Report,
    Notebook,
    Attach,
}

impl Command {
    fn name(self) -> &'static str {
        match self {
            Self::Diagnose => "diagnose",
            Self::Check => "check",
            Self::Report => "report",
            Self::Notebook => "notebook",
            Self::Attach => "attach",
        }
    }

    fn needs(self) -> &'static str {
        match self {
            Self::Notebook => "a folder",
            Self::Attach => "a job file and what to keep with it",
            Self::Diagnose | Self::Check | Self::Report => "a job file, or - for standard input",
        }
    }
}

fn source(word: OsString) -> Source {
    if word == "-" {
        Source::Standard
    } else {
        Source::File(word.into())
    }
}

fn reader(word: &OsString) -> Result<Reader, UsageError> {
    let found = Reader::ALL
        .into_iter()
        .find(|reader| *word == *reader.word());
    found.ok_or_else(|| {
        let word = word.to_string_lossy();
        UsageError(format!("--for {word}: a reader is shop, insurer or own"))
    })
}

fn report(
    mut sources: Vec<Source>,
    to: Option<PathBuf>,
    mut readers: Vec<Reader>,
) -> Result<Request, UsageError> {
    let wrong = |what: &str| UsageError(what.to_owned());
    let to =
        to.ok_or_else(|| wrong("“report” needs a file to write: -o OUT.pdf, .html or .csv"))?;
    let form = Form::of(&to).ok_or_else(|| wrong("a report is written as .pdf, .html or .csv"))?;
    if readers.is_empty() {
        readers.extend(Reader::ALL);
    }
    match (sources.pop(), sources.is_empty()) {
        (Some(source), true) => Ok(Request::Report {
            source,
            to,
            form,
            readers,
        }),
        _ => Err(wrong("“report” takes one job at a time")),
    }
}

/// The text of a word; on most systems every word has one.
pub(super) fn text(source: &Source) -> String {
    match source {
        Source::File(path) => path.to_string_lossy().into_owned(),
        Source::Standard => "-".to_owned(),
    }
}

/// The path of a file or folder that has to have a name.
pub(super) fn path(source: Source) -> Result<PathBuf, UsageError> {
    match source {
        Source::File(path) => Ok(path),
        Source::Standard => Err(UsageError(
            "“-” is standard input, which diagnose, check and report read; give a name here"
                .to_owned(),
        )),
    }
}

fn attach(sources: Vec<Source>) -> Result<Request, UsageError> {
    let mut paths = sources.into_iter().map(path);
    match (
        paths.next().transpose()?,
        paths.collect::<Result<Vec<_>, _>>()?,
    ) {
        (Some(job), files) if !files.is_empty() => Ok(Request::Attach { job, files }),
        _ => Err(UsageError(
            "“attach” needs a job file and what to keep with it".to_owned(),
        )),
    }
}

fn window(mut sources: Vec<Source>) -> Result<Request, UsageError> {
    if sources.len() > 1 {
        return Err(UsageError(
            "the window opens one job at a time; for several, type “diagnose” or “check” first"
                .to_owned(),
        ));
    }
    match sources.pop() {
        None => Ok(Request::Window(None)),
        Some(Source::File(path)) => Ok(Request::Window(Some(path))),
        Some(Source::Standard) => Err(UsageError(
            "the window cannot read standard input; type “diagnose -”".to_owned(),
        )),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn file(name: &str) -> Source {
        Source::File(name.into())
    }

    #[test]
    fn what_can_be_typed() {
        let diagnose = |sources: &[Source], json| Request::Diagnose {
            sources: sources.to_vec(),
            json,
        };
        let listed = |words: &str| Request::Notebook {
            folder: "jobs".into(),
            task: NotebookTask::Search(words.to_owned()),
        };
        for (typed, request) in [
            ("", Request::Window(None)),
            ("a.ron", Request::Window(Some("a.ron".into()))),
            ("./check", Request::Window(Some("./check".into()))),
            ("diagnose a.ron", diagnose(&[file("a.ron")], false)),
            ("diagnose - --json", diagnose(&[Source::Standard], true)),
            (
                "--json diagnose a b",
                diagnose(&[file("a"), file("b")], true),
            ),
            ("diagnose -- --json", diagnose(&[file("--json")], false)),
            ("diagnose diagnose", diagnose(&[file("diagnose")], false)),
            ("check a b", Request::Check(vec![file("a"), file("b")])),
            (
                "practice --drill two-faults --level 2 --seed 7",
                Request::Practice(Practice {
                    drill: crate::practice::Drill::of("two-faults"),
                    level: Some(2),
                    seed: Some(7),
                    ..Practice::default()
                }),
            ),
            ("practice --help", Request::Help),
            ("check --help", Request::Help),
            (
                "report a.ron -o out.PDF",
                Request::Report {
                    source: file("a.ron"),
                    to: "out.PDF".into(),
                    form: Form::Pdf,
                    readers: Reader::ALL.to_vec(),
                },
            ),
            (
                "report --for insurer - -o x.csv",
                Request::Report {
                    source: Source::Standard,
                    to: "x.csv".into(),
                    form: Form::Csv,
                    readers: vec![Reader::Insurer],
                },
            ),
            ("notebook jobs", listed("")),
            (
                "notebook jobs search sill code:P0641",
                listed("sill code:P0641"),
            ),
            (
                "attach a.ron b.jpg",
                Request::Attach {
                    job: "a.ron".into(),
                    files: vec!["b.jpg".into()],
                },
            ),
            (
                "notebook jobs pack a.ron -o a.zip",
                Request::Notebook {
                    folder: "jobs".into(),
                    task: NotebookTask::Pack {
                        job: "a.ron".to_owned(),
                        to: "a.zip".into(),
                    },
                },
            ),
            (
                "notebook jobs import a.zip b.ron",
                Request::Notebook {
                    folder: "jobs".into(),
                    task: NotebookTask::Import(vec!["a.zip".into(), "b.ron".into()]),
                },
            ),
            ("-V", Request::Version),
        ] {
            assert_eq!(parse(typed.split_whitespace()), Ok(request), "{typed}");
        }
    }

    #[test]
    fn what_cannot_be_typed_is_named() {
        for (typed, named) in [
            ("practice --drill nonsense", "split-half"),
            ("practice --drill", "--drill"),
            ("practice --drill two-faults --level 9", "from 1 to 3"),
            ("practice --drill two-faults --seed x", "--seed"),
            ("practice a.ron", "a.ron"),
            ("practice --exercise a.ron --level 2", "--exercise"),
            ("practice --level 2", "--drill"),
            ("--jsn", "--jsn"),
            ("-x", "-x"),
            ("diagnose", "needs a job file"),
            ("check", "needs a job file"),
            ("check a --json", "--json"),
            ("a.ron --json", "--json"),
            ("a.ron b.ron", "one job at a time"),
            ("-", "diagnose -"),
            ("check - -", "only once"),
            ("report a.ron", "-o OUT"),
            ("report -o x.pdf", "needs a job file"),
            ("report a.ron b.ron -o x.pdf", "one job"),
            ("report a.ron -o x.doc", ".pdf, .html or .csv"),
            ("report a.ron -o", "-o"),
            ("report a.ron -o x.pdf --for boss", "shop, insurer or own"),
            ("check a.ron -o x.pdf", "“report” and “notebook” only"),
            ("check a.ron --for shop", "“report” only"),
            ("notebook", "needs a folder"),
            (
                "notebook jobs find x",
                "search, learnt, begin, pack, import",
            ),
            ("notebook jobs import", "a file to import"),
            ("notebook jobs put-away", "a job as the list shows it"),
            ("notebook jobs search x -o y", "takes no -o"),
            ("notebook jobs pack", "one job"),
            ("notebook jobs begin a.ron", "-o OUT"),
            ("notebook jobs learnt", "needs a vehicle"),
            ("attach a.ron", "what to keep"),
            ("attach a.ron -", "“-” is standard input"),
            ("attach - a.jpg", "“-” is standard input"),
            ("notebook -", "“-” is standard input"),
            ("notebook jobs import -", "“-” is standard input"),
            ("report a.ron -o a.pdf -o b.pdf", "-o stands twice"),
            ("notebook jobs search code:", "“code:” needs a word"),
            (
                "notebook jobs search sill code: P0641",
                "“code:” needs a word",
            ),
        ] {
            let error = parse(typed.split_whitespace())
                .expect_err(typed)
                .to_string();
            assert!(error.contains(named), "{typed}: {error}");
            assert!(error.contains("--help"), "{error}");
        }
    }
}
