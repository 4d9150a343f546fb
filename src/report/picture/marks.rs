//! Suspicion on the harness: hatched swellings along wires, rings round parts, and the words beside them.

use super::{
    Anchor, At, Ink, Pen, Picture, Shape,
    harness::{SMALL, Sheet},
};
use crate::{
    diagnosis::{Findings, Suspect},
    drawing::Run,
    fault::FaultKind,
    quantity::format::percent,
    report::face::width,
};

/// Suspects that are marked by name.
const NAMED: usize = 5;
/// Probability from which a suspect is marked at all.
const WORTH: f64 = 0.02;
/// Distance of the strokes of a hatching.
const HATCH: f32 = 3.0;

/// Places on the paper that words must not cover.
pub(super) struct Taken {
    /// Width of the paper.
    width: f32,
    /// How far from their thing words may stand; farther off they would be read as another lane's.
    reach: f32,
    areas: Vec<(At, At)>,
}

impl Taken {
    /// Nothing is taken of a paper of this width with lanes of this height.
    pub fn none(width: f32, lane: f32) -> Self {
        Self {
            width,
            reach: 0.62 * lane,
            areas: Vec::new(),
        }
    }

    /// Takes an area.
    pub fn area(&mut self, from: At, to: At) {
        self.areas.push((from, to));
    }

    /// Takes a line with some room on both sides.
    pub fn along(&mut self, a: At, b: At, room: f32) {
        let (low, high) = ((a.0.min(b.0), a.1.min(b.1)), (a.0.max(b.0), a.1.max(b.1)));
        self.area((low.0 - room, low.1 - room), (high.0 + room, high.1 + room));
    }

    /// Takes the place of words.
    pub fn words(&mut self, at: At, text: &str, size: f32, anchor: Anchor) {
        let (from, to) = extent(at, text, size, anchor);
        self.area(from, to);
    }

    /// Takes the place of words, if it is free.
    pub fn take(&mut self, at: At, text: &str, size: f32, anchor: Anchor) -> bool {
        let (from, to) = extent(at, text, size, anchor);
        let free = self.is_free(from, to);
        if free {
            self.area(from, to);
        }
        free
    }

    fn is_free(&self, from: At, to: At) -> bool {
        !self
            .areas
            .iter()
            .any(|(low, high)| from.0 < high.0 && to.0 > low.0 && from.1 < high.1 && to.1 > low.1)
    }

    /// A free place for words centred over, or else under, a point; it is taken. None where both are taken.
    pub fn near(&mut self, at: At, distance: f32, text: &str, size: f32) -> Option<At> {
        let over = at.1 - distance;
        let under = at.1 + distance + size * 0.8;
        let step = size + 1.0;
        let heights = [over, under, over - step, under + step, over - 2.0 * step];
        self.first_free(at, heights, text, size)
    }

    /// A free place for words centred under a point, or else over it; it is taken.
    pub fn under(&mut self, at: At, distance: f32, text: &str, size: f32) -> Option<At> {
        let under = at.1 + distance;
        let over = at.1 - distance + size * 0.6;
        let heights = [under, over, under + size, over - size, under + 2.0 * size];
        self.first_free(at, heights, text, size)
    }

    fn first_free(&mut self, (x, own): At, heights: [f32; 5], text: &str, size: f32) -> Option<At> {
        // Where all of them are taken, somewhat to either side.
        let aside = 0.5 * width(text, size, true) + 6.0;
        let columns = [x, x + aside, x - aside];
        let reach = self.reach;
        let mut places = (columns.into_iter())
            .flat_map(|x| heights.map(|y| (x, y)))
            .filter(|at| (at.1 - own).abs() <= reach);
        let found = places.find(|&at| {
            let (from, to) = extent(at, text, size, Anchor::Middle);
            let on_paper = from.1 > 0.0 && from.0 > 0.0 && to.0 < self.width;
            on_paper && self.is_free(from, to)
        })?;
        self.words(found, text, size, Anchor::Middle);
        Some(found)
    }
}

fn extent(at: At, text: &str, size: f32, anchor: Anchor) -> (At, At) {
    let wide = width(text, size, true);
    let left = match anchor {
        Anchor::Start => at.0,
        Anchor::Middle => at.0 - wide / 2.0,
        Anchor::End => at.0 - wide,
    };
    ((left, at.1 - size * 0.8), (left + wide, at.1 + size * 0.25))
}

/// The suspects worth marking, with their chance in words.
pub(super) fn suspicion(findings: &Findings) -> Vec<(&Suspect, String)> {
    findings
        .suspects
        .iter()
        .filter(|suspect| suspect.probability >= WORTH)
        .take(NAMED)
        .map(|suspect| (suspect, percent(suspect.probability)))
        .collect()
}

/// Hatched swellings where a short may lie along a wire; the higher, the likelier.
pub(super) fn swellings(picture: &mut Picture, sheet: &Sheet<'_>, taken: &mut Taken) {
    let dense = |run: &Run, cells: &[f64], p: f64| p * cells.len() as f64 / run.length.max(0.01);
    let mut highest: f64 = 0.0;
    for found in &sheet.findings.densities {
        if let Some(run) = sheet.harness.run(&found.wire) {
            let most = found.cells.iter().copied().fold(0.0, f64::max);
            highest = highest.max(dense(run, &found.cells, most));
        }
    }
    if highest <= 0.0 {
        return;
    }
    for found in &sheet.findings.densities {
        let total: f64 = found.cells.iter().sum();
        let Some(run) = sheet.harness.run(&found.wire).filter(|_| total >= WORTH) else {
            continue;
        };
        let count = found.cells.len() as f64;
        for (index, &cell) in found.cells.iter().enumerate() {
            let height = dense(run, &found.cells, cell) / highest;
            let a = run.at(index as f64 / count);
            let b = run.at((index + 1) as f64 / count);
            if height < 0.03 || a.lane != b.lane {
                continue;
            }
            let half = 3.5 + 8.5 * height.sqrt() as f32;
            let (a, b) = (sheet.scale.at(a), sheet.scale.at(b));
            swell(picture, a.0.min(b.0), a.0.max(b.0), a.1, half);
            taken.along(a, b, half);
        }
    }
}

fn swell(picture: &mut Picture, left: f32, right: f32, y: f32, half: f32) {
    picture.rect((left, y - half), (right, y + half), Ink::SuspectWash, None);
    // Strokes lie on one raster across cells, so that neighbours join.
    let mut stroke = (left / HATCH).ceil() as i32;
    while stroke as f32 * HATCH < right {
        let x = stroke as f32 * HATCH;
        let lean = half.min(4.0);
        picture.line(
            [(x - lean / 2.0, y + half), (x + lean / 2.0, y - half)],
            Pen::full(Ink::Suspect, 0.7),
        );
        stroke += 1;
    }
}

fn lies_on_wire(sheet: &Sheet<'_>, suspect: &Suspect) -> bool {
    let along = sheet.findings.densities.iter();
    suspect.position.is_some() && along.into_iter().any(|d| d.wire == suspect.site.part)
}

/// Rings round suspects that are no stretch of wire.
pub(super) fn rings(picture: &mut Picture, sheet: &Sheet<'_>, taken: &mut Taken) {
    for (suspect, _) in suspicion(sheet.findings) {
        if lies_on_wire(sheet, suspect) {
            continue;
        }
        let thick = 0.8 + 2.0 * suspect.probability as f32;
        let pen = Pen::dashed(Ink::Suspect, thick, 3.0, 1.6);
        if let Some(at) = middle(sheet, suspect) {
            let (wide, high) = if sheet.harness.run(&suspect.site.part).is_some() {
                (15.0, 6.0)
            } else {
                (11.0, 10.0)
            };
            let (from, to) = ((at.0 - wide, at.1 - high), (at.0 + wide, at.1 + high));
            let corners = [from, (to.0, from.1), to, (from.0, to.1), from];
            picture.line(corners, pen);
            taken.along((from.0, from.1), (to.0, from.1), 1.0);
            taken.along((from.0, to.1), (to.0, to.1), 1.0);
        }
    }
}

/// Where a suspect is: along its wire where that is known, else at its pin or symbol.
fn middle(sheet: &Sheet<'_>, suspect: &Suspect) -> Option<At> {
    let part = &suspect.site.part;
    if let Some(run) = sheet.harness.run(part) {
        let wire = sheet.question.circuit.wires.get(run.wire)?;
        let fraction = suspect.position.as_ref().map_or(0.5, |position| {
            let along = position.metres.median / position.length.max(1e-9);
            if position.from == wire.from {
                along
            } else {
                1.0 - along
            }
        });
        return Some(sheet.scale.at(run.at(fraction)));
    }
    let placed = sheet.harness.part(part)?;
    let pin = placed
        .pins
        .iter()
        .find(|pin| Some(pin.pin) == suspect.site.pin);
    let at = sheet.scale.at(pin.map_or(placed.at, |pin| pin.near));
    let inside = matches!(
        suspect.kind,
        FaultKind::DrawsTooMuch | FaultKind::DrawsNothing | FaultKind::SignalStuck
    );
    Some(if inside { (at.0 + 21.0, at.1) } else { at })
}

/// The names of suspects with their chance, and what was repaired.
pub(super) fn named(
    picture: &mut Picture,
    sheet: &Sheet<'_>,
    repaired: &[String],
    taken: &mut Taken,
) {
    for (suspect, chance) in suspicion(sheet.findings) {
        let Some(at) = middle(sheet, suspect) else {
            continue;
        };
        let text = format!("{} · {chance}", suspect.site);
        let size = SMALL + 1.0;
        if let Some(free) = taken.near(at, 14.0, &text, size) {
            picture.bold(free, Anchor::Middle, size, Ink::Suspect, text);
        }
    }
    for part in repaired {
        let run = sheet.harness.run(part);
        let at = run
            .map(|run| sheet.scale.at(run.at(0.5)))
            .or_else(|| sheet.symbol(part));
        let Some(at) = at else { continue };
        let text = format!("✓ {part} repaired");
        if let Some(free) = taken.near(at, 14.0, &text, SMALL) {
            picture.bold(free, Anchor::Middle, SMALL, Ink::Healthy, text);
        }
    }
    picture
        .shapes
        .retain(|shape| !matches!(shape, Shape::Words { text, .. } if text.is_empty()));
}
