//! The parts of the harness on the sheet: symbols with their suspicion, and the points where a probe can go.

use egui::{CornerRadius, Painter, Rect, Stroke, vec2};

use super::{
    draw,
    place::Taken,
    sheet::Sheet,
    spot::{pin_middle, point_at, symbol_rect},
    suspicion::{RING, ring_ui},
    view::View,
};
use crate::{
    circuit::Point,
    diagnosis::Suspect,
    drawing::{PartKind, PlacedPart},
    quantity::{Unit, format::si, units::as_volts},
    ui::theme::{STRONG, Theme},
};

/// Side of the room that a ring takes from words.
const RING_SIDE: f32 = 7.0;

/// Draws the symbol of every part.
pub fn symbols_ui(
    painter: &Painter,
    theme: &Theme,
    sheet: &Sheet<'_>,
    view: &View,
    taken: &mut Taken,
) {
    for part in &sheet.harness.parts {
        let rect = symbol_rect(theme, sheet, view, part);
        if !in_sight(part, rect, view) {
            continue;
        }
        taken.take(rect.expand(2.0));
        let probability = sheet.suspicion(&part.id);
        if part.kind != PartKind::Connector {
            let named = sheet.is_named(&part.id);
            ring_ui(painter, theme, rect, (probability, named), taken);
        }
        if sheet.part_selected(&part.id) {
            selected_ui(painter, theme, rect.expand(6.0));
        }
        symbol_ui(painter, theme, sheet, view, part, taken);
    }
}

/// Whether a symbol, or a pin of it on another lane, can be seen.
fn in_sight(part: &PlacedPart, rect: Rect, view: &View) -> bool {
    let seen = view.rect.expand(40.0);
    seen.intersects(rect)
        || part
            .pins
            .iter()
            .any(|pin| seen.contains(pin_middle(pin, view)))
}

fn selected_ui(painter: &Painter, theme: &Theme, rect: Rect) {
    painter.rect(
        rect,
        CornerRadius::same(6),
        theme.colour.selected,
        Stroke::new(STRONG, theme.colour.focus),
        egui::StrokeKind::Outside,
    );
}

fn symbol_ui(
    painter: &Painter,
    theme: &Theme,
    sheet: &Sheet<'_>,
    view: &View,
    part: &PlacedPart,
    taken: &mut Taken,
) {
    let at = view.at(part.at);
    let dead = dead(sheet, part);
    match part.kind {
        PartKind::Supply => {
            let supply = sheet.circuit.supply(&part.id);
            let volts = supply.map_or_else(String::new, |s| si(as_volts(s.nominal), Unit::Volts));
            draw::supply_ui(painter, theme, at, &part.id, &volts);
        }
        PartKind::Connector => {
            let plugged = !sheet.unplugged(&part.id);
            for pin in &part.pins {
                let middle = pin_middle(pin, view);
                let rect = Rect::from_center_size(middle, vec2(34.0, 2.0 * view.bracket() + 6.0));
                taken.take(rect);
                ring_ui(
                    painter,
                    theme,
                    rect.shrink(4.0),
                    pin_suspicion(sheet, &part.id, pin.pin),
                    taken,
                );
                let size = (middle, view.bracket());
                draw::connector_ui(painter, theme, size, plugged, dead);
                if sheet.unknown(&part.id) {
                    draw::unknown_ui(painter, theme, middle);
                }
            }
        }
        PartKind::Splice => draw::splice_ui(painter, theme, at, dead),
        PartKind::Ground => draw::ground_ui(painter, theme, at, 14.0),
        PartKind::Fuse => draw::fuse_ui(painter, theme, at, dead),
        PartKind::Load => {
            let rect = symbol_rect(theme, sheet, view, part);
            draw::load_ui(painter, theme, rect, &part.id, dead);
        }
        PartKind::Rail => {
            let rail = sheet.circuit.rail(&part.id);
            let volts = rail.map_or_else(String::new, |r| si(as_volts(r.potential), Unit::Volts));
            draw::rail_ui(painter, theme, at, &format!("{} {volts}", part.id));
        }
    }
}

/// Whether nothing joins a part to the module any more.
fn dead(sheet: &Sheet<'_>, part: &PlacedPart) -> bool {
    let load = sheet.load(&part.id);
    if let Some(load) = load {
        return sheet.cut_off.contains(&load.feed);
    }
    let own = |point: &&Point| point.part == part.id;
    let mut points = sheet.harness.points.keys().filter(own).peekable();
    points.peek().is_some() && points.all(|point| sheet.cut_off.contains(point))
}

/// How much a pin is suspected, and whether the answer names it.
fn pin_suspicion(sheet: &Sheet<'_>, id: &str, pin: u8) -> (f64, bool) {
    let Some(findings) =
        (sheet.findings).filter(|_| sheet.suspicion(id) >= RING || sheet.is_named(id))
    else {
        return (0.0, false);
    };
    let here = |s: &&Suspect| s.site.part == id && s.site.pin.is_none_or(|n| n == pin);
    let probability = findings.suspects.iter().filter(here);
    let named = sheet.is_named(id) && findings.named().iter().any(here);
    (probability.map(|s| s.probability).sum(), named)
}

/// A ring at every place a probe can touch; filled where a reading was taken in this plug state.
pub fn points_ui(
    painter: &Painter,
    theme: &Theme,
    sheet: &Sheet<'_>,
    view: &View,
    taken: &mut Taken,
) {
    let c = &theme.colour;
    for point in sheet.harness.points.keys() {
        let Some(at) = point_at(theme, sheet, view, point).filter(|at| view.rect.contains(*at))
        else {
            continue;
        };
        let splice = sheet
            .part(&point.part)
            .is_some_and(|part| part.kind == PartKind::Splice);
        if sheet.point_selected(point) {
            painter.circle(at, 10.0, c.selected, Stroke::new(3.0, c.focus));
        }
        if splice && !sheet.point_selected(point) {
            continue;
        }
        taken.take(Rect::from_center_size(at, vec2(RING_SIDE, RING_SIDE)));
        let read = sheet.tag(point).is_some_and(|tag| tag.reads.is_some());
        let dead = sheet.cut_off.contains(point);
        let ink = if dead { c.cut_off } else { c.ink };
        let ground = if read { ink } else { c.sheet };
        painter.circle(
            at,
            if read { 4.5 } else { 3.5 },
            ground,
            Stroke::new(1.5, ink),
        );
    }
}
