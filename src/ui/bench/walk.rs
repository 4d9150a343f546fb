//! The order in which the arrow keys walk the drawing.

use std::collections::{BTreeSet, HashMap};

use super::{
    sheet::{Selected, Sheet},
    spot::{point_at, symbol_rect},
    view::View,
};
use crate::{circuit::Point, drawing::PartKind, ui::theme::Theme};

/// Parts that are one point and nothing else to the hand.
pub fn is_point(kind: PartKind) -> bool {
    matches!(kind, PartKind::Splice | PartKind::Rail | PartKind::Ground)
}

/// Everything on the drawing in the order of the harness: along the trunk, then along each branch.
pub fn walk(sheet: &Sheet<'_>) -> Vec<Selected> {
    let mut walk: Vec<Selected> = Vec::new();
    let mut seen: BTreeSet<String> = BTreeSet::new();
    let mut add = |what: Selected| {
        let key = match &what {
            Selected::Part(id) => id.clone(),
            Selected::Point(point) => format!("at {point}"),
        };
        if seen.insert(key) {
            walk.push(what);
        }
    };
    let wires = &sheet.circuit.wires;
    let mut between: HashMap<(&Point, &Point), &str> = HashMap::new();
    for wire in wires.iter().rev() {
        between.insert((&wire.from, &wire.to), &wire.id);
        between.insert((&wire.to, &wire.from), &wire.id);
    }
    let mut fed: HashMap<&Point, Vec<&str>> = HashMap::new();
    for load in &sheet.circuit.loads {
        fed.entry(&load.feed).or_default().push(&load.id);
    }
    for lead in &sheet.harness.leads {
        let mut before: Option<&Point> = None;
        for point in &lead.points {
            if let Some(before) = before {
                if let Some(wire) = between.get(&(before, point)) {
                    add(Selected::Part((*wire).to_owned()));
                } else if before.part == point.part {
                    add(Selected::Part(point.part.clone()));
                }
            }
            add(Selected::Point(point.clone()));
            for load in fed.get(point).into_iter().flatten() {
                add(Selected::Part((*load).to_owned()));
            }
            before = Some(point);
        }
    }
    for part in sheet
        .harness
        .parts
        .iter()
        .filter(|part| !is_point(part.kind))
    {
        add(Selected::Part(part.id.clone()));
    }
    for run in &sheet.harness.runs {
        add(Selected::Part(run.id.clone()));
    }
    for point in sheet.harness.points.keys() {
        add(Selected::Point(point.clone()));
    }
    walk
}

/// The nearest thing on a lane above or below.
pub fn beside<'w>(
    sheet: &Sheet<'_>,
    view: &View,
    theme: &Theme,
    walk: &'w [Selected],
    here: &Selected,
    sign: f32,
) -> Option<&'w Selected> {
    let from = centre(sheet, view, theme, here)?;
    walk.iter()
        .filter_map(|what| {
            let to = centre(sheet, view, theme, what)?;
            let down = (to.y - from.y) * sign;
            (down > 12.0).then_some((down * 3.0 + (to.x - from.x).abs(), what))
        })
        .min_by(|a, b| a.0.total_cmp(&b.0))
        .map(|(_, what)| what)
}

pub fn centre(
    sheet: &Sheet<'_>,
    view: &View,
    theme: &Theme,
    what: &Selected,
) -> Option<egui::Pos2> {
    match what {
        Selected::Point(point) => point_at(theme, sheet, view, point),
        Selected::Part(id) => {
            if let Some(part) = sheet.part(id) {
                return Some(symbol_rect(theme, sheet, view, part).center());
            }
            let (a, b) = sheet.harness.run(id)?.span()?;
            Some(view.at(a).lerp(view.at(b), 0.5))
        }
    }
}
