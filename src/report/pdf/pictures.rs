//! Drawings and photos on pages, each with the words under it.

use super::{
    cut::cut,
    flow::{Flow, LEFT, Mark, Set, WIDTH},
};
use crate::{
    notebook::trouble::visible,
    report::{
        photo::Photo,
        picture::{At, Ink, Pen, Picture, Shape},
    },
};

/// Room for the heading over a picture and the words under it.
const AIR: f32 = 100.0;
/// Width of a photo, of which two stand side by side; its greatest height, and most points for a pixel.
const COLUMN: f32 = 240.0;
const HIGHEST: f32 = 230.0;
const LARGER: f32 = 1.5;
/// Most lines under a photo that has another one beside it.
const WORDS: usize = 8;
/// How words under a picture are set.
const CAPTION: Set = Set {
    size: 7.6,
    ink: Ink::Muted,
    ..Set::PLAIN
};

impl<'a> Flow<'a> {
    /// By how much a picture is made smaller, so that it fits the width.
    pub fn scale(picture: &Picture) -> f32 {
        (WIDTH / picture.width.max(1.0)).min(1.0)
    }

    /// A picture, over as many pages as its height takes.
    pub fn picture(&mut self, picture: &Picture) {
        let scale = Self::scale(picture);
        let most = (Self::whole() - AIR) / scale;
        if picture.height <= most {
            self.need(picture.height * scale + 30.0);
            self.piece(&picture.shapes, picture.height, scale);
        } else {
            let pieces = cut(picture, most);
            for (index, (shapes, height)) in pieces.iter().enumerate() {
                if index > 0 || self.room() < height * scale + 30.0 {
                    self.turn();
                }
                self.piece(shapes, *height, scale);
            }
        }
        self.caption(&picture.caption);
    }

    fn piece(&mut self, shapes: &[Shape], height: f32, scale: f32) {
        let (left, top) = (LEFT, self.y);
        let place = |at: &At| (left + at.0 * scale, top + at.1 * scale);
        let pen = |pen: &Pen| Pen {
            width: pen.width * scale,
            dash: pen.dash.map(|(dash, gap)| (dash * scale, gap * scale)),
            ..*pen
        };
        for shape in shapes {
            match shape {
                Shape::Line(points, own) => {
                    self.shape(Shape::Line(points.iter().map(place).collect(), pen(own)));
                }
                Shape::Area(points, ink, own) => {
                    let own = own.as_ref().map(pen);
                    self.shape(Shape::Area(points.iter().map(place).collect(), *ink, own));
                }
                Shape::Disc(at, radius, ink, own) => {
                    self.shape(Shape::Disc(
                        place(at),
                        radius * scale,
                        *ink,
                        own.as_ref().map(pen),
                    ));
                }
                Shape::Words {
                    at,
                    anchor,
                    size,
                    bold,
                    ink,
                    text,
                } => {
                    let set = Set {
                        size: size * scale,
                        bold: *bold,
                        ink: *ink,
                    };
                    self.words(place(at), *anchor, set, &visible(text));
                }
            }
        }
        self.y = top + height * scale + 2.0;
    }

    /// A photo, at the right of the one before it where there is room.
    pub fn photo(&mut self, photo: &'a Photo) {
        let size = Self::photo_size(photo);
        let words = Self::broken(&photo.caption, CAPTION, COLUMN);
        let high = size.1 + 10.0 * words.len() as f32 + 10.0;
        // Words that take more than this stand by themselves, over as many pages as it takes.
        let short = words.len() <= WORDS;
        let beside = self.half.take().filter(|_| short);
        let (left, top) = match beside {
            Some(top) if top + high <= self.y + self.room() => (LEFT + WIDTH - COLUMN, top),
            _ => {
                self.need(high.min(size.1 + 30.0 + 10.0 * WORDS as f32));
                (LEFT, self.y)
            }
        };
        let bottom = self.y;
        if let Some(page) = self.pages.last_mut() {
            page.push(Mark::Photo(photo, (left, top + 2.0), size));
        }
        self.y = top + size.1 + 4.0;
        self.lines_at(left, &photo.caption, CAPTION, COLUMN, 10.0);
        self.y += 6.0;
        if left > LEFT {
            self.y = self.y.max(bottom);
        } else if short {
            self.half = Some(top);
        }
    }

    /// Width and height of a photo on the page, as the camera was held; small ones are not blown up.
    pub fn photo_size(photo: &Photo) -> (f32, f32) {
        let (wide, high) = photo.standing();
        let (wide, high) = (wide.max(1) as f32, high.max(1) as f32);
        let scale = (COLUMN / wide).min(HIGHEST / high).min(LARGER);
        (wide * scale, high * scale)
    }

    pub fn caption(&mut self, text: &str) {
        self.lines_at(LEFT, text, CAPTION, WIDTH, 10.0);
        self.y += 6.0;
    }
}
