//! What the drawing needs to know, gathered by reference for one frame.

use std::collections::BTreeSet;

use crate::{
    app::layout::Harness,
    circuit::{Circuit, Point},
    diagnosis::{Findings, PointFinding},
    reading::{Entry, Kind, Reading, State},
};

/// What is selected on the bench.
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
    /// What is selected.
    pub selected: Option<&'a Selected>,
}

impl<'a> Sheet<'a> {
    /// Whether a part is selected.
    pub fn part_selected(&self, id: &str) -> bool {
        matches!(self.selected, Some(Selected::Part(part)) if part == id)
    }

    /// Whether a point is selected.
    pub fn point_selected(&self, point: &Point) -> bool {
        matches!(self.selected, Some(Selected::Point(selected)) if selected == point)
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
