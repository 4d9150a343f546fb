//! Tags at points: what it reads and what it should read.

use egui::{Color32, CornerRadius, Painter, Pos2, Stroke, StrokeKind, pos2, vec2};

use super::{place::Taken, sheet::Sheet, spot::point_at, view::View};
use crate::{app::view::Tag, ui::theme::Theme};

/// Draws the tags of all points that were read as things stand, and of the chosen point.
pub fn tags_ui(
    painter: &Painter,
    theme: &Theme,
    sheet: &Sheet<'_>,
    view: &View,
    taken: &mut Taken,
) {
    for tag in sheet.tags {
        let at = point_at(theme, sheet, view, &tag.point);
        if let Some(at) = at.filter(|at| view.rect.contains(*at)) {
            tag_ui(painter, theme, at, tag, sheet.amiss(&tag.point), taken);
        }
    }
}

fn tag_ui(painter: &Painter, theme: &Theme, at: Pos2, tag: &Tag, amiss: bool, taken: &mut Taken) {
    let c = &theme.colour;
    let first = tag.reads.as_ref().map(|text| format!("reads {text}"));
    let second = tag
        .should_read
        .as_ref()
        .map(|text| format!("should {text}"));
    let ink = if amiss { c.suspect_text } else { c.ink };
    let lines: Vec<_> = first
        .map(|text| painter.layout_no_wrap(text, theme.small_strong(), ink))
        .into_iter()
        .chain(second.map(|text| painter.layout_no_wrap(text, theme.small(), c.muted)))
        .collect();
    if lines.is_empty() {
        return;
    }
    let width = lines.iter().map(|line| line.size().x).fold(0.0, f32::max) + 14.0;
    let height = lines.iter().map(|line| line.size().y).sum::<f32>() + 8.0;
    let size = vec2(width, height);
    let Some(rect) = taken.first(size, Taken::around(at, size, 26.0)) else {
        return;
    };
    let end = pos2(
        at.x.clamp(rect.left() + 6.0, rect.right() - 6.0),
        if rect.center().y < at.y {
            rect.bottom()
        } else {
            rect.top()
        },
    );
    painter.line_segment([at, end], Stroke::new(1.0, c.muted));
    let edge = if amiss { c.suspect } else { c.ink };
    painter.rect(
        rect,
        CornerRadius::same(3),
        c.sheet,
        Stroke::new(if amiss { 2.0 } else { 1.2 }, edge),
        StrokeKind::Inside,
    );
    let mut y = rect.top() + 4.0;
    for line in lines {
        let x = rect.center().x - line.size().x / 2.0;
        let step = line.size().y;
        painter.galley(pos2(x, y), line, Color32::PLACEHOLDER);
        y += step;
    }
}
