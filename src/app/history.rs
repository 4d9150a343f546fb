//! Steps that can be taken back: whole jobs before each step, shared, at most [`DEPTH`] of them.

use std::{collections::VecDeque, sync::Arc};

use crate::notebook::Job;

/// How many steps are kept.
pub const DEPTH: usize = 200;

/// A step: its name and the job on the other side of it.
#[derive(Clone, Debug)]
struct Step {
    name: String,
    job: Arc<Job>,
}

/// What was done and what was taken back.
#[derive(Clone, Debug, Default)]
pub struct History {
    past: VecDeque<Step>,
    future: Vec<Step>,
    gesture: Option<String>,
}

impl History {
    /// Notes that `before` was left by a step of this name. A step of the same gesture as the last one joins it.
    pub fn record(&mut self, name: String, gesture: Option<String>, before: Arc<Job>) {
        self.future.clear();
        let joins = gesture.is_some() && gesture == self.gesture && !self.past.is_empty();
        self.gesture = gesture;
        if joins {
            return;
        }
        if self.past.len() == DEPTH {
            self.past.pop_front();
        }
        self.past.push_back(Step { name, job: before });
    }

    /// The next step stands for itself, even if it looks like going on.
    pub fn end_gesture(&mut self) {
        self.gesture = None;
    }

    /// The job before the last step, if what follows under this key would join that step.
    pub fn start_of(&self, gesture: &str) -> Option<&Arc<Job>> {
        let going_on = self.gesture.as_deref() == Some(gesture);
        self.past.back().filter(|_| going_on).map(|step| &step.job)
    }

    /// Takes the last step back: the job before it and its name.
    pub fn undo(&mut self, now: Arc<Job>) -> Option<(Arc<Job>, String)> {
        self.gesture = None;
        let step = self.past.pop_back()?;
        self.future.push(Step {
            name: step.name.clone(),
            job: now,
        });
        Some((step.job, step.name))
    }

    /// Does the step that was taken back last again.
    pub fn redo(&mut self, now: Arc<Job>) -> Option<(Arc<Job>, String)> {
        self.gesture = None;
        let step = self.future.pop()?;
        self.past.push_back(Step {
            name: step.name.clone(),
            job: now,
        });
        Some((step.job, step.name))
    }

    /// Name of the step that undo would take back.
    pub fn undo_name(&self) -> Option<&str> {
        self.past.back().map(|step| step.name.as_str())
    }

    /// Name of the step that redo would do again.
    pub fn redo_name(&self) -> Option<&str> {
        self.future.last().map(|step| step.name.as_str())
    }

    /// How many steps can be taken back.
    pub fn depth(&self) -> usize {
        self.past.len()
    }
}
