//! From blocks to pages: lines are broken to the width, pages where they are full; no text is ever cut off.

use std::collections::BTreeSet;

use crate::{
    notebook::trouble::visible,
    report::{
        content::{Basis, Block, Tone},
        face,
        photo::Photo,
        picture::{Anchor, At, Ink, Pen, Shape},
    },
};

/// A4 in points (ISO 216: 210 mm by 297 mm).
pub const PAGE: (f32, f32) = (595.28, 841.89);
/// Left edge of the text; left of it stands what a piece rests on.
pub const LEFT: f32 = 66.0;
/// Width of the text.
pub const WIDTH: f32 = 493.0;
/// First and last base line on a page.
const TOP: f32 = 48.0;
const BOTTOM: f32 = 792.0;
/// Size of running text, and the distance of its lines.
pub const SIZE: f32 = 8.6;
pub const LINE: f32 = 11.6;
/// Distance of the lines of a framed statement.
const VERDICT_LINE: f32 = 12.4;
/// Characters that are named when the font lacks them.
const NAMED: usize = 40;

/// Something on a page.
pub enum Mark<'a> {
    /// A shape.
    Shape(Shape),
    /// A photo: upper left corner and size.
    Photo(&'a Photo, At, (f32, f32)),
}

/// Pages being filled.
pub struct Flow<'a> {
    /// Marks of each page.
    pub pages: Vec<Vec<Mark<'a>>>,
    /// Sections: heading, page and height.
    pub sections: Vec<(String, usize, f32)>,
    /// Top of what comes next.
    pub y: f32,
    /// Top of a photo that has room for another one at its right.
    pub(super) half: Option<f32>,
    missing: BTreeSet<char>,
}

/// How a line is set.
#[derive(Clone, Copy)]
pub struct Set {
    /// Size.
    pub size: f32,
    /// Bold.
    pub bold: bool,
    /// Colour.
    pub ink: Ink,
}

impl Set {
    /// Running text.
    pub const PLAIN: Self = Self {
        size: SIZE,
        bold: false,
        ink: Ink::Ink,
    };
    /// Bold running text.
    pub const BOLD: Self = Self {
        bold: true,
        ..Self::PLAIN
    };
}

impl<'a> Flow<'a> {
    /// No page but the first.
    pub fn new() -> Self {
        Self {
            pages: vec![Vec::new()],
            sections: Vec::new(),
            y: TOP,
            half: None,
            missing: BTreeSet::new(),
        }
    }

    /// Adds a shape to the present page.
    pub fn shape(&mut self, shape: Shape) {
        if let Some(page) = self.pages.last_mut() {
            page.push(Mark::Shape(shape));
        }
    }

    /// Room left on the page.
    pub fn room(&self) -> f32 {
        BOTTOM - self.y
    }

    /// Room on an empty page.
    pub fn whole() -> f32 {
        BOTTOM - TOP
    }

    /// Goes on to the next page.
    pub fn turn(&mut self) {
        self.pages.push(Vec::new());
        self.y = TOP;
    }

    /// Goes on to the next page where less room than this is left.
    pub fn need(&mut self, height: f32) {
        if self.room() < height && self.y > TOP {
            self.turn();
        }
    }

    /// Puts words on the page, base line at `y`.
    pub fn words(&mut self, at: At, anchor: Anchor, set: Set, text: &str) {
        if let Some(face) = face::face(set.bold) {
            let lacking = text.chars().filter(|sign| face.drawn(*sign).missing);
            self.missing.extend(lacking);
        }
        self.shape(Shape::Words {
            at,
            anchor,
            size: set.size,
            bold: set.bold,
            ink: set.ink,
            text: text.to_owned(),
        });
    }

    /// A text broken to a width, control and direction marks shown as their numbers.
    pub fn broken(text: &str, set: Set, room: f32) -> Vec<String> {
        let shown: Vec<String> = text.split('\n').map(visible).collect();
        face::face(set.bold).map_or_else(Vec::new, |face| {
            face.lines(&shown.join("\n"), set.size, room)
        })
    }

    /// The head of the first page.
    pub fn title(&mut self, title: &str, vehicle: &str) {
        let set = Set {
            size: 17.0,
            ..Set::BOLD
        };
        self.y += 4.0;
        self.lines_at(LEFT, title, set, WIDTH, 20.0);
        let set = Set {
            size: 10.0,
            ink: Ink::Muted,
            ..Set::PLAIN
        };
        if !vehicle.is_empty() {
            self.lines_at(LEFT, vehicle, set, WIDTH, 13.0);
        }
        self.y += 3.0;
        let line = [(LEFT, self.y), (LEFT + WIDTH, self.y)];
        self.shape(Shape::Line(line.into(), Pen::full(Ink::Ink, 2.0)));
        self.y += 6.0;
    }

    /// Room that the beginning of some blocks needs, so that it does not stand torn from what follows: headings with what
    /// they head, a table's columns with its first row, whole pictures.
    pub fn least(blocks: &[Block]) -> f32 {
        let Some((first, rest)) = blocks.split_first() else {
            return 0.0;
        };
        let least = match first {
            Block::Heading(text) => {
                let lines = Self::broken(text, Set::BOLD, WIDTH).len();
                7.0 + 13.0 * lines as f32 + Self::least(rest)
            }
            Block::Text { text, .. } => {
                Self::together(Self::broken(text, Set::PLAIN, WIDTH).len()) as f32 * LINE
            }
            Block::Facts { .. } => 2.0 * LINE,
            Block::List { items, .. } => {
                let heights = items.iter().take(2).map(|item| Self::item_lines(item));
                heights.sum::<usize>() as f32 * LINE
            }
            Block::Verdict { line, detail, .. } => {
                Self::verdict_room(Self::verdict_lines(line, detail).len()) + 3.0
            }
            Block::Table(table) => Self::table_least(table),
            // A higher one begins on a page of its own.
            Block::Picture(picture) => picture.height * Self::scale(picture) + 30.0,
            Block::Photo(photo) => Self::photo_size(photo).1 + 30.0,
        };
        least.min(Self::whole() - 60.0)
    }

    /// A section begins; its first piece needs so much room.
    pub fn section(&mut self, heading: &str, first: f32) {
        self.need((40.0 + first).clamp(90.0, Self::whole()));
        self.y += 10.0;
        self.sections
            .push((visible(heading), self.pages.len() - 1, self.y));
        let set = Set {
            size: 13.0,
            ..Set::BOLD
        };
        self.lines_at(LEFT, heading, set, WIDTH, 15.0);
        let line = [(LEFT, self.y), (LEFT + WIDTH, self.y)];
        self.shape(Shape::Line(line.into(), Pen::full(Ink::Ink, 0.8)));
        self.y += 7.0;
    }

    /// Of so many lines, how many stay together at the beginning: neither the first nor the last stands alone.
    fn together(lines: usize) -> usize {
        if lines <= 3 { lines } else { 2 }
    }

    /// Lines one under the other, over as many pages as it takes.
    pub fn lines_at(&mut self, x: f32, text: &str, set: Set, room: f32, distance: f32) {
        let lines = Self::broken(text, set, room);
        let count = lines.len();
        for (index, line) in lines.into_iter().enumerate() {
            let kept = match index {
                0 => Self::together(count),
                index if index + 2 == count => 2,
                _ => 1,
            };
            self.need(kept as f32 * distance);
            self.y += distance;
            self.words((x, self.y - 0.26 * distance), Anchor::Start, set, &line);
        }
    }

    /// What a piece rests on, in the margin at its first line.
    pub fn basis(&mut self, basis: Option<Basis>) {
        let Some(basis) = basis else { return };
        let (left, right) = (16.0, LEFT - 6.0);
        let (top, bottom) = (self.y + 1.0, self.y + 10.4);
        let (fill, ink, pen) = match basis {
            Basis::Measured => (Ink::Ink, Ink::Paper, Pen::full(Ink::Ink, 0.6)),
            Basis::Inferred => (Ink::Paper, Ink::Ink, Pen::dashed(Ink::Ink, 0.6, 3.0, 1.6)),
            Basis::Assumed => (Ink::Paper, Ink::Ink, Pen::dashed(Ink::Ink, 0.6, 0.8, 1.2)),
            Basis::Stated => (Ink::Paper, Ink::Muted, Pen::full(Ink::Grid, 0.6)),
        };
        let corners = vec![(left, top), (right, top), (right, bottom), (left, bottom)];
        self.shape(Shape::Area(corners, fill, None));
        let outline = vec![
            (left, top),
            (right, top),
            (right, bottom),
            (left, bottom),
            (left, top),
        ];
        self.shape(Shape::Line(outline, pen));
        let set = Set {
            size: 6.6,
            bold: basis == Basis::Measured,
            ink,
        };
        self.words(
            ((left + right) / 2.0, bottom - 2.6),
            Anchor::Middle,
            set,
            basis.word(),
        );
    }

    /// One block.
    pub fn block(&mut self, block: &'a Block) {
        if !matches!(block, Block::Photo(_)) {
            self.half = None;
        }
        match block {
            Block::Heading(text) => {
                self.need(52.0);
                self.y += 6.0;
                let set = Set {
                    size: 10.0,
                    ..Set::BOLD
                };
                self.lines_at(LEFT, text, set, WIDTH, 13.0);
                self.y += 1.0;
            }
            Block::Text { basis, text } => {
                self.need(2.0 * LINE);
                self.basis(*basis);
                self.lines_at(LEFT, text, Set::PLAIN, WIDTH, LINE);
                self.y += 4.0;
            }
            Block::Facts { basis, facts } => {
                self.need(2.0 * LINE);
                self.basis(Some(*basis));
                for (label, text) in facts {
                    self.fact(label, text);
                }
                self.y += 4.0;
            }
            Block::List { basis, items } => {
                self.need(2.0 * LINE);
                self.basis(*basis);
                for (index, item) in items.iter().enumerate() {
                    // Neither the first nor the last item stands alone on a page.
                    let mut together = Self::together(Self::item_lines(item));
                    if index == 0 || index + 2 == items.len() {
                        together = Self::item_lines(item)
                            + items
                                .get(index + 1)
                                .map_or(0, |next| Self::item_lines(next));
                    }
                    self.need((together as f32 * LINE).min(Self::whole() / 2.0));
                    let dot = Shape::Disc((LEFT + 3.0, self.y + 5.6), 1.4, Ink::Ink, None);
                    self.shape(dot);
                    self.lines_at(LEFT + 10.0, item, Set::PLAIN, WIDTH - 10.0, LINE);
                }
                self.y += 4.0;
            }
            Block::Verdict {
                tone,
                basis,
                line,
                detail,
            } => self.verdict(*tone, *basis, line, detail),
            Block::Table(table) => self.table(table),
            Block::Picture(picture) => self.picture(picture),
            Block::Photo(photo) => self.photo(photo),
        }
    }

    /// Lines that an item of a list takes.
    fn item_lines(item: &str) -> usize {
        Self::broken(item, Set::PLAIN, WIDTH - 10.0).len().max(1)
    }

    fn fact(&mut self, label: &str, text: &str) {
        let value = 118.0;
        let lines = Self::broken(text, Set::PLAIN, WIDTH - value).len();
        self.need(Self::together(lines.max(1)) as f32 * LINE);
        let muted = Set {
            ink: Ink::Muted,
            ..Set::PLAIN
        };
        self.words((LEFT, self.y + 0.74 * LINE), Anchor::Start, muted, label);
        self.lines_at(LEFT + value, text, Set::PLAIN, WIDTH - value, LINE);
    }

    fn verdict(&mut self, tone: Tone, basis: Option<Basis>, line: &str, detail: &str) {
        let (wash, bar) = match tone {
            Tone::Good => (Ink::HealthyWash, Ink::Healthy),
            Tone::Bad => (Ink::SuspectWash, Ink::Suspect),
            Tone::Careful => (Ink::AttentionWash, Ink::Attention),
            Tone::Plain | Tone::Quiet => (Ink::Grid, Ink::Muted),
        };
        let lines = Self::verdict_lines(line, detail);
        let distance = VERDICT_LINE;
        self.need(Self::verdict_room(lines.len()));
        self.y += 3.0;
        self.basis(basis);
        let last = lines.len().saturating_sub(1);
        for (index, (text, set)) in lines.into_iter().enumerate() {
            self.need(distance);
            // The ground is laid line by line, so that it goes on over a page.
            let top = self.y - if index == 0 { 2.0 } else { 0.0 };
            let bottom = self.y + distance + if index == last { 4.0 } else { 0.1 };
            self.ground((LEFT, top), (LEFT + WIDTH, bottom), wash);
            self.ground((LEFT, top), (LEFT + 4.0, bottom), bar);
            self.y += distance;
            self.words((LEFT + 12.0, self.y - 3.0), Anchor::Start, set, &text);
        }
        self.y += 9.0;
    }

    fn verdict_room(lines: usize) -> f32 {
        (lines as f32 * VERDICT_LINE + 10.0).min(Self::whole())
    }

    fn verdict_lines(line: &str, detail: &str) -> Vec<(String, Set)> {
        let room = WIDTH - 22.0;
        let head = Set {
            size: 9.4,
            ..Set::BOLD
        };
        let set = |text: &str, set: Set| {
            let lines = Self::broken(text, set, room).into_iter();
            lines.map(move |line| (line, set))
        };
        let mut lines: Vec<(String, Set)> = set(line, head).collect();
        if !detail.is_empty() {
            lines.extend(set(detail, Set::PLAIN));
        }
        lines
    }

    /// A filled rectangle.
    pub fn ground(&mut self, from: At, to: At, ink: Ink) {
        let corners = vec![from, (to.0, from.1), to, (from.0, to.1)];
        self.shape(Shape::Area(corners, ink, None));
    }

    /// Says which characters the font lacks, if any: they are drawn as a box, and stay what they are when copied.
    pub fn missing(&mut self) {
        if self.missing.is_empty() {
            return;
        }
        let named: Vec<String> = self
            .missing
            .iter()
            .take(NAMED)
            .map(|sign| format!("U+{:04X}", u32::from(*sign)))
            .collect();
        let more = if self.missing.len() > NAMED {
            " and others"
        } else {
            ""
        };
        let text = format!(
            "The font of this report lacks {}{more}; a box stands for each, and copying gives the character itself.",
            named.join(", ")
        );
        self.caption(&text);
    }
}
