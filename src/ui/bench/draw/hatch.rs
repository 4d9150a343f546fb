//! Hatching: diagonal strokes inside a rectangle, so that suspicion reads without colour.

use egui::{Color32, CornerRadius, Painter, Pos2, Rect, Shape, Stroke, pos2};

use crate::ui::theme::HATCH;

/// Fills a rectangle with a wash and hatches it. The strokes of neighbouring rectangles meet, since they hang on one
/// screen-wide grid.
pub fn hatch_ui(painter: &Painter, rect: Rect, wash: Color32, ink: Color32) {
    if rect.width() <= 0.0 || rect.height() <= 0.0 {
        return;
    }
    painter.rect_filled(rect, CornerRadius::ZERO, wash);
    let stroke = Stroke::new(1.4, ink);
    painter.extend(strokes(rect).map(|(a, b)| Shape::line_segment([a, b], stroke)));
}

/// The pieces of the lines x + y = k·spacing that lie inside a rectangle.
fn strokes(rect: Rect) -> impl Iterator<Item = (Pos2, Pos2)> {
    let spacing = HATCH * std::f32::consts::SQRT_2;
    let first = ((rect.left() + rect.top()) / spacing).ceil() as i64;
    let last = ((rect.right() + rect.bottom()) / spacing).floor() as i64;
    // A sheet is a few thousand points wide; anything beyond is far off screen.
    (first..=last).take(4_000).map(move |k| {
        let sum = k as f32 * spacing;
        let low_x = (sum - rect.bottom()).max(rect.left());
        let high_x = (sum - rect.top()).min(rect.right());
        (pos2(low_x, sum - low_x), pos2(high_x, sum - high_x))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn strokes_stay_inside_and_cover_the_rectangle() {
        let rect = Rect::from_min_max(pos2(13.0, 7.0), pos2(61.0, 30.0));
        let all: Vec<_> = strokes(rect).collect();
        let grown = rect.expand(0.01);
        assert!(
            all.iter()
                .all(|(a, b)| grown.contains(*a) && grown.contains(*b))
        );
        // Lines cross the sum x + y from 20 to 91: one for each multiple of the spacing in between.
        let spacing = HATCH * std::f32::consts::SQRT_2;
        assert_eq!(
            all.len() as i64,
            (91.0 / spacing) as i64 - (20.0 / spacing) as i64
        );
    }
}
