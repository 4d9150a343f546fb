//! Where the sheet lies on the screen: metres to points along x, lanes to points along y.

use egui::{Pos2, Rect, pos2};

use crate::drawing::{Harness, Place};

/// Points kept free left of the module's pin, for its box and for the volts of the plot.
pub const LEFT: f32 = 72.0;
/// Points kept free right of the last metre for the box of a load; the far side of its connector comes on top.
const RIGHT: f32 = 66.0;
/// Points kept free above the first lane, for tags and names, and below the last, for those and the metres: where there
/// is room, and at least.
const TOP: (f32, f32) = (52.0, 44.0);
const BOTTOM: (f32, f32) = (52.0, 48.0);
/// Least and greatest distance of two lanes.
const LANE_PITCH: (f32, f32) = (40.0, 104.0);
/// Distance of two lanes down to which they move together where that brings all of them in sight.
const CLOSE_PITCH: f32 = 27.0;
/// Distance down to which many of them move together on a fitted sheet, to be zoomed in on for reading, and between how
/// many that is: a few are rather scrolled.
const LEAST_PITCH: f32 = 12.0;
const MANY: f32 = 8.0;
/// Half the height of a connector's brackets and of a sensor's box, and their shares of the distance of two lanes where
/// that is small.
const BRACKET: (f32, f32) = (17.0, 0.425);
const BOX: (f32, f32) = (14.0, 0.4);
/// Distance of two lanes at which a sheet is easy on the eye.
const EASY_PITCH: f32 = 62.0;
/// Distance of two lanes under which nothing hangs below a symbol.
const ROOMY_PITCH: f32 = 46.0;
/// Room around what is brought in sight, for its tag and its name.
const AROUND: egui::Vec2 = egui::vec2(70.0, 44.0);
/// Points per metre beyond which zooming in ends, and metres on the whole sheet at which zooming out ends.
const CLOSEST: f32 = 4_000.0;
const FARTHEST: f32 = 2.0;

/// What the user chose: fitted, or a piece of the metre axis, and how far the lanes are pushed.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Chosen {
    /// Metre at the left end and points per metre; fitted to the sheet when none.
    pub piece: Option<(f64, f32)>,
    /// Points by which the lanes are pushed down.
    pub push: f32,
}

/// The mapping for one frame.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct View {
    /// The sheet on the screen.
    pub rect: Rect,
    /// Metre at the left end of the sheet.
    pub left: f64,
    /// Points per metre.
    pub scale: f32,
    /// Points between two lanes.
    pub pitch: f32,
    /// Screen y of lane 0.
    pub middle: f32,
    /// What stands right of the last box's usual place.
    pub end: f32,
}

impl View {
    /// The mapping for a sheet, what is on it and what was chosen; `end` is what stands right of the last box's usual
    /// place: the distance of a connector's far point, and the names of sensors.
    pub fn new(rect: Rect, harness: &Harness, chosen: &Chosen, end: f32) -> Self {
        let reach = harness.x_max.max(0.5);
        let fitted = ((rect.width() - LEFT - RIGHT - end).max(40.0)) / reach as f32;
        let (left, scale) = chosen.piece.unwrap_or((-f64::from(LEFT / fitted), fitted));
        let (top, bottom) = harness.lane_range();
        let lanes = (bottom - top) as f32;
        let (above, below) = if lanes * LANE_PITCH.0 + TOP.0 + BOTTOM.0 <= rect.height() {
            (TOP.0, BOTTOM.0)
        } else {
            (TOP.1, BOTTOM.1)
        };
        let room = rect.height() - above - below;
        let even = room / lanes.max(1.0);
        let pitch = if even >= CLOSE_PITCH {
            even.min(LANE_PITCH.1)
        } else if even >= LEAST_PITCH && lanes >= MANY {
            // Zooming in moves the lanes apart as well.
            (even * scale / fitted).clamp(even, LANE_PITCH.0)
        } else {
            LANE_PITCH.0
        };
        let centre = rect.top() + above + room / 2.0;
        let fits = lanes * pitch <= room + 1.0;
        let middle = if fits {
            centre - (top + bottom) as f32 / 2.0 * pitch
        } else {
            // Not all lanes fit: the trunk in the middle, unless one side needs less than half of the room.
            let above = rect.top() + above - top as f32 * pitch;
            let below = rect.bottom() - below - bottom as f32 * pitch;
            if above < centre {
                above
            } else {
                centre.max(below)
            }
        };
        // A sheet that has come to fit, in a larger window or with fewer lanes, stands where all of it is in sight.
        let push = if fits { 0.0 } else { chosen.push };
        let middle = middle + push.clamp(-bottom.max(0) as f32 * pitch, -top.min(0) as f32 * pitch);
        Self {
            rect,
            left,
            scale,
            pitch,
            middle,
            end,
        }
    }

    /// Points of height at which all lanes of a drawing stand easily apart.
    pub fn easy_height(harness: &Harness) -> f32 {
        let (top, bottom) = harness.lane_range();
        TOP.0 + BOTTOM.0 + (bottom - top) as f32 * EASY_PITCH
    }

    /// Points of height at which all lanes of a drawing are in sight, however close.
    pub fn least_height(harness: &Harness) -> f32 {
        let (top, bottom) = harness.lane_range();
        TOP.1 + BOTTOM.1 + (bottom - top) as f32 * LEAST_PITCH
    }

    /// Half the height of the place of a hand that reaches so far: where lanes are close, not over the next one.
    pub fn hand(&self, reach: f32) -> f32 {
        if self.pitch < CLOSE_PITCH {
            reach.min(self.pitch / 2.0)
        } else {
            reach
        }
    }

    /// Half the height of a connector's brackets.
    pub fn bracket(&self) -> f32 {
        BRACKET.0.min(BRACKET.1 * self.pitch)
    }

    /// Half the height of a sensor's box.
    pub fn box_half(&self) -> f32 {
        BOX.0.min(BOX.1 * self.pitch)
    }

    /// Whether lanes are so close that nothing hangs below a symbol.
    pub fn is_tight(&self) -> bool {
        self.pitch < ROOMY_PITCH
    }

    /// Screen x of a metre.
    pub fn x(&self, metre: f64) -> f32 {
        self.rect.left() + ((metre - self.left) * f64::from(self.scale)) as f32
    }

    /// Screen y of a lane.
    pub fn y(&self, lane: i32) -> f32 {
        self.middle + lane as f32 * self.pitch
    }

    /// Screen position of a place.
    pub fn at(&self, place: Place) -> Pos2 {
        pos2(self.x(place.x), self.y(place.lane))
    }

    /// Metre at a screen x.
    pub fn metre(&self, x: f32) -> f64 {
        self.left + f64::from((x - self.rect.left()) / self.scale)
    }

    /// Metres at the left and right ends.
    pub fn ends(&self) -> (f64, f64) {
        (self.left, self.metre(self.rect.right()))
    }

    /// Whether all lanes are in sight.
    pub fn lanes_fit(&self, harness: &Harness) -> bool {
        let (top, bottom) = harness.lane_range();
        (bottom - top) as f32 * self.pitch + TOP.1 + BOTTOM.1 <= self.rect.height() + 1.0
    }

    /// What to choose so that the sheet is `factor` times as large and what is under a place stays there; across the lanes only
    /// where they do not all fit.
    pub fn zoomed(&self, factor: f32, about: Pos2, harness: &Harness) -> Chosen {
        let least = self.rect.width() / 400.0;
        let scale = (self.scale * factor).clamp(least.min(FARTHEST), CLOSEST);
        let under = self.metre(about.x);
        let left = under - f64::from((about.x - self.rect.left()) / scale);
        let unpushed = Chosen {
            piece: Some((left, scale)),
            push: 0.0,
        };
        // Lanes move apart with the zoom.
        let next = Self::new(self.rect, harness, &unpushed, self.end);
        let push = next.pushed(about.y - next.across(self, about.y), harness);
        Chosen { push, ..unpushed }
    }

    /// Screen y of what lay at a y in another view.
    fn across(&self, other: &Self, y: f32) -> f32 {
        self.middle + (y - other.middle) / other.pitch * self.pitch
    }

    /// Points by which the lanes can be pushed down, as near to so many as may be.
    fn pushed(&self, points: f32, harness: &Harness) -> f32 {
        if self.lanes_fit(harness) {
            return 0.0;
        }
        let (top, bottom) = harness.lane_range();
        let (up, down) = (bottom.max(0) as f32, top.min(0) as f32);
        points.clamp(-up * self.pitch, -down * self.pitch)
    }

    /// What to choose so that the sheet moves by so many points.
    pub fn moved(&self, chosen: &Chosen, by: egui::Vec2, harness: &Harness) -> Chosen {
        let push = self.pushed(chosen.push + by.y, harness);
        let piece = if by.x.abs() > 0.0 {
            Some((self.left - f64::from(by.x / self.scale), self.scale))
        } else {
            chosen.piece
        };
        Chosen { piece, push }
    }

    /// What to choose so that all of these places are in sight with what stands around them: as large as it is where that
    /// can be. Where they are too far apart across the lanes, the first of them.
    pub fn showing(&self, chosen: &Chosen, harness: &Harness, places: &[Pos2]) -> Chosen {
        let Some(first) = places.first() else {
            return *chosen;
        };
        let seen = self.rect.shrink2(AROUND.min(self.rect.size() / 3.0));
        let mut all = Rect::from_points(places);
        let mut first = first.y;
        let factor = (seen.width() / all.width().max(1.0)).min(1.0);
        let (mut view, mut chosen) = (*self, *chosen);
        if factor < 1.0 {
            chosen = self.zoomed(factor, all.center(), harness);
            view = Self::new(self.rect, harness, &chosen, self.end);
            let there = |at: Pos2| pos2(view.x(self.metre(at.x)), view.across(self, at.y));
            all = Rect::from_two_pos(there(all.min), there(all.max));
            first = view.across(self, first);
        }
        if all.height() > seen.height() {
            (all.min.y, all.max.y) = (first, first);
        }
        let into = |low: f32, high: f32, range: egui::Rangef| {
            (range.min - low).max(0.0) + (range.max - high).min(0.0)
        };
        let by = egui::vec2(
            into(all.left(), all.right(), seen.x_range()),
            into(all.top(), all.bottom(), seen.y_range()),
        );
        if by == egui::Vec2::ZERO {
            return chosen;
        }
        view.moved(&chosen, by, harness)
    }

    /// Distance of the marks on the metre axis, so that they stand at least `least` points apart.
    pub fn step(&self, least: f32) -> f64 {
        let metres = f64::from(least / self.scale).max(1e-6);
        let decade = 10f64.powf(metres.log10().floor());
        [1.0, 2.0, 5.0, 10.0]
            .into_iter()
            .map(|m| m * decade)
            .find(|step| *step >= metres)
            .unwrap_or(10.0 * decade)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const FACE: f32 = 22.0;

    fn sheet() -> (Rect, Harness) {
        let rect = Rect::from_min_max(pos2(10.0, 20.0), pos2(910.0, 320.0));
        let harness = Harness {
            x_max: 7.5,
            ..Harness::default()
        };
        (rect, harness)
    }

    #[test]
    fn a_fitted_sheet_shows_everything_between_its_margins() {
        let (rect, harness) = sheet();
        let view = View::new(rect, &harness, &Chosen::default(), FACE);
        assert!((view.x(0.0) - (rect.left() + LEFT)).abs() < 1e-3);
        assert!((view.x(7.5) - (rect.right() - RIGHT - FACE)).abs() < 1e-3);
    }

    #[test]
    fn zooming_keeps_the_metre_under_the_pointer() {
        let (rect, harness) = sheet();
        let chosen = Chosen::default();
        let view = View::new(rect, &harness, &chosen, FACE);
        let under = view.metre(400.0);
        let closer = View::new(
            rect,
            &harness,
            &view.zoomed(3.0, pos2(400.0, 0.0), &harness),
            FACE,
        );
        assert!((closer.metre(400.0) - under).abs() < 1e-6);
        assert!((closer.scale / view.scale - 3.0).abs() < 1e-4);
    }

    #[test]
    fn moving_carries_the_sheet_along() {
        let (rect, harness) = sheet();
        let chosen = Chosen::default();
        let view = View::new(rect, &harness, &chosen, FACE);
        let moved = View::new(
            rect,
            &harness,
            &view.moved(&chosen, egui::vec2(30.0, 0.0), &harness),
            FACE,
        );
        assert!((moved.x(2.0) - view.x(2.0) - 30.0).abs() < 1e-3);
    }

    #[test]
    fn what_is_shown_comes_in_sight_as_large_as_it_was_where_that_can_be() {
        let (rect, harness) = sheet();
        let close = Chosen {
            piece: Some((0.0, 400.0)),
            push: 0.0,
        };
        let view = View::new(rect, &harness, &close, FACE);
        let at = |metre: f64| pos2(view.x(metre), view.y(0));
        let shown = |places: &[Pos2]| {
            let chosen = view.showing(&close, &harness, places);
            (View::new(rect, &harness, &chosen, FACE), chosen)
        };
        assert_eq!(shown(&[at(1.0), at(1.5)]).1, close, "it is in sight");
        assert_eq!(shown(&[]).1, close);
        let (moved, _) = shown(&[at(6.0), at(7.0)]);
        assert!((moved.scale - 400.0).abs() < 1e-3, "as large as it was");
        for metre in [6.0, 7.0] {
            assert!(rect.shrink(60.0).x_range().contains(moved.x(metre)));
        }
        let (wide, _) = shown(&[at(0.5), at(7.0)]);
        assert!(wide.scale < 400.0);
        for metre in [0.5, 7.0] {
            assert!(rect.shrink(60.0).x_range().contains(wide.x(metre)));
        }
    }

    #[test]
    fn a_sheet_that_fits_again_is_not_pushed_out_of_sight() {
        use crate::drawing::{Group, Lane};
        let (rect, mut harness) = sheet();
        let pushed = Chosen {
            push: -180.0,
            ..Chosen::default()
        };
        let lane = |lane: i32| Lane {
            lane,
            group: Group::Feed,
            span: (0.0, 1.0),
        };
        harness.lanes = (-9..=9).map(lane).collect();
        let usual = View::new(rect, &harness, &Chosen::default(), FACE);
        let crowded = View::new(rect, &harness, &pushed, FACE);
        assert!((usual.middle - crowded.middle - 180.0).abs() < 1e-3);
        assert!(crowded.is_tight());
        harness.lanes = (-3..=4).map(lane).collect();
        let close = View::new(rect, &harness, &pushed, FACE);
        assert!(close.lanes_fit(&harness), "moved together: {}", close.pitch);
        assert!(close.bracket() < close.pitch / 2.0 && close.bracket() < BRACKET.0);
        assert!(close.y(-3) - rect.top() > 30.0 && rect.bottom() - close.y(4) > 46.0);
        harness.lanes = (-6..=7).map(lane).collect();
        let whole = View::new(rect, &harness, &Chosen::default(), FACE);
        assert!(whole.y(-6) - rect.top() > 40.0 && rect.bottom() - whole.y(7) > 40.0);
        // What is under the pointer stays there, on an outer lane too, and comes back on the way out.
        for lane in [-6, 2, 7] {
            let about = pos2(400.0, whole.y(lane));
            let near = whole.zoomed(2.0, about, &harness);
            let closer = View::new(rect, &harness, &near, FACE);
            assert!(closer.pitch > 1.9 * whole.pitch, "lanes move apart, too");
            assert!((closer.y(lane) - about.y).abs() < 0.1, "{lane}: {closer:?}");
            let far = closer.zoomed(0.5, about, &harness);
            assert_eq!(far.push, 0.0, "all fit again");
            let wide = [pos2(-400.0, closer.y(lane)), pos2(1_400.0, closer.y(lane))];
            let shown = closer.showing(&near, &harness, &wide);
            let shown = View::new(rect, &harness, &shown, FACE);
            assert!(shown.scale < closer.scale && rect.y_range().contains(shown.y(lane)));
        }
        harness.lanes = (-1..=1).map(lane).collect();
        let calm = View::new(rect, &harness, &pushed, FACE);
        assert!(rect.contains(pos2(rect.center().x, calm.y(-1))));
        assert!(rect.contains(pos2(rect.center().x, calm.y(1))));
    }

    #[test]
    fn marks_are_one_two_or_five_apart() {
        let (rect, harness) = sheet();
        let view = View::new(rect, &harness, &Chosen::default(), FACE);
        assert!((view.step(60.0) - 1.0).abs() < 1e-12);
        assert!((view.step(130.0) - 2.0).abs() < 1e-12);
    }
}
