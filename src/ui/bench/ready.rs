//! What a frame of the bench needs and only a change of the job, the answer or the layout changes.

use std::{collections::BTreeSet, sync::Arc};

use crate::{
    app::Model,
    circuit::{Point, tree::cut_off_points},
    diagnosis::Findings,
    drawing::{
        Harness,
        chance::Spread,
        profile::{Profile, profile},
    },
    notebook::Job,
};

/// What was worked out, and for what.
#[derive(Clone, Debug)]
pub struct Ready {
    job: Arc<Job>,
    findings: Option<Arc<Findings>>,
    harness: Arc<Harness>,
    /// Points that nothing joins to the module now.
    pub cut_off: BTreeSet<Point>,
    /// How probability lies on parts and wires.
    pub chances: Spread,
    /// The volts as things stand.
    pub volts: Profile,
}

impl Ready {
    /// Works it out.
    pub fn new(model: &Model, harness: &Arc<Harness>) -> Self {
        let job = Arc::clone(&model.job);
        let findings = model.answer.as_ref().map(|answer| &answer.findings);
        let said = findings.map(Arc::as_ref);
        Self {
            cut_off: cut_off_points(&job.circuit, &job.now.unplugged),
            // Before anything was read nothing is suspected: what is likely beforehand accuses nobody.
            chances: said
                .filter(|findings| findings.fit.readings > 0)
                .map_or_else(Spread::default, Spread::of),
            volts: profile(&job.question(), harness, said),
            findings: findings.map(Arc::clone),
            harness: Arc::clone(harness),
            job,
        }
    }

    /// Works it out anew where something has changed.
    pub fn follow(&mut self, model: &Model, harness: &Arc<Harness>) {
        let findings = model.answer.as_ref().map(|answer| &answer.findings);
        let same_findings = match (&self.findings, findings) {
            (Some(known), Some(now)) => Arc::ptr_eq(known, now),
            (None, None) => true,
            _ => false,
        };
        let same = Arc::ptr_eq(&self.job, &model.job) && Arc::ptr_eq(&self.harness, harness);
        if !(same && same_findings) {
            *self = Self::new(model, harness);
        }
    }
}
