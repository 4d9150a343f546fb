//! A signed record stays as it was signed: later words are added to it, none is written over.

use super::{
    command::{Command, Log, Note},
    job::Piece,
    model::Refusal,
};
use crate::notebook::Job;

/// Why a command is refused on a signed record; none where it only adds, or where nobody has signed.
pub(super) fn refusal(job: &Job, command: &Command) -> Option<Refusal> {
    let by = job.record.sign_off.by.trim();
    let overwrites = match command {
        Command::Note(Note::Record(piece, _)) => {
            !matches!(piece, Piece::SignOff | Piece::Amendments)
        }
        Command::Note(Note::Set(..)) => true,
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
    (overwrites && !by.is_empty()).then(|| {
        Refusal::new(
            "the record",
            format!("{by} has signed it, so what is written stays as it is"),
            "Add to it at the sign-off on the Job page, or clear the signature there first",
        )
    })
}
