//! A part of the feed that holds what is left: everything beyond a connector, before one, or along one branch.
//!
//! Where many places are left and none has a fair share, this is what the readings do tell.

use std::collections::{BTreeMap, BTreeSet};

use super::names;
use crate::{
    circuit::{
        Circuit,
        tree::{FeedTree, Side},
    },
    diagnosis::{Findings, Interval, Suspect},
    fault::FaultKind,
};

/// Probability from which a part of the feed is named before any single place (judgement).
const MOST: f64 = 0.9;
/// Share of it by whose ohms it is told (judgement).
const TOLD: f64 = 0.9;

/// A part of the feed with what is wrong in it.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Region {
    /// Where it is: `beyond C1`, `beyond C1 and before C2`, `along W5 from SP1`.
    pub place: String,
    /// What is wrong there, without its size: `Short to ground`.
    pub what: String,
    /// Ohms, as far as all places there agree.
    pub ohms: Option<Interval>,
    /// Probability that it is there.
    pub probability: f64,
    /// Connectors and wires that bound it.
    pub bounds: Vec<String>,
}

/// The smallest part of the feed that holds nearly all of the probability of faults like the likeliest one; none where
/// there is none, or the sketch has a loop.
pub(super) fn region(circuit: &Circuit, findings: &Findings, top: &Suspect) -> Option<Region> {
    let class = Class::of(top)?;
    let tree = FeedTree::walk(circuit, Side::Feed);
    if !tree.closing.is_empty() {
        return None;
    }
    let alike: Vec<&Suspect> = (findings.suspects.iter())
        .filter(|suspect| Class::of(suspect).as_ref() == Some(&class))
        .collect();
    let below = below(circuit, &tree);
    let all: BTreeSet<&str> = tree.parts();
    let mut best: Option<(usize, f64, Bounds<'_>)> = None;
    for bounds in every(circuit, &below) {
        let inside = |suspect: &&&Suspect| bounds.hold(&all, &below, &suspect.site.part);
        let held: Vec<&&Suspect> = alike.iter().filter(inside).collect();
        let share = share(findings, &held);
        let closer = |(count, other, _): &(usize, f64, _)| (held.len(), -share) < (*count, -*other);
        if share >= MOST && held.len() > 1 && best.as_ref().is_none_or(closer) {
            best = Some((held.len(), share, bounds));
        }
    }
    let (_, probability, bounds) = best?;
    let held: Vec<&Suspect> = (alike.into_iter())
        .filter(|suspect| bounds.hold(&all, &below, &suspect.site.part))
        .collect();
    Some(Region {
        place: bounds.words(circuit, &tree),
        what: class.what(),
        ohms: ohms(&held),
        probability,
        bounds: (bounds.beyond.iter().chain(&bounds.before))
            .map(|&id| id.to_owned())
            .collect(),
    })
}

/// Faults that are called by one name.
#[derive(Clone, Debug, PartialEq)]
enum Class {
    ToGround,
    ToRail(Option<String>),
    Open,
    HighResistance,
}

impl Class {
    fn of(suspect: &Suspect) -> Option<Self> {
        Some(match suspect.kind {
            FaultKind::ShortToGround | FaultKind::DrawsTooMuch | FaultKind::UndrawnShort => {
                Self::ToGround
            }
            FaultKind::ShortToRail => Self::ToRail(suspect.site.with.clone()),
            FaultKind::Open => Self::Open,
            FaultKind::HighResistance => Self::HighResistance,
            _ => return None,
        })
    }

    fn what(&self) -> String {
        match self {
            Self::ToGround => "Short to ground".to_owned(),
            Self::ToRail(rail) => {
                format!("Short to {}", rail.as_deref().unwrap_or("another rail"))
            }
            Self::Open => "Open".to_owned(),
            Self::HighResistance => "High resistance".to_owned(),
        }
    }
}

/// What bounds a part of the feed: everything beyond the one, apart from what lies beyond the other.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Bounds<'a> {
    beyond: Option<&'a str>,
    before: Option<&'a str>,
}

impl Bounds<'_> {
    fn hold(&self, all: &BTreeSet<&str>, below: &Below<'_>, part: &str) -> bool {
        let behind = |id: &str| below.get(id).is_some_and(|parts| parts.contains(part));
        all.contains(part) && self.beyond.is_none_or(behind) && !self.before.is_some_and(behind)
    }

    fn words(&self, circuit: &Circuit, tree: &FeedTree) -> String {
        let beyond = self.beyond.map(|id| match circuit.wire(id) {
            None => format!("beyond {id}"),
            Some(_) => match from(tree, id) {
                Some(from) => format!("along {id} from {from}"),
                None => format!("along {id}"),
            },
        });
        let before = self.before.map(|id| format!("before {id}"));
        let both: Vec<String> = beyond.into_iter().chain(before).collect();
        both.join(" and ")
    }
}

/// Parts behind each connector, and behind each wire with the wire itself.
type Below<'a> = BTreeMap<&'a str, BTreeSet<&'a str>>;

fn below<'a>(circuit: &'a Circuit, tree: &'a FeedTree) -> Below<'a> {
    let connectors = (circuit.connectors.iter()).map(|one| (one.id.as_str(), None));
    let wires = (circuit.wires.iter())
        .filter(|wire| from(tree, &wire.id).is_some())
        .map(|wire| (wire.id.as_str(), Some(wire.id.as_str())));
    connectors
        .chain(wires)
        .map(|(id, own)| {
            let mut parts = tree.downstream(id);
            parts.extend(own);
            (id, parts)
        })
        .filter(|(_, parts)| parts.len() > 1)
        .collect()
}

/// The splice from which a wire leads away from the module; none for any other wire.
fn from(tree: &FeedTree, wire: &str) -> Option<String> {
    let leads = |place: &&crate::circuit::tree::Place| {
        place.via.as_ref().is_some_and(|via| via.part == wire)
    };
    let via = tree.places.iter().find(leads)?.via.as_ref()?;
    let start = tree.places.get(via.parent)?;
    let branches = tree.places.iter().filter(|place| {
        place
            .via
            .as_ref()
            .is_some_and(|other| other.parent == via.parent)
    });
    (branches.count() > 1).then(|| names::end(&start.point))
}

/// Every part of the feed with one bound, and every one between two connectors or in a branch before a connector.
fn every<'a>(circuit: &'a Circuit, below: &Below<'a>) -> Vec<Bounds<'a>> {
    let beyond = below.keys().map(|&id| Some(id));
    let connectors: Vec<&str> = (circuit.connectors.iter())
        .map(|one| one.id.as_str())
        .filter(|id| below.contains_key(id))
        .collect();
    let mut all = Vec::new();
    for beyond in std::iter::once(None).chain(beyond) {
        let within = |id: &str| {
            beyond.is_none_or(|outer: &str| {
                outer != id && below.get(outer).is_some_and(|parts| parts.contains(id))
            })
        };
        let before = (connectors.iter().copied()).filter(|id| within(id));
        if beyond.is_some() {
            all.push(Bounds {
                beyond,
                before: None,
            });
        }
        all.extend(before.map(|id| Bounds {
            beyond,
            before: Some(id),
        }));
    }
    all
}

/// Probability that one of these faults is there: what is counted of each, less what is there together.
fn share(findings: &Findings, held: &[&&Suspect]) -> f64 {
    let sum: f64 = held.iter().map(|suspect| suspect.probability).sum();
    let twice = findings.combinations.iter().map(|combination| {
        let own = (combination.faults.iter())
            .filter(|(site, kind)| held.iter().any(|s| s.site == *site && s.kind == *kind))
            .count();
        own.saturating_sub(1) as f64 * combination.probability
    });
    (sum - twice.sum::<f64>()).clamp(0.0, 1.0)
}

/// One figure of ohms for the likeliest of them: the ends that hold all of theirs, and their middle.
fn ohms(held: &[&Suspect]) -> Option<Interval> {
    let all: f64 = held.iter().map(|suspect| suspect.probability).sum();
    let (mut told, mut weight, mut middle) = (0.0, 0.0, 0.0);
    let (mut low, mut high) = (f64::INFINITY, 0.0f64);
    // Likeliest first, as the findings have them.
    for suspect in held {
        if told >= TOLD * all {
            break;
        }
        told += suspect.probability;
        if let Some(ohms) = suspect.resistance {
            weight += suspect.probability;
            middle += suspect.probability * ohms.median.max(f64::MIN_POSITIVE).ln();
            low = low.min(ohms.low);
            high = high.max(ohms.high);
        }
    }
    (weight > 0.0).then(|| Interval {
        low,
        median: (middle / weight).exp().clamp(low, high),
        high,
    })
}
