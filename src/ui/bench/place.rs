//! Room for words on the drawing: every label looks for a free place and none lies on another.

use egui::{Pos2, Rect, Vec2, pos2};

/// Side of a cell of the sheet, in points; what lies in other cells need not be looked at.
const CELL: f32 = 64.0;
/// Most cells of a sheet; beyond that far corner everything shares the last ones.
const CELLS: usize = 128;

/// Turns to the sides and rings above and below, within which a label with a line to its point looks for room.
const TURNS: i16 = 23;
const RINGS: usize = 16;
/// One turn to the side as a share of the label's width, or of this width where the label is shorter.
const TURN: f32 = 0.1;
const SHORT: f32 = 60.0;
/// Half the width of a line to a label, with air.
const LEADER: f32 = 2.0;
/// Length of the pieces in which a slanting line takes its room.
const LEADER_PIECE: f32 = 10.0;

/// What lies on a place that is taken.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum What {
    /// A symbol or a word: nothing may lie on it.
    Solid,
    /// A wire or its hatching: a label that must be somewhere may lie on it.
    Line,
}

/// Where a label that has a line to what it names may stand.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum May {
    /// Where nothing is, its line over nothing.
    Free,
    /// On wires, its line over nothing but those.
    OnWires,
    /// On wires, its line over anything.
    Across,
}

/// What is taken on the sheet.
#[derive(Clone, Debug)]
pub struct Taken {
    bounds: Rect,
    columns: usize,
    rows: usize,
    cells: Vec<Vec<(Rect, What)>>,
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

    /// Takes the room of a symbol or a word, free or not. What lies beyond the sheet takes nothing.
    pub fn take(&mut self, rect: Rect) {
        self.put(rect, What::Solid);
    }

    /// Takes the room of a piece of a wire, or of its hatching.
    pub fn take_line(&mut self, rect: Rect) {
        self.put(rect, What::Line);
    }

    /// Takes the room of a line from a point to its label, so that no later word lies on it.
    pub fn take_leader(&mut self, from: Pos2, to: Pos2) {
        let pieces = ((to - from).abs().max_elem() / LEADER_PIECE)
            .ceil()
            .max(1.0) as usize;
        let at = |piece: usize| from.lerp(to, piece as f32 / pieces as f32);
        for piece in 0..pieces {
            let room = Rect::from_two_pos(at(piece), at(piece + 1));
            self.put(room.expand(LEADER), What::Solid);
        }
    }

    fn put(&mut self, rect: Rect, what: What) {
        if !rect.intersects(self.bounds) {
            return;
        }
        let (columns, rows) = self.touched(rect);
        for row in rows {
            for column in columns.clone() {
                self.cells[row * self.columns + column].push((rect, what));
            }
        }
    }

    /// Whether nothing lies there.
    pub fn free(&self, rect: Rect) -> bool {
        self.bounds.contains_rect(rect) && !self.any(rect, |taken, _| taken.intersects(rect))
    }

    /// Whether at most wires lie there.
    pub fn free_but_lines(&self, rect: Rect) -> bool {
        let solid = |taken: Rect, what| what == What::Solid && taken.intersects(rect);
        self.bounds.contains_rect(rect) && !self.any(rect, solid)
    }

    /// Whether a line from a point to its label passes over a symbol or a word other than the point's own.
    pub fn crosses(&self, from: Pos2, to: Pos2) -> bool {
        self.any(Rect::from_two_pos(from, to), |taken, what| {
            what == What::Solid && !taken.contains(from) && passes(taken, from, to)
        })
    }

    /// The nearest place above or below a point where a label may stand and which suits.
    pub fn led(
        &self,
        at: Pos2,
        size: Vec2,
        clear: f32,
        (may, suits): (May, &dyn Fn(Rect) -> bool),
    ) -> Option<Rect> {
        let places = Self::around(at, size, clear).into_iter();
        let mut rooms = places.map(|centre| Rect::from_center_size(centre, size));
        rooms.find(|rect| {
            let room = rect.expand(1.0);
            let free = self.free(room) || may != May::Free && self.free_but_lines(room);
            free && suits(*rect) && (may == May::Across || !self.crosses(at, Self::end(at, *rect)))
        })
    }

    /// Where the line from a point meets its label.
    pub fn end(at: Pos2, label: Rect) -> Pos2 {
        let y = if label.center().y < at.y {
            label.bottom()
        } else {
            label.top()
        };
        // A label of one narrow letter has no room for an inset.
        let inset = (label.width() / 2.0).clamp(0.0, 6.0);
        pos2(at.x.clamp(label.left() + inset, label.right() - inset), y)
    }

    /// Whether the test holds for something in the cells that a rectangle touches.
    fn any(&self, rect: Rect, test: impl Fn(Rect, What) -> bool) -> bool {
        let (columns, mut rows) = self.touched(rect);
        rows.any(|row| {
            columns.clone().any(|column| {
                let cell = &self.cells[row * self.columns + column];
                cell.iter().any(|(taken, what)| test(*taken, *what))
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
        Self::rings(at, size, clear, RINGS)
    }

    /// The nearest of these places only, for a word without a line to what it names.
    pub fn beside(at: Pos2, size: Vec2, clear: f32) -> Vec<Pos2> {
        Self::rings(at, size, clear, 2)
    }

    fn rings(at: Pos2, size: Vec2, clear: f32, rings: usize) -> Vec<Pos2> {
        let mut centres = Vec::new();
        for ring in 0..rings {
            let dy = clear + size.y / 2.0 + 8.0 * ring as f32;
            for sign in [-1.0, 1.0] {
                for aside in 0..TURNS {
                    let steps = (aside + 1) / 2 * if aside % 2 == 0 { 1 } else { -1 };
                    let dx = f32::from(steps) * TURN * size.x.max(SHORT);
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

/// Whether a straight line passes through a rectangle: what is left of it after each pair of sides has cut.
fn passes(rect: Rect, from: Pos2, to: Pos2) -> bool {
    let along = to - from;
    let (mut start, mut end) = (0.0_f32, 1.0_f32);
    for axis in 0..2 {
        let (least, most) = (rect.min[axis] - from[axis], rect.max[axis] - from[axis]);
        if along[axis].abs() < 1e-6 {
            if least > 0.0 || most < 0.0 {
                return false;
            }
            continue;
        }
        let (a, b) = (least / along[axis], most / along[axis]);
        start = start.max(a.min(b));
        end = end.min(a.max(b));
    }
    start < end
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

    #[test]
    fn a_line_meets_a_label_however_narrow() {
        let narrow = Rect::from_center_size(pos2(50.0, 20.0), vec2(5.0, 14.0));
        assert_eq!(Taken::end(pos2(90.0, 60.0), narrow), pos2(50.0, 27.0));
    }

    #[test]
    fn a_line_meets_its_label_at_the_near_side() {
        let at = pos2(100.0, 100.0);
        let above = Rect::from_center_size(pos2(110.0, 60.0), vec2(60.0, 20.0));
        assert_eq!(Taken::end(at, above), pos2(100.0, 70.0));
        let aside = Rect::from_center_size(pos2(200.0, 140.0), vec2(60.0, 20.0));
        assert_eq!(Taken::end(at, aside), pos2(176.0, 130.0));
    }

    #[test]
    fn a_line_over_a_symbol_is_seen_and_one_over_a_wire_is_not() {
        let mut taken = Taken::new(Rect::from_min_size(Pos2::ZERO, vec2(900.0, 400.0)));
        let from = pos2(400.0, 200.0);
        taken.take(Rect::from_center_size(from, vec2(20.0, 20.0)));
        taken.take(Rect::from_center_size(pos2(400.0, 100.0), vec2(40.0, 20.0)));
        taken.take_line(Rect::from_min_size(pos2(100.0, 250.0), vec2(700.0, 6.0)));
        for (to, crossed) in [
            (pos2(400.0, 50.0), true),
            (pos2(500.0, 50.0), false),
            (pos2(380.0, 60.0), true),
            (pos2(400.0, 120.0), false),
            (pos2(400.0, 350.0), false),
            (pos2(300.0, 350.0), false),
        ] {
            assert_eq!(taken.crosses(from, to), crossed, "{to:?}");
        }
        let on_the_wire = Rect::from_center_size(pos2(400.0, 252.0), vec2(50.0, 14.0));
        assert!(!taken.free(on_the_wire) && taken.free_but_lines(on_the_wire));
        taken.take_leader(from, pos2(300.0, 350.0));
        let on_the_leader = Rect::from_center_size(pos2(350.0, 275.0), vec2(14.0, 4.0));
        assert!(!taken.free_but_lines(on_the_leader));
    }
}
