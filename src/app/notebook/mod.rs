//! The shop's notebook in the window: which folder, what is asked of it, what was found, what is chosen.
//!
//! The folder is read and searched on a thread of its own ([`worker`]); files are packed and taken in by the disk's
//! thread ([`errand`]).

pub mod errand;
pub mod worker;

use std::{path::PathBuf, sync::Arc};

pub use errand::{Errand, Outcome};
pub use worker::{Earlier, Listing, Progress, Wanted};

use crate::notebook::{
    Shelf,
    shelf::{Card, Learnt, LearntMinutes, same_vehicle},
};

/// What a job in the list may be asked to be.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
#[allow(missing_docs, reason = "the variants are the words of the filters")]
pub enum Filter {
    Open,
    Repaired,
    Signed,
    Unplugged,
    Away,
}

impl Filter {
    /// Every filter.
    pub const ALL: [Self; 5] = [
        Self::Open,
        Self::Repaired,
        Self::Signed,
        Self::Unplugged,
        Self::Away,
    ];

    /// The word on its button.
    pub fn word(self) -> &'static str {
        match self {
            Self::Open => "Not signed",
            Self::Repaired => "Repaired",
            Self::Signed => "Signed",
            Self::Unplugged => "Something unplugged",
            Self::Away => "Put away",
        }
    }

    /// How a question asks for it.
    fn asked(self) -> &'static str {
        match self {
            Self::Open => "is:open",
            Self::Repaired => "is:repaired",
            Self::Signed => "is:signed",
            Self::Unplugged => "is:unplugged",
            Self::Away => "is:away",
        }
    }
}

/// In which order the list stands where no words are asked for; with words the best come first.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[allow(missing_docs, reason = "the variants are the words of the choice")]
pub enum Order {
    #[default]
    Day,
    Vehicle,
    File,
}

impl Order {
    /// Every order.
    pub const ALL: [Self; 3] = [Self::Day, Self::Vehicle, Self::File];

    /// The word on its button.
    pub fn word(self) -> &'static str {
        match self {
            Self::Day => "Latest day",
            Self::Vehicle => "Vehicle",
            Self::File => "File",
        }
    }
}

/// The notebook as the window has it.
#[derive(Clone, Debug, Default)]
pub struct Notebook {
    /// Its folder, once one was chosen.
    pub folder: Option<PathBuf>,
    /// Counts how often it was to be read anew.
    pub readings: u64,
    /// Something beside the notebook's own page wants to know what is in it.
    pub asked: bool,
    /// What is searched for, as typed.
    pub words: String,
    /// Which filters hold.
    pub filters: Vec<Filter>,
    /// In which order.
    pub order: Order,
    /// What was found last, and of which question; [`Notebook::is_busy`] tells whether it is of now.
    pub listing: Option<Arc<Listing>>,
    /// How far reading has come.
    pub progress: Arc<Progress>,
    /// The job that is chosen in the list, by its path.
    pub chosen: Option<String>,
    /// What past jobs on the vehicle of the chosen job, or of the job on the bench, have taught.
    pub learnt: Option<Arc<Lesson>>,
}

/// What past jobs on a vehicle have taught.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Lesson {
    /// The vehicle.
    pub vehicle: String,
    /// The lesson.
    pub learnt: Learnt,
}

impl Notebook {
    /// What the thread is to find out; none without a folder.
    pub fn wanted(&self, vehicle: &str) -> Option<Wanted> {
        let mut question = self.words.clone();
        for filter in &self.filters {
            question.push(' ');
            question.push_str(filter.asked());
        }
        let chosen = self.chosen_card().map(|card| card.vehicle.as_str());
        Some(Wanted {
            folder: self.folder.clone()?,
            reading: self.readings,
            question,
            order: self.order,
            vehicle: chosen.unwrap_or(vehicle).to_owned(),
            bench: vehicle.to_owned(),
        })
    }

    /// Minutes to reach a connector, as past jobs on the vehicle on the bench took them.
    pub fn minutes_to(&self, connector: &str) -> Option<&LearntMinutes> {
        let minutes = &self.listing.as_ref()?.own.learnt.minutes;
        minutes.iter().find(|known| known.connector == connector)
    }

    /// The folder that was read.
    pub fn shelf(&self) -> Option<&Arc<Shelf>> {
        self.listing.as_ref()?.shelf.as_ref()
    }

    /// The chosen job.
    pub fn chosen_card(&self) -> Option<&Card> {
        let chosen = self.chosen.as_ref()?;
        let cards = &self.shelf()?.cards;
        let at = cards.binary_search_by(|card| card.path.cmp(chosen)).ok()?;
        cards.get(at)
    }

    /// A job's file, if the list has it; a name that is not listed leads nowhere.
    pub fn file_of(&self, path: &str) -> Option<PathBuf> {
        let shelf = self.shelf()?;
        let cards = &shelf.cards;
        let listed = cards.binary_search_by(|card| card.path.as_str().cmp(path));
        listed.ok().map(|_| shelf.folder.join(path))
    }

    /// Whether what was learnt is about this vehicle.
    pub fn is_lesson_for(&self, vehicle: &str) -> bool {
        let lesson = self.learnt.as_ref();
        lesson.is_some_and(|lesson| same_vehicle(&lesson.vehicle, vehicle))
    }

    /// Whether what is shown is not yet what is asked for.
    pub fn is_busy(&self, vehicle: &str) -> bool {
        let wanted = self.wanted(vehicle);
        wanted.is_some() && self.listing.as_ref().map(|listing| &listing.wanted) != wanted.as_ref()
    }
}

/// What can be asked of the notebook.
#[derive(Clone, Debug)]
pub enum NotebookCommand {
    /// Another folder.
    SetFolder(PathBuf),
    /// Reads the folder if that was not done yet: something beside its page wants to know what is in it.
    Look,
    /// Reads the folder anew.
    Refresh,
    /// Stops reading it.
    Stop,
    /// Searches for words.
    Ask(String),
    /// Puts a filter on or takes it off.
    Toggle(Filter),
    /// Another order.
    SetOrder(Order),
    /// Chooses a job of the list.
    Choose(Option<String>),
    /// The thread has found something.
    Listed(Arc<Listing>),
    /// Packs a job's file with its attachments as one file: from where, to where.
    Pack(PathBuf, PathBuf),
    /// Puts a listed job away, or brings it back.
    PutAway(String),
    /// Takes a job file or a packed job into the folder.
    Import(PathBuf),
    /// Keeps files with the job on the bench.
    Attach(Vec<PathBuf>),
    /// The disk's thread has done something.
    Done(Box<Outcome>),
}
