//! A drawing as plain shapes in points, for any writer: the harness to scale with the voltage under it.

mod harness;
mod marks;
mod volts;

pub use harness::harness;

/// A colour by its role, on white paper.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Ink {
    /// Text, wires, outlines.
    Ink,
    /// Labels beside what matters.
    Muted,
    /// Lines of a grid.
    Grid,
    /// The paper itself.
    Paper,
    /// Suspicion.
    Suspect,
    /// Ground of suspicion.
    SuspectWash,
    /// Unplugged, or wants attention.
    Attention,
    /// Ground of that.
    AttentionWash,
    /// Right.
    Healthy,
    /// Ground of that.
    HealthyWash,
    /// Connectors.
    Connector,
    /// An insulation colour.
    Insulation([u8; 3]),
}

impl Ink {
    /// Red, green, blue.
    pub fn rgb(self) -> [u8; 3] {
        match self {
            Self::Ink => [0x16, 0x17, 0x1B],
            Self::Muted => [0x45, 0x47, 0x4E],
            Self::Grid => [0xD9, 0xD6, 0xCE],
            Self::Paper => [0xFF, 0xFF, 0xFF],
            Self::Suspect => [0xB3, 0x1F, 0x1A],
            Self::SuspectWash => [0xF7, 0xD9, 0xD3],
            Self::Attention => [0x8A, 0x5F, 0x00],
            Self::AttentionWash => [0xFD, 0xF2, 0xD4],
            Self::Healthy => [0x1F, 0x7A, 0x4D],
            Self::HealthyWash => [0xD9, 0xEB, 0xDF],
            Self::Connector => [0x1B, 0x49, 0x8C],
            Self::Insulation(rgb) => rgb,
        }
    }
}

/// A place in points, y downwards.
pub type At = (f32, f32);

/// How a line is drawn.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pen {
    /// Colour.
    pub ink: Ink,
    /// Width in points.
    pub width: f32,
    /// Length of dashes and gaps; none for a full line.
    pub dash: Option<(f32, f32)>,
}

impl Pen {
    /// A full line.
    pub fn full(ink: Ink, width: f32) -> Self {
        Self {
            ink,
            width,
            dash: None,
        }
    }

    /// A dashed line.
    pub fn dashed(ink: Ink, width: f32, dash: f32, gap: f32) -> Self {
        Self {
            dash: Some((dash, gap)),
            ..Self::full(ink, width)
        }
    }
}

/// Where a text stands to its place.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Anchor {
    /// It starts there.
    Start,
    /// Its middle is there.
    Middle,
    /// It ends there.
    End,
}

/// One shape.
#[derive(Clone, Debug, PartialEq)]
pub enum Shape {
    /// A line through places.
    Line(Vec<At>, Pen),
    /// An area, with an outline or without.
    Area(Vec<At>, Ink, Option<Pen>),
    /// A disc, with an outline or without.
    Disc(At, f32, Ink, Option<Pen>),
    /// A text on one line; the place is on its base line.
    Words {
        /// Where.
        at: At,
        /// How it stands to that.
        anchor: Anchor,
        /// Size.
        size: f32,
        /// Bold.
        bold: bool,
        /// Colour.
        ink: Ink,
        /// The words.
        text: String,
    },
}

/// A drawing.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Picture {
    /// Width in points.
    pub width: f32,
    /// Height in points.
    pub height: f32,
    /// Height from which on it stays in one piece; 0 where that does not matter.
    pub whole_from: f32,
    /// Shapes, later ones over earlier ones.
    pub shapes: Vec<Shape>,
    /// What stands under it.
    pub caption: String,
    /// What it shows, for who cannot see it.
    pub spoken: String,
}

impl Picture {
    /// Adds a line.
    pub(super) fn line(&mut self, points: impl Into<Vec<At>>, pen: Pen) {
        self.shapes.push(Shape::Line(points.into(), pen));
    }

    /// Adds a rectangle.
    fn rect(&mut self, from: At, to: At, ink: Ink, pen: Option<Pen>) {
        let corners = vec![from, (to.0, from.1), to, (from.0, to.1)];
        self.shapes.push(Shape::Area(corners, ink, pen));
    }

    /// Adds words.
    pub(super) fn words(
        &mut self,
        at: At,
        anchor: Anchor,
        size: f32,
        ink: Ink,
        text: impl Into<String>,
    ) {
        self.shapes.push(Shape::Words {
            at,
            anchor,
            size,
            bold: false,
            ink,
            text: text.into(),
        });
    }

    /// Adds bold words.
    fn bold(&mut self, at: At, anchor: Anchor, size: f32, ink: Ink, text: impl Into<String>) {
        self.words(at, anchor, size, ink, text);
        if let Some(Shape::Words { bold, .. }) = self.shapes.last_mut() {
            *bold = true;
        }
    }
}
