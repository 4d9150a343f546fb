//! Words beside the parts and wires of the harness, each where room is free.

use egui::{Color32, Painter, Pos2, Rect, Vec2, pos2, vec2};

use super::{place::Taken, sheet::Sheet, spot::symbol_rect, view::View};
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
const NAME: [usize; 3] = [40, 26, 16];

/// Designations of parts, close to what they name.
pub fn names_ui(
    painter: &Painter,
    theme: &Theme,
    sheet: &Sheet<'_>,
    view: &View,
    taken: &mut Taken,
    labels: &mut Vec<Label>,
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
            PartKind::Load | PartKind::Supply | PartKind::Rail => continue,
        };
        let galley = painter.layout_no_wrap(shortened(&text, 24), theme.mark(), colour);
        let places = around(rect, galley.size());
        if let Some(spot) = taken.first(galley.size(), places) {
            painter.galley(spot.min, galley, Color32::PLACEHOLDER);
            labels.push(Label::new(&part.id, spot));
        }
    }
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

/// The names that people use for sensors, where room is left.
pub fn load_names_ui(
    painter: &Painter,
    theme: &Theme,
    sheet: &Sheet<'_>,
    view: &View,
    taken: &mut Taken,
    labels: &mut Vec<Label>,
) {
    for load in sheet
        .circuit
        .loads
        .iter()
        .filter(|load| !load.name.is_empty())
    {
        let Some(part) = sheet.part(&load.id) else {
            continue;
        };
        let rect = symbol_rect(theme, sheet, view, part);
        if !view.rect.intersects(rect) {
            continue;
        }
        let mut shown = usize::MAX;
        for limit in NAME {
            let text = shortened(&load.name, limit);
            let length = text.chars().count();
            if length == shown {
                continue;
            }
            shown = length;
            let galley = painter.layout_no_wrap(text, theme.small(), theme.colour.muted);
            let (across, down) = (galley.size().x / 2.0, galley.size().y / 2.0);
            let right = rect.right() + 6.0 + across;
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
            ];
            if let Some(spot) = taken.first(galley.size(), places) {
                painter.galley(spot.min, galley, Color32::PLACEHOLDER);
                labels.push(Label::new(&load.id, spot));
                break;
            }
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
    labels: &mut Vec<Label>,
) {
    let c = &theme.colour;
    for run in &sheet.harness.runs {
        let (Some((a, b)), Some(wire)) = (run.span(), sheet.circuit.wires.get(run.wire)) else {
            continue;
        };
        let (a, b) = (view.at(a), view.at(b));
        if !view.rect.y_range().contains(a.y) {
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
