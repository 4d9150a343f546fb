//! What each point reads and should read as the bench stands now.

use crate::{
    app::model::Model,
    circuit::Point,
    explain::names,
    quantity::Unit,
    reading::{Entry, Kind},
};

/// Reads and should read of a point, to battery negative.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Tag {
    /// The point.
    pub point: Point,
    /// Last reading in the present state, after the last repair; none if there is none.
    pub reads: Option<String>,
    /// What it should read; none while that is not known.
    pub should_read: Option<String>,
    /// Line of the log it comes from.
    pub entry: Option<usize>,
}

/// One tag per point that was read in the present state, or is chosen.
pub fn tags(model: &Model) -> Vec<Tag> {
    let job = &model.job;
    let should = |point: &Point| {
        let findings = model.current_findings()?;
        let found = findings.points.iter().find(|f| f.point == *point)?;
        Some(names::should(found.healthy.mean, found.hinges, Unit::Volts))
    };
    let mut tags: Vec<Tag> = Vec::new();
    let mut put = |point: &Point, reads: Option<String>, entry: Option<usize>| {
        tags.retain(|tag| tag.point != *point || reads.is_none());
        if !tags.iter().any(|tag| tag.point == *point) {
            tags.push(Tag {
                point: point.clone(),
                reads,
                should_read: should(point),
                entry,
            });
        }
    };
    let repaired = job
        .log
        .iter()
        .rposition(|entry| matches!(entry, Entry::Repair(_)))
        .map_or(0, |repair| repair + 1);
    for (index, entry) in job.log.iter().enumerate().skip(repaired) {
        if let Entry::Reading(reading) = entry
            && reading.kind == Kind::Volts
            && reading.black.is_battery_negative()
            && !reading.set_aside
            && reading.state.stands_alike(&job.now)
        {
            put(&reading.red, Some(names::shown(reading)), Some(index));
        }
    }
    if let Some(point) = &model.selection.point
        && !point.is_battery_negative()
    {
        put(point, None, None);
    }
    tags
}
