//! Several jobs open at once: one on the bench, the others beside it as they were left.

use std::{path::PathBuf, sync::Arc};

use super::{
    history::History,
    model::{Answer, Entry, Model, Page, Selection},
};
use crate::notebook::{Job, Stamp};

/// Most jobs that stay open beside the one on the bench; the one left longest ago goes first, if all of it is on disk.
const MOST: usize = 12;

/// An open job that is not on the bench.
#[derive(Clone, Debug)]
pub struct OpenJob {
    /// Tells it from every other job that this window has opened.
    pub number: u64,
    /// The job.
    pub job: Arc<Job>,
    /// The job as it is on disk, or as it was when it came to the bench.
    pub saved: Arc<Job>,
    /// Its file.
    pub path: Option<PathBuf>,
    /// The file beside which its photos lie.
    pub photos_at: Option<PathBuf>,
    /// What its file held when it was read or written last.
    pub stamp: Option<Stamp>,
    /// Its file is of this newer version and is left as it is.
    pub newer_file: Option<u32>,
    /// Steps that can be taken back.
    pub history: History,
    selection: Selection,
    entry: Entry,
    answer: Option<Answer>,
}

impl OpenJob {
    /// A job that comes to the bench.
    pub(super) fn new(job: Job, path: Option<PathBuf>) -> Self {
        let job = Arc::new(job);
        Self {
            number: 0,
            saved: Arc::clone(&job),
            job,
            photos_at: path.clone(),
            path,
            stamp: None,
            newer_file: None,
            history: History::default(),
            selection: Selection::default(),
            entry: Entry::default(),
            answer: None,
        }
    }

    /// Whether it differs from what is on disk.
    pub fn is_dirty(&self) -> bool {
        !Arc::ptr_eq(&self.job, &self.saved) && self.job != self.saved
    }
}

/// An open job as it is listed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Tab {
    /// The job's number.
    pub number: u64,
    /// Vehicle.
    pub vehicle: String,
    /// Title.
    pub title: String,
    /// Whether it is on the bench.
    pub here: bool,
    /// Whether it has changes that are not on disk.
    pub dirty: bool,
    /// Connectors that are not known to be plugged.
    pub loose: usize,
}

impl Model {
    /// Every open job in the order of opening, the one on the bench among them.
    pub fn tabs(&self) -> Vec<Tab> {
        let tab = |number: u64, job: &Job, here: bool, dirty: bool| Tab {
            number,
            vehicle: job.vehicle.clone(),
            title: job.title.clone(),
            here,
            dirty,
            loose: job.now.unplugged.len() + job.now.unknown.len(),
        };
        let others = self.beside.iter();
        let mut tabs: Vec<Tab> = others
            .map(|open| tab(open.number, &open.job, false, open.is_dirty()))
            .collect();
        tabs.push(tab(self.number, &self.job, true, self.is_dirty()));
        tabs.sort_by_key(|tab| tab.number);
        tabs
    }

    /// Whether the job on the bench would be missed: it has a file, or changes.
    pub(super) fn is_worth_keeping(&self) -> bool {
        self.path.is_some() || self.is_dirty()
    }

    /// Brings a job that was not open to the bench; the one there stays open beside it, if it is worth keeping.
    pub(super) fn bring(&mut self, job: Job, path: Option<PathBuf>) {
        let keep = self.is_worth_keeping();
        let left = self.exchange(OpenJob::new(job, path));
        self.number = self.next_number;
        self.next_number += 1;
        if keep {
            self.beside.push(left);
            self.thin_out();
        }
        self.turn_to_it();
    }

    /// Whoever brings a job from the notebook wants to see it.
    fn turn_to_it(&mut self) {
        if self.page == Page::Notebook {
            self.page = Page::Bench;
        }
    }

    /// Brings an open job to the bench; the one there stays open, if it is worth keeping. Answers whether it is open.
    pub(super) fn switch_to(&mut self, number: u64) -> bool {
        let Some(at) = self.beside.iter().position(|open| open.number == number) else {
            return false;
        };
        let keep = self.is_worth_keeping();
        let open = self.beside.remove(at);
        let left = self.exchange(open);
        self.number = number;
        if keep {
            self.beside.push(left);
        }
        self.turn_to_it();
        true
    }

    /// Takes the job off the bench for good: the one left last comes to it, or an empty one.
    pub(super) fn close(&mut self) {
        let next = self.beside.pop();
        let number = next.as_ref().map(|open| open.number);
        self.exchange(next.unwrap_or_else(|| OpenJob::new(Job::default(), None)));
        self.number = number.unwrap_or(self.next_number);
        if number.is_none() {
            self.next_number += 1;
        }
    }

    fn thin_out(&mut self) {
        while self.beside.len() > MOST {
            let spare = |open: &OpenJob| open.path.is_some() && !open.is_dirty();
            let Some(at) = self.beside.iter().position(spare) else {
                return;
            };
            self.beside.remove(at);
        }
    }

    /// Puts an open job on the bench and answers the one that was there.
    fn exchange(&mut self, open: OpenJob) -> OpenJob {
        let left = OpenJob {
            number: self.number,
            job: Arc::clone(&self.job),
            saved: Arc::clone(&self.saved),
            path: self.path.take(),
            photos_at: self.photos_at.take(),
            stamp: self.stamp.take(),
            newer_file: self.newer_file.take(),
            history: std::mem::take(&mut self.history),
            selection: std::mem::take(&mut self.selection),
            entry: std::mem::take(&mut self.entry),
            answer: self.answer.take(),
        };
        self.replace_job(open.job);
        self.saved = open.saved;
        self.path = open.path;
        self.photos_at = open.photos_at;
        self.stamp = open.stamp;
        self.newer_file = open.newer_file;
        self.history = open.history;
        self.selection = open.selection;
        self.entry = open.entry;
        self.answer = open.answer;
        self.wiring = None;
        self.naming = None;
        self.moving = false;
        self.outline_error = None;
        self.compare = None;
        self.comparison = None;
        self.notices.clear();
        left
    }
}
