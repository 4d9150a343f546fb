//! The ground of the sheet: metres, lanes, and how much of them is in sight.

use egui::{Align2, CornerRadius, Painter, Rangef, Rect, Stroke, pos2};

use super::{place::Taken, sheet::Sheet, view::View};
use crate::{
    drawing::{Group, PartKind},
    ui::theme::{LINE, Theme},
};

/// Height of the foot on which the metres stand.
pub const FOOT: f32 = 22.0;

/// The metres in sight, at round steps, and how many decimals they need.
fn metres(view: &View) -> (Vec<f64>, usize) {
    let step = view.step(74.0);
    let (left, right) = view.ends();
    let first = (left / step).ceil().max(0.0) as i64;
    let marks = (first..).take(400).map(|k| k as f64 * step);
    let decimals = if step >= 1.0 {
        0
    } else {
        (-step.log10()).ceil() as usize
    };
    (
        marks.take_while(|metre| *metre <= right).collect(),
        decimals,
    )
}

/// Upright hairlines at the metres; the plots below continue those of the drawing.
pub fn metres_ui(painter: &Painter, theme: &Theme, view: &View, high: Rangef) {
    let stroke = Stroke::new(LINE, theme.colour.grid);
    for metre in metres(view).0 {
        painter.vline(view.x(metre), high, stroke);
    }
}

/// The metres named at the foot, over whatever runs on below it.
pub fn foot_ui(painter: &Painter, theme: &Theme, view: &View) {
    let c = &theme.colour;
    let foot = Rect::from_min_max(
        pos2(view.rect.left(), view.rect.bottom() - FOOT),
        view.rect.max,
    );
    painter.rect_filled(foot, CornerRadius::ZERO, c.sheet);
    let (marks, decimals) = metres(view);
    for metre in marks {
        let x = view.x(metre);
        if x < view.rect.right() - 20.0 {
            painter.text(
                pos2(x, foot.center().y),
                Align2::CENTER_CENTER,
                format!("{metre:.decimals$} m"),
                theme.label(),
                c.muted,
            );
        }
    }
}

/// How much of the lanes is in sight, where not all are.
pub fn lane_bar_ui(painter: &Painter, theme: &Theme, sheet: &Sheet<'_>, view: &View) {
    if view.lanes_fit(sheet.harness) {
        return;
    }
    let c = &theme.colour;
    let (top, bottom) = sheet.harness.lane_range();
    let all = (view.y(top) - view.pitch, view.y(bottom) + view.pitch);
    let share = |y: f32| ((y - all.0) / (all.1 - all.0)).clamp(0.0, 1.0);
    let track = Rect::from_min_max(
        pos2(view.rect.right() - 8.0, view.rect.top() + 4.0),
        pos2(view.rect.right() - 3.0, view.rect.bottom() - FOOT - 4.0),
    );
    let at = |part: f32| track.top() + part * track.height();
    let handle = Rect::from_min_max(
        pos2(track.left(), at(share(view.rect.top()))),
        pos2(track.right(), at(share(view.rect.bottom()))),
    );
    painter.rect_filled(track, CornerRadius::same(2), c.trough);
    painter.rect_filled(handle, CornerRadius::same(2), c.bar);
}

/// Names what the lanes below the feed carry.
pub fn lanes_ui(
    painter: &Painter,
    theme: &Theme,
    sheet: &Sheet<'_>,
    view: &View,
    taken: &mut Taken,
) {
    let c = &theme.colour;
    let mut named = Group::Feed;
    for lane in &sheet.harness.lanes {
        if lane.group == named {
            continue;
        }
        named = lane.group;
        let text = match lane.group {
            Group::Feed => continue,
            Group::Return => "return",
            Group::Stray if only_rails(sheet, lane.lane) => "other rails",
            Group::Stray => "joined to nothing yet",
        };
        let y = view.y(lane.lane) - view.pitch / 2.0;
        painter.line_segment(
            [pos2(view.rect.left(), y), pos2(view.rect.right(), y)],
            Stroke::new(LINE, c.grid),
        );
        let word = painter.text(
            pos2(view.rect.right() - 10.0, y + 4.0),
            Align2::RIGHT_TOP,
            text,
            theme.small(),
            c.muted,
        );
        taken.take(word);
    }
}

fn only_rails(sheet: &Sheet<'_>, lane: i32) -> bool {
    let mut here = sheet
        .harness
        .parts
        .iter()
        .filter(|part| part.at.lane == lane)
        .peekable();
    here.peek().is_some() && here.all(|part| part.kind == PartKind::Rail)
}
