//! Reading a folder of jobs and searching it, off the drawing thread; the folder is kept until it is to be read anew.

use std::{
    path::PathBuf,
    sync::{
        Arc,
        atomic::{AtomicBool, AtomicUsize, Ordering::Relaxed},
    },
    time::Duration,
};

use super::{Lesson, Order};
use crate::{
    app::latest::{Latest, Wake, start},
    notebook::{
        Cause, FileError, Shelf,
        shelf::{Found, same_vehicle},
    },
};

/// Files after which the window is told how far reading has come.
const STRIDE: usize = 64;

/// Circuits that are offered to begin on.
const EARLIER: usize = 5;

/// What is to be found out.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Wanted {
    /// Where.
    pub folder: PathBuf,
    /// Counts how often the folder was to be read anew.
    pub reading: u64,
    /// What is searched for.
    pub question: String,
    /// In which order without words.
    pub order: Order,
    /// Vehicle of which is to be said what its jobs have taught.
    pub vehicle: String,
    /// The vehicle on the bench, of which the same is to be said.
    pub bench: String,
}

/// An earlier job on whose circuit another one can begin: the latest of its vehicle.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Earlier {
    /// Its place in the shelf's cards.
    pub card: usize,
    /// Jobs on that vehicle.
    pub jobs: usize,
    /// Connectors of which they have taught the minutes.
    pub connectors: usize,
}

/// What was found.
#[derive(Debug)]
pub struct Listing {
    /// What was asked for.
    pub wanted: Wanted,
    /// The folder; none where it could not be read.
    pub shelf: Option<Arc<Shelf>>,
    /// Why not.
    pub trouble: Option<FileError>,
    /// What fits, as it is to be listed.
    pub found: Vec<Found>,
    /// Why the question makes no sense, if it does not.
    pub refusal: Option<String>,
    /// What the jobs on the vehicle have taught.
    pub lesson: Arc<Lesson>,
    /// What those on the vehicle on the bench have.
    pub own: Arc<Lesson>,
    /// Circuits to begin on, the latest first.
    pub earlier: Arc<Vec<Earlier>>,
}

/// How far reading has come: files seen to, and files there are. 0 of 0 while nothing is being read.
#[derive(Debug, Default)]
pub struct Progress {
    done: AtomicUsize,
    all: AtomicUsize,
    stopped: AtomicBool,
    ended: AtomicBool,
}

impl Progress {
    /// Files seen to, and files there are.
    pub fn seen(&self) -> (usize, usize) {
        (self.done.load(Relaxed), self.all.load(Relaxed))
    }

    /// Stops the reading that is under way.
    pub fn stop(&self) {
        self.stopped.store(true, Relaxed);
    }

    /// Stops this reading and every later one, as the window goes.
    pub fn end(&self) {
        self.ended.store(true, Relaxed);
    }

    fn goes_on(&self) -> bool {
        !self.stopped.load(Relaxed) && !self.ended.load(Relaxed)
    }

    fn note(&self, done: usize, all: usize) {
        self.done.store(done, Relaxed);
        self.all.store(all, Relaxed);
    }
}

/// The thread; nothing is found where something newer was wanted meanwhile.
pub type Searcher = Latest<Wanted, Option<Arc<Listing>>>;

/// Starts the thread.
///
/// # Errors
/// The system refuses a thread.
pub fn start_searcher(progress: Arc<Progress>, wake: Wake) -> std::io::Result<Searcher> {
    let mut kept: Option<(Wanted, Arc<Shelf>, Arc<Vec<Earlier>>)> = None;
    let tell = Arc::clone(&wake);
    start(
        "notebook",
        Duration::ZERO,
        wake,
        move |wanted: &Wanted, awaited| {
            let same = |(of, ..): &(Wanted, Arc<Shelf>, Arc<Vec<Earlier>>)| {
                (&of.folder, of.reading) == (&wanted.folder, wanted.reading)
            };
            if !kept.as_ref().is_some_and(same) {
                // Typing on while the folder is read must not begin it again, so whether an answer is awaited is not asked.
                kept = None;
                progress.stopped.store(false, Relaxed);
                let mut watch = |done: usize, all: usize| {
                    if done.is_multiple_of(STRIDE) {
                        progress.note(done, all);
                        tell();
                    }
                    progress.goes_on()
                };
                let read = Shelf::open_while(&wanted.folder, &mut watch);
                progress.note(0, 0);
                match read {
                    Ok(Some(shelf)) => {
                        let earlier = Arc::new(earlier(&shelf));
                        kept = Some((wanted.clone(), Arc::new(shelf), earlier));
                    }
                    Ok(None) => return Some(Arc::new(refused(wanted, stopped(wanted)))),
                    Err(error) => return Some(Arc::new(refused(wanted, error))),
                }
            }
            let (_, shelf, earlier) = kept.as_ref()?;
            awaited().then(|| Arc::new(listed(wanted, shelf, earlier)))
        },
        |wanted, text| {
            let name = wanted.folder.display().to_string();
            let error = FileError::new(&name, Cause::Refused, text, "Choose another folder");
            Some(Arc::new(refused(wanted, error)))
        },
    )
}

fn stopped(wanted: &Wanted) -> FileError {
    let name = wanted.folder.display().to_string();
    let remedy = "Press “Read anew” to go on";
    FileError::new(&name, Cause::Refused, "reading was stopped", remedy)
}

fn refused(wanted: &Wanted, error: FileError) -> Listing {
    Listing {
        wanted: wanted.clone(),
        shelf: None,
        trouble: Some(error),
        found: Vec::new(),
        refusal: None,
        lesson: Arc::default(),
        own: Arc::default(),
        earlier: Arc::default(),
    }
}

/// The latest job of each of the vehicles that were worked on last.
fn earlier(shelf: &Shelf) -> Vec<Earlier> {
    let cards = &shelf.cards;
    let mut latest: Vec<usize> = (0..cards.len()).collect();
    latest.sort_by(|&a, &b| cards[b].day.cmp(&cards[a].day));
    let mut found: Vec<Earlier> = Vec::new();
    for at in latest {
        let vehicle = &cards[at].vehicle;
        let known = |one: &Earlier| same_vehicle(&cards[one.card].vehicle, vehicle);
        if vehicle.trim().is_empty() || found.iter().any(known) {
            continue;
        }
        let learnt = shelf.learnt(vehicle);
        found.push(Earlier {
            card: at,
            jobs: learnt.jobs,
            connectors: learnt.minutes.len(),
        });
        if found.len() == EARLIER {
            break;
        }
    }
    found
}

fn listed(wanted: &Wanted, shelf: &Arc<Shelf>, earlier: &Arc<Vec<Earlier>>) -> Listing {
    let (mut found, refusal) = match shelf.find(&wanted.question) {
        Ok(found) => (found, None),
        Err(error) => (Vec::new(), Some(error.to_string())),
    };
    let words = wanted.question.split_whitespace();
    // Filters do not weigh; any word does, and then the best stay first.
    if words.clone().all(|word| word.starts_with("is:")) {
        let cards = &shelf.cards;
        match wanted.order {
            Order::File => {}
            Order::Day => found.sort_by(|a, b| cards[b.at].day.cmp(&cards[a.at].day)),
            Order::Vehicle => {
                found.sort_by(|a, b| cards[a.at].vehicle.cmp(&cards[b.at].vehicle));
            }
        }
    }
    let lesson = |vehicle: &str| {
        Arc::new(Lesson {
            vehicle: vehicle.to_owned(),
            learnt: shelf.learnt(vehicle),
        })
    };
    let chosen = lesson(&wanted.vehicle);
    let own = if wanted.bench == wanted.vehicle {
        Arc::clone(&chosen)
    } else {
        lesson(&wanted.bench)
    };
    Listing {
        wanted: wanted.clone(),
        shelf: Some(Arc::clone(shelf)),
        trouble: None,
        found,
        refusal,
        lesson: chosen,
        own,
        earlier: Arc::clone(earlier),
    }
}
