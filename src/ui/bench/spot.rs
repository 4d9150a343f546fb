//! Where on the screen each point, part and box stands: connectors and fuses spread their two faces to either side.

use egui::{Pos2, Rect, pos2, vec2};

use super::{sheet::Sheet, view::View};
use crate::{
    circuit::{Point, Terminal},
    drawing::{PartKind, PinPlace, PlacedPart},
    ui::theme::Theme,
};

/// Distance of a face's point from the middle of its connector.
pub fn face(theme: &Theme) -> f32 {
    theme.size.reach * 1.75
}

/// Middle of a pin's pair of brackets.
pub fn pin_middle(pin: &PinPlace, view: &View) -> Pos2 {
    let (near, far) = (view.at(pin.near), view.at(pin.far));
    near.lerp(far, 0.5)
}

/// Screen position of a point.
pub fn point_at(theme: &Theme, sheet: &Sheet<'_>, view: &View, point: &Point) -> Option<Pos2> {
    let place = view.at(sheet.harness.place(point)?);
    let Some(part) = sheet.part(&point.part) else {
        return Some(place);
    };
    let pin_with = |number: u8| part.pins.iter().find(|pin| pin.pin == number);
    let (pin, near) = match (part.kind, point.terminal) {
        (PartKind::Connector, Terminal::Near(n)) => (pin_with(n), true),
        (PartKind::Connector, Terminal::Far(n)) => (pin_with(n), false),
        (PartKind::Fuse, Terminal::In) => (part.pins.first(), true),
        (PartKind::Fuse, Terminal::Out) => (part.pins.first(), false),
        (PartKind::Load, Terminal::Signal) => {
            let rect = load_box(theme, sheet, view, part);
            return Some(pos2(rect.right() + 8.0, rect.center().y));
        }
        (PartKind::Load, Terminal::Return) if place.distance(view.at(part.at)) < 1.0 => {
            let rect = load_box(theme, sheet, view, part);
            return Some(pos2(rect.center().x, rect.bottom() + 8.0));
        }
        _ => return Some(place),
    };
    let Some(pin) = pin else {
        return Some(place);
    };
    let side = if near == pin.forward { -1.0 } else { 1.0 };
    Some(pin_middle(pin, view) + vec2(side * face(theme), 0.0))
}

/// The box of a load: right of the connector that it plugs into, or at the end of its wire.
pub fn load_box(theme: &Theme, sheet: &Sheet<'_>, view: &View, part: &PlacedPart) -> Rect {
    let plugged_into = sheet
        .load(&part.id)
        .is_some_and(|load| load.feed.part != part.id);
    let start = if plugged_into { face(theme) + 9.0 } else { 6.0 };
    let at = view.at(part.at) + vec2(start, 0.0);
    let width = (part.id.len().min(10) as f32 * 9.5 + 18.0).max(40.0);
    let half = view.box_half();
    Rect::from_min_size(pos2(at.x, at.y - half), vec2(width, 2.0 * half))
}

/// The room of a part's symbol.
pub fn symbol_rect(theme: &Theme, sheet: &Sheet<'_>, view: &View, part: &PlacedPart) -> Rect {
    let at = view.at(part.at);
    match part.kind {
        PartKind::Supply => Rect::from_min_max(
            pos2(at.x - 62.0, at.y - 33.0),
            pos2(at.x - 13.0, at.y + 33.0),
        ),
        PartKind::Connector => {
            let middle = part.pins.first().map_or(at, |pin| pin_middle(pin, view));
            Rect::from_center_size(middle, vec2(30.0, 2.0 * view.bracket() + 2.0))
        }
        PartKind::Splice => Rect::from_center_size(at, vec2(14.0, 14.0)),
        PartKind::Ground => Rect::from_min_max(at - vec2(11.0, 4.0), at + vec2(11.0, 25.0)),
        PartKind::Fuse => Rect::from_center_size(at, vec2(36.0, 16.0)),
        PartKind::Load => load_box(theme, sheet, view, part),
        PartKind::Rail => Rect::from_min_max(at - vec2(8.0, 9.0), at + vec2(70.0, 9.0)),
    }
}
