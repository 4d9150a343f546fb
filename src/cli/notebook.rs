//! `notebook`: a folder of jobs, listed, searched, learnt from; a job packed into one file, or begun from an earlier one.

use std::{
    io::{self, Write},
    path::{Path, PathBuf},
};

use super::{
    notebook_args::NotebookTask,
    run::{FAILED, FINE, USAGE, tell},
    table::table,
};
use crate::{
    notebook::{
        Shelf, archive, attach,
        away::{is_away, put_away_or_back},
        import::{import, job_file},
        read_job, save_job,
        shelf::Found,
        trouble::visible,
    },
    quantity::{Unit, format},
};

/// Files and folders that are told one by one where they could not be read.
const TOLD: usize = 20;

/// Carries out a task on a notebook and gives the exit code.
///
/// # Errors
/// What the output says.
pub fn notebook<W: Write>(folder: &Path, task: &NotebookTask, out: &mut W) -> io::Result<u8> {
    let shelf = match Shelf::open(folder) {
        Ok(shelf) => shelf,
        Err(error) => {
            tell(&error.to_string());
            return Ok(FAILED);
        }
    };
    for file in shelf.unreadable.iter().take(TOLD) {
        tell(&visible(&format!("{}: {}", file.path, file.why)));
    }
    // Whoever names the whole disk is not told of every folder on it.
    if let Some(more) = shelf
        .unreadable
        .len()
        .checked_sub(TOLD)
        .filter(|&more| more > 0)
    {
        tell(&format!(
            "{more} more files and folders were left out like these; name a folder that holds jobs only"
        ));
    }
    // A list that lacks something is no complete answer, and a script must see that.
    let skipped = if shelf.unreadable.is_empty() {
        FINE
    } else {
        FAILED
    };
    match task {
        NotebookTask::Search(words) => match shelf.find(words) {
            Ok(found) => list(&shelf, &found, out).map(|code| code.max(skipped)),
            Err(error) => {
                tell(&error.to_string());
                Ok(USAGE)
            }
        },
        NotebookTask::Learnt(vehicle) => learnt(&shelf, vehicle, out).map(|code| code.max(skipped)),
        NotebookTask::Import(files) => import_all(folder, files, out),
        NotebookTask::PutAway { jobs, back } => put_away(&shelf, jobs, *back, out),
        NotebookTask::Pack { job, to } => Ok(with_job(&shelf, job, |path| pack(path, to))),
        NotebookTask::Begin { job, to } => {
            let to = job_file(to.clone());
            let code = with_job(&shelf, job, |path| begin(&shelf, path, &to));
            if code == FINE {
                writeln!(out, "{}", visible(&to.display().to_string()))?;
            }
            Ok(code)
        }
    }
}

/// Moves listed jobs, and says where each lies now.
fn put_away<W: Write>(shelf: &Shelf, jobs: &[String], back: bool, out: &mut W) -> io::Result<u8> {
    let mut worst = FINE;
    for job in jobs {
        let listed = shelf.cards.iter().any(|card| card.path == *job);
        let trouble = match (listed, is_away(job)) {
            (false, _) => "is no job of this notebook; give it as the list shows it",
            (true, true) if !back => "is put away already",
            (true, false) if back => "is not put away",
            _ => "",
        };
        if !trouble.is_empty() {
            tell(&visible(&format!("{job} {trouble}")));
            worst = FAILED;
            continue;
        }
        match put_away_or_back(&shelf.folder, job) {
            Ok(path) => writeln!(out, "{}", visible(&path.display().to_string()))?,
            Err(error) => {
                tell(&error.to_string());
                worst = FAILED;
            }
        }
    }
    Ok(worst)
}

/// Takes files into the folder, each under a free name.
fn import_all<W: Write>(folder: &Path, files: &[PathBuf], out: &mut W) -> io::Result<u8> {
    let mut worst = FINE;
    for file in files {
        match import(folder, file) {
            Ok(imported) => {
                let name = imported.path.display().to_string();
                writeln!(out, "{}", visible(&name))?;
                for missing in &imported.missing {
                    tell(&format!(
                        "{missing}: this attachment did not come with the job"
                    ));
                    worst = FAILED;
                }
            }
            Err(error) => {
                tell(&error.to_string());
                worst = FAILED;
            }
        }
    }
    Ok(worst)
}

fn list<W: Write>(shelf: &Shelf, found: &[Found], out: &mut W) -> io::Result<u8> {
    let mark = |is: bool, word: &str| if is { word } else { "" }.to_owned();
    let rows: Vec<Vec<String>> = found
        .iter()
        .filter_map(|found| Some((shelf.cards.get(found.at)?, found.note())))
        .map(|(card, note)| {
            vec![
                visible(&card.path),
                visible(&card.date),
                visible(&card.vehicle),
                visible(&card.title),
                mark(card.signed, "signed"),
                mark(card.repaired && !card.signed, "repaired"),
                mark(card.unplugged, "unplugged!"),
                visible(&note.unwrap_or_default()),
            ]
        })
        .collect();
    write!(out, "{}", table(&rows))?;
    let jobs = if found.len() == 1 { "job" } else { "jobs" };
    writeln!(out, "{} {jobs}", found.len())?;
    Ok(FINE)
}

fn learnt<W: Write>(shelf: &Shelf, vehicle: &str, out: &mut W) -> io::Result<u8> {
    let learnt = shelf.learnt(vehicle);
    let jobs = |count: usize| format!("{count} {}", if count == 1 { "job" } else { "jobs" });
    writeln!(out, "{}: {}", visible(vehicle), jobs(learnt.jobs))?;
    let mut rows = Vec::new();
    for known in &learnt.minutes {
        let minutes = format::minutes(known.minutes);
        rows.push(vec![
            visible(&known.connector),
            "to reach".to_owned(),
            minutes,
            jobs(known.jobs),
        ]);
    }
    for known in &learnt.volts {
        let (low, middle, high) = known.volts;
        let range = if known.jobs > 1 {
            format!(" ({})", format::interval(low, high, Unit::Volts))
        } else {
            String::new()
        };
        let volts = format!("{}{range}", format::si(middle, Unit::Volts));
        rows.push(vec![
            visible(&known.point),
            "reads right at".to_owned(),
            volts,
            jobs(known.jobs),
        ]);
    }
    write!(out, "{}", table(&rows))?;
    Ok(FINE)
}

/// Does something with the file of a listed job; a name that is not listed leads nowhere.
fn with_job(shelf: &Shelf, job: &str, act: impl FnOnce(&Path) -> u8) -> u8 {
    match shelf.cards.iter().find(|card| card.path == job) {
        Some(card) => act(&shelf.folder.join(&card.path)),
        None => {
            tell(&visible(&format!(
                "{job} is no job of this notebook; give it as the list shows it"
            )));
            FAILED
        }
    }
}

fn pack(path: &Path, to: &Path) -> u8 {
    match archive::pack(path, to) {
        Ok(missing) => {
            for error in &missing {
                tell(&format!("not packed: {error}"));
            }
            if missing.is_empty() { FINE } else { FAILED }
        }
        Err(error) => {
            tell(&error.to_string());
            FAILED
        }
    }
}

/// Writes a new job on an earlier job's circuit, its connectors' minutes as past jobs took them. A file that is there
/// already is left alone.
fn begin(shelf: &Shelf, path: &Path, to: &Path) -> u8 {
    if to.exists() {
        tell(&format!(
            "{} is there already; choose another name",
            to.display()
        ));
        return FAILED;
    }
    let written = read_job(path).and_then(|opened| {
        let mut job = opened.job.begin_from();
        shelf.learnt(&job.vehicle).teach(&mut job.circuit);
        save_job(to, &job, None)
    });
    match written {
        Ok(_) => FINE,
        Err(error) => {
            tell(&error.to_string());
            FAILED
        }
    }
}

/// Copies files into a job's attachments, notes them in its record and says which are kept with it now.
///
/// # Errors
/// What the output says.
pub fn attach_all<W: Write>(job_file: &Path, files: &[PathBuf], out: &mut W) -> io::Result<u8> {
    let opened = match read_job(job_file) {
        Ok(opened) => opened,
        Err(error) => {
            tell(&error.to_string());
            return Ok(FAILED);
        }
    };
    let mut job = opened.job;
    let mut worst = FINE;
    let mut kept = Vec::new();
    for file in files {
        match attach::attach(job_file, file, "") {
            Ok(new) => {
                let (name, bytes) = (new.name.clone(), new.bytes);
                let added = job.record.attach(new);
                let how = if added { "is kept" } else { "was kept already" };
                kept.push(format!("{name} {how}, {bytes} bytes"));
            }
            Err(error) => {
                tell(&error.to_string());
                worst = FAILED;
            }
        }
    }
    match save_job(job_file, &job, Some(opened.stamp)) {
        Ok(saved) if saved.conflict => {
            tell(&format!(
                "{} was changed meanwhile; the job went to {}",
                job_file.display(),
                saved.path.display()
            ));
            Ok(FAILED)
        }
        Ok(_) => {
            let job = job_file.display();
            for line in kept {
                writeln!(out, "{}", visible(&format!("{job}: {line}")))?;
            }
            Ok(worst)
        }
        Err(error) => {
            tell(&error.to_string());
            Ok(FAILED)
        }
    }
}
