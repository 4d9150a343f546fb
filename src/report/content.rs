//! What a report holds, as plain data: sections of blocks, each saying what it rests on.

use super::{photo::Photo, picture::Picture};

/// For whom a report is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Reader {
    /// The shop that asked: concern, cause, correction, what was disturbed, what remains.
    Shop,
    /// The insurer: before and after, plug states, minutes, what belongs to the loss.
    Insurer,
    /// The technician: the full log with the wrong turns.
    Own,
}

impl Reader {
    /// All of them, in the order of the report.
    pub const ALL: [Self; 3] = [Self::Shop, Self::Insurer, Self::Own];

    /// What the command line calls it.
    pub fn word(self) -> &'static str {
        match self {
            Self::Shop => "shop",
            Self::Insurer => "insurer",
            Self::Own => "own",
        }
    }
}

/// What a statement rests on. Kept apart throughout.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Basis {
    /// A meter or a scan showed it.
    Measured,
    /// It was computed from that.
    Inferred,
    /// It was taken for granted, and could be otherwise.
    Assumed,
    /// Somebody wrote it down.
    Stated,
}

impl Basis {
    /// The word in the margin.
    pub fn word(self) -> &'static str {
        match self {
            Self::Measured => "measured",
            Self::Inferred => "inferred",
            Self::Assumed => "assumed",
            Self::Stated => "stated",
        }
    }
}

/// How a piece stands out.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Tone {
    /// Not at all.
    #[default]
    Plain,
    /// Good: proved, right.
    Good,
    /// Bad: wrong, not proved.
    Bad,
    /// To be careful with, or not finished.
    Careful,
    /// Said with less weight: set aside, not used.
    Quiet,
}

/// How a column is set.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Side {
    /// From the left.
    Left,
    /// Figures, from the right.
    Right,
}

/// A column.
#[derive(Clone, Debug, PartialEq)]
pub struct Column {
    /// Its heading.
    pub name: &'static str,
    /// Its share of the width.
    pub share: f32,
    /// How it is set.
    pub side: Side,
}

impl Column {
    /// A column of words.
    pub fn words(name: &'static str, share: f32) -> Self {
        Self {
            name,
            share,
            side: Side::Left,
        }
    }

    /// A column of figures.
    pub fn figures(name: &'static str, share: f32) -> Self {
        Self {
            side: Side::Right,
            ..Self::words(name, share)
        }
    }
}

/// A row.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Row {
    /// One text per column.
    pub cells: Vec<String>,
    /// How it stands out.
    pub tone: Tone,
}

impl Row {
    /// A plain row.
    pub fn plain<const N: usize>(cells: [String; N]) -> Self {
        Self {
            cells: cells.into(),
            tone: Tone::Plain,
        }
    }

    /// The same row, standing out.
    #[must_use]
    pub fn toned(self, tone: Tone) -> Self {
        Self { tone, ..self }
    }
}

/// A table.
#[derive(Clone, Debug, PartialEq)]
pub struct Table {
    /// What it rests on.
    pub basis: Basis,
    /// Columns.
    pub columns: Vec<Column>,
    /// Rows.
    pub rows: Vec<Row>,
}

/// A piece of a section.
#[derive(Clone, Debug, PartialEq)]
pub enum Block {
    /// A small heading.
    Heading(String),
    /// A paragraph.
    Text {
        /// What it rests on; none for words about the report itself.
        basis: Option<Basis>,
        /// The words; line breaks are kept.
        text: String,
    },
    /// Labels with what stands for them.
    Facts {
        /// What they rest on.
        basis: Basis,
        /// Label and text.
        facts: Vec<(&'static str, String)>,
    },
    /// A list.
    List {
        /// What it rests on.
        basis: Option<Basis>,
        /// The items.
        items: Vec<String>,
    },
    /// A framed statement: the answer, the proof, a caution.
    Verdict {
        /// How it stands out.
        tone: Tone,
        /// What it rests on.
        basis: Option<Basis>,
        /// The statement.
        line: String,
        /// What is to be said with it; may be empty.
        detail: String,
    },
    /// A table.
    Table(Table),
    /// A drawing.
    Picture(Picture),
    /// A photo.
    Photo(Photo),
}

impl Block {
    /// A table, unless it has no row.
    pub fn table(basis: Basis, columns: Vec<Column>, rows: Vec<Row>) -> Option<Self> {
        (!rows.is_empty()).then_some(Self::Table(Table {
            basis,
            columns,
            rows,
        }))
    }
}

/// A section.
#[derive(Clone, Debug, PartialEq)]
pub struct Section {
    /// For whom it is mainly.
    pub heading: String,
    /// Its pieces.
    pub blocks: Vec<Block>,
}

/// A report.
#[derive(Clone, Debug, PartialEq)]
pub struct Report {
    /// The job.
    pub title: String,
    /// The vehicle.
    pub vehicle: String,
    /// What stands at the foot of every page: from which record it was made.
    pub foot: String,
    /// Its sections.
    pub sections: Vec<Section>,
}

impl Report {
    /// Every text of the report that is printed, in order. What is drawn in pictures is not among them.
    pub fn texts(&self) -> Vec<&str> {
        let mut texts: Vec<&str> = vec![&self.title, &self.vehicle, &self.foot];
        for section in &self.sections {
            texts.push(&section.heading);
            for block in &section.blocks {
                match block {
                    Block::Heading(text) | Block::Text { text, .. } => texts.push(text),
                    Block::Facts { facts, .. } => {
                        texts.extend(facts.iter().flat_map(|(label, text)| [*label, text]));
                    }
                    Block::List { items, .. } => texts.extend(items.iter().map(String::as_str)),
                    Block::Verdict { line, detail, .. } => texts.extend([line.as_str(), detail]),
                    Block::Table(table) => {
                        texts.extend(table.columns.iter().map(|column| column.name));
                        let cells = table.rows.iter().flat_map(|row| &row.cells);
                        texts.extend(cells.map(String::as_str));
                    }
                    Block::Picture(picture) => texts.push(&picture.caption),
                    Block::Photo(photo) => texts.push(&photo.caption),
                }
            }
        }
        texts.retain(|text| !text.is_empty());
        texts
    }
}
