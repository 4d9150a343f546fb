//! Readings along the wires in one state: the volts fall as far as current flows, and no further.

use std::collections::BTreeSet;

use super::{Belief, Step, Used};
use crate::{
    circuit::tree::{FeedTree, Side},
    diagnosis::{Findings, Question},
    explain::names,
    fault::FaultKind,
};

/// Steps of the meter's display that two readings must differ by to be a fall, and may differ by to be the same (judgement).
const FALL: f64 = 5.0;
const SAME: f64 = 2.5;

/// The fall along the wires towards the top suspect, where one state has readings on the way and past it.
pub fn step(question: &Question<'_>, findings: &Findings, used: &[Used<'_>]) -> Option<Step> {
    let top = findings.suspects.first()?;
    let shorted = matches!(
        top.kind,
        FaultKind::ShortToGround | FaultKind::DrawsTooMuch | FaultKind::UndrawnShort
    );
    let part = &top.site.part;
    let belief = Belief::new(findings);
    if !shorted || belief.two() || !belief.at(&BTreeSet::from([part.clone()])) {
        return None;
    }
    let mut best: Option<Step> = None;
    for state in states(used) {
        let tree = FeedTree::walk_unplugged(question.circuit, Side::Feed, state);
        let here: Vec<(&Used<'_>, usize)> = used
            .iter()
            .filter(|reading| {
                let now = &reading.reading.state;
                now.unplugged == *state
                    && !now.supply_off
                    && now.attached.is_empty()
                    && reading.reading.black.is_battery_negative()
            })
            .filter_map(|reading| Some((reading, tree.index_of(&reading.reading.red)?)))
            .collect();
        let Some(step) = fall(question, &tree, part, &here) else {
            continue;
        };
        if best
            .as_ref()
            .is_none_or(|best| step.entries.len() > best.entries.len())
        {
            best = Some(step);
        }
    }
    best
}

fn states<'a>(used: &'a [Used<'_>]) -> BTreeSet<&'a BTreeSet<String>> {
    used.iter()
        .map(|reading| &reading.reading.state.unplugged)
        .collect()
}

fn fall(
    question: &Question<'_>,
    tree: &FeedTree,
    part: &str,
    here: &[(&Used<'_>, usize)],
) -> Option<Step> {
    // Where the part is entered from the module's side, and the way to there.
    let entered = tree
        .places
        .iter()
        .enumerate()
        .find_map(|(index, place)| match &place.via {
            Some(via) if via.part == part => Some(via.parent),
            _ if place.point.part == part => Some(index),
            _ => None,
        });
    let hanging = || {
        tree.hanging
            .iter()
            .find(|end| end.part == part)
            .map(|end| end.place)
    };
    let way: BTreeSet<usize> = tree.path(entered.or_else(hanging)?).into_iter().collect();
    let below = |place: usize| {
        tree.path(place).iter().any(|&index| {
            tree.places[index]
                .via
                .as_ref()
                .is_some_and(|via| via.part == part)
        })
    };
    let step_of = |volts: f64| {
        let range = question.meter.ranges.get(question.meter.range_of(volts));
        range.map_or(0.001, |range| range.step)
    };
    let on_way = here.iter().filter(|(_, place)| way.contains(place));
    let first = on_way
        .clone()
        .min_by(|a, b| tree.places[a.1].metres.total_cmp(&tree.places[b.1].metres))?
        .0;
    let past: Vec<&Used<'_>> = here
        .iter()
        .filter(|(_, place)| below(*place))
        .map(|(reading, _)| *reading)
        .collect();
    let last = past
        .iter()
        .copied()
        .min_by(|a, b| a.volts.total_cmp(&b.volts))?;
    if first.volts - last.volts < FALL * step_of(first.volts) {
        return None;
    }
    let mut text = format!(
        "Along the wires the feed falls from {} at {} to {} at {}",
        first.shown(),
        names::point(&first.reading.red),
        last.shown(),
        names::point(&last.reading.red),
    );
    let same: Vec<&Used<'_>> = past
        .iter()
        .copied()
        .filter(|other| other.entry != last.entry)
        .collect();
    let level = same
        .iter()
        .all(|other| (other.volts - last.volts).abs() <= SAME * step_of(last.volts));
    let mut entries = vec![first.entry, last.entry];
    if !same.is_empty() && level {
        let points: Vec<String> = same
            .iter()
            .map(|other| names::point(&other.reading.red))
            .collect();
        let verb = if points.len() == 1 { "reads" } else { "read" };
        text.push_str(&format!(
            " and no further ({} {verb} the same), so it ends on {part}.",
            names::list(&points, "and")
        ));
        entries.extend(same.iter().map(|other| other.entry));
    } else {
        text.push_str(&format!("; with the other readings it ends on {part}."));
    }
    entries.sort_unstable();
    Some(Step { entries, text })
}
