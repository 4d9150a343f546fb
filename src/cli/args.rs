//! What was typed, turned into what is to be done.

use std::{ffi::OsString, path::PathBuf};

use lexopt::prelude::*;

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
pub struct UsageError(String);

/// The help text.
pub const HELP: &str = "\
Pinchpoint finds the short, open or bad joint in a sensor feed circuit, and says what each point should read.

  pinchpoint [FILE]                   open the window, on a job if one is named
  pinchpoint diagnose [--json] FILE...
                                      print what the readings of each job say
  pinchpoint check FILE...            say what is wrong with each job file, if anything
  pinchpoint --help                   print this
  pinchpoint --version                print the version
  pinchpoint --licences               print the licences of everything that ships

FILE is a job file (.ron); “-” reads standard input. With --json each job gives one line.
Exit code: 0 fine, 1 something could not be read or computed, 2 wrongly typed.
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
    let unreadable = |error: lexopt::Error| UsageError(error.to_string());
    while let Some(argument) = parser.next().map_err(unreadable)? {
        match argument {
            Long("help") | Short('h') => return Ok(Request::Help),
            Long("version") | Short('V') => return Ok(Request::Version),
            Long("licences") => return Ok(Request::Licences),
            Long("json") => json = true,
            Value(word) if command.is_none() && sources.is_empty() => match word.to_str() {
                Some("diagnose") => command = Some(Command::Diagnose),
                Some("check") => command = Some(Command::Check),
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
    match command {
        None => window(sources),
        Some(command) => {
            if sources.is_empty() {
                return Err(UsageError(format!(
                    "“{}” needs a job file, or - for standard input",
                    command.name()
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
            })
        }
    }
}

#[derive(Clone, Copy, PartialEq)]
enum Command {
    Diagnose,
    Check,
}

impl Command {
    fn name(self) -> &'static str {
        match self {
            Self::Diagnose => "diagnose",
            Self::Check => "check",
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
            ("check --help", Request::Help),
            ("-V", Request::Version),
        ] {
            assert_eq!(parse(typed.split_whitespace()), Ok(request), "{typed}");
        }
    }

    #[test]
    fn what_cannot_be_typed_is_named() {
        for (typed, named) in [
            ("--jsn", "--jsn"),
            ("-x", "-x"),
            ("diagnose", "needs a job file"),
            ("check", "needs a job file"),
            ("check a --json", "--json"),
            ("a.ron --json", "--json"),
            ("a.ron b.ron", "one job at a time"),
            ("-", "diagnose -"),
            ("check - -", "only once"),
        ] {
            let error = parse(typed.split_whitespace())
                .expect_err(typed)
                .to_string();
            assert!(error.contains(named), "{typed}: {error}");
            assert!(error.contains("--help"), "{error}");
        }
    }
}
