//! What to open up, in which order: each thing once, also where it is in question alone and together with others.

use std::collections::BTreeMap;

use super::{
    Ask, Opening, Rest,
    plan::{self, Belief},
    sights,
    ways::{self, Place, Ways, Work},
};
use crate::{
    fault::{FaultKind, Site},
    infer::posterior::keep_off,
};

/// Things that are listed.
const OPENED: usize = 200;

/// A thing to open.
struct Thing<'a> {
    site: &'a Site,
    kind: FaultKind,
    part: Option<usize>,
    work: Work,
}

/// Things in the order of probability per minute; parts of one wire that follow one another are one. And what is left
/// out.
///
/// Faults together are found one after the other, so that a thing has the probability of all the places it belongs to, and
/// the minutes that it takes by itself.
pub(super) fn list(ask: &Ask<'_>, belief: &Belief, ways: &Ways<'_>) -> (Vec<Opening>, Rest) {
    let circuit = ask.circuit;
    let barred = sights::barred(circuit, ask.out_of_reach);
    let masses = belief.masses(&belief.weight);
    let mut rest = Rest::default();
    let mut things: Vec<Thing<'_>> = Vec::new();
    let mut probability: Vec<f64> = Vec::new();
    let mut known = BTreeMap::new();
    for (place, &mass) in masses.iter().enumerate() {
        let Place::Faults(faults) = &ways.places[place] else {
            continue;
        };
        if mass <= 0.0 {
            continue;
        }
        if faults.iter().any(|(site, ..)| barred.contains(&site.part)) {
            rest.places += 1;
            rest.probability += mass;
        }
        let whole = faults
            .iter()
            .zip(&ways.kinds[place])
            .zip(&ways.works[place]);
        for (((site, _, part), &kind), &work) in whole {
            if barred.contains(&site.part) {
                continue;
            }
            let at = *known.entry((site, kind, *part)).or_insert_with(|| {
                things.push(Thing {
                    site,
                    kind,
                    part: *part,
                    work,
                });
                probability.push(0.0);
                things.len() - 1
            });
            probability[at] += mass;
        }
    }
    let minutes: Vec<f64> = things.iter().map(|thing| thing.work.minutes).collect();
    let mut list: Vec<Opening> = Vec::new();
    for at in plan::order(&probability, &minutes) {
        if list.len() >= OPENED {
            rest.places += 1;
            rest.probability += probability[at];
            continue;
        }
        let thing = &things[at];
        let wire = circuit.wire(&thing.site.part);
        let metres = thing.part.zip(wire).map(|(part, wire)| {
            let length = wire.length_or_assumed();
            let (from, to) = ways::fractions(part);
            (from * length, to * length)
        });
        let one = Opening {
            site: thing.site.clone(),
            kind: thing.kind,
            metres,
            probability: keep_off(probability[at]),
            minutes: thing.work.minutes,
            again: thing.work.again,
        };
        match list.last_mut().filter(|last| adjoins(last, &one)) {
            Some(last) => {
                if let (Some(a), Some(b)) = (last.metres, one.metres) {
                    last.metres = Some((a.0.min(b.0), a.1.max(b.1)));
                }
                last.probability = keep_off(last.probability + one.probability);
                last.minutes += one.minutes;
            }
            None => list.push(one),
        }
    }
    (list, rest)
}

fn adjoins(last: &Opening, next: &Opening) -> bool {
    let (Some(a), Some(b)) = (last.metres, next.metres) else {
        return false;
    };
    (&last.site, last.kind, last.again) == (&next.site, next.kind, next.again)
        && ((a.1 - b.0).abs() < 1e-9 || (b.1 - a.0).abs() < 1e-9)
}
