//! A signed record stays as it was signed: later words are added to it, none is written over, and a signature that is taken
//! off leaves its trace.

use super::{
    command::{Command, Log, Note},
    job::Piece,
    model::{Model, Refusal},
};
use crate::{
    notebook::{Job, Record, record::Amendment},
    report::is_blank,
};

/// How the lines end that this program writes among the additions, how one begins, and what one has in the middle.
const AFTERWARDS: &str = " came to the log after the signature.";
const SIGNATURE_OF: &str = "The signature of ";
const TAKEN_OFF: &str = " was taken off; what is written could be changed from then on.";
const IN_PLACE_OF: &str = " signed in the place of ";

/// Whether this program wrote an addition, as a trace that nobody rubs out.
pub fn is_trace(addition: &Amendment) -> bool {
    let text = &addition.text;
    let replaced = text.contains(IN_PLACE_OF) && text.ends_with('.');
    let taken_off = text.starts_with(SIGNATURE_OF) && text.ends_with(TAKEN_OFF);
    let afterwards = text.strip_suffix(AFTERWARDS).is_some_and(are_lines);
    let told = afterwards || taken_off || replaced;
    told && addition.by.is_empty() && addition.date.is_empty()
}

/// Whether a text names lines of the log as [`trace_log`] does, so that nobody's own words are taken for its.
fn are_lines(text: &str) -> bool {
    let is_number = |text: &str| !text.is_empty() && text.chars().all(|c| c.is_ascii_digit());
    let lines = text
        .strip_prefix("Lines ")
        .and_then(|text| text.split_once(" to "));
    lines.is_some_and(|(from, to)| is_number(from) && is_number(to))
        || text.strip_prefix("Line ").is_some_and(is_number)
}

/// Why a record that somebody is about to sign so would not be taken; none where it would.
pub fn refused_signature(model: &Model, signed: Record) -> Option<Refusal> {
    let command = Command::Note(Note::Record(Piece::SignOff, Box::new(signed)));
    refusal(model, &command)
}

/// Why a command is refused: it writes over what is signed, or signs where there is nothing to sign.
pub(super) fn refusal(model: &Model, command: &Command) -> Option<Refusal> {
    let job = &model.job;
    if let Command::Note(Note::Record(Piece::Amendments, new)) = command
        && let Some(refusal) = rubbed_out(&job.record, new)
    {
        return Some(refusal);
    }
    let by = job.record.sign_off.by.trim();
    if by.is_empty() {
        return blank(job, command);
    }
    let overwrites = match command {
        Command::Note(Note::Record(Piece::Amendments, new)) => {
            return kept(&model.saved.record, new);
        }
        Command::Note(Note::Record(Piece::SignOff, new)) => {
            return same_day(&model.saved.record, &job.record, new);
        }
        // Photos that are added are additions; they leave a line of their own.
        Command::Note(Note::Record(Piece::Photos, new)) => {
            !new.attachments.starts_with(&job.record.attachments)
        }
        Command::Note(_) | Command::Sketch(_) => true,
        Command::Log(log) => matches!(
            log,
            Log::Edit(..)
                | Log::SetState(..)
                | Log::SetNote(..)
                | Log::SetAside(..)
                | Log::Remove(_)
        ),
        _ => false,
    };
    overwrites.then(|| {
        Refusal::new(
            "the record",
            format!("{by} has signed it, so what is written stays as it is"),
            "Add a correction at the top of the Job page, or clear the signature there first",
        )
    })
}

fn blank(job: &Job, command: &Command) -> Option<Refusal> {
    let Command::Note(Note::Record(Piece::SignOff, new)) = command else {
        return None;
    };
    let signs = new.is_signed();
    (signs && is_blank(job)).then(|| {
        Refusal::new(
            "the sign-off",
            "there is nothing to sign yet: no concern, no reading, no repair, no minutes",
            "Write what was found and done, then sign",
        )
    })
}

/// What was added and saved stays, as the record to which it was added does.
fn kept(saved: &Record, new: &Record) -> Option<Refusal> {
    let stays = new.amendments.starts_with(&saved.amendments);
    (!stays).then(|| {
        Refusal::new(
            "the record",
            "this addition is saved and stays as it is",
            "Add another one that says what is right",
        )
    })
}

/// The traces that this program left stay as they are, saved or not.
fn rubbed_out(now: &Record, new: &Record) -> Option<Refusal> {
    let traces = now.amendments.iter().filter(|addition| is_trace(addition));
    let mut left = new.amendments.iter();
    // In their order, whatever is written between them.
    let gone = traces
        .filter(|&trace| !left.any(|other| other == trace))
        .count()
        > 0;
    gone.then(|| {
        Refusal::new(
            "the record",
            "this line tells what happened to the signed record, and stays",
            "Add a correction that says what is right",
        )
    })
}

/// Day and note of a signature stay once it is saved, unless it was taken off since, which is among the additions.
fn same_day(saved: &Record, now: &Record, new: &Record) -> Option<Refusal> {
    let of = |record: &Record| (record.sign_off.clone(), record.amendments.len());
    let new = &new.sign_off;
    let now = (of(saved) == of(now)).then_some(&saved.sign_off)?;
    let other = (&now.date, &now.note) != (&new.date, &new.note);
    (now.by.trim() == new.by.trim() && other).then(|| {
        Refusal::new(
            "the sign-off",
            "the signature is saved with its day and note, which stay as they are",
            "Add a correction, or clear the signature first",
        )
    })
}

/// Notes in a signed record which lines came to the log after it was signed, one after the other in one addition.
pub(super) fn trace_log(old: &Job, new: &mut Job) {
    let (first, last) = (old.log.len() + 1, new.log.len());
    if !old.record.is_signed() || last < first {
        return;
    }
    let words = |from: usize, to: usize| {
        if from == to {
            format!("Line {to}{AFTERWARDS}")
        } else {
            format!("Lines {from} to {to}{AFTERWARDS}")
        }
    };
    let amendments = &mut new.record.amendments;
    let goes_on = amendments.last_mut().and_then(|addition| {
        let from = (1..first).find(|&from| addition.text == words(from, first - 1))?;
        Some((addition, from))
    });
    match goes_on {
        Some((addition, from)) => addition.text = words(from, last),
        None => amendments.push(Amendment {
            text: words(first, last),
            ..Amendment::default()
        }),
    }
}

/// Notes in a record that a signature on it was taken off or another one put in its place.
pub(super) fn trace(old: &Record, new: &mut Record) {
    let (before, after) = (&old.sign_off, &new.sign_off);
    let (was, is) = (before.by.trim(), after.by.trim());
    if was.is_empty() || was == is {
        return;
    }
    let day = match before.date.trim() {
        "" => String::new(),
        day => format!(" of {day}"),
    };
    let text = if is.is_empty() {
        format!("{SIGNATURE_OF}{was}{day}{TAKEN_OFF}")
    } else {
        format!("{is}{IN_PLACE_OF}{was}{day}.")
    };
    new.amendments.push(Amendment {
        text,
        ..Amendment::default()
    });
}
