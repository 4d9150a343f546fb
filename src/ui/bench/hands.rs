//! Hands on the drawing: every point, part and wire can be clicked, reached by keys and found by its name.

use std::collections::BTreeSet;

use egui::{EventFilter, Id, Key, Rect, Response, Sense, Ui, WidgetInfo, accesskit::Role, vec2};

use super::{
    sheet::{Selected, Sheet},
    spot::{BRACKET, pin_middle, point_at, symbol_rect},
    view::{Chosen, View},
};
use crate::{
    app::{Bench, Screen, layout::PartKind},
    circuit::Point,
    quantity::{Unit, format::si, units::as_metres},
    ui::{act::Act, theme::Theme, words},
};

/// Lays the clickable places over the drawing; wires first, then parts, points on top.
pub fn hands_ui(
    ui: &Ui,
    theme: &Theme,
    sheet: &Sheet<'_>,
    view: &View,
    chosen: &Chosen,
    acts: &mut Vec<Act>,
) {
    let walk = walk(sheet);
    let held = sheet.held();
    let holder = held
        .clone()
        .filter(|held| walk.contains(held))
        .or_else(|| walk.first().cloned());
    let mut next: Option<Selected> = None;
    let mut hold = |what: Selected, rect: Rect, name: &str| -> Option<Response> {
        let rect = rect.intersect(view.rect);
        let holds = holder.as_ref() == Some(&what);
        if !rect.is_positive() && !holds {
            return None;
        }
        // Only one place of the drawing takes part in the Tab order; the arrow keys move on from it.
        let sense = if holds { Sense::click() } else { Sense::CLICK };
        let response = ui.interact(rect, id_of(ui, &what), sense);
        let here = held.as_ref() == Some(&what);
        response.widget_info(|| WidgetInfo::labeled(Role::Button, true, name));
        if response.gained_focus() && !here {
            select(&what, acts);
        }
        if response.has_focus() {
            next = keyed(ui, sheet, view, theme, &walk, &what, &response);
        }
        if response.secondary_clicked() {
            select(&what, acts);
        }
        Some(response)
    };
    let mut clicked: Vec<(Selected, bool)> = Vec::new();
    for run in &sheet.harness.runs {
        let Some((a, b)) = run.span() else { continue };
        let (a, b) = (view.at(a), view.at(b));
        let rect = Rect::from_two_pos(a, b).expand2(vec2(0.0, 8.0));
        let what = Selected::Part(run.id.clone());
        if hold(what.clone(), rect, &wire_name(sheet, &run.id))
            .is_some_and(|response| response.clicked())
        {
            clicked.push((what, false));
        }
    }
    for part in sheet
        .harness
        .parts
        .iter()
        .filter(|part| !is_point(part.kind))
    {
        let what = Selected::Part(part.id.clone());
        let connector = part.kind == PartKind::Connector;
        let name = part_name(sheet, &part.id, part.kind);
        let rect = symbol_rect(theme, sheet, view, part);
        let rect = if connector { grown(rect, theme) } else { rect };
        if hold(what.clone(), rect, &name).is_some_and(|r| r.clicked()) {
            clicked.push((what.clone(), connector));
        }
        for pin in part.pins.iter().skip(1).filter(|_| connector) {
            let rect = Rect::from_center_size(pin_middle(pin, view), vec2(30.0, 2.0 * BRACKET));
            let id = ui.scope_id().with(("pin", &part.id, pin.pin));
            let response = ui.interact(grown(rect, theme), id, Sense::CLICK);
            response.widget_info(|| {
                WidgetInfo::labeled(
                    Role::Button,
                    true,
                    format!("{name}, at its pin {}", pin.pin),
                )
            });
            if response.clicked() {
                clicked.push((what.clone(), true));
            }
        }
    }
    for point in sheet.harness.points.keys() {
        let Some(at) = point_at(theme, sheet, view, point) else {
            continue;
        };
        let reach = theme.size.reach;
        let what = Selected::Point(point.clone());
        let rect = Rect::from_center_size(at, vec2(2.0 * reach, 2.0 * reach));
        if hold(what.clone(), rect, &point_words(sheet, point))
            .is_some_and(|response| response.clicked())
        {
            clicked.push((what, false));
        }
    }
    if let Some(next) = next {
        select(&next, acts);
        // Asked for at the end: a place that cannot hold the keyboard yet would give it away again.
        ui.memory_mut(|memory| memory.request_focus(id_of(ui, &next)));
        let by = centre(sheet, view, theme, &next).map(|at| into_sight(view, at));
        if let Some(by) = by.filter(|by| *by != egui::Vec2::ZERO) {
            acts.push(Act::Look(view.moved(chosen, by, sheet.harness)));
        }
    }
    for (what, toggles) in clicked {
        // A click on a connector parts or mates it and leaves the rest of the page as it is.
        if !toggles {
            select(&what, acts);
        }
        match what {
            Selected::Part(id) if toggles => acts.push(Bench::TogglePlug(id).into()),
            Selected::Point(point) => acts.push(Act::ReadAt(point)),
            Selected::Part(_) => {}
        }
    }
}

/// Chooses a thing; a point lets go of the part, so that the part it belongs to is what is shown beside.
fn select(what: &Selected, acts: &mut Vec<Act>) {
    match what {
        Selected::Part(id) => acts.push(Screen::SelectPart(Some(id.clone())).into()),
        Selected::Point(point) => {
            acts.push(Screen::SelectPart(None).into());
            acts.push(Screen::SelectPoint(Some(point.clone())).into());
        }
    }
}

/// Parts that are one point and nothing else to the hand.
fn is_point(kind: PartKind) -> bool {
    matches!(kind, PartKind::Splice | PartKind::Rail | PartKind::Ground)
}

fn grown(rect: Rect, theme: &Theme) -> Rect {
    let half = theme.size.reach - rect.width() / 2.0;
    rect.expand2(vec2(half.max(0.0), 4.0))
}

fn id_of(ui: &Ui, what: &Selected) -> Id {
    match what {
        Selected::Part(id) => ui.scope_id().with(("part", id)),
        Selected::Point(point) => ui.scope_id().with(("point", point.to_string())),
    }
}

/// Where a key leads from here.
fn keyed(
    ui: &Ui,
    sheet: &Sheet<'_>,
    view: &View,
    theme: &Theme,
    walk: &[Selected],
    here: &Selected,
    response: &Response,
) -> Option<Selected> {
    let filter = EventFilter {
        horizontal_arrows: true,
        vertical_arrows: true,
        ..EventFilter::default()
    };
    ui.memory_mut(|memory| memory.set_focus_lock_filter(response.id, filter));
    let pressed = |key: Key| ui.input(|input| input.modifiers.is_none() && input.key_pressed(key));
    let index = walk.iter().position(|what| what == here).unwrap_or(0);
    let next = if pressed(Key::ArrowRight) {
        walk.get(index + 1)
    } else if pressed(Key::ArrowLeft) {
        index.checked_sub(1).and_then(|before| walk.get(before))
    } else if pressed(Key::ArrowDown) {
        beside(sheet, view, theme, walk, here, 1.0)
    } else if pressed(Key::ArrowUp) {
        beside(sheet, view, theme, walk, here, -1.0)
    } else if pressed(Key::Home) {
        walk.first()
    } else if pressed(Key::End) {
        walk.last()
    } else {
        None
    };
    next.filter(|next| *next != here).cloned()
}

/// How far the sheet has to move so that a place is in sight.
fn into_sight(view: &View, at: egui::Pos2) -> egui::Vec2 {
    let seen = view.rect.shrink(40.0);
    seen.clamp(at) - at
}

/// The nearest thing on a lane above or below.
fn beside<'w>(
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

fn centre(sheet: &Sheet<'_>, view: &View, theme: &Theme, what: &Selected) -> Option<egui::Pos2> {
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
    for lead in &sheet.harness.leads {
        let mut before: Option<&Point> = None;
        for point in &lead.points {
            if let Some(before) = before {
                let wire = sheet.circuit.wires.iter().find(|wire| {
                    (&wire.from, &wire.to) == (before, point)
                        || (&wire.to, &wire.from) == (before, point)
                });
                if let Some(wire) = wire {
                    add(Selected::Part(wire.id.clone()));
                } else if before.part == point.part {
                    add(Selected::Part(point.part.clone()));
                }
            }
            add(Selected::Point(point.clone()));
            for load in sheet
                .circuit
                .loads
                .iter()
                .filter(|load| load.feed == *point)
            {
                add(Selected::Part(load.id.clone()));
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

fn part_name(sheet: &Sheet<'_>, id: &str, kind: PartKind) -> String {
    if kind == PartKind::Connector {
        let plug = if sheet.unplugged(id) {
            "unplugged"
        } else {
            "plugged"
        };
        return format!("{id} {}, {plug}", words::connector_kind(sheet.circuit, id));
    }
    format!("{id} {}", words::kind_word(kind))
}

fn wire_name(sheet: &Sheet<'_>, id: &str) -> String {
    let Some(wire) = sheet.circuit.wires.iter().find(|wire| wire.id == id) else {
        return format!("{id} wire");
    };
    let colour = wire
        .colour
        .map_or_else(String::new, |colour| format!(" {colour}"));
    let length = wire.length.map_or_else(
        || "length not known".to_owned(),
        |length| format!("{:.2} m", as_metres(length)),
    );
    format!("{id} wire{colour}, {length}")
}

fn point_words(sheet: &Sheet<'_>, point: &Point) -> String {
    let mut name = format!("Point {}", sheet.circuit.point_label(point));
    let tag = sheet.tag(point);
    if let Some(reads) = tag.and_then(|tag| tag.reads.as_ref()) {
        name.push_str(&format!(", reads {reads}"));
    }
    if let Some(found) = sheet.should_read(point) {
        name.push_str(&format!(
            ", should read {}",
            si(found.healthy.mean, Unit::Volts)
        ));
    }
    name
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_small_symbol_grows_to_the_reach_of_a_hand() {
        let glove = Theme::new(false, true);
        let rect = Rect::from_center_size(egui::pos2(50.0, 50.0), vec2(30.0, 34.0));
        assert!(grown(rect, &glove).width() >= 44.0);
    }
}
