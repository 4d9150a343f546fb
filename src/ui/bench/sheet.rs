//! What the drawing needs to know, gathered by reference for one frame.

use std::{
    borrow::Cow,
    collections::{BTreeSet, HashMap},
};

use crate::{
    app::{Model, model::Selection, naming::Naming, view::Tag},
    circuit::{Circuit, Load, Point},
    diagnosis::{Findings, PointFinding},
    drawing::{Harness, PlacedPart, chance::Spread},
    reading::{Entry, Reading, State, Value},
};

/// A thing on the drawing that can be chosen.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Selected {
    /// A part or a wire, by designation.
    Part(String),
    /// A point for the next reading.
    Point(Point),
}

impl Selected {
    /// The part that it is or belongs to.
    pub fn part(&self) -> &str {
        match self {
            Self::Part(id) => id,
            Self::Point(point) => &point.part,
        }
    }
}

/// One frame's view of the job.
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
    /// What points read and should read as things stand.
    pub tags: &'a [Tag],
    /// Points that nothing joins to the module now.
    pub cut_off: &'a BTreeSet<Point>,
    /// What is chosen.
    pub selection: &'a Selection,
    /// Where a wire that is being drawn begins.
    pub wiring: Option<&'a Point>,
    /// A part that is being named.
    pub naming: Option<&'a Naming>,
    /// What stands beside the title of a drawing on which nothing can be drawn; none on the bench.
    pub caption: Option<&'a str>,
    /// What is chosen together is to hang from the point that is chosen next.
    pub moving: bool,
    parts: HashMap<&'a str, &'a PlacedPart>,
    loads: HashMap<&'a str, &'a Load>,
    found: HashMap<&'a Point, &'a PointFinding>,
    named: Vec<&'a str>,
    /// How probability lies on parts and wires; none of it before anything was read.
    pub chances: Cow<'a, Spread>,
}

impl<'a> Sheet<'a> {
    /// Gathers what the drawing needs from the window's state.
    pub fn new(
        model: &'a Model,
        harness: &'a Harness,
        cut_off: &'a BTreeSet<Point>,
        tags: &'a [Tag],
    ) -> Self {
        let findings = model.answer.as_ref().map(|answer| answer.findings.as_ref());
        let chances = findings.map_or_else(Cow::default, |f| Cow::Owned(Spread::of(f)));
        Self::with(model, harness, (cut_off, chances), tags)
    }

    /// The same with what was worked out before this frame.
    pub fn with(
        model: &'a Model,
        harness: &'a Harness,
        (cut_off, chances): (&'a BTreeSet<Point>, Cow<'a, Spread>),
        tags: &'a [Tag],
    ) -> Self {
        let findings = model.answer.as_ref().map(|answer| answer.findings.as_ref());
        let (parts, loads) = (&harness.parts, &model.job.circuit.loads);
        let points = findings.into_iter().flat_map(|found| &found.points);
        Self {
            parts: parts.iter().map(|part| (part.id.as_str(), part)).collect(),
            loads: loads.iter().map(|load| (load.id.as_str(), load)).collect(),
            found: points.map(|found| (&found.point, found)).collect(),
            named: (model.answer.iter().flat_map(|answer| answer.named()))
                .map(|suspect| suspect.site.part.as_str())
                .collect(),
            chances,
            circuit: &model.job.circuit,
            harness,
            findings,
            log: &model.job.log,
            now: &model.job.now,
            tags,
            cut_off,
            selection: &model.selection,
            wiring: model.wiring.as_ref(),
            naming: model.naming.as_ref(),
            caption: None,
            moving: model.moving,
        }
    }

    /// What the keyboard stands on: the chosen part, else the chosen point.
    pub fn held(&self) -> Option<Selected> {
        let part = self.selection.part.clone().map(Selected::Part);
        part.or_else(|| self.selection.point.clone().map(Selected::Point))
    }

    /// Whether a part is selected, alone or with others.
    pub fn part_selected(&self, id: &str) -> bool {
        self.selection.part.as_deref() == Some(id) || self.selection.many.contains(id)
    }

    /// Whether a point is selected.
    pub fn point_selected(&self, point: &Point) -> bool {
        self.selection.point.as_ref() == Some(point)
    }

    /// Whether a connector is parted.
    pub fn unplugged(&self, id: &str) -> bool {
        self.now.unplugged.contains(id)
    }

    /// Whether nobody knows how a connector stands.
    pub fn unknown(&self, id: &str) -> bool {
        self.now.unknown.contains(id)
    }

    /// A part that is drawn.
    pub fn part(&self, id: &str) -> Option<&'a PlacedPart> {
        self.parts.get(id).copied()
    }

    /// Probability that something is wrong with a part, its pins included; none before anything was read.
    pub fn suspicion(&self, id: &str) -> f64 {
        let read = self.findings.is_some_and(|f| f.fit.readings > 0);
        if read { self.chances.part(id) } else { 0.0 }
    }

    /// Whether the answer names this part, alone or with others.
    pub fn is_named(&self, id: &str) -> bool {
        self.named.contains(&id)
    }

    /// Designations of the parts that the answer names.
    pub fn named(&self) -> &[&'a str] {
        &self.named
    }

    /// A sensor of the sketch.
    pub fn load(&self, id: &str) -> Option<&'a Load> {
        self.loads.get(id).copied()
    }

    /// What a point should read now.
    pub fn should_read(&self, point: &Point) -> Option<&'a PointFinding> {
        self.found.get(point).copied()
    }

    /// What a point reads as things stand.
    pub fn tag(&self, point: &Point) -> Option<&'a Tag> {
        self.tags.iter().find(|tag| tag.point == *point)
    }

    /// Whether the last reading at a point is off what it should be by more than three standard deviations and two
    /// percent.
    pub fn amiss(&self, point: &Point) -> bool {
        let entry = self.tag(point).and_then(|tag| tag.entry);
        let read = entry.and_then(|entry| self.log.get(entry));
        let Some(Entry::Reading(Reading {
            value: Value::Exactly(volts),
            ..
        })) = read
        else {
            return false;
        };
        self.should_read(point).is_some_and(|found| {
            let (should, room) = (found.healthy, |of: f64| 0.02 * of.abs());
            match found.hinges {
                Some((low, high)) => *volts < low - room(low) || *volts > high + room(high),
                None => (volts - should.mean).abs() > (3.0 * should.sd).max(room(should.mean)),
            }
        })
    }
}
