//! Room for words on the drawing: every label looks for a free place and none lies on another.

use egui::{Pos2, Rect, Vec2, pos2};

/// What is taken on the sheet.
#[derive(Clone, Debug, Default)]
pub struct Taken {
    rects: Vec<Rect>,
    bounds: Option<Rect>,
}

impl Taken {
    /// Nothing is taken; labels stay inside `bounds`.
    pub fn new(bounds: Rect) -> Self {
        Self {
            rects: Vec::new(),
            bounds: Some(bounds),
        }
    }

    /// Takes a rectangle, free or not.
    pub fn take(&mut self, rect: Rect) {
        self.rects.push(rect);
    }

    /// Whether nothing lies there.
    pub fn free(&self, rect: Rect) -> bool {
        self.bounds.is_none_or(|bounds| bounds.contains_rect(rect))
            && !self.rects.iter().any(|taken| taken.intersects(rect))
    }

    /// Takes the first free of the places, given by the centre of each.
    pub fn first(&mut self, size: Vec2, centres: impl IntoIterator<Item = Pos2>) -> Option<Rect> {
        let rect = centres
            .into_iter()
            .map(|centre| Rect::from_center_size(centre, size))
            .find(|rect| self.free(rect.expand(1.0)))?;
        self.take(rect);
        Some(rect)
    }

    /// Places above and below a point, the nearest to it first.
    pub fn around(at: Pos2, size: Vec2, clear: f32) -> Vec<Pos2> {
        let mut centres = Vec::with_capacity(2 * 23 * 16);
        for ring in 0..16 {
            let dy = clear + size.y / 2.0 + 8.0 * ring as f32;
            for sign in [-1.0, 1.0] {
                for aside in 0..23 {
                    let steps = (aside + 1) / 2 * if aside % 2 == 0 { 1 } else { -1 };
                    let dx = steps as f32 * 0.1 * size.x;
                    centres.push((
                        (dx.abs() * 0.8).hypot(dy),
                        pos2(at.x + dx, at.y + sign * dy),
                    ));
                }
            }
        }
        // Stable: of equals, above comes before below and the middle before the sides.
        centres.sort_by(|a, b| a.0.total_cmp(&b.0));
        centres.into_iter().map(|(_, centre)| centre).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use egui::vec2;

    #[test]
    fn twelve_labels_at_one_place_do_not_lie_on_each_other() {
        let sheet = Rect::from_min_size(Pos2::ZERO, vec2(900.0, 400.0));
        let mut taken = Taken::new(sheet);
        let size = vec2(60.0, 30.0);
        let at = pos2(450.0, 200.0);
        let placed: Vec<Rect> = (0..12)
            .filter_map(|_| taken.first(size, Taken::around(at, size, 14.0)))
            .collect();
        assert_eq!(placed.len(), 12);
        for (index, a) in placed.iter().enumerate() {
            assert!(sheet.contains_rect(*a));
            assert!(placed[index + 1..].iter().all(|b| !a.intersects(*b)));
        }
    }

    #[test]
    fn a_full_sheet_refuses() {
        let mut taken = Taken::new(Rect::from_min_size(Pos2::ZERO, vec2(50.0, 20.0)));
        assert!(taken.first(vec2(60.0, 10.0), [pos2(25.0, 10.0)]).is_none());
    }
}
