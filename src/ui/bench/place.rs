//! Room for words on the drawing: every label looks for a free place and none lies on another.

use egui::{Pos2, Rect, Vec2, pos2};

/// Side of a cell of the sheet, in points; what lies in other cells need not be looked at.
const CELL: f32 = 64.0;
/// Most cells of a sheet; beyond that far corner everything shares the last ones.
const CELLS: usize = 128;

/// What is taken on the sheet.
#[derive(Clone, Debug)]
pub struct Taken {
    bounds: Rect,
    columns: usize,
    rows: usize,
    cells: Vec<Vec<Rect>>,
}

impl Taken {
    /// Nothing is taken; labels stay inside `bounds`.
    pub fn new(bounds: Rect) -> Self {
        let count = |length: f32| ((length / CELL).ceil().max(1.0) as usize).min(CELLS);
        let (columns, rows) = (count(bounds.width()), count(bounds.height()));
        Self {
            bounds,
            columns,
            rows,
            cells: vec![Vec::new(); columns * rows],
        }
    }

    /// The cells that a rectangle touches: columns and rows.
    fn touched(
        &self,
        rect: Rect,
    ) -> (
        std::ops::RangeInclusive<usize>,
        std::ops::RangeInclusive<usize>,
    ) {
        let cell = |at: f32, start: f32, count: usize| {
            // A negative number becomes the first cell.
            (((at - start) / CELL).floor() as usize).min(count - 1)
        };
        let column = |x: f32| cell(x, self.bounds.left(), self.columns);
        let row = |y: f32| cell(y, self.bounds.top(), self.rows);
        (
            column(rect.left())..=column(rect.right()),
            row(rect.top())..=row(rect.bottom()),
        )
    }

    /// Takes a rectangle, free or not. What lies beyond the sheet takes nothing.
    pub fn take(&mut self, rect: Rect) {
        if !rect.intersects(self.bounds) {
            return;
        }
        let (columns, rows) = self.touched(rect);
        for row in rows {
            for column in columns.clone() {
                self.cells[row * self.columns + column].push(rect);
            }
        }
    }

    /// Whether nothing lies there.
    pub fn free(&self, rect: Rect) -> bool {
        if !self.bounds.contains_rect(rect) {
            return false;
        }
        let (columns, mut rows) = self.touched(rect);
        rows.all(|row| {
            columns.clone().all(|column| {
                let cell = &self.cells[row * self.columns + column];
                !cell.iter().any(|taken| taken.intersects(rect))
            })
        })
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
        Self::rings(at, size, clear, 16)
    }

    /// The nearest of these places only, for a word without a line to what it names.
    pub fn beside(at: Pos2, size: Vec2, clear: f32) -> Vec<Pos2> {
        Self::rings(at, size, clear, 2)
    }

    fn rings(at: Pos2, size: Vec2, clear: f32, rings: usize) -> Vec<Pos2> {
        let mut centres = Vec::with_capacity(2 * 23 * rings);
        for ring in 0..rings {
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
    fn a_wide_label_is_seen_from_every_cell_it_covers() {
        let mut taken = Taken::new(Rect::from_min_size(Pos2::ZERO, vec2(900.0, 400.0)));
        taken.take(Rect::from_min_size(pos2(10.0, 150.0), vec2(800.0, 20.0)));
        for x in [20.0, 300.0, 700.0] {
            assert!(!taken.free(Rect::from_min_size(pos2(x, 160.0), vec2(30.0, 30.0))));
            assert!(taken.free(Rect::from_min_size(pos2(x, 200.0), vec2(30.0, 30.0))));
        }
    }

    #[test]
    fn a_full_sheet_refuses() {
        let mut taken = Taken::new(Rect::from_min_size(Pos2::ZERO, vec2(50.0, 20.0)));
        assert!(taken.first(vec2(60.0, 10.0), [pos2(25.0, 10.0)]).is_none());
    }
}
