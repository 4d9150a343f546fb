//! Keeps settings and unsaved changes on disk, off the drawing thread, always the latest of both.

use std::sync::Arc;

use super::{
    home::Home,
    model::Refusal,
    recovery::{Origin, Slot},
    settings::Settings,
};
use crate::{
    app::latest::{Latest, Wake, start},
    notebook::Job,
};

/// Pause between two writes, so that a drag does not wear the disk; with the write itself well under the four
/// seconds within which a change is safe.
const REST: std::time::Duration = std::time::Duration::from_millis(800);

/// All that should be on disk now.
#[derive(Clone, Debug)]
pub(super) struct Keep {
    pub settings: Settings,
    /// The job with unsaved changes, and where it came from; none when all is saved.
    pub job: Option<(Arc<Job>, Origin)>,
    /// Slots of left-behind jobs that are done with.
    pub done: Vec<Arc<Slot>>,
}

impl Keep {
    /// Whether both ask for the same.
    pub fn same(&self, other: &Self) -> bool {
        let job = match (&self.job, &other.job) {
            (Some(a), Some(b)) => Arc::ptr_eq(&a.0, &b.0) && a.1 == b.1,
            (None, None) => true,
            _ => false,
        };
        job && self.settings == other.settings && self.done.len() == other.done.len()
    }
}

/// The thread that keeps.
pub(super) type Keeper = Latest<Keep, Vec<Refusal>>;

/// Starts the thread. Without a slot only the settings are kept.
pub(super) fn start_keeper(
    home: Home,
    slot: Option<Slot>,
    settings: Settings,
    wake: Wake,
) -> std::io::Result<Keeper> {
    let mut written = Keep {
        settings,
        job: None,
        done: Vec::new(),
    };
    start(
        "keeper",
        REST,
        wake,
        move |wanted: &Keep, _| {
            let mut troubles = Vec::new();
            if wanted.settings != written.settings
                && let Err(error) = wanted.settings.write(&home)
            {
                troubles.push(Refusal::new(
                    home.settings().display().to_string(),
                    format!("the settings could not be written: {error}"),
                    "They hold until the program ends",
                ));
            }
            if let Some(slot) = &slot {
                let kept = match &wanted.job {
                    Some((job, origin)) => slot.keep(job, origin),
                    None => {
                        slot.clear();
                        Ok(())
                    }
                };
                match kept {
                    // What was taken over from another slot is safe in this one now.
                    Ok(()) => wanted.done.iter().for_each(|slot| slot.clear()),
                    Err(error) => {
                        troubles.push(Refusal::new(&*error.file, &*error.what, &*error.remedy));
                    }
                }
            }
            written = wanted.clone();
            troubles
        },
        |_, text| {
            vec![Refusal::new(
                "",
                format!("unsaved changes cannot be kept for a restart: {text}"),
                "Save the job now",
            )]
        },
    )
}
