//! Tables: columns by share, cells broken into lines, headings again on every page.

use super::flow::{Flow, LEFT, Set, WIDTH};
use crate::report::{
    content::{Row, Side, Table, Tone},
    picture::{Anchor, Ink, Pen, Shape},
};

/// Size of the words in tables, distance of their lines, and air over and under a row.
const SIZE: f32 = 7.4;
const LINE: f32 = 9.6;
const AIR: f32 = 2.2;
/// Air between columns.
const GAP: f32 = 7.0;

/// A column on the page.
struct Placed {
    left: f32,
    room: f32,
    side: Side,
}

/// Where the columns of a table stand.
fn placed(table: &Table) -> Vec<Placed> {
    let total: f32 = table.columns.iter().map(|column| column.share).sum();
    let air = GAP * table.columns.len().saturating_sub(1) as f32;
    let mut left = LEFT;
    let mut columns = Vec::new();
    for column in &table.columns {
        let room = (WIDTH - air) * column.share / total.max(0.1);
        columns.push(Placed {
            left,
            room,
            side: column.side,
        });
        left += room + GAP;
    }
    columns
}

fn head_of(table: &Table) -> Row {
    let heads = table.columns.iter().map(|column| column.name.to_owned());
    Row {
        cells: heads.collect(),
        tone: Tone::Plain,
    }
}

/// Height of a row in some type.
fn height(columns: &[Placed], row: &Row, set: Set) -> f32 {
    let cells = broken(columns, row, |_| set);
    let lines = cells.iter().map(Vec::len).max().unwrap_or(0).max(1);
    lines as f32 * LINE + 2.0 * AIR
}

const PLAIN: Set = Set {
    size: SIZE,
    ..Set::PLAIN
};
const BOLD: Set = Set {
    size: SIZE,
    ..Set::BOLD
};

impl Flow<'_> {
    /// Room for the columns of a table with its first two rows, or with the beginning of rows that are longer than half a
    /// page.
    pub fn table_least(table: &Table) -> f32 {
        let columns = placed(table);
        // Bold words are wider, so that no row turns out higher than this.
        let rows = table.rows.iter().take(2);
        let first: f32 = rows.map(|row| height(&columns, row, BOLD)).sum();
        height(&columns, &head_of(table), BOLD) + first.min(Self::whole() / 2.0)
    }

    /// A table.
    pub fn table(&mut self, table: &Table) {
        let (columns, head) = (placed(table), head_of(table));
        self.need(Self::table_least(table));
        self.basis(Some(table.basis));
        self.head(&columns, &head);
        for (index, row) in table.rows.iter().enumerate() {
            // The last two stay together, so that no page has a single row left over.
            let pair = match &table.rows[index..] {
                [one, two] => height(&columns, one, BOLD) + height(&columns, two, BOLD),
                _ => 0.0,
            };
            if index > 0 && self.room() < pair.min(Self::whole() / 2.0) {
                self.turn();
                self.head(&columns, &head);
            }
            self.row(&columns, row, &head);
        }
        self.y += 7.0;
    }

    fn head(&mut self, columns: &[Placed], head: &Row) {
        let set = BOLD;
        let cells = broken(columns, head, |_| set);
        let height = cells.iter().map(Vec::len).max().unwrap_or(1) as f32 * LINE;
        self.y += AIR;
        self.cells(columns, &cells, |_| set);
        self.y += height + AIR;
        let line = vec![(LEFT, self.y), (LEFT + WIDTH, self.y)];
        self.shape(Shape::Line(line, Pen::full(Ink::Ink, 0.9)));
    }

    /// A row; one that is longer than a page goes on over pages.
    fn row(&mut self, columns: &[Placed], row: &Row, head: &Row) {
        let last = columns.len().saturating_sub(1);
        let set = |index: usize| {
            let plain = PLAIN;
            match row.tone {
                Tone::Quiet => Set {
                    ink: Ink::Muted,
                    ..plain
                },
                Tone::Good if index == last => Set {
                    ink: Ink::Healthy,
                    bold: true,
                    ..plain
                },
                Tone::Bad if index == last => Set {
                    ink: Ink::Suspect,
                    bold: true,
                    ..plain
                },
                _ => plain,
            }
        };
        let mut cells = broken(columns, row, set);
        loop {
            let lines = cells.iter().map(Vec::len).max().unwrap_or(0).max(1);
            let height = lines as f32 * LINE + 2.0 * AIR;
            if self.room() < height.min(Self::whole() / 2.0) {
                self.turn();
                self.head(columns, head);
            }
            let fit = (((self.room() - 2.0 * AIR) / LINE).floor().max(1.0) as usize).min(lines);
            let rest: Vec<Vec<String>> = cells
                .iter_mut()
                .map(|cell| cell.split_off(fit.min(cell.len())))
                .collect();
            let height = fit as f32 * LINE + 2.0 * AIR;
            let wash = match row.tone {
                Tone::Bad => Some(Ink::SuspectWash),
                Tone::Careful => Some(Ink::AttentionWash),
                _ => None,
            };
            if let Some(wash) = wash {
                self.ground(
                    (LEFT - 2.0, self.y),
                    (LEFT + WIDTH + 2.0, self.y + height),
                    wash,
                );
            }
            self.y += AIR;
            self.cells(columns, &cells, set);
            self.y += height - AIR;
            cells = rest;
            if cells.iter().all(Vec::is_empty) {
                break;
            }
        }
        let line = vec![(LEFT, self.y), (LEFT + WIDTH, self.y)];
        self.shape(Shape::Line(line, Pen::full(Ink::Grid, 0.5)));
    }

    fn cells(&mut self, columns: &[Placed], cells: &[Vec<String>], set: impl Fn(usize) -> Set) {
        for (index, (column, lines)) in columns.iter().zip(cells).enumerate() {
            for (number, line) in lines.iter().enumerate() {
                let y = self.y + (number as f32 + 0.76) * LINE;
                let (x, anchor) = match column.side {
                    Side::Left => (column.left, Anchor::Start),
                    Side::Right => (column.left + column.room, Anchor::End),
                };
                self.words((x, y), anchor, set(index), line);
            }
        }
    }
}

fn broken(columns: &[Placed], row: &Row, set: impl Fn(usize) -> Set) -> Vec<Vec<String>> {
    let cells = columns.iter().zip(&row.cells).enumerate();
    cells
        .map(|(index, (column, cell))| Flow::broken(cell, set(index), column.room))
        .collect()
}
