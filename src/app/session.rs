//! A running window without its drawing: the model, the engine beside it, files, and what the window itself must do.

use std::{
    path::{Path, PathBuf},
    sync::Arc,
    time::Duration,
};

use super::{
    answer::Answer,
    command::{Command, EngineReport, FileCommand, Screen},
    home::Home,
    keeper::{Keep, Keeper, start_keeper},
    latest::{Latest, Wake, start, start_in_steps},
    model::{Model, Page, Refusal, Weight, same_question},
    notebook::{
        Errand, NotebookCommand, Wanted,
        worker::{Searcher, start_searcher},
    },
    recovery::{self, Origin, Slot},
    settings::Settings,
    today::today,
    update::{Effect, update},
};
use crate::{
    diagnosis::{Findings, Question, diagnose_in_steps},
    notebook::{Job, Stamp, attach::take_along, read_job, save_job},
    reading::State,
    report::{Form, Reader, free_place, write_report},
};

/// What only the window can do.
#[derive(Clone, Debug, PartialEq)]
pub enum WindowRequest {
    /// Ask where to save; answer with `FileCommand::SaveAs` or `FileCommand::SaveCancelled`.
    AskWhereToSave,
    /// Close.
    Close,
}

enum DiskRequest {
    Open(PathBuf),
    Save(Write),
    Report(PathBuf, PathBuf, Arc<Job>, Form),
    Errand(Errand),
}

/// A job to be written.
struct Write {
    path: PathBuf,
    job: Arc<Job>,
    seen: Option<Stamp>,
    photos_at: Option<PathBuf>,
}

/// The model and the threads beside it.
pub struct Session {
    model: Model,
    engine: Latest<Arc<Job>, Option<EngineReport>>,
    asked: Option<Arc<Job>>,
    comparer: Latest<Arc<Job>, Option<EngineReport>>,
    compared: Option<(Arc<Job>, State)>,
    disk: Latest<Vec<DiskRequest>, Vec<Command>>,
    disk_queue: Vec<DiskRequest>,
    searcher: Searcher,
    wanted: Option<Wanted>,
    window: Vec<WindowRequest>,
    keeper: Option<Keeper>,
    kept: Option<Keep>,
    done: Vec<Arc<Slot>>,
}

impl Session {
    /// Starts the threads and puts a job on the bench. `wake` is called whenever there is something new to show.
    ///
    /// # Errors
    /// The system refuses a thread.
    pub fn start(job: Job, wake: Wake) -> std::io::Result<Self> {
        Self::with_steps(job, wake, diagnose_in_steps)
    }

    /// The same with a home on disk: settings apply, what another window left behind is offered in
    /// [`Model::recovered`], and unsaved changes are kept there from now on.
    ///
    /// # Errors
    /// The system refuses a thread. Trouble with the disk is told in the window instead.
    pub fn start_at(home: Home, job: Job, wake: Wake) -> std::io::Result<Self> {
        let mut session = Self::start(job, Arc::clone(&wake))?;
        let (settings, trouble) = Settings::read(&home);
        session.model.apply(&settings);
        if let Some(refusal) = trouble {
            session.model.tell(Weight::Trouble, refusal);
        }
        let slot = match recovery::open(&home) {
            Ok((slot, left, troubles)) => {
                session.model.recovered = left;
                for error in troubles {
                    let refusal = Refusal::new(&*error.file, &*error.what, &*error.remedy);
                    session.model.tell(Weight::Trouble, refusal);
                }
                Some(slot)
            }
            Err(error) => {
                session.model.tell(
                    Weight::Trouble,
                    Refusal::new(
                        home.recovery().display().to_string(),
                        format!("unsaved changes cannot be kept for a restart: {error}"),
                        "Save often, or make this folder writable",
                    ),
                );
                None
            }
        };
        session.keeper = Some(start_keeper(home, slot, settings, wake)?);
        session.start_work();
        Ok(session)
    }

    /// The same with another engine, for tests.
    ///
    /// # Errors
    /// The system refuses a thread.
    pub fn with_engine(
        job: Job,
        wake: Wake,
        engine: impl Fn(&Question<'_>, &dyn Fn() -> bool) -> Findings + Send + Sync + 'static,
    ) -> std::io::Result<Self> {
        Self::with_steps(job, wake, move |question, awaited, _| {
            engine(question, awaited)
        })
    }

    /// The same with an engine that hands out its findings before it has worked out the advice.
    ///
    /// # Errors
    /// The system refuses a thread.
    pub fn with_steps(
        job: Job,
        wake: Wake,
        engine: impl Fn(&Question<'_>, &dyn Fn() -> bool, &dyn Fn(&Findings)) -> Findings
        + Send
        + Sync
        + 'static,
    ) -> std::io::Result<Self> {
        let answer = Arc::new(engine);
        let also = Arc::clone(&answer);
        let engine = start_in_steps(
            "engine",
            Duration::ZERO,
            Arc::clone(&wake),
            move |job: &Arc<Job>, awaited, early| {
                let found = |findings| {
                    awaited().then(|| {
                        EngineReport::Found(Answer::of(Arc::clone(job), Arc::new(findings)))
                    })
                };
                let part = |findings: &Findings| early(found(findings.clone()));
                found(answer(&job.question(), awaited, &part))
            },
            |job, text| Some(EngineReport::Failed(Arc::clone(job), text)),
        )?;
        let comparer = start(
            "comparison",
            Duration::ZERO,
            Arc::clone(&wake),
            move |job: &Arc<Job>, awaited| {
                let findings = Arc::new(also(&job.question(), awaited, &|_| {}));
                awaited().then(|| EngineReport::Compared(Answer::of(Arc::clone(job), findings)))
            },
            |job, text| Some(EngineReport::Failed(Arc::clone(job), text)),
        )?;
        let disk = start(
            "disk",
            Duration::ZERO,
            Arc::clone(&wake),
            |requests: &Vec<DiskRequest>, _| requests.iter().flat_map(carry_out).collect(),
            |requests, text| requests.iter().map(|r| broken(r, &text)).collect(),
        )?;
        let model = Model::new(job);
        let progress = Arc::clone(&model.notebook.progress);
        let mut session = Self {
            model,
            engine,
            asked: None,
            comparer,
            compared: None,
            disk,
            disk_queue: Vec::new(),
            searcher: start_searcher(progress, wake)?,
            wanted: None,
            window: Vec::new(),
            keeper: None,
            kept: None,
            done: Vec::new(),
        };
        session.poll();
        Ok(session)
    }

    /// The state to draw.
    pub fn model(&self) -> &Model {
        &self.model
    }

    /// Carries a command out and starts what follows from it.
    pub fn send(&mut self, command: impl Into<Command>) {
        for effect in update(&mut self.model, command.into()) {
            match effect {
                Effect::Open(path) => self.disk_queue.push(DiskRequest::Open(path)),
                Effect::Save {
                    path,
                    job,
                    seen,
                    photos_at,
                } => self.disk_queue.push(DiskRequest::Save(Write {
                    path,
                    job,
                    seen,
                    photos_at,
                })),
                Effect::Report {
                    file,
                    to,
                    job,
                    form,
                } => self
                    .disk_queue
                    .push(DiskRequest::Report(file, to, job, form)),
                Effect::Run(errand) => self.disk_queue.push(DiskRequest::Errand(errand)),
                Effect::AskWhereToSave => self.window.push(WindowRequest::AskWhereToSave),
                Effect::Forget(left) => self.done.push(Arc::clone(left.slot())),
                Effect::Quit => self.window.push(WindowRequest::Close),
            }
        }
        self.start_work();
    }

    /// Takes in what the threads have finished; once per frame. Answers whether anything changed.
    pub fn poll(&mut self) -> bool {
        let mut changed = false;
        self.model.today = today();
        while let Some(report) = self.engine.answer().or_else(|| self.comparer.answer()) {
            changed = true;
            // None where a newer question came up while this one was at work.
            if let Some(report) = report {
                self.send(report);
            }
        }
        while let Some(reports) = self.disk.answer() {
            changed = true;
            for report in reports {
                self.send(report);
            }
        }
        while let Some(listing) = self.searcher.answer() {
            changed = true;
            if let Some(listing) = listing {
                self.send(NotebookCommand::Listed(listing));
            }
        }
        while let Some(troubles) = self.keeper.as_ref().and_then(Latest::answer) {
            changed |= !troubles.is_empty();
            for refusal in troubles {
                self.model.tell(Weight::Trouble, refusal);
            }
        }
        self.start_work();
        changed
    }

    /// What the window has to do; each request is handed out once.
    pub fn window_requests(&mut self) -> Vec<WindowRequest> {
        std::mem::take(&mut self.window)
    }

    /// Waits for the threads and takes in what they have finished, until nothing is left to do.
    pub fn settle(&mut self) {
        loop {
            self.engine.settle();
            self.comparer.settle();
            self.disk.settle();
            self.searcher.settle();
            if let Some(keeper) = &self.keeper {
                keeper.settle();
            }
            let busy = |s: &Self| {
                let threads = s.engine.is_busy() || s.comparer.is_busy();
                threads || s.disk.is_busy() || s.searcher.is_busy()
            };
            if !self.poll() && !busy(self) {
                return;
            }
        }
    }

    fn start_work(&mut self) {
        let asked = self.asked.as_ref();
        let same = asked.is_some_and(|asked| same_question(asked, &self.model.job));
        // A job that comes to the bench without an answer may put the question that was answered before it came.
        let lost = self.model.is_busy() && !self.engine.is_busy();
        if !same || lost {
            self.asked = Some(Arc::clone(&self.model.job));
            self.engine.ask(Arc::clone(&self.model.job));
        }
        self.start_comparison();
        // Unlike questions to the engine, no file request may be dropped for a later one.
        if !self.disk_queue.is_empty() && !self.disk.is_busy() {
            self.disk.ask(std::mem::take(&mut self.disk_queue));
        }
        self.look_into_notebook();
        self.keep();
    }

    /// The folder is read once its page or a button there asks for it, and searched again with every word.
    fn look_into_notebook(&mut self) {
        let model = &self.model;
        let wanted = model.notebook.wanted(&model.job.vehicle);
        // A window in which nothing asks for the notebook never reads it.
        let asked = model.page == Page::Notebook || model.notebook.asked || self.wanted.is_some();
        if wanted == self.wanted || !asked {
            return;
        }
        self.wanted.clone_from(&wanted);
        if let Some(wanted) = wanted {
            self.searcher.ask(wanted);
        }
    }

    fn start_comparison(&mut self) {
        let Some(state) = &self.model.compare else {
            self.compared = None;
            return;
        };
        let asked = self.compared.as_ref();
        if asked.is_some_and(|(job, of)| of == state && Arc::ptr_eq(job, &self.model.job)) {
            return;
        }
        self.compared = Some((Arc::clone(&self.model.job), state.clone()));
        let now = state.clone();
        self.comparer.ask(Arc::new(Job {
            now,
            ..Job::clone(&self.model.job)
        }));
    }

    fn keep(&mut self) {
        let Some(keeper) = &self.keeper else { return };
        let model = &self.model;
        let wanted = Keep {
            settings: model.settings(),
            jobs: unsaved(model),
            done: self.done.clone(),
        };
        if !self.kept.as_ref().is_some_and(|kept| kept.same(&wanted)) {
            self.kept = Some(wanted.clone());
            keeper.ask(wanted);
        }
    }
}

impl Drop for Session {
    /// Dropping a thread waits for it, and a folder of thousands of jobs would take long.
    fn drop(&mut self) {
        self.model.notebook.progress.end();
    }
}

/// Every open job with unsaved changes, and where it came from.
fn unsaved(model: &Model) -> Vec<(u64, Arc<Job>, Origin)> {
    let origin = |path: &Option<PathBuf>, photos_at: &Option<PathBuf>, stamp| Origin {
        path: path.clone(),
        photos_at: photos_at.clone().filter(|_| path.is_none()),
        stamp,
    };
    let here = model.is_dirty().then(|| {
        let origin = origin(&model.path, &model.photos_at, model.stamp);
        (model.number, Arc::clone(&model.job), origin)
    });
    let others = model.beside.iter().filter(|open| open.is_dirty());
    let others = others.map(|open| {
        let origin = origin(&open.path, &open.photos_at, open.stamp);
        (open.number, Arc::clone(&open.job), origin)
    });
    here.into_iter().chain(others).collect()
}

fn carry_out(request: &DiskRequest) -> Vec<Command> {
    let told = match request {
        DiskRequest::Open(path) => {
            FileCommand::Opened(path.clone(), Box::new(read_job(path))).into()
        }
        DiskRequest::Save(write) => return save(write),
        DiskRequest::Errand(errand) => NotebookCommand::Done(Box::new(errand.run())).into(),
        DiskRequest::Report(file, to, job, form) => {
            let (place, written) = match free_place(to, *form) {
                Ok(place) => {
                    let written = write_report(job, Some(file), &place, &Reader::ALL, *form);
                    (place, written.map(|_| ()))
                }
                Err(error) => (to.clone(), Err(error)),
            };
            FileCommand::Reported(place, written).into()
        }
    };
    vec![told]
}

/// The photos go with the job, before it: a file that names them has them.
fn save(write: &Write) -> Vec<Command> {
    let Write {
        path,
        job,
        seen,
        photos_at,
    } = write;
    let attached = &job.record.attachments;
    let left = photos_at
        .as_ref()
        .map_or_else(Vec::new, |from| take_along(attached, from, path));
    let saved = Box::new(save_job(path, job, *seen));
    let told = FileCommand::Saved(path.clone(), Arc::clone(job), saved).into();
    let left = left.into_iter().map(|error| {
        let what = format!("this photo did not come along: {}", error.what);
        let refusal = Refusal::new(&*error.file, what, "Attach it again");
        Screen::Tell(Weight::Trouble, refusal).into()
    });
    [told].into_iter().chain(left).collect()
}

fn broken(request: &DiskRequest, text: &str) -> Command {
    use crate::notebook::{Cause, FileError};
    let error = |path: &Path| {
        FileError::new(
            &path.display().to_string(),
            Cause::Refused,
            text,
            "Save under another name and report this",
        )
    };
    match request {
        DiskRequest::Open(path) => {
            FileCommand::Opened(path.clone(), Box::new(Err(error(path)))).into()
        }
        DiskRequest::Errand(errand) => NotebookCommand::Done(Box::new(errand.broken(error))).into(),
        DiskRequest::Save(Write { path, job, .. }) => {
            FileCommand::Saved(path.clone(), Arc::clone(job), Box::new(Err(error(path)))).into()
        }
        DiskRequest::Report(_, to, ..) => FileCommand::Reported(to.clone(), Err(error(to))).into(),
    }
}
