//! Words beside the parts and wires of the harness, each where room is free.

use std::{collections::HashSet, sync::Arc};

use egui::{Color32, Galley, Painter, Pos2, Rect, Stroke, Ui, Vec2, pos2, vec2};

use super::{
    place::{May, Taken},
    sheet::Sheet,
    spot::{face, symbol_rect},
    whose::{LEADING, Sight, together},
};
use crate::{
    drawing::PartKind,
    quantity::units::as_metres,
    ui::{kit::shortened, theme::Theme},
};

/// A word on the drawing that names a part.
#[derive(Clone, Debug)]
pub struct Label {
    /// The designation of the part.
    pub part: String,
    /// Where the word stands.
    pub rect: Rect,
}

impl Label {
    fn new(part: &str, rect: Rect) -> Self {
        let part = part.to_owned();
        Self { part, rect }
    }
}

/// Characters of a sensor's name, the most first, as far as there is room.
const NAME: [usize; 4] = [40, 26, 16, 10];
/// Characters of a name for which room is kept right of the outermost sensors, and the most room as a share of the width.
const KEPT: usize = 22;
const KEPT_ROOM: f32 = 0.13;
/// Share of the sheet's metres, at its end, in which a sensor counts as outermost.
const OUTERMOST: f64 = 0.06;

/// Points that a drawing takes right of the usual place of the last box: the far point of its connector, and the names
/// of the outermost sensors.
pub fn end_room(ui: &Ui, theme: &Theme, sheet: &Sheet<'_>) -> f32 {
    let last = sheet.harness.x_max * (1.0 - OUTERMOST);
    let outermost = (sheet.circuit.loads.iter())
        .filter(|load| !load.name.is_empty())
        .filter(|load| sheet.part(&load.id).is_some_and(|part| part.at.x >= last));
    let widths = outermost.map(|load| {
        let text = shortened(&load.name, KEPT);
        let word = ui
            .painter()
            .layout_no_wrap(text, theme.small(), theme.colour.muted);
        word.size().x + NAME_GAP
    });
    face(theme)
        + widths
            .fold(0.0, f32::max)
            .min(KEPT_ROOM * ui.available_width())
}

/// Distance of a sensor's name from its box: beside it, and at the end of a line.
const NAME_GAP: f32 = 6.0;
const LED: f32 = 8.0;
/// Distance from its symbol at which a designation has a line to it.
const NEXT: f32 = 12.0;

/// Designations of parts, close to what they name.
pub fn names_ui(sight: &Sight<'_>, taken: &mut Taken, labels: &mut Vec<Label>) {
    let Sight {
        painter,
        theme,
        sheet,
        view,
        whose,
    } = *sight;
    let c = &theme.colour;
    for part in &sheet.harness.parts {
        let rect = symbol_rect(theme, sheet, view, part);
        if !whose.in_sight(rect) {
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
            PartKind::Load | PartKind::Supply | PartKind::Rail => continue,
        };
        let galley = painter.layout_no_wrap(shortened(&text, 24), theme.mark(), colour);
        let (size, own) = (galley.size(), together(sheet, &part.id, part.kind));
        let reads = |spot: Rect| whose.reads_as(&own, spot);
        let places = around(rect, size).filter(|at| {
            let spot = Rect::from_center_size(*at, size);
            rect.expand(NEXT).intersects(spot) && reads(spot)
        });
        let spot = taken.first(size, places).or_else(|| {
            let spot = snug(rect, size).find(|spot| {
                taken.free_but_lines(spot.shrink2(vec2(0.0, LEADING))) && reads(*spot)
            })?;
            taken.take(spot);
            Some(spot)
        });
        if let Some(spot) = spot {
            painter.galley(spot.min, galley, Color32::PLACEHOLDER);
            labels.push(Label::new(&part.id, spot));
        } else {
            led_ui(
                painter,
                theme,
                (rect, &reads),
                galley,
                &part.id,
                taken,
                labels,
            );
        }
    }
}

/// Right above and below a symbol, where the letters still keep off the wire of the next lane.
fn snug(rect: Rect, size: Vec2) -> impl Iterator<Item = Rect> {
    let down = vec2(0.0, (rect.height() + size.y) / 2.0);
    [rect.center() - down, rect.center() + down]
        .into_iter()
        .map(move |at| Rect::from_center_size(at, size))
}

/// A word away from the symbol that it names, with a line to it, where it still reads as the name of that; on its own
/// wires where nothing else is free. Where there is no such place it is left out.
fn led_ui(
    painter: &Painter,
    theme: &Theme,
    (symbol, reads): (Rect, &dyn Fn(Rect) -> bool),
    word: Arc<Galley>,
    part: &str,
    taken: &mut Taken,
    labels: &mut Vec<Label>,
) {
    let (at, half) = (symbol.center(), symbol.height() / 2.0);
    let found = [May::Free, May::OnWires].into_iter();
    let mut found = found.filter_map(|may| taken.led(at, word.size(), half + LED, (may, reads)));
    let Some(spot) = found.next() else {
        return;
    };
    let end = Taken::end(at, spot);
    let edge = half / (end.y - at.y).abs().max(1.0);
    let start = at.lerp(end, edge.min(1.0));
    taken.take_leader(start, end);
    taken.take(spot);
    painter.line_segment([start, end], Stroke::new(1.0, theme.colour.muted));
    painter.rect_filled(spot, 2, theme.colour.sheet);
    painter.galley(spot.min, word, Color32::PLACEHOLDER);
    labels.push(Label::new(part, spot));
}

/// Places for a word at a symbol: above and below it, else beside it.
fn around(rect: Rect, size: Vec2) -> impl Iterator<Item = Pos2> {
    let clear = rect.height() / 2.0 + 4.0;
    let (at, down) = (rect.center(), vec2(0.0, clear + size.y / 2.0));
    // Nearly always one of the first is free, and the others need not be thought of.
    [at - down, at + down]
        .into_iter()
        .chain(std::iter::once_with(move || further(rect, size, clear)).flatten())
}

fn further(rect: Rect, size: Vec2, clear: f32) -> Vec<Pos2> {
    let mut places = Taken::beside(rect.center(), size, clear);
    let aside = rect.width() / 2.0 + size.x / 2.0 + 5.0;
    let up = rect.height() / 2.0 - 2.0;
    places.extend([
        rect.center() + vec2(aside, -up),
        rect.center() + vec2(-aside, -up),
        rect.center() + vec2(aside, up),
        rect.center() + vec2(-aside, up),
    ]);
    places
}

/// The names that people use for sensors, each right of its box, where no symbol and no wire stands.
pub fn load_names_beside_ui(sight: &Sight<'_>, taken: &mut Taken, labels: &mut Vec<Label>) {
    let Sight {
        painter,
        theme,
        sheet,
        view,
        whose,
    } = *sight;
    for load in (sheet.circuit.loads.iter()).filter(|load| !load.name.is_empty()) {
        let Some(part) = sheet.part(&load.id) else {
            continue;
        };
        let rect = symbol_rect(theme, sheet, view, part);
        if !whose.in_sight(rect) {
            continue;
        }
        for limit in &NAME[..3] {
            let text = shortened(&load.name, *limit);
            let word = painter.layout_no_wrap(text, theme.small(), theme.colour.muted);
            let at = pos2(
                rect.right() + NAME_GAP + word.size().x / 2.0,
                rect.center().y,
            );
            let (size, own) = (word.size(), [load.id.as_str(), load.feed.part.as_str()]);
            let reads = whose.reads_as(&own, Rect::from_center_size(at, size));
            if let Some(spot) = taken.first(size, reads.then_some(at)) {
                painter.galley(spot.min, word, Color32::PLACEHOLDER);
                labels.push(Label::new(&load.id, spot));
                break;
            }
        }
    }
}

/// The names of the other sensors, wherever room is left; away from its box with a line to it.
pub fn load_names_ui(sight: &Sight<'_>, taken: &mut Taken, labels: &mut Vec<Label>) {
    let Sight {
        painter,
        theme,
        sheet,
        view,
        whose,
    } = *sight;
    let named: HashSet<String> = labels.iter().map(|label| label.part.clone()).collect();
    for load in (sheet.circuit.loads.iter())
        .filter(|load| !load.name.is_empty() && !named.contains(&load.id))
    {
        let Some(part) = sheet.part(&load.id) else {
            continue;
        };
        let rect = symbol_rect(theme, sheet, view, part);
        if !whose.in_sight(rect) {
            continue;
        }
        let own = [load.id.as_str(), load.feed.part.as_str()];
        let reads = |spot: Rect| whose.reads_as(&own, spot);
        let word = |limit: usize| {
            let text = shortened(&load.name, limit);
            painter.layout_no_wrap(text, theme.small(), theme.colour.muted)
        };
        let mut shown = usize::MAX;
        let mut placed = false;
        for limit in NAME {
            let galley = word(limit);
            let length = galley.text().chars().count();
            if length == shown {
                continue;
            }
            shown = length;
            let (across, down) = (galley.size().x / 2.0, galley.size().y / 2.0);
            let right = rect.right() + NAME_GAP + across;
            let (above, below) = (rect.top() - down - 5.0, rect.bottom() + down + 5.0);
            let places = [
                pos2(right, rect.center().y),
                pos2(rect.center().x, above),
                pos2(rect.right() - across, above),
                pos2(rect.left() + across, above),
                pos2(rect.left() + across, below),
                pos2(rect.center().x + 12.0 + across, below),
                pos2(rect.center().x - 12.0 - across, below),
                pos2(right, below),
            ]
            .into_iter()
            .filter(|at| reads(Rect::from_center_size(*at, galley.size())));
            if let Some(spot) = taken.first(galley.size(), places) {
                painter.galley(spot.min, galley, Color32::PLACEHOLDER);
                labels.push(Label::new(&load.id, spot));
                placed = true;
                break;
            }
        }
        if !placed {
            let symbol = (rect, &reads as &dyn Fn(Rect) -> bool);
            led_ui(painter, theme, symbol, word(KEPT), &load.id, taken, labels);
        }
    }
}

/// Designation, length and colour letters beside each wire, with a swatch.
pub fn wire_names_ui(sight: &Sight<'_>, taken: &mut Taken, labels: &mut Vec<Label>) {
    let Sight {
        painter,
        theme,
        sheet,
        view,
        whose,
    } = *sight;
    let c = &theme.colour;
    for run in &sheet.harness.runs {
        let (Some((a, b)), Some(wire)) = (run.span(), sheet.circuit.wires.get(run.wire)) else {
            continue;
        };
        let (a, b) = (view.at(a), view.at(b));
        if !whose.shows(pos2(view.rect.center().x, a.y)) {
            continue;
        }
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
                labels.push(Label::new(&run.id, spot));
                break;
            }
        }
    }
}
