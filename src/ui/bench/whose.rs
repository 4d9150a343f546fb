//! Whose a word on the drawing is: only what is in sight is named, and no name stands nearer to another part than to its
//! own, since somebody would unplug the wrong one.

use egui::{Painter, Pos2, Rect, vec2};

use super::{
    draw::wire_path,
    sheet::Sheet,
    spot::{pin_middle, symbol_rect},
    view::View,
};
use crate::{
    drawing::PartKind,
    ui::theme::{Theme, WIRE},
};

/// Points by which a line of words is higher than its letters, above and below.
pub const LEADING: f32 = 3.0;

/// Where words are written: onto what, in which looks, of which sheet, how it lies, and whose each word would be.
#[derive(Clone, Copy)]
pub struct Sight<'a> {
    /// What they are written with.
    pub painter: &'a Painter,
    /// Colours and sizes.
    pub theme: &'a Theme,
    /// What is drawn.
    pub sheet: &'a Sheet<'a>,
    /// How it lies on the screen.
    pub view: &'a View,
    /// Whose each word would be.
    pub whose: &'a Whose<'a>,
}

/// What is drawn in sight, each with the part that it is of.
pub struct Whose<'a> {
    room: Rect,
    symbols: Vec<(&'a str, Rect)>,
    wires: Vec<([&'a str; 3], Rect, Vec<Pos2>)>,
}

impl<'a> Whose<'a> {
    /// What lies in the room for words.
    pub fn new(theme: &Theme, sheet: &Sheet<'a>, view: &View, room: Rect) -> Self {
        let mut symbols = Vec::new();
        for part in &sheet.harness.parts {
            let id = part.id.as_str();
            symbols.push((id, symbol_rect(theme, sheet, view, part)));
            if part.kind == PartKind::Connector {
                let size = vec2(30.0, 2.0 * view.bracket() + 2.0);
                let pin = |pin| (id, Rect::from_center_size(pin_middle(pin, view), size));
                symbols.extend(part.pins.iter().skip(1).map(pin));
            }
        }
        symbols.retain(|(_, rect)| rect.intersects(room));
        let wires = sheet.harness.runs.iter().filter_map(|run| {
            let wire = sheet.circuit.wires.get(run.wire)?;
            let path = wire_path(run, view);
            let around = Rect::from_points(&path).expand(WIRE);
            let ends = [&wire.id, &wire.from.part, &wire.to.part];
            around
                .intersects(room)
                .then(|| (ends.map(String::as_str), around, path))
        });
        Self {
            room,
            symbols,
            wires: wires.collect(),
        }
    }

    /// Whether a part with this symbol may be named: most of it is in sight.
    pub fn in_sight(&self, symbol: Rect) -> bool {
        self.room.contains(symbol.center())
    }

    /// Whether a point may have its tag.
    pub fn shows(&self, point: Pos2) -> bool {
        self.room.contains(point)
    }

    /// Whether a word there is read as the name of one of these, the parts that make up one thing: no other symbol is
    /// nearer, and its letters are not on the wire of another.
    pub fn reads_as(&self, own: &[&str], word: Rect) -> bool {
        let (mut mine, mut others) = (f32::INFINITY, f32::INFINITY);
        for (id, symbol) in &self.symbols {
            let nearest = if own.contains(id) {
                &mut mine
            } else {
                &mut others
            };
            *nearest = nearest.min(apart(*symbol, word));
        }
        mine <= others && !self.on_another(own, word)
    }

    /// Whether the letters of a word lie on a wire that is none of these and ends at none of them.
    fn on_another(&self, own: &[&str], word: Rect) -> bool {
        let letters = word.shrink2(vec2(0.0, LEADING));
        self.wires.iter().any(|(ends, around, path)| {
            around.intersects(letters)
                && !ends.iter().any(|end| own.contains(end))
                && path.windows(2).any(|pair| {
                    let piece = Rect::from_two_pos(pair[0], pair[1]).expand(WIRE);
                    piece.intersects(letters)
                })
        })
    }
}

/// Distance of two rectangles.
fn apart(a: Rect, b: Rect) -> f32 {
    let gap = |low: f32, high: f32| low.max(high).max(0.0);
    let x = gap(a.left() - b.right(), b.left() - a.right());
    let y = gap(a.top() - b.bottom(), b.top() - a.bottom());
    x.hypot(y)
}

/// A part and what it is plugged into, or what plugs into it: one thing to whoever reads a name beside it.
pub fn together<'a>(sheet: &Sheet<'a>, id: &'a str, kind: PartKind) -> Vec<&'a str> {
    let mut all = vec![id];
    match kind {
        PartKind::Load => all.extend(sheet.load(id).map(|load| load.feed.part.as_str())),
        PartKind::Connector => {
            let plugged = (sheet.circuit.loads.iter()).filter(|load| load.feed.part == id);
            all.extend(plugged.map(|load| load.id.as_str()));
        }
        _ => {}
    }
    all
}

#[cfg(test)]
mod tests {
    use super::*;
    use egui::pos2;

    #[test]
    fn a_word_is_that_of_the_nearest_symbol_and_not_on_the_wire_of_another() {
        let at = |x: f32, y: f32| Rect::from_center_size(pos2(x, y), vec2(30.0, 34.0));
        let path = vec![pos2(0.0, 160.0), pos2(300.0, 160.0)];
        let whose = Whose {
            room: Rect::from_min_size(Pos2::ZERO, vec2(400.0, 300.0)),
            symbols: vec![("X1", at(100.0, 100.0)), ("X2", at(200.0, 100.0))],
            wires: vec![(
                ["W9", "SP1", "X9"],
                Rect::from_points(&path).expand(WIRE),
                path,
            )],
        };
        let word = |x: f32, y: f32| Rect::from_center_size(pos2(x, y), vec2(20.0, 16.0));
        assert!(whose.reads_as(&["X1"], word(110.0, 74.0)));
        assert!(!whose.reads_as(&["X1"], word(190.0, 74.0)));
        assert!(whose.reads_as(&["X1", "X2"], word(190.0, 74.0)));
        assert!(!whose.reads_as(&["X1"], word(100.0, 155.0)));
        assert!(whose.reads_as(&["X1", "W9"], word(100.0, 155.0)));
        assert!(whose.in_sight(at(10.0, 10.0)) && !whose.in_sight(at(10.0, -10.0)));
    }
}
