//! The state of the window: the job on the bench, what is chosen, what was answered, what is to be said.

use std::{
    collections::{BTreeMap, BTreeSet, VecDeque},
    path::{Path, PathBuf},
    sync::Arc,
};

pub use super::{
    answer::Answer,
    look::{Look, PAGES, Page, SCALE_RANGE, Theme},
    notice::{Notice, Refusal, Weight},
};
use super::{
    clip::Clip,
    command::Leave,
    history::History,
    naming::Naming,
    notebook::Notebook,
    open_jobs::OpenJob,
    recovery::Recovered,
    settings::{Practised, Settings, WindowPlace},
    sketch::OUTLINE,
};

use crate::{
    circuit::Point,
    diagnosis::{Findings, Problem},
    drawing::{END_ROOM_M, Harness, layout},
    notebook::{Job, Stamp, problems},
    reading::{Kind, State},
};

/// What the person has chosen on the sheet.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Selection {
    /// Where the red lead goes.
    pub point: Option<Point>,
    /// A part.
    pub part: Option<String>,
    /// Parts and wires that were chosen together; empty, or at least two.
    pub many: BTreeSet<String>,
}

/// The box into which a value is typed.
#[derive(Clone, Debug, PartialEq)]
pub struct Entry {
    /// What is typed.
    pub text: String,
    /// Kind of reading.
    pub kind: Kind,
    /// Where the black lead goes.
    pub black: Point,
    /// Top of the range for an over-range display, in the unit of the kind; the meter's largest when none.
    pub range: Option<f64>,
    /// Why it was not taken, to stand beside the box.
    pub error: Option<String>,
    /// Where the person had the black lead before a test asked for another place; it goes back there with the value.
    pub black_before: Option<Point>,
    /// Line of the log that the value will stand in for; that line is then set aside.
    pub retaking: Option<usize>,
    /// Line of the log that the value will correct.
    pub editing: Option<usize>,
}

impl Default for Entry {
    fn default() -> Self {
        Self {
            text: String::new(),
            kind: Kind::Volts,
            black: Point::battery_negative(),
            black_before: None,
            range: None,
            error: None,
            retaking: None,
            editing: None,
        }
    }
}

impl Entry {
    /// Where the person has the black lead, apart from what a test asks for.
    fn own_black(&self) -> &Point {
        self.black_before.as_ref().unwrap_or(&self.black)
    }

    /// Where it is for a reading of a kind. With a current the black lead stands for the other end of a wire, which is no place
    /// for it with volts, nor the reverse.
    pub(super) fn own_black_for(&self, kind: Kind) -> Point {
        if kind.is_current() == self.kind.is_current() {
            self.own_black().clone()
        } else {
            Point::battery_negative()
        }
    }
}

/// What stands between the person and leaving the job.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Ask {
    /// These connectors are not known to be plugged.
    Reconnect(Vec<String>),
    /// There are changes that are not saved.
    Unsaved,
    /// Saving is under way; leaving follows when it has succeeded.
    Saving,
}

/// A departure that waits for an answer.
#[derive(Clone, Debug, PartialEq)]
pub struct Guard {
    /// What is asked.
    pub ask: Ask,
    /// Where to afterwards.
    pub then: Leave,
    /// The person has decided about the connectors.
    pub plugs_decided: bool,
}

/// The state of the window.
#[derive(Clone, Debug)]
pub struct Model {
    /// The job on the bench.
    pub job: Arc<Job>,
    /// Counts every change of the job.
    pub revision: u64,
    /// The job as it is on disk, or as it was when it came to the bench.
    pub saved: Arc<Job>,
    /// Its file.
    pub path: Option<PathBuf>,
    /// The file beside which its photos lie: its own, or while it has none the one of which it is a copy.
    pub photos_at: Option<PathBuf>,
    /// What its file held when it was read or written last.
    pub stamp: Option<Stamp>,
    /// Its file is of this newer version and is left as it is.
    pub newer_file: Option<u32>,
    /// What is wrong or doubtful in its sketch and log.
    pub problems: Arc<Vec<Problem>>,
    /// Its circuit, laid out.
    pub harness: Arc<Harness>,
    /// Steps that can be taken back.
    pub history: History,
    /// What is chosen.
    pub selection: Selection,
    /// The entry box.
    pub entry: Entry,
    /// Where a wire that is being drawn begins; it ends at the point that is chosen next.
    pub wiring: Option<Point>,
    /// The part that is being named on the drawing.
    pub naming: Option<Naming>,
    /// What was chosen together is to hang from the point that is chosen next.
    pub moving: bool,
    /// Why the outline as typed was not taken, to stand beside it; the sketch is as it was before that text.
    pub outline_error: Option<Refusal>,
    /// The last findings; [`Model::current_findings`] tells whether they are of now.
    pub answer: Option<Answer>,
    /// The job at which the computation broke off last.
    pub broke_off: Option<Arc<Job>>,
    /// Another state whose volts are wanted beside those of now.
    pub compare: Option<State>,
    /// The last findings for such a state; [`Model::current_comparison`] tells whether they are of now.
    pub comparison: Option<Answer>,
    /// What was copied.
    pub clip: Option<Clip>,
    /// What is to be said, oldest first.
    pub notices: Vec<Notice>,
    /// The page in sight.
    pub page: Page,
    /// How the screen looks.
    pub look: Look,
    /// The step of the tour that is in sight, from 0.
    pub tour: Option<usize>,
    /// The tour was seen, or not wanted.
    pub toured: bool,
    /// Who practised last, and where records are kept.
    pub practised: Practised,
    /// Files that were open lately, latest first.
    pub recent: Vec<PathBuf>,
    /// Where the window stands, if it has said so.
    pub window: Option<WindowPlace>,
    /// Jobs that other windows left behind without saving.
    pub recovered: Vec<Recovered>,
    /// A question that leaving has raised.
    pub guard: Option<Guard>,
    /// Tells the job on the bench from every other that this window has opened.
    pub number: u64,
    /// Jobs that are open beside the one on the bench, the one left last at the end.
    pub beside: Vec<OpenJob>,
    /// The shop's notebook.
    pub notebook: Notebook,
    /// The day of today, to be proposed where a day is asked for; empty where nobody said.
    pub today: String,
    /// Photos that are added once their job has a file beside which they can be kept, by the job's number.
    pub waiting_photos: BTreeMap<u64, Vec<PathBuf>>,
    /// Where a job could not be saved just now: its number, the place, and why.
    pub(super) not_saved: Option<(u64, PathBuf, Refusal)>,
    /// Numbers of the jobs that are being written, in order.
    pub(super) saving: VecDeque<u64>,
    pub(super) next_number: u64,
    next_notice: u64,
}

/// Most files remembered.
pub const RECENT: usize = 12;
/// Most notices kept; older ones go first.
const NOTICES: usize = 20;

impl Default for Model {
    fn default() -> Self {
        Self::new(Job::default())
    }
}

impl Model {
    /// Where the job on the bench could not be saved just now, and why: told where the next place is asked for.
    pub fn not_saved(&self) -> Option<(&Path, &Refusal)> {
        let (number, path, why) = self.not_saved.as_ref()?;
        (*number == self.number).then_some((path.as_path(), why))
    }

    /// The state with a job on the bench that is not on disk.
    pub fn new(job: Job) -> Self {
        let job = Arc::new(job);
        Self {
            harness: Arc::new(layout(&job.circuit, END_ROOM_M)),
            problems: Arc::new(problems(&job)),
            saved: Arc::clone(&job),
            job,
            revision: 0,
            path: None,
            photos_at: None,
            stamp: None,
            newer_file: None,
            history: History::default(),
            selection: Selection::default(),
            entry: Entry::default(),
            wiring: None,
            naming: None,
            moving: false,
            outline_error: None,
            answer: None,
            broke_off: None,
            compare: None,
            comparison: None,
            clip: None,
            notices: Vec::new(),
            page: Page::default(),
            look: Look::default(),
            tour: None,
            toured: false,
            practised: Practised::default(),
            recent: Vec::new(),
            window: None,
            recovered: Vec::new(),
            guard: None,
            number: 0,
            beside: Vec::new(),
            notebook: Notebook::default(),
            today: String::new(),
            waiting_photos: BTreeMap::new(),
            not_saved: None,
            saving: VecDeque::new(),
            next_number: 1,
            next_notice: 0,
        }
    }

    /// The job from which an outline that is being typed is taken.
    pub(super) fn outline_base(&self) -> &Arc<Job> {
        self.history.start_of(OUTLINE).unwrap_or(&self.job)
    }

    /// What follows is a step of its own.
    pub(super) fn end_gesture(&mut self) {
        self.history.end_gesture();
        self.outline_error = None;
    }

    /// Whether the job differs from what is on disk.
    pub fn is_dirty(&self) -> bool {
        !Arc::ptr_eq(&self.job, &self.saved) && self.job != self.saved
    }

    /// The last findings if they answer what is on the bench now.
    pub fn current_findings(&self) -> Option<&Arc<Findings>> {
        let answer = self.answer.as_ref()?;
        same_question(&answer.job, &self.job).then_some(&answer.findings)
    }

    /// The findings for the state that is to be compared, if they are of the job as it is.
    pub fn current_comparison(&self) -> Option<&Answer> {
        let other = self.comparison.as_ref()?;
        let now = self.compare.as_ref()?;
        let (a, b) = (other.job.question(), self.job.question());
        let same = (a.circuit, a.meter, a.log) == (b.circuit, b.meter, b.log);
        (same && other.job.now == *now).then_some(other)
    }

    /// Whether an answer is on its way.
    pub fn is_busy(&self) -> bool {
        let broken = self.broke_off.as_ref();
        self.current_findings().is_none()
            && !broken.is_some_and(|job| same_question(job, &self.job))
    }

    /// What is remembered of the person.
    pub fn settings(&self) -> Settings {
        let named = |path: &PathBuf| path.to_str().map(str::to_owned);
        Settings {
            look: self.look,
            page: self.page,
            window: self.window,
            toured: self.toured,
            recent: self.recent.iter().filter_map(named).collect(),
            notebook: self.notebook.folder.as_ref().and_then(named),
            practised: self.practised.clone(),
        }
    }

    /// Takes over what was remembered.
    pub fn apply(&mut self, settings: &Settings) {
        self.look = settings.look;
        self.page = settings.page;
        self.window = settings.window;
        self.toured = settings.toured;
        self.recent = settings.recent.iter().map(PathBuf::from).collect();
        self.notebook.folder = settings.notebook.as_ref().map(PathBuf::from);
        self.practised = settings.practised.clone();
    }

    /// Puts another job in the place of this one.
    pub(super) fn replace_job(&mut self, job: Arc<Job>) {
        if job.circuit != self.job.circuit {
            self.harness = Arc::new(layout(&job.circuit, END_ROOM_M));
        }
        self.problems = Arc::new(problems(&job));
        self.job = job;
        self.revision += 1;
        self.forget_what_is_gone();
    }

    /// Clears choices that point at parts or lines that are no longer there.
    fn forget_what_is_gone(&mut self) {
        let gone = |point: &Point| {
            !point.is_battery_negative() && !self.harness.points.contains_key(point)
        };
        if self.selection.point.as_ref().is_some_and(gone) {
            self.selection.point = None;
        }
        if self.wiring.as_ref().is_some_and(gone) {
            self.wiring = None;
        }
        if gone(&self.entry.black) {
            self.entry.black = Point::battery_negative();
        }
        if self.entry.black_before.as_ref().is_some_and(gone) {
            self.entry.black_before = Some(Point::battery_negative());
        }
        if self
            .selection
            .part
            .as_ref()
            .is_some_and(|id| !self.has_part(id))
        {
            self.selection.part = None;
        }
        let harness = &self.harness;
        let there = |id: &String| harness.part(id).is_some() || harness.run(id).is_some();
        self.selection.many.retain(there);
        if self.selection.many.len() < 2 {
            self.selection.many.clear();
            self.moving = false;
        }
        let naming = self.naming.as_ref();
        if naming.is_some_and(|naming| !self.has_part(&naming.part)) {
            self.naming = None;
        }
        let lines = self.job.log.len();
        for line in [&mut self.entry.retaking, &mut self.entry.editing] {
            if line.is_some_and(|index| index >= lines) {
                *line = None;
            }
        }
    }

    /// Whether the sketch has a part, wires included.
    pub fn has_part(&self, id: &str) -> bool {
        self.harness.part(id).is_some() || self.harness.run(id).is_some()
    }

    /// Says something.
    pub fn tell(&mut self, weight: Weight, refusal: Refusal) {
        let notice = Notice {
            id: self.next_notice,
            weight,
            place: refusal.place,
            what: refusal.what,
            remedy: refusal.remedy,
        };
        self.next_notice += 1;
        self.notices
            .retain(|old| (&old.what, &old.place) != (&notice.what, &notice.place));
        if self.notices.len() == NOTICES {
            self.notices.remove(0);
        }
        self.notices.push(notice);
    }
}

/// Whether two jobs put the same question to the engine.
pub fn same_question(a: &Arc<Job>, b: &Arc<Job>) -> bool {
    Arc::ptr_eq(a, b) || a.question() == b.question()
}
