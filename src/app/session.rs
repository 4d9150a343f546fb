//! A running window without its drawing: the model, the engine beside it, files, and what the window itself must do.

use std::{path::PathBuf, sync::Arc};

use super::{
    command::{Command, EngineReport, FileCommand},
    latest::{Latest, Wake, start},
    model::{Model, same_question},
    update::{Effect, update},
};
use crate::{
    diagnosis::{Findings, Question, diagnose},
    notebook::{Job, Stamp, read_job, save_job},
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
    Save(PathBuf, Arc<Job>, Option<Stamp>),
}

/// The model and the threads beside it.
pub struct Session {
    model: Model,
    engine: Latest<Arc<Job>, EngineReport>,
    asked: Option<Arc<Job>>,
    disk: Latest<Vec<DiskRequest>, Vec<FileCommand>>,
    disk_queue: Vec<DiskRequest>,
    window: Vec<WindowRequest>,
}

impl Session {
    /// Starts the threads and puts a job on the bench. `wake` is called whenever there is something new to show.
    ///
    /// # Errors
    /// The system refuses a thread.
    pub fn start(job: Job, wake: Wake) -> std::io::Result<Self> {
        Self::with_engine(job, wake, diagnose)
    }

    /// The same with another engine, for tests.
    ///
    /// # Errors
    /// The system refuses a thread.
    pub fn with_engine(
        job: Job,
        wake: Wake,
        engine: impl Fn(&Question<'_>) -> Findings + Send + 'static,
    ) -> std::io::Result<Self> {
        let engine = start(
            "engine",
            Arc::clone(&wake),
            move |job: &Arc<Job>| {
                EngineReport::Found(Arc::clone(job), Arc::new(engine(&job.question())))
            },
            |job, text| EngineReport::Failed(Arc::clone(job), text),
        )?;
        let disk = start(
            "disk",
            wake,
            |requests: &Vec<DiskRequest>| requests.iter().map(carry_out).collect(),
            |requests, text| requests.iter().map(|r| broken(r, &text)).collect(),
        )?;
        let mut session = Self {
            model: Model::new(job),
            engine,
            asked: None,
            disk,
            disk_queue: Vec::new(),
            window: Vec::new(),
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
                Effect::Save { path, job, seen } => {
                    self.disk_queue.push(DiskRequest::Save(path, job, seen));
                }
                Effect::AskWhereToSave => self.window.push(WindowRequest::AskWhereToSave),
                Effect::Left => {}
                Effect::Quit => self.window.push(WindowRequest::Close),
            }
        }
        self.start_work();
    }

    /// Takes in what the threads have finished; once per frame. Answers whether anything changed.
    pub fn poll(&mut self) -> bool {
        let mut changed = false;
        while let Some(report) = self.engine.answer() {
            changed = true;
            self.send(report);
        }
        while let Some(reports) = self.disk.answer() {
            changed = true;
            for report in reports {
                self.send(report);
            }
        }
        self.start_work();
        changed
    }

    /// What the window has to do; each request is handed out once.
    pub fn window_requests(&mut self) -> Vec<WindowRequest> {
        std::mem::take(&mut self.window)
    }

    /// Whether the engine is at work.
    pub fn is_computing(&self) -> bool {
        self.engine.is_busy()
    }

    /// Waits for the threads and takes in what they have finished, until nothing is left to do.
    pub fn settle(&mut self) {
        loop {
            self.engine.settle();
            self.disk.settle();
            if !self.poll() && !self.engine.is_busy() && !self.disk.is_busy() {
                return;
            }
        }
    }

    fn start_work(&mut self) {
        let asked = self.asked.as_ref();
        if !asked.is_some_and(|asked| same_question(asked, &self.model.job)) {
            self.asked = Some(Arc::clone(&self.model.job));
            self.engine.ask(Arc::clone(&self.model.job));
        }
        // Unlike questions to the engine, no file request may be dropped for a later one.
        if !self.disk_queue.is_empty() && !self.disk.is_busy() {
            self.disk.ask(std::mem::take(&mut self.disk_queue));
        }
    }
}

fn carry_out(request: &DiskRequest) -> FileCommand {
    match request {
        DiskRequest::Open(path) => FileCommand::Opened(path.clone(), Box::new(read_job(path))),
        DiskRequest::Save(path, job, seen) => FileCommand::Saved(
            path.clone(),
            Arc::clone(job),
            Box::new(save_job(path, job, *seen)),
        ),
    }
}

fn broken(request: &DiskRequest, text: &str) -> FileCommand {
    use crate::notebook::{Cause, FileError};
    let error = |path: &PathBuf| {
        FileError::new(
            &path.display().to_string(),
            Cause::Refused,
            text,
            "Save under another name and report this",
        )
    };
    match request {
        DiskRequest::Open(path) => FileCommand::Opened(path.clone(), Box::new(Err(error(path)))),
        DiskRequest::Save(path, job, _) => {
            FileCommand::Saved(path.clone(), Arc::clone(job), Box::new(Err(error(path))))
        }
    }
}
