//! Keeps settings and unsaved changes on disk, off the drawing thread, always the latest of both.

use std::sync::Arc;

use super::{
    home::Home,
    model::Refusal,
    recovery::{Origin, Slot, another},
    settings::Settings,
};
use crate::{
    app::latest::{Latest, Wake, start},
    notebook::{Cause, FileError, Job},
};

/// Pause between two writes, so that a drag does not wear the disk; with the write itself well under the four
/// seconds within which a change is safe.
const REST: std::time::Duration = std::time::Duration::from_millis(800);

/// A job with unsaved changes: number, job, where it came from.
type Unsaved = (u64, Arc<Job>, Origin);

/// All that should be on disk now.
#[derive(Clone, Debug)]
pub(super) struct Keep {
    pub settings: Settings,
    /// The jobs with unsaved changes: number, job, and where it came from.
    pub jobs: Vec<Unsaved>,
    /// Slots of left-behind jobs that are done with.
    pub done: Vec<Arc<Slot>>,
}

impl Keep {
    /// Whether both ask for the same.
    pub fn same(&self, other: &Self) -> bool {
        let same =
            |(a, b): (&Unsaved, &Unsaved)| a.0 == b.0 && Arc::ptr_eq(&a.1, &b.1) && a.2 == b.2;
        self.jobs.len() == other.jobs.len()
            && self.jobs.iter().zip(&other.jobs).all(same)
            && self.settings == other.settings
            && self.done.len() == other.done.len()
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
        jobs: Vec::new(),
        done: Vec::new(),
    };
    let mut slots = slot.map(Slots::new);
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
            if let Some(slots) = &mut slots {
                match slots.keep(&home, &wanted.jobs) {
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

/// The slots of this window, each with the job that it keeps.
struct Slots(Vec<(Slot, Option<Unsaved>)>);

impl Slots {
    fn new(first: Slot) -> Self {
        Self(vec![(first, None)])
    }

    /// Keeps these jobs, and no others any more. A job stays in its slot, so that at no moment it is in none.
    fn keep(&mut self, home: &Home, jobs: &[Unsaved]) -> Result<(), FileError> {
        for job in jobs {
            let of = |kept: &Option<Unsaved>| kept.as_ref().map(|kept| kept.0);
            let own = self.0.iter().position(|(_, kept)| of(kept) == Some(job.0));
            let free = || self.0.iter().position(|(_, kept)| kept.is_none());
            let at = match own.or_else(free) {
                Some(at) => at,
                None => {
                    self.0.push((another(home).map_err(full)?, None));
                    self.0.len() - 1
                }
            };
            let (slot, kept) = &mut self.0[at];
            let same = |kept: &Unsaved| Arc::ptr_eq(&kept.1, &job.1) && kept.2 == job.2;
            if !kept.as_ref().is_some_and(same) {
                slot.keep(&job.1, &job.2)?;
                *kept = Some(job.clone());
            }
        }
        for (slot, kept) in &mut self.0 {
            let number = kept.as_ref().map(|kept| kept.0);
            if !jobs.iter().any(|job| Some(job.0) == number) {
                slot.clear();
                *kept = None;
            }
        }
        Ok(())
    }
}

fn full(error: std::io::Error) -> FileError {
    let what = format!("unsaved changes of all open jobs cannot be kept for a restart: {error}");
    FileError::new("", Cause::Disk, what, "Save the jobs, and close some")
}
