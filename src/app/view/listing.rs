//! The drawing as a list of sentences, for eyes and screen readers that do not follow lines: along the feed, branch by
//! branch, each part with what it reads, should read, and how much it is suspected.

use std::collections::BTreeSet;

use super::{Tag, tags};
use crate::{
    app::{model::Model, zones::happened},
    circuit::{Circuit, PartRef, Point},
    explain::names,
    quantity::{
        Unit,
        format::percent,
        format::si,
        units::{as_metres, as_minutes, as_volts},
    },
};

/// One sentence with how deep its part hangs: 0 at a module.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Listed {
    /// Number of turn-offs between the module and this part.
    pub depth: usize,
    /// Designation.
    pub part: String,
    /// The sentence.
    pub text: String,
}

/// Every part once, wires included: along each lead of the feed, then what hangs nowhere.
pub fn listing(model: &Model) -> Vec<Listed> {
    let circuit = &model.job.circuit;
    let tags = tags(model);
    let mut seen: BTreeSet<String> = BTreeSet::new();
    let mut list: Vec<Listed> = Vec::new();
    let mut depths: std::collections::BTreeMap<Point, usize> = std::collections::BTreeMap::new();
    for lead in &model.harness.leads {
        let above = lead.points.first().and_then(|p| depths.get(p)).copied();
        let depth = above.map_or(0, |depth| depth + usize::from(lead.branches_off));
        let mut before: Option<&Point> = None;
        for point in &lead.points {
            depths.entry(point.clone()).or_insert(depth);
            let wire = before.and_then(|before| {
                let mut wires = circuit.wires.iter();
                wires.find(|wire| wire.joins(before, point))
            });
            let loads = circuit.loads.iter().filter(|load| load.feed == *point);
            let here = wire.map(|wire| wire.id.as_str());
            let here = here.into_iter().chain([point.part.as_str()]);
            for id in here.chain(loads.map(|load| load.id.as_str())) {
                if seen.insert(id.to_owned()) {
                    put(model, &tags, &mut list, depth, id);
                }
            }
            before = Some(point);
        }
    }
    for id in circuit.ids() {
        if seen.insert(id.to_owned()) {
            put(model, &tags, &mut list, 0, id);
        }
    }
    list
}

fn put(model: &Model, tags: &[Tag], list: &mut Vec<Listed>, depth: usize, id: &str) {
    let circuit = &model.job.circuit;
    let Some(part) = circuit.part(id) else { return };
    let mut text = what(circuit, part);
    let now = &model.job.now;
    if matches!(part, PartRef::Connector(_)) {
        text.push_str(
            match (now.unplugged.contains(id), now.unknown.contains(id)) {
                (true, _) => ", unplugged",
                (false, true) => ", plugged or not is not known",
                (false, false) => ", plugged",
            },
        );
    }
    for tag in tags.iter().filter(|tag| tag.point.part == id) {
        if let Some(reads) = &tag.reads {
            let should = tag.should_read.as_ref();
            let should = should.map_or_else(String::new, |s| format!(", should read {s}"));
            let point = names::point(&tag.point);
            text.push_str(&format!("; {point} reads {reads}{should}"));
        }
    }
    for happened in happened(circuit, id) {
        text.push_str(&format!("; {happened}"));
    }
    if let Some(findings) = model.current_findings() {
        let own = findings.suspects.iter().filter(|s| s.site.part == id);
        let share: f64 = own.map(|suspect| suspect.probability).sum();
        if share >= 0.01 {
            text.push_str(&format!("; suspected, {}", percent(share)));
        }
    }
    list.push(Listed {
        depth,
        part: id.to_owned(),
        text: format!("{text}."),
    });
}

fn what(circuit: &Circuit, part: PartRef<'_>) -> String {
    let called = names::called(circuit, part.id());
    match part {
        PartRef::Wire(wire) => {
            let length = wire.length.map_or_else(
                || "length not known".to_owned(),
                |length| format!("{:.2} m", as_metres(length)),
            );
            let colour = wire.colour.map_or_else(String::new, |c| format!(", {c}"));
            let (from, to) = (names::point(&wire.from), names::point(&wire.to));
            format!("{called} wire from {from} to {to}, {length}{colour}")
        }
        PartRef::Supply(supply) => {
            format!(
                "{called} module, {}",
                si(as_volts(supply.nominal), Unit::Volts)
            )
        }
        PartRef::Connector(connector) => format!(
            "{called} connector, {} min to reach",
            as_minutes(connector.access)
        ),
        PartRef::Rail(rail) => {
            format!(
                "{called} other rail, {}",
                si(as_volts(rail.potential), Unit::Volts)
            )
        }
        PartRef::Splice(_) | PartRef::Ground(_) | PartRef::Fuse(_) | PartRef::Load(_) => {
            format!("{called} {}", part.class())
        }
    }
}
