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

    pub fn photo(&mut self, photo: &'a Photo) {
        let size = Self::photo_size(photo);
        self.need(size.1 + 30.0);
        let at = (LEFT, self.y + 2.0);
        if let Some(page) = self.pages.last_mut() {
            page.push(Mark::Photo(photo, at, size));
        }
        self.y += size.1 + 4.0;
        self.caption(&photo.caption);
    }

    /// Width and height of a photo on the page, as the camera was held.
    pub fn photo_size(photo: &Photo) -> (f32, f32) {
        let (wide, high) = photo.standing();
        let (wide, high) = (wide.max(1) as f32, high.max(1) as f32);
        let scale = (330.0 / wide).min(250.0 / high);
        (wide * scale, high * scale)
    }

    pub fn caption(&mut self, text: &str) {
        let set = Set {
            size: 7.6,
            ink: Ink::Muted,
            ..Set::PLAIN
        };
        self.lines_at(LEFT, text, set, WIDTH, 10.0);
        self.y += 6.0;
    }
}
