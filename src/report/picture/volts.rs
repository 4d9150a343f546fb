//! The voltage along the feed under the harness, on the same metres.

use super::{
    Anchor, Ink, Pen, Picture, Shape,
    harness::{LEFT, RIGHT, SMALL, Scale, is_now},
    marks::Taken,
};
use crate::{
    drawing::{
        axis::{Axis, Side, axis_volts, healthy},
        profile::{Level, Profile},
    },
    quantity::{
        Unit,
        format::{interval, si},
    },
    report::face::width,
};

/// Height of the plot, the gap above it and the room for the legend under it.
pub(super) const HEIGHT: f32 = 132.0;
pub(super) const GAP: f32 = 16.0;
const LEGEND: f32 = 24.0;
/// Height of the strip that stands for a healthy band far off.
const STRIP: f32 = 15.0;

/// Adds the plot under what is drawn; nothing where there are no volts to show.
pub(super) fn volts(picture: &mut Picture, scale: &Scale, profile: &Profile, longest: f64) {
    let Some(axis) = Axis::new(profile) else {
        return;
    };
    let top = picture.height + GAP;
    let mut plot = Plot {
        scale,
        axis,
        top: top
            + if axis.strip == Some(Side::Above) {
                STRIP
            } else {
                0.0
            },
        bottom: top + HEIGHT
            - if axis.strip == Some(Side::Below) {
                STRIP
            } else {
                0.0
            },
        right: scale.x(longest),
    };
    picture.height = top + HEIGHT + LEGEND;
    plot.frame(picture);
    plot.strip(picture, profile, top);
    for line in &profile.lines {
        plot.band(picture, &line.healthy);
    }
    for line in &profile.lines {
        let pen = Pen::full(Ink::Healthy, if line.trunk { 1.2 } else { 0.7 });
        plot.trace(picture, &line.healthy, pen);
        let pen = Pen::dashed(Ink::Suspect, if line.trunk { 1.6 } else { 0.8 }, 4.0, 2.0);
        plot.trace(picture, &line.suspected, pen);
    }
    plot.marks(picture, profile);
    plot.fall(picture, profile);
    plot.legend(picture, profile);
}

struct Plot<'a> {
    scale: &'a Scale,
    axis: Axis,
    top: f32,
    bottom: f32,
    right: f32,
}

impl Plot<'_> {
    fn y(&self, volts: f64) -> f32 {
        let share = (volts - self.axis.low) / (self.axis.high - self.axis.low).max(1e-12);
        self.bottom - (share as f32).clamp(-0.2, 1.2) * (self.bottom - self.top)
    }

    fn inside(&self, volts: f64) -> bool {
        (self.axis.low..=self.axis.high).contains(&volts)
    }

    fn clamped(&self, volts: f64) -> f32 {
        self.y(volts).clamp(self.top, self.bottom)
    }

    fn frame(&mut self, picture: &mut Picture) {
        for volts in self.axis.marks(self.bottom - self.top) {
            let y = self.y(volts);
            picture.line([(LEFT, y), (self.right, y)], Pen::full(Ink::Grid, 0.5));
            let text = axis_volts(volts, &self.axis);
            picture.words((LEFT - 4.0, y + 2.2), Anchor::End, SMALL, Ink::Muted, text);
        }
        picture.line(
            [
                (LEFT, self.top),
                (LEFT, self.bottom),
                (self.right, self.bottom),
            ],
            Pen::full(Ink::Ink, 0.8),
        );
    }

    /// A healthy band far above or below what was read.
    fn strip(&self, picture: &mut Picture, profile: &Profile, top: f32) {
        let (Some(side), Some((low, high))) = (self.axis.strip, healthy(profile)) else {
            return;
        };
        let y = match side {
            Side::Above => top,
            Side::Below => self.bottom,
        };
        picture.rect(
            (LEFT, y),
            (self.right, y + STRIP - 3.0),
            Ink::HealthyWash,
            None,
        );
        let text = format!(
            "should read {} (axis broken)",
            interval(low, high, Unit::Volts)
        );
        picture.bold(
            (LEFT + 4.0, y + STRIP - 6.0),
            Anchor::Start,
            SMALL,
            Ink::Healthy,
            text,
        );
    }

    fn band(&self, picture: &mut Picture, levels: &[Level]) {
        if self.axis.strip.is_some() || levels.len() < 2 {
            return;
        }
        let upper = levels
            .iter()
            .map(|l| (self.scale.x(l.x), self.clamped(l.high)));
        let lower = levels
            .iter()
            .rev()
            .map(|l| (self.scale.x(l.x), self.clamped(l.low)));
        let corners = upper.chain(lower).collect();
        picture
            .shapes
            .push(Shape::Area(corners, Ink::HealthyWash, None));
    }

    fn trace(&self, picture: &mut Picture, levels: &[Level], pen: Pen) {
        for pair in levels.windows(2) {
            if self.inside(pair[0].volts) && self.inside(pair[1].volts) {
                let at = |level: &Level| (self.scale.x(level.x), self.y(level.volts));
                picture.line([at(&pair[0]), at(&pair[1])], pen);
            }
        }
    }

    /// Readings with the meter's band; hollow where they were taken in another state.
    fn marks(&self, picture: &mut Picture, profile: &Profile) {
        // Where many lie close, a number that finds no place is left out; all of them stand in the log.
        let mut numbers = Taken::none(self.scale.width, f32::INFINITY);
        for marker in profile.markers.iter().filter(|m| !m.set_aside) {
            if !self.inside(marker.level.volts) {
                continue;
            }
            let (x, y) = (self.scale.x(marker.at.x), self.y(marker.level.volts));
            let bar = Pen::full(Ink::Ink, 0.8);
            let (low, high) = (
                self.clamped(marker.level.low),
                self.clamped(marker.level.high),
            );
            picture.line([(x, low), (x, high)], bar);
            for end in [low, high] {
                picture.line([(x - 2.2, end), (x + 2.2, end)], bar);
            }
            let fill = if is_now(marker.taken) {
                Ink::Ink
            } else {
                Ink::Paper
            };
            picture
                .shapes
                .push(Shape::Disc((x, y), 2.5, fill, Some(bar)));
            let number = (marker.entry + 1).to_string();
            let places = [(4.0, -2.5), (4.0, 8.0), (-4.0, -2.5), (-4.0, 8.0)];
            let free = places.into_iter().find_map(|(right, down)| {
                let anchor = if right > 0.0 {
                    Anchor::Start
                } else {
                    Anchor::End
                };
                let at = (x + right, y + down);
                numbers
                    .take(at, &number, SMALL, anchor)
                    .then_some((at, anchor))
            });
            if let Some((at, anchor)) = free {
                picture.words(at, anchor, SMALL, Ink::Muted, number);
            }
        }
    }

    fn fall(&self, picture: &mut Picture, profile: &Profile) {
        let Some(end) = profile.fall_ends.filter(|end| self.inside(end.volts)) else {
            return;
        };
        let x = self.scale.x(end.x);
        picture.line(
            [(x, self.top), (x, self.bottom)],
            Pen::dashed(Ink::Suspect, 0.8, 1.5, 2.0),
        );
        let text = format!("the fall ends at {}", si(end.x, Unit::Metres));
        let (anchor, x) = if x + 80.0 > self.right + RIGHT {
            (Anchor::End, x - 3.0)
        } else {
            (Anchor::Start, x + 3.0)
        };
        picture.bold((x, self.top + 7.0), anchor, SMALL, Ink::Suspect, text);
    }

    fn legend(&self, picture: &mut Picture, profile: &Profile) {
        let y = self.bottom
            + 11.0
            + if self.axis.strip == Some(Side::Below) {
                STRIP
            } else {
                0.0
            };
        let mut x = LEFT;
        let mut entry = |picture: &mut Picture, pen: Option<Pen>, fill: Ink, text: &str| {
            match pen {
                Some(pen) => picture.line([(x, y - 2.0), (x + 14.0, y - 2.0)], pen),
                None => {
                    let edge = Some(Pen::full(Ink::Ink, 0.8));
                    picture
                        .shapes
                        .push(Shape::Disc((x + 7.0, y - 2.0), 2.5, fill, edge));
                }
            }
            picture.words((x + 18.0, y), Anchor::Start, SMALL, Ink::Muted, text);
            x += 26.0 + width(text, SMALL, false);
        };
        entry(picture, None, Ink::Ink, "read, with the log line");
        if profile
            .markers
            .iter()
            .any(|m| !is_now(m.taken) && self.inside(m.level.volts))
        {
            entry(picture, None, Ink::Paper, "read in another state");
        }
        if self.axis.strip.is_none() {
            let pen = Pen::full(Ink::Healthy, 1.2);
            entry(picture, Some(pen), Ink::Ink, "nothing wrong");
        }
        if profile.lines.iter().any(|line| !line.suspected.is_empty()) {
            let pen = Pen::dashed(Ink::Suspect, 1.6, 4.0, 2.0);
            entry(picture, Some(pen), Ink::Ink, "under the top suspect");
        }
    }
}
