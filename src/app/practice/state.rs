//! The state of the practice page.

use std::{
    path::PathBuf,
    sync::{
        Arc,
        atomic::{AtomicBool, AtomicU32, Ordering},
    },
};

use serde::{Deserialize, Serialize};

use super::diary::{Diary, Left};
use crate::{
    app::model::{Answer, Model, Refusal},
    fault::FaultKind,
    notebook::Job,
    practice::{
        Allowed, Debrief, Done, Drill, Exercise, Hint, Level, Outcome, Record, Session, Unfinished,
        exercise::MOST_FAULTS,
    },
    reading::{Entry, Kind, Reading},
};

/// What of the page is in front.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Stage {
    /// What to practise.
    #[default]
    Choose,
    /// The vehicle with the hidden fault.
    Vehicle,
    /// The look back.
    Back,
    /// Records of trainees.
    Progress,
    /// An exercise that a trainer makes.
    Author,
}

/// Every stage, in the order of the page.
pub const STAGES: [Stage; 5] = [
    Stage::Choose,
    Stage::Vehicle,
    Stage::Back,
    Stage::Progress,
    Stage::Author,
];

impl Stage {
    /// Its name.
    pub fn name(self) -> &'static str {
        match self {
            Self::Choose => "Choose",
            Self::Vehicle => "Vehicle",
            Self::Back => "Look back",
            Self::Progress => "Progress",
            Self::Author => "Make an exercise",
        }
    }
}

/// What is practised on.
#[derive(Clone, Debug, Default)]
pub enum Source {
    /// A vehicle that the drill invents.
    #[default]
    Invented,
    /// The sketch of a job: what it was called, and the job. Nothing but sketch and meter is used.
    Job(String, Arc<Job>),
    /// A trainer's exercise, with its file's name.
    Exercise(String, Arc<Exercise>),
}

/// What is wished for, as chosen and typed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Wish {
    /// The drill.
    pub drill: Drill,
    /// How hard.
    pub level: Level,
    /// The seed as typed; one from the clock when empty.
    pub seed: String,
    /// Who practises; nothing is kept when empty.
    pub trainee: String,
    /// A path to open, as typed.
    pub path: String,
}

impl Default for Wish {
    fn default() -> Self {
        Self {
            drill: Drill::SplitHalf,
            level: Level::First,
            seed: String::new(),
            trainee: String::new(),
            path: String::new(),
        }
    }
}

/// A vehicle under test.
#[derive(Clone, Debug)]
pub struct Go {
    /// Which vehicle since the program was started, so that nothing half typed or scrolled strays to the next one.
    pub number: u64,
    /// The session.
    pub session: Arc<Session>,
    /// A bench of its own, for the drawing: sketch, log and plugs of the session, and what is chosen.
    pub bench: Model,
    /// The skill, where it is a drill.
    pub drill: Option<(Drill, Level)>,
    /// The seed that gives the same again.
    pub seed: u64,
    /// Who practises.
    pub trainee: String,
    /// The place to open, as typed.
    pub place: String,
    /// Metres along it, as typed.
    pub metres: String,
    /// Where it is kept while it goes on, once something was done.
    pub(super) diary: Option<Arc<Diary>>,
}

impl Go {
    /// The session as one that can be gone on with later; none while nothing of it is kept.
    pub(super) fn left(&self) -> Option<Left> {
        let diary = self.diary.clone().filter(|diary| diary.is_written())?;
        let unfinished = Unfinished::of(&self.session, self.drill, self.seed, &self.trainee);
        Some(Left {
            unfinished: Arc::new(unfinished),
            asks: false,
            diary,
        })
    }

    /// What the meter shows: the last reading, as long as leads, kind, plugs and parts are as they were for it.
    pub fn display(&self) -> Option<&Reading> {
        let (log, own) = (self.session.log(), self.session.exercise().given.len());
        let last = log.iter().skip(own).rev().find_map(|entry| match entry {
            Entry::Reading(reading) => Some(Some(reading)),
            Entry::Repair(_) => Some(None),
            Entry::Inspection(_) => None,
        });
        let (entry, red) = (&self.bench.entry, self.bench.selection.point.as_ref()?);
        let mut loads = self.bench.job.circuit.loads.iter();
        let asked = loads.find(|load| load.id == red.part || load.feed == *red);
        last?.filter(|reading| {
            let there = match reading.kind {
                Kind::Scan => asked.is_some_and(|load| load.feed == reading.red),
                _ => reading.red == *red && reading.black == entry.black,
            };
            there && reading.kind == entry.kind && reading.state == *self.session.now()
        })
    }

    /// The hint that was asked for last, until something was read or opened.
    pub fn hint(&self) -> Option<&Hint> {
        let told = |outcome: &&Outcome| {
            matches!(
                outcome,
                Outcome::Hint(_) | Outcome::Read(_) | Outcome::Repaired | Outcome::NothingThere
            )
        };
        let last = self.session.steps().iter().rev().map(|step| &step.outcome);
        match last.clone().find(told)? {
            Outcome::Hint(hint) => Some(hint),
            _ => None,
        }
    }

    /// The bench as the session stands now.
    pub(super) fn follow(&mut self) {
        let job = Job {
            log: self.session.log().to_vec(),
            now: self.session.now().clone(),
            ..Job::clone(&self.bench.job)
        };
        self.bench.replace_job(Arc::new(job));
    }
}

/// Where a result went.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Kept {
    /// Nobody gave a name.
    NoName,
    /// There is no folder for records.
    NoFolder,
    /// It was not handed over.
    NotOver,
    /// Into this file.
    In(PathBuf),
    /// It could not be written.
    Failed(Refusal),
}

/// A session that is looked back on.
#[derive(Clone, Debug)]
pub struct Back {
    /// Which look back since the program was started.
    pub number: u64,
    /// The session.
    pub session: Arc<Session>,
    /// What was found out.
    pub debrief: Arc<Debrief>,
    /// Its line in the record.
    pub done: Done,
    /// Who practised.
    pub trainee: String,
    /// Where the line went.
    pub kept: Kept,
    /// The step in sight.
    pub at: usize,
    /// The bench as it stood after that step, with what the engine said.
    pub bench: Model,
}

impl Back {
    /// Puts a step in sight; the last one at most.
    pub(super) fn show(&mut self, at: usize) {
        let Some(looked) = self.debrief.looked.get(at) else {
            return;
        };
        self.at = at;
        let job = Arc::new(Job {
            log: self.session.log()[..looked.lines].to_vec(),
            now: looked.now.clone(),
            ..Job::clone(&self.bench.job)
        });
        self.bench.replace_job(Arc::clone(&job));
        self.bench.answer = Some(Answer::of(job, Arc::clone(&looked.findings)));
        let step = self.session.steps().get(looked.step);
        (self.bench.selection.point, self.bench.selection.part) = match step.map(|s| &s.done) {
            Some(crate::practice::Move::Read { red, .. }) => (Some(red.clone()), None),
            Some(crate::practice::Move::Open { site, .. }) => (None, Some(site.part.clone())),
            _ => (None, None),
        };
    }
}

/// How far something has come that takes its time, and whether it is still wanted.
#[derive(Debug, Default)]
pub struct Gauge {
    percent: AtomicU32,
    stopped: AtomicBool,
}

impl Gauge {
    /// Percent done.
    pub fn percent(&self) -> u32 {
        self.percent.load(Ordering::Relaxed)
    }

    /// Notes how far it has come; says whether that is news.
    pub(super) fn note(&self, share: f32) -> bool {
        let percent = (100.0 * share).clamp(0.0, 99.0) as u32;
        self.percent.swap(percent, Ordering::Relaxed) != percent
    }

    /// It is no longer wanted.
    pub(super) fn stop(&self) {
        self.stopped.store(true, Ordering::Relaxed);
    }

    /// Whether it is no longer wanted.
    pub(super) fn is_stopped(&self) -> bool {
        self.stopped.load(Ordering::Relaxed)
    }
}

/// Something that is being worked on.
#[derive(Clone, Debug)]
pub struct Pending {
    /// Which request.
    pub serial: u64,
    /// What it is, in words.
    pub what: &'static str,
    /// How far it has come.
    pub gauge: Arc<Gauge>,
}

/// A trainee's file.
#[derive(Clone, Debug, PartialEq)]
pub struct Trainee {
    /// The file.
    pub path: PathBuf,
    /// What is in it, or why it cannot be read.
    pub record: Result<Record, String>,
}

/// Kinds of fault that a trainer can hide.
pub const FAULTS: [FaultKind; 12] = [
    FaultKind::ShortToGround,
    FaultKind::Open,
    FaultKind::HighResistance,
    FaultKind::DrawsTooMuch,
    FaultKind::DrawsNothing,
    FaultKind::SignalStuck,
    FaultKind::SupplyDead,
    FaultKind::SupplyLow,
    FaultKind::LimitsEarly,
    FaultKind::UndrawnShort,
    FaultKind::ShortToRail,
    FaultKind::ShortBetween,
];

/// A fault as a trainer types it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default)]
pub struct Fault {
    /// What is wrong.
    pub kind: FaultKind,
    /// Part or pin.
    pub place: String,
    /// The other part, for a short between two.
    pub with: String,
    /// Ohms, or percent that are left of a supply's volts or limit.
    pub size: String,
    /// Metres along a wire from its beginning; the middle when empty.
    pub metres: String,
}

impl Default for Fault {
    fn default() -> Self {
        Self {
            kind: FaultKind::ShortToGround,
            place: String::new(),
            with: String::new(),
            size: "10".to_owned(),
            metres: String::new(),
        }
    }
}

impl Fault {
    /// Whether it is between two things.
    pub fn touches(&self) -> bool {
        matches!(self.kind, FaultKind::ShortToRail | FaultKind::ShortBetween)
    }

    /// Whether it can sit anywhere along a wire.
    pub fn is_along(&self) -> bool {
        let kinds = [
            FaultKind::ShortToGround,
            FaultKind::Open,
            FaultKind::HighResistance,
        ];
        self.touches() || kinds.contains(&self.kind)
    }

    /// Takes a place that was clicked, with metres along it where it is a wire. Where two things touch, the second click
    /// says the other one.
    pub fn take(&mut self, place: String, metres: Option<f64>) {
        let first = self.place.trim();
        if self.touches() && !first.is_empty() && self.with.trim().is_empty() && first != place {
            self.with = place;
            return;
        }
        self.place = place;
        self.with.clear();
        self.metres = metres
            .filter(|_| self.is_along())
            .map_or_else(String::new, |metres| format!("{metres:.2}"));
    }
}

/// An exercise that a trainer is making; it outlives the window.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default)]
pub struct Draft {
    /// What it is called.
    pub title: String,
    /// What the customer says.
    pub story: String,
    /// What is wrong.
    pub faults: Vec<Fault>,
    /// The fault whose place a click on the drawing says.
    pub at: usize,
    /// What may be tested.
    pub allowed: Allowed,
    /// Where it is written, as typed.
    pub path: String,
}

impl Draft {
    /// With one to three faults of which one is chosen, whatever a hand may have written.
    pub(super) fn mended(mut self) -> Self {
        self.faults.truncate(MOST_FAULTS);
        if self.faults.is_empty() {
            self.faults.push(Fault::default());
        }
        self.at = self.at.min(self.faults.len() - 1);
        self
    }
}

impl Default for Draft {
    fn default() -> Self {
        Self {
            title: "An exercise".to_owned(),
            story: String::new(),
            faults: vec![Fault::default()],
            at: 0,
            allowed: Allowed::default(),
            path: "exercise.ron".to_owned(),
        }
    }
}

/// The state of the page.
#[derive(Clone, Debug, Default)]
pub struct Practice {
    /// What is in front.
    pub stage: Stage,
    /// What is wished for.
    pub wish: Wish,
    /// What is practised on.
    pub source: Source,
    /// The vehicle under test.
    pub go: Option<Go>,
    /// Sessions that are not finished, beside the one under test.
    pub left: Vec<Left>,
    /// What is looked back on.
    pub back: Option<Box<Back>>,
    /// What is being worked on.
    pub pending: Option<Pending>,
    /// Why the last thing was not done.
    pub trouble: Option<Refusal>,
    /// What has just been done.
    pub news: Option<String>,
    /// The folder of records, as typed.
    pub folder: String,
    /// Its records.
    pub trainees: Vec<Trainee>,
    /// The one in sight.
    pub trainee: usize,
    /// The exercise that is being made.
    pub draft: Draft,
}
