//! Marks on the plot: readings with the meter's band, and where the fall ends.

use egui::{Pos2, Rect, Stroke, Ui, pos2, vec2};

use super::{super::place::Taken, VoltScale};
use crate::{
    drawing::profile::{Level, Marker, Profile, Taken as When},
    ui::theme::{STRONG, Theme},
};

/// Readings with the meter's band: ringed in ink when taken as things stand, faint otherwise.
pub fn markers_ui(
    ui: &Ui,
    theme: &Theme,
    profile: &Profile,
    scale: &VoltScale<'_>,
    taken: &mut Taken,
) {
    let c = &theme.colour;
    let rect = scale.rect;
    let painter = ui.painter_at(rect.expand(6.0));
    let shown = |marker: &&Marker| !marker.set_aside && marker.taken != When::BeforeRepair;
    for marker in profile.markers.iter().filter(shown) {
        let Level {
            x,
            volts,
            low,
            high,
        } = marker.level;
        let at = scale.at(x, volts);
        if !rect.expand(4.0).contains(at) {
            continue;
        }
        let (ink, ground) = match marker.taken {
            When::Now => (c.ink, c.sheet),
            When::OtherState | When::BeforeRepair => (c.bar, c.sheet),
        };
        let stroke = Stroke::new(STRONG, ink);
        painter.line_segment([scale.at(x, low), scale.at(x, high)], stroke);
        painter.circle(at, 5.0, ground, stroke);
        taken.take(Rect::from_center_size(at, vec2(14.0, 14.0)));
        let text = format!("{}", marker.entry + 1);
        let galley = painter.layout_no_wrap(text, theme.small(), c.muted);
        let places = [
            vec2(11.0, -8.0),
            vec2(-11.0, 8.0),
            vec2(11.0, 8.0),
            vec2(-11.0, -8.0),
        ];
        if let Some(spot) = taken.first(galley.size(), places.map(|by| at + by)) {
            painter.galley(spot.min, galley, c.muted);
        }
    }
}

/// Where the fall of the voltage ends.
pub fn fall_ui(
    ui: &Ui,
    theme: &Theme,
    profile: &Profile,
    scale: &VoltScale<'_>,
    taken: &mut Taken,
) {
    let c = &theme.colour;
    // Behind something unplugged nothing falls.
    let Some(end) = profile.fall_ends.filter(|end| end.volts.abs() > 1e-3) else {
        return;
    };
    let rect = scale.rect;
    let at = scale.at(end.x, end.volts);
    if !rect.contains(at) {
        return;
    }
    let painter = ui.painter_at(rect);
    painter.vline(at.x, rect.top()..=at.y, Stroke::new(1.5, c.suspect));
    painter.circle_filled(at, 4.0, c.suspect);
    let text = format!("the fall ends here: {:.1} m", end.x);
    let galley = painter.layout_no_wrap(text, theme.small_strong(), c.suspect_text);
    let size = galley.size();
    let aside = size.x / 2.0 + 8.0;
    for lead in &profile.lines {
        for pair in lead.suspected.windows(2) {
            let (a, b) = (&pair[0], &pair[1]);
            line_room(scale.at(a.x, a.volts), scale.at(b.x, b.volts), taken);
        }
    }
    let places = (0..8).flat_map(|down| {
        let y = rect.top() + size.y / 2.0 + 3.0 + down as f32 * 10.0;
        [pos2(at.x + aside, y), pos2(at.x - aside, y)]
    });
    if let Some(spot) = taken.first(size, places) {
        painter.galley(spot.min, galley, c.suspect_text);
    }
}

/// Takes the room along a line, piece by piece.
fn line_room(a: Pos2, b: Pos2, taken: &mut Taken) {
    let pieces = ((b.x - a.x).abs() / 16.0).ceil().clamp(1.0, 200.0);
    for piece in 0..pieces as usize {
        let from = a.lerp(b, piece as f32 / pieces);
        let to = a.lerp(b, (piece + 1) as f32 / pieces);
        taken.take(Rect::from_two_pos(from, to).expand(2.0));
    }
}
