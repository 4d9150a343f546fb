//! Words beside the parts and wires of the harness, each where room is free.

use egui::{Color32, Painter, pos2};

use super::{place::Taken, sheet::Sheet, spot::symbol_rect, view::View};
use crate::{
    drawing::PartKind,
    quantity::units::as_metres,
    ui::{kit::shortened, theme::Theme},
};

/// Designations of parts, and the name people use where room is left.
pub fn names_ui(
    painter: &Painter,
    theme: &Theme,
    sheet: &Sheet<'_>,
    view: &View,
    taken: &mut Taken,
) {
    let c = &theme.colour;
    for part in &sheet.harness.parts {
        let rect = symbol_rect(theme, sheet, view, part);
        if !view.rect.intersects(rect) {
            continue;
        }
        let (colour, text) = match part.kind {
            PartKind::Connector if sheet.unplugged(&part.id) => {
                (c.attention_text, format!("{} unplugged", part.id))
            }
            PartKind::Connector if sheet.unknown(&part.id) => {
                (c.attention_text, format!("{} plugged?", part.id))
            }
            PartKind::Connector => (c.connector, part.id.clone()),
            PartKind::Splice | PartKind::Fuse | PartKind::Ground => (c.ink, part.id.clone()),
            PartKind::Load => {
                let name = sheet.load(&part.id);
                let Some(name) = name.filter(|load| !load.name.is_empty()) else {
                    continue;
                };
                let galley =
                    painter.layout_no_wrap(shortened(&name.name, 22), theme.small(), c.muted);
                let places = [
                    pos2(rect.right() + 6.0 + galley.size().x / 2.0, rect.center().y),
                    pos2(rect.left() + galley.size().x / 2.0, rect.bottom() + 10.0),
                    pos2(rect.left() + galley.size().x / 2.0, rect.top() - 10.0),
                ];
                if let Some(spot) = taken.first(galley.size(), places) {
                    painter.galley(spot.min, galley, Color32::PLACEHOLDER);
                }
                continue;
            }
            PartKind::Supply | PartKind::Rail => continue,
        };
        let galley = painter.layout_no_wrap(shortened(&text, 24), theme.mark(), colour);
        let places = Taken::around(rect.center(), galley.size(), rect.height() / 2.0 + 5.0);
        if let Some(spot) = taken.first(galley.size(), places) {
            painter.galley(spot.min, galley, Color32::PLACEHOLDER);
        }
    }
}

/// Designation, length and colour letters beside each wire, with a swatch.
pub fn wire_names_ui(
    painter: &Painter,
    theme: &Theme,
    sheet: &Sheet<'_>,
    view: &View,
    taken: &mut Taken,
) {
    let c = &theme.colour;
    for run in &sheet.harness.runs {
        let (Some((a, b)), Some(wire)) = (run.span(), sheet.circuit.wires.get(run.wire)) else {
            continue;
        };
        let (a, b) = (view.at(a), view.at(b));
        let (left, right) = (
            a.x.min(b.x).max(view.rect.left()),
            a.x.max(b.x).min(view.rect.right()),
        );
        let letters = wire
            .colour
            .map_or_else(String::new, |colour| format!(" {colour}"));
        let length = wire.length.map_or_else(
            || " ? m".to_owned(),
            |length| format!(" {:.2} m", as_metres(length)),
        );
        let id = shortened(&run.id, 12);
        for text in [
            format!("{id}{letters}{length}"),
            format!("{id}{letters}"),
            id.clone(),
        ] {
            let galley = painter.layout_no_wrap(text, theme.small(), c.muted);
            let size = galley.size();
            if size.x > right - left - 8.0 {
                continue;
            }
            let middle = (left + right) / 2.0;
            let slack = (right - left - size.x - 8.0).max(0.0) / 2.0;
            let places = [
                (0.0, -1.0),
                (0.5, -1.0),
                (-0.5, -1.0),
                (1.0, -1.0),
                (-1.0, -1.0),
            ]
            .into_iter()
            .chain([(0.0, 1.0), (0.5, 1.0), (-0.5, 1.0)])
            .map(|(dx, dy): (f32, f32)| pos2(middle + dx * slack, a.y + dy * (size.y / 2.0 + 5.0)));
            if let Some(spot) = taken.first(size, places) {
                painter.galley(spot.min, galley, Color32::PLACEHOLDER);
                break;
            }
        }
    }
}
