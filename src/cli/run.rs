//! Carrying out what was asked for in a terminal.

use std::{
    io::{self, Read, Write},
    path::Path,
    process::ExitCode,
};

use super::{Request, Source, UsageError, args::HELP, json, text};
use crate::{
    diagnosis::{Problem, diagnose, problems::left_out},
    notebook::{
        FileError, Job, Opened, VERSION, attach, file::LARGEST, parse_job, problems, read_job,
        trouble,
    },
    report::{Form, Reader, free_place, write_report},
};

/// Everything was computed.
pub(super) const FINE: u8 = 0;
/// Something could not be read or computed.
pub(super) const FAILED: u8 = 1;
/// Wrongly typed.
pub(super) const USAGE: u8 = 2;

/// Carries out a request and gives the program's exit code: 0 fine, 1 could not be computed, 2 wrongly typed.
///
/// A window cannot be opened from here; asking for it says so.
pub fn run(request: &Request) -> ExitCode {
    let mut out = io::stdout().lock();
    let result = match request {
        Request::Help => write!(out, "{HELP}").map(|()| FINE),
        Request::Version => {
            writeln!(out, "pinchpoint {}", env!("CARGO_PKG_VERSION")).map(|()| FINE)
        }
        Request::Licences => {
            write!(out, "{}", include_str!("../../assets/LICENCES.md")).map(|()| FINE)
        }
        Request::Diagnose { sources, json } => each(sources, &mut out, |source, out| {
            diagnose_one(source, *json, out)
        }),
        Request::Check(sources) => each(sources, &mut out, check_one),
        Request::Report {
            source,
            to,
            form,
            readers,
        } => report_one(source, to, *form, readers),
        Request::Notebook { folder, task } => super::notebook::notebook(folder, task, &mut out),
        Request::Attach { job, files } => super::notebook::attach_all(job, files, &mut out),
        Request::Practice(practice) => practice_one(practice, &mut out),
        Request::Window(file) => {
            if let Some(code) = absent(file.as_deref()) {
                return code;
            }
            tell("this build has no window; “pinchpoint --help” lists what it can do");
            Ok(USAGE)
        }
    };
    match result.and_then(|code| out.flush().map(|()| code)) {
        Ok(code) => ExitCode::from(code),
        // Whoever reads has had enough, as in “pinchpoint diagnose … | head”.
        Err(error) if error.kind() == io::ErrorKind::BrokenPipe => ExitCode::from(FINE),
        Err(error) => {
            tell(&format!("the output could not be written: {error}"));
            ExitCode::from(FAILED)
        }
    }
}

fn practice_one<W: Write>(practice: &super::practice::Practice, out: &mut W) -> io::Result<u8> {
    use super::practice::{Trouble, practise};
    // Any moment is as good as any other for a seed; the clock before 1970 gives 0.
    let now = std::time::SystemTime::now().duration_since(std::time::UNIX_EPOCH);
    let seed = now.map_or(0, |since| since.as_secs());
    match practise(practice, seed, &mut io::stdin().lock(), out) {
        Ok(true) => Ok(FINE),
        Ok(false) => Ok(FAILED),
        Err(Trouble::Io(error)) => Err(error),
        Err(Trouble::Told(what)) => {
            tell(&what);
            Ok(FAILED)
        }
    }
}

/// Says what was wrongly typed, and gives the exit code for it.
pub fn refuse(error: &UsageError) -> ExitCode {
    tell(&error.to_string());
    ExitCode::from(USAGE)
}

/// Says why something failed, and gives the exit code for it.
pub fn fail(what: &impl std::fmt::Display) -> ExitCode {
    tell(&what.to_string());
    ExitCode::from(FAILED)
}

/// A line on standard error; there is nobody left to tell if that fails.
pub(super) fn tell(what: &str) {
    let _ = writeln!(io::stderr(), "pinchpoint: {what}");
}

/// Says that the file with which the window should open is not there, and gives the exit code for it; none where it is.
pub fn absent(file: Option<&Path>) -> Option<ExitCode> {
    let file = file?;
    let error = std::fs::metadata(file).err()?;
    if error.kind() != io::ErrorKind::NotFound {
        // The window tells more about it.
        return None;
    }
    let name = file.display().to_string();
    // A single word was meant as a command.
    if file.extension().is_none() && file.components().count() == 1 {
        return Some(refuse(&UsageError(format!(
            "“{}” is no command, and there is no file of that name",
            trouble::excerpt(&name)
        ))));
    }
    Some(fail(&trouble::disk(&name, &error)))
}

/// Does all, and gives the worst code.
fn each<W: Write>(
    sources: &[Source],
    out: &mut W,
    mut one: impl FnMut(&Source, &mut W) -> io::Result<u8>,
) -> io::Result<u8> {
    let mut worst = FINE;
    for (index, source) in sources.iter().enumerate() {
        worst = worst.max(one(source, out)?);
        if index + 1 < sources.len() {
            out.flush()?;
        }
    }
    Ok(worst)
}

fn name(source: &Source) -> String {
    match source {
        Source::File(path) => path.display().to_string(),
        Source::Standard => "-".to_owned(),
    }
}

/// What is said of a file of a newer version.
fn newer(file: &str, version: u32) -> String {
    format!(
        "{file}: the file is of version {version}, newer than this program: what it says beyond version {VERSION} is not known here; use the newest program for it"
    )
}

/// A job, and a word where its file is of a newer version.
fn open_telling(source: &Source) -> Result<Opened, FileError> {
    let opened = open(source)?;
    if let Some(version) = opened.newer {
        tell(&newer(&trouble::visible(&name(source)), version));
    }
    Ok(opened)
}

/// What is wrong with the photos and other files of a job in a file.
fn lost_files(source: &Source, job: &Job) -> Vec<FileError> {
    let Source::File(path) = source else {
        return Vec::new();
    };
    let attached = job.record.attachments.iter();
    attached
        .filter_map(|one| attach::read_attachment(path, one).err())
        .collect()
}

fn open(source: &Source) -> Result<Opened, FileError> {
    match source {
        Source::File(path) => read_job(path),
        Source::Standard => {
            let mut bytes = Vec::new();
            io::stdin()
                .lock()
                .take(LARGEST as u64 + 1)
                .read_to_end(&mut bytes)
                .map_err(|error| trouble::disk("-", &error))?;
            parse_job("-", &bytes)
        }
    }
}

fn diagnose_one<W: Write>(source: &Source, json: bool, out: &mut W) -> io::Result<u8> {
    let file = name(source);
    let job = match open_telling(source) {
        Ok(opened) => opened.job,
        Err(error) => {
            tell(&error.to_string());
            if json {
                writeln!(out, "{}", json::failure(&file, &error)?)?;
            }
            return Ok(FAILED);
        }
    };
    let mut findings = diagnose(&job.question());
    for problem in problems(&job) {
        if !findings.problems.contains(&problem) {
            findings.problems.push(problem);
        }
    }
    if json {
        writeln!(out, "{}", json::answer(&file, &job, &findings)?)?;
    } else {
        writeln!(out, "{}", text::findings(&job, &findings))?;
    }
    Ok(if findings.problems.iter().any(|problem| problem.fatal) {
        FAILED
    } else {
        FINE
    })
}

fn report_one(source: &Source, to: &Path, form: Form, readers: &[Reader]) -> io::Result<u8> {
    let job = match open_telling(source) {
        Ok(opened) => opened.job,
        Err(error) => {
            tell(&error.to_string());
            return Ok(FAILED);
        }
    };
    let file = match source {
        Source::File(path) => Some(path.as_path()),
        Source::Standard => None,
    };
    let same = |a: &Path, b: &Path| matches!((a.canonicalize(), b.canonicalize()), (Ok(a), Ok(b)) if a == b);
    if file.is_some_and(|file| same(file, to)) {
        tell(&format!(
            "{} is the job itself; name another file for the report",
            trouble::visible(&to.display().to_string())
        ));
        return Ok(FAILED);
    }
    // As with a packed job: only an earlier report gives way.
    if (to.is_file() || to.is_symlink()) && free_place(to, form).ok().as_deref() != Some(to) {
        tell(&format!(
            "{} is there already and is no report of this program; it would be lost; name another file",
            trouble::visible(&to.display().to_string())
        ));
        return Ok(FAILED);
    }
    Ok(match write_report(&job, file, to, readers, form) {
        Ok(None) => FINE,
        Ok(Some(problem)) => {
            tell(&format!(
                "the report has no answer: {}",
                text::problem(&problem)
            ));
            FAILED
        }
        Err(error) => {
            tell(&error.to_string());
            FAILED
        }
    })
}

/// What is wrong or doubtful in a file, and what keeps a line of its log from being used that is not said by that already.
fn everything(job: &Job) -> Vec<Problem> {
    let found = problems(job);
    let said = |new: &Problem| {
        let mut own = found.iter().filter(|old| old.place == new.place);
        own.any(|old| old.what == new.what || old.what.contains("the line is not used"))
    };
    let lines = left_out(&job.question()).into_iter();
    let lines: Vec<Problem> = lines.filter(|problem| !said(problem)).collect();
    found.into_iter().chain(lines).collect()
}

fn check_one<W: Write>(source: &Source, out: &mut W) -> io::Result<u8> {
    let file = trouble::visible(&name(source));
    let opened = match open(source) {
        Ok(opened) => opened,
        Err(error) => {
            writeln!(out, "{error}")?;
            return Ok(FAILED);
        }
    };
    let problems = everything(&opened.job);
    for problem in &problems {
        writeln!(out, "{file}: {}", text::problem(problem))?;
    }
    if let Some(version) = opened.newer {
        writeln!(out, "{}", newer(&file, version))?;
    }
    let lost = lost_files(source, &opened.job);
    for error in &lost {
        writeln!(out, "{file}: {error}")?;
    }
    if problems.is_empty() && lost.is_empty() {
        let circuit = &opened.job.circuit;
        writeln!(
            out,
            "{file}: fine, {}, {}, {}, {} in the log",
            counted(circuit.wires.len(), "wire"),
            counted(circuit.connectors.len(), "connector"),
            counted(circuit.loads.len(), "sensor"),
            counted(opened.job.log.len(), "line")
        )?;
    }
    if opened.version < VERSION {
        writeln!(
            out,
            "{file}: it is written in version {} of the format, the newest is {VERSION}; nothing to do: jobs are kept in the oldest version that can hold them",
            opened.version
        )?;
    }
    Ok(if problems.iter().any(|problem| problem.fatal) {
        FAILED
    } else {
        FINE
    })
}

/// So many things, by the word for one of them.
fn counted(count: usize, word: &str) -> String {
    let end = if count == 1 { "" } else { "s" };
    format!("{count} {word}{end}")
}
