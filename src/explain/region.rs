//! A part of the feed that holds what is left: everything beyond a connector, before one, or in one branch.
//!
//! Where many places are left and none has a fair share, this is what the readings do tell.

use std::collections::{BTreeMap, BTreeSet};

use super::{
    headline::{Told, likely},
    names,
};
use crate::{
    circuit::{
        Circuit,
        tree::{FeedTree, Side},
    },
    diagnosis::{Findings, Interval, Suspect},
    fault::FaultKind,
    quantity::format::percent,
};

/// Probability from which a part of the feed is named before any single place (judgement).
const MOST: f64 = 0.9;
/// Share of it by whose ohms it is told (judgement).
const TOLD: f64 = 0.9;

/// A part of the feed with what is wrong in it.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Region<'a> {
    /// The likeliest place in it, which need not be the likeliest of all.
    pub likeliest: &'a Suspect,
    /// Where it is: `beyond C1`, `beyond C1 and before C2`, `in the branch from SP1 that begins with W5`.
    place: String,
    /// What is wrong there, without its size: `Short to ground`.
    what: String,
    /// Ohms, as far as all places there agree.
    ohms: Option<Interval>,
    /// Probability that it is there.
    probability: f64,
    /// Connectors and wires that bound it.
    bounds: Vec<String>,
}

impl Region<'_> {
    /// It in words; `more` is what there is to say of its likeliest place, apart from ohms.
    pub fn told(self, circuit: &Circuit, more: Vec<String>) -> Told {
        let Self { place, what, .. } = self;
        let size =
            (self.ohms).map_or_else(String::new, |ohms| format!(", {},", names::about(ohms)));
        let mut detail: Vec<String> = self.ohms.map(names::resistance).into_iter().collect();
        detail.push(likely(self.probability));
        detail.extend(self.bounds.iter().map(|id| names::noted(circuit, id)));
        let single = self.likeliest;
        detail.push(format!(
            "likeliest single place there: {} ({})",
            names::place(&single.site, single.kind),
            percent(single.probability)
        ));
        detail.extend(more);
        Told {
            line: format!("{what}{size} {place}"),
            place,
            detail,
            probability: self.probability,
            region: true,
        }
    }
}

/// The smallest part of the feed that holds nearly all of the probability of faults like the likeliest one; none where
/// there is none, or the sketch has a loop.
pub(super) fn region<'a>(
    circuit: &Circuit,
    findings: &'a Findings,
    top: &Suspect,
) -> Option<Region<'a>> {
    let class = Class::of(top)?;
    let tree = FeedTree::walk(circuit, Side::Feed);
    if !tree.closing.is_empty() {
        return None;
    }
    let alike: Vec<&'a Suspect> = (findings.suspects.iter())
        .filter(|suspect| Class::of(suspect).as_ref() == Some(&class))
        .collect();
    let below = below(circuit, &tree);
    let all: BTreeSet<&str> = tree.parts();
    let inside = |bounds: &Bounds<'_>| -> Vec<&'a Suspect> {
        let held = |suspect: &&'a Suspect| bounds.hold(&all, &below, &suspect.site.part);
        alike.iter().copied().filter(held).collect()
    };
    // The fewest places first, and of those the likeliest.
    let mut every = every(circuit, &all, &below, &alike);
    every.sort_by(|(a, _), (b, _)| {
        (a.places.cmp(&b.places)).then_with(|| b.share.total_cmp(&a.share))
    });
    let (bounds, held, probability) = every.into_iter().find_map(|(_, bounds)| {
        let held = inside(&bounds);
        let share = share(findings, &held);
        (held.len() > 1 && share >= MOST).then_some((bounds, held, share))
    })?;
    Some(Region {
        // Likeliest first, as the findings have them.
        likeliest: held.first()?,
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
        let splice = |wire| circuit.wire(wire).and_then(|_| from(tree, wire));
        let beyond = self.beyond.map(|id| match splice(id) {
            Some(splice) => format!("in the branch from {splice} that begins with {id}"),
            None => format!("beyond {id}"),
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

/// What lies in a part of the feed: places, and their probability where none are there together.
#[derive(Clone, Copy)]
struct Held {
    places: usize,
    share: f64,
}

/// Every part of the feed with one bound, and every one between two connectors or in a branch before a connector, that
/// could hold enough. Cost: connectors times the bounds behind which enough lies, which are few.
fn every<'a>(
    circuit: &'a Circuit,
    all: &BTreeSet<&str>,
    below: &Below<'a>,
    alike: &[&Suspect],
) -> Vec<(Held, Bounds<'a>)> {
    let held = |parts: &BTreeSet<&str>| {
        let inside = alike
            .iter()
            .filter(|one| parts.contains(one.site.part.as_str()));
        inside.fold(
            Held {
                places: 0,
                share: 0.0,
            },
            |held, one| Held {
                places: held.places + 1,
                share: held.share + one.probability,
            },
        )
    };
    let behind: BTreeMap<&str, Held> = (below.iter())
        .map(|(&id, parts)| (id, held(parts)))
        .collect();
    let connectors: Vec<&str> = (circuit.connectors.iter())
        .map(|one| one.id.as_str())
        .filter(|id| below.contains_key(id))
        .collect();
    let outer = (behind.iter()).map(|(&id, &held)| (Some(id), below.get(id), held));
    let mut found = Vec::new();
    for (beyond, parts, whole) in std::iter::once((None, Some(all), held(all))).chain(outer) {
        if whole.share < MOST {
            continue;
        }
        let Some(parts) = parts else { continue };
        if beyond.is_some() {
            found.push((
                whole,
                Bounds {
                    beyond,
                    before: None,
                },
            ));
        }
        // What lies behind a connector in there lies in there too, but for one of several pins that is fed another way: what
        // is taken in the end is counted once more.
        for &id in connectors.iter().filter(|id| parts.contains(*id)) {
            if let Some(off) = behind.get(id) {
                let held = Held {
                    places: whole.places.saturating_sub(off.places),
                    share: whole.share - off.share,
                };
                found.push((
                    held,
                    Bounds {
                        beyond,
                        before: Some(id),
                    },
                ));
            }
        }
    }
    found.retain(|(held, _)| held.places > 1 && held.share >= MOST);
    found
}

/// Probability that one of these faults is there: what is counted of each, less what is there together.
fn share(findings: &Findings, held: &[&Suspect]) -> f64 {
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{circuit::quick_feed, quantity::units::volts};

    #[test]
    fn a_branch_is_told_as_more_than_the_wire_it_begins_with() {
        let circuit = quick_feed(volts(5.0), 4, true, false);
        let tree = FeedTree::walk(&circuit, Side::Feed);
        let branch = (circuit.wires.iter())
            .find_map(|wire| Some((wire.id.as_str(), from(&tree, &wire.id)?)))
            .expect("a splice");
        let words = |beyond, before| Bounds { beyond, before }.words(&circuit, &tree);
        let (wire, splice) = branch;
        assert_eq!(
            words(Some(wire), None),
            format!("in the branch from {splice} that begins with {wire}")
        );
        assert_eq!(words(Some("C1"), Some("X1")), "beyond C1 and before X1");
    }
}
