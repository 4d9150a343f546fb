//! What the drawing needs to know, gathered by reference for one frame.

use std::collections::BTreeSet;

use crate::{
    app::{Model, layout::Harness, model::Selection},
    circuit::{Circuit, Point},
    diagnosis::{Findings, PointFinding},
    reading::{Entry, Kind, Reading, State},
};

/// A thing on the drawing that can be chosen.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Selected {
    /// A part or a wire, by designation.
    Part(String),
    /// A point for the next reading.
    Point(Point),
}

/// One frame's view of the job.
#[derive(Clone, Copy)]
pub struct Sheet<'a> {
    /// The sketch.
    pub circuit: &'a Circuit,
    /// The sketch laid out.
    pub harness: &'a Harness,
    /// The answer, as far as it is known.
    pub findings: Option<&'a Findings>,
    /// Readings and repairs.
    pub log: &'a [Entry],
    /// How the bench stands.
    pub now: &'a State,
    /// Points that nothing joins to the module now.
    pub cut_off: &'a BTreeSet<Point>,
    /// What is chosen.
    pub selection: &'a Selection,
}

impl<'a> Sheet<'a> {
    /// Gathers what the drawing needs from the window's state.
    pub fn new(model: &'a Model, cut_off: &'a BTreeSet<Point>) -> Self {
        Self {
            circuit: &model.job.circuit,
            harness: &model.harness,
            findings: model.answer.as_ref().map(|answer| answer.findings.as_ref()),
            log: &model.job.log,
            now: &model.job.now,
            cut_off,
            selection: &model.selection,
        }
    }

    /// What the keyboard stands on: the chosen part, else the chosen point.
    pub fn held(&self) -> Option<Selected> {
        let part = self.selection.part.clone().map(Selected::Part);
        part.or_else(|| self.selection.point.clone().map(Selected::Point))
    }

    /// Whether a part is selected.
    pub fn part_selected(&self, id: &str) -> bool {
        self.selection.part.as_deref() == Some(id)
    }

    /// Whether a point is selected.
    pub fn point_selected(&self, point: &Point) -> bool {
        self.selection.point.as_ref() == Some(point)
    }

    /// Whether a connector is parted.
    pub fn unplugged(&self, id: &str) -> bool {
        self.now.unplugged.contains(id)
    }

    /// What a point should read now.
    pub fn should_read(&self, point: &Point) -> Option<&'a PointFinding> {
        self.findings?
            .points
            .iter()
            .find(|found| found.point == *point)
    }

    /// The newest reading of volts to battery negative at a point in the present plug state.
    pub fn reads(&self, point: &Point) -> Option<&'a Reading> {
        self.log.iter().rev().find_map(|entry| match entry {
            Entry::Reading(reading)
                if reading.red == *point
                    && reading.kind == Kind::Volts
                    && reading.black.is_battery_negative()
                    && !reading.set_aside
                    && reading.state.unplugged == self.now.unplugged =>
            {
                Some(reading)
            }
            _ => None,
        })
    }
}
