//! A picture that is higher than a page, cut where nothing but long lines runs across.

use crate::report::picture::{Picture, Shape};

/// Height at the top of a picture in which the words are repeated on each piece: the metres.
const HEAD: f32 = 18.0;
/// Lines that reach further down than this may be cut; everything shorter belongs to a symbol.
const LONG: f32 = 26.0;
/// Distance of the places at which a cut is tried.
const STEP: f32 = 1.0;

/// Cuts a picture into pieces no higher than `most`, each with its height. A piece ends where no word, area or symbol is cut
/// through; where there is no such place, it ends at `most` all the same.
pub fn cut(picture: &Picture, most: f32) -> Vec<(Vec<Shape>, f32)> {
    let head: Vec<&Shape> = picture
        .shapes
        .iter()
        .filter(|shape| matches!(shape, Shape::Words { at, .. } if at.1 < HEAD))
        .collect();
    let mut pieces = Vec::new();
    let mut top = 0.0;
    while picture.height - top > most {
        let lowest = top + most / 2.0;
        let mut bottom = top + most - HEAD;
        while bottom > lowest && picture.shapes.iter().any(|shape| bars(shape, bottom)) {
            bottom -= STEP;
        }
        if bottom <= lowest {
            bottom = top + most - HEAD;
        }
        if (top + 1.0..bottom).contains(&picture.whole_from) {
            bottom = picture.whole_from;
        }
        pieces.push(piece(picture, &head, top, bottom));
        top = bottom;
    }
    pieces.push(piece(picture, &head, top, picture.height));
    pieces
}

/// Upper and lower end.
fn reach(shape: &Shape) -> (f32, f32) {
    let ends = |points: &[(f32, f32)]| {
        points
            .iter()
            .fold((f32::INFINITY, f32::NEG_INFINITY), |(low, high), at| {
                (low.min(at.1), high.max(at.1))
            })
    };
    match shape {
        Shape::Line(points, _) | Shape::Area(points, ..) => ends(points),
        Shape::Disc(at, radius, ..) => (at.1 - radius, at.1 + radius),
        Shape::Words { at, size, .. } => (at.1 - size, at.1 + 0.3 * size),
    }
}

/// Whether a shape must not be cut at this height.
fn bars(shape: &Shape, y: f32) -> bool {
    let (low, high) = reach(shape);
    let across = low - 1.0 < y && y < high + 1.0;
    across && !(matches!(shape, Shape::Line(..)) && high - low > LONG)
}

/// What lies between two heights, moved up to the top; the head is repeated over it.
fn piece(picture: &Picture, head: &[&Shape], top: f32, bottom: f32) -> (Vec<Shape>, f32) {
    let first = top <= 0.0;
    let down = if first { 0.0 } else { HEAD - top };
    let moved = |at: &(f32, f32)| (at.0, at.1 + down);
    let mut shapes = Vec::new();
    if !first {
        shapes.extend(head.iter().copied().cloned());
    }
    for shape in &picture.shapes {
        let (low, high) = reach(shape);
        if high <= top || low >= bottom {
            continue;
        }
        match shape {
            Shape::Line(points, pen) => {
                for pair in points.windows(2) {
                    if let Some((a, b)) = between(pair[0], pair[1], top, bottom) {
                        shapes.push(Shape::Line(vec![moved(&a), moved(&b)], *pen));
                    }
                }
            }
            Shape::Area(points, ink, pen) => {
                shapes.push(Shape::Area(points.iter().map(moved).collect(), *ink, *pen));
            }
            Shape::Disc(at, radius, ink, pen) => {
                shapes.push(Shape::Disc(moved(at), *radius, *ink, *pen));
            }
            Shape::Words {
                at,
                anchor,
                size,
                bold,
                ink,
                text,
            } => shapes.push(Shape::Words {
                at: moved(at),
                anchor: *anchor,
                size: *size,
                bold: *bold,
                ink: *ink,
                text: text.clone(),
            }),
        }
    }
    (shapes, bottom + down)
}

/// The part of a stroke between two heights.
fn between(
    a: (f32, f32),
    b: (f32, f32),
    top: f32,
    bottom: f32,
) -> Option<((f32, f32), (f32, f32))> {
    if a.1.max(b.1) < top || a.1.min(b.1) > bottom {
        return None;
    }
    let at = |y: f32| {
        let share = (y - a.1) / (b.1 - a.1);
        (a.0 + share * (b.0 - a.0), y)
    };
    let inside = |end: (f32, f32)| match end.1 {
        y if y < top => at(top),
        y if y > bottom => at(bottom),
        _ => end,
    };
    Some((inside(a), inside(b)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::picture::{Anchor, Ink, Pen};

    #[test]
    fn what_belongs_together_is_not_cut() {
        let mut picture = Picture {
            width: 400.0,
            height: 1450.0,
            whole_from: 1300.0,
            ..Picture::default()
        };
        for row in 0..142 {
            let at = (20.0, 30.0 + 10.0 * row as f32);
            picture.words(at, Anchor::Start, 6.0, Ink::Ink, format!("row {row}"));
        }
        let pieces = cut(&picture, 700.0);
        let heights: Vec<f32> = pieces.iter().map(|piece| piece.1).collect();
        assert_eq!(heights.len(), 3, "{heights:?}");
        assert_eq!(heights[2], 150.0 + HEAD, "{heights:?}");
    }

    /// Every word stands on one piece, whole; a line from top to bottom is on all of them.
    #[test]
    fn a_high_picture_is_cut_between_its_words() {
        let mut picture = Picture {
            width: 400.0,
            height: 2000.0,
            ..Picture::default()
        };
        picture.line([(10.0, 20.0), (10.0, 1990.0)], Pen::full(Ink::Ink, 1.0));
        for row in 0..190 {
            let at = (20.0, 30.0 + 10.4 * row as f32);
            picture.words(at, Anchor::Start, 6.0, Ink::Ink, format!("row {row}"));
        }
        picture.words((50.0, 12.0), Anchor::Middle, 6.0, Ink::Ink, "1 m");
        let pieces = cut(&picture, 600.0);
        assert_eq!(pieces.len(), 4);
        let mut rows = 0;
        for (shapes, height) in &pieces {
            assert!(*height <= 600.0, "{height}");
            let words = shapes
                .iter()
                .filter(|shape| matches!(shape, Shape::Words { .. }));
            for shape in words.clone() {
                let (low, high) = reach(shape);
                assert!(low >= 0.0 && high <= *height, "{shape:?}");
            }
            // The metres stand over every piece.
            rows += words.count() - 1;
            assert!(shapes.iter().any(|shape| matches!(shape, Shape::Line(..))));
        }
        assert_eq!(rows, 190);
    }
}
