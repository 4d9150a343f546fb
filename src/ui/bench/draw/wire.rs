//! Wires: an ink outline round a core in the insulation's colour, its stripe as dashes, turns as soft bends.

use egui::{Color32, Painter, Pos2, Shape, Stroke, epaint::CubicBezierShape, pos2};

use super::super::view::View;
use crate::{
    circuit::Colour,
    drawing::Run,
    ui::theme::{LINE, STRONG, Theme, WIRE, insulation},
};

/// How a wire is drawn.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Look {
    /// Insulation colour.
    pub colour: Option<Colour>,
    /// Cut off from the module by something unplugged.
    pub cut_off: bool,
    /// Its length is not known.
    pub assumed: bool,
    /// Selected.
    pub selected: bool,
    /// The drawn run along x is not its length.
    pub off_scale: bool,
}

/// Points from which a bend takes its room.
const BEND: f32 = 46.0;

/// The line of a wire on the screen, bends flattened.
pub fn wire_path(run: &Run, view: &View) -> Vec<Pos2> {
    let corners: Vec<Pos2> = run.corners.iter().map(|place| view.at(*place)).collect();
    let mut line: Vec<Pos2> = Vec::with_capacity(corners.len() * 8);
    for (index, &corner) in corners.iter().enumerate() {
        let Some(&before) = index.checked_sub(1).and_then(|i| corners.get(i)) else {
            line.push(corner);
            continue;
        };
        if (before.y - corner.y).abs() < 0.5 {
            line.push(corner);
            continue;
        }
        // A change of lane at one metre: bend into the piece that follows (or out of the piece before).
        let next = corners.get(index + 1).copied();
        let previous = index.checked_sub(2).and_then(|i| corners.get(i)).copied();
        bend(&mut line, previous, before, corner, next);
    }
    line
}

fn bend(line: &mut Vec<Pos2>, previous: Option<Pos2>, from: Pos2, to: Pos2, next: Option<Pos2>) {
    let room = |end: Option<Pos2>, at: Pos2| {
        end.map_or(0.0, |p| (p.x - at.x).clamp(-BEND / 0.6, BEND / 0.6) * 0.6)
    };
    let (start, end) = match (room(previous, from), room(next, to)) {
        (_, ahead) if ahead.abs() > 1.0 => (from, pos2(to.x + ahead, to.y)),
        (back, _) => {
            // The bend comes last: give back the piece of the straight run that it takes.
            if back.abs() > 1.0 {
                line.pop();
                line.push(pos2(from.x + back, from.y));
            }
            (pos2(from.x + back, from.y), to)
        }
    };
    let half = (end.x - start.x) * 0.5;
    let curve = CubicBezierShape::from_points_stroke(
        [
            start,
            pos2(start.x + half, start.y),
            pos2(end.x - half, end.y),
            end,
        ],
        false,
        Color32::TRANSPARENT,
        Stroke::NONE,
    );
    line.extend((1..=14).map(|step| curve.sample(step as f32 / 14.0)));
}

/// Draws the way of a wire as a fine line.
pub fn thread_ui(painter: &Painter, theme: &Theme, path: &[Pos2], look: &Look) {
    let c = &theme.colour;
    let (width, ink) = match (look.selected, look.cut_off) {
        (true, _) => (STRONG + 1.0, c.focus),
        (false, true) => (LINE, c.cut_off),
        (false, false) => (LINE, c.ink),
    };
    painter.add(Shape::line(path.to_vec(), Stroke::new(width, ink)));
}

/// Draws a wire along its path.
pub fn wire_ui(painter: &Painter, theme: &Theme, path: &[Pos2], look: &Look) {
    let c = &theme.colour;
    if path.len() < 2 {
        return;
    }
    let line = |width: f32, colour: Color32| Shape::line(path.to_vec(), Stroke::new(width, colour));
    if look.selected {
        painter.add(line(WIRE + 11.0, c.selected));
        painter.add(line(WIRE + 6.0, c.focus));
    }
    let outline = if look.cut_off { c.cut_off } else { c.ink };
    let solid = !(look.assumed || look.off_scale);
    let Some(colour) = look.colour.filter(|_| !look.cut_off) else {
        painter.add(line(WIRE, outline));
        if !solid {
            gaps(painter, path, c.sheet, WIRE + 1.0);
        }
        return;
    };
    painter.add(line(WIRE + 3.0, outline));
    painter.add(line(WIRE, insulation(colour.base)));
    if let Some(stripe) = colour.stripe {
        painter.extend(Shape::dashed_line(
            path,
            Stroke::new(WIRE, insulation(stripe)),
            7.0,
            9.0,
        ));
    }
    if !solid {
        gaps(painter, path, c.sheet, WIRE + 4.0);
    }
}

/// Breaks in a line whose length is not known.
fn gaps(painter: &Painter, path: &[Pos2], sheet: Color32, width: f32) {
    painter.extend(Shape::dashed_line(
        path,
        Stroke::new(width, sheet),
        3.0,
        15.0,
    ));
}
