//! The drawing with suspects, what was repaired and the voltage along the feed.

use super::{Block, Source, repaired, text};
use crate::{
    explain::names,
    report::{
        content::{Basis, Section},
        picture,
    },
};

/// Width of the drawing, in points.
const WIDTH: f32 = 493.0;

/// The section.
pub fn section(source: &Source<'_>) -> Section {
    let (job, study) = (source.job, source.study);
    let question = study.fault_question(job);
    let findings = study.of_fault();
    let mut blocks = Vec::new();
    if job.circuit.supplies.is_empty() && job.circuit.wires.is_empty() {
        blocks.extend(text(Basis::Stated, "Nothing was drawn."));
    } else {
        let mut drawn = picture::harness(&question, findings, &repaired(job), WIDTH);
        let when = if study.before.is_some() {
            "as the readings before the repair have it"
        } else {
            "as the readings have it"
        };
        drawn.caption = format!(
            "The harness to scale, {when}, with {}. Metres count along the wires from the module. Hatched: where a short may \
             lie, the higher the likelier. Dashed frames: other suspects. Below, on the same metres, the volts to battery \
             negative. Where many values lie close some find no room; the log has them all.",
            names::state(question.now)
        );
        blocks.push(Block::Picture(drawn));
    }
    Section {
        heading: "The circuit".to_owned(),
        blocks,
    }
}
