//! Bands and lines of the plot.

use egui::{Color32, Mesh, Painter, Pos2, Shape, Stroke};

use super::{super::sheet::Sheet, VoltScale};
use crate::{
    circuit::{PartRef, Point},
    drawing::{
        PlacedPart,
        axis::Axis,
        profile::{Level, Line as Lead, Profile},
    },
    reading::State,
    ui::theme::{STRONG, Theme},
};

/// The pieces of a line. Both faces of a mated pin lie on one metre and nearly the same volts: as one point they leave
/// no corner. A drop of some size at one metre is an upright piece of its own; at something unplugged the line breaks.
fn pieces(levels: &[Level], axis: &Axis, breaks: &[f64]) -> Vec<Vec<Level>> {
    let least = (axis.high - axis.low) * 0.02;
    let mut pieces: Vec<Vec<Level>> = vec![Vec::new()];
    for &here in levels {
        let last = pieces.last().and_then(|piece| piece.last()).copied();
        match (
            last.filter(|last| (last.x - here.x).abs() < 1e-3),
            pieces.last_mut(),
        ) {
            (Some(last), _) if (last.volts - here.volts).abs() < least => {}
            (None, Some(piece)) => piece.push(here),
            (Some(last), _) if !breaks.iter().any(|x| (x - here.x).abs() < 1e-3) => {
                pieces.push(vec![last, here]);
                pieces.push(vec![here]);
            }
            _ => pieces.push(vec![here]),
        }
    }
    pieces.retain(|piece| piece.len() > 1);
    pieces
}

/// A line that can be asked for its volts.
pub struct Drawn<'a> {
    /// What it tells.
    pub tells: Tells,
    /// The lead along which it runs.
    pub lead: &'a Lead,
    /// Its unbroken pieces.
    pub pieces: Vec<Vec<Level>>,
}

/// What a line tells.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Tells {
    /// The volts with nothing wrong.
    Should,
    /// The volts under the top suspect, on the way to it.
    Suspected,
    /// The same aside from that way.
    Aside,
}

impl Drawn<'_> {
    /// Volts at a metre, if the line passes there.
    pub fn at(&self, metre: f64) -> Option<f64> {
        self.pieces.iter().find_map(|piece| {
            piece.windows(2).find_map(|pair| {
                let (a, b) = (pair[0], pair[1]);
                let run = b.x - a.x;
                let inside = (a.x..=b.x).contains(&metre) && run > 1e-9;
                inside.then(|| a.volts + (b.volts - a.volts) * (metre - a.x) / run)
            })
        })
    }
}

/// The lines of the plot from back to front: healthy, branches, and the way to the suspect.
pub fn lines<'a>(
    sheet: &Sheet<'_>,
    profile: &'a Profile,
    state: &State,
    axis: &Axis,
) -> Vec<Drawn<'a>> {
    let unplugged = |part: &&PlacedPart| state.unplugged.contains(&part.id);
    let parted = sheet.harness.parts.iter().filter(unplugged);
    let breaks: Vec<f64> = parted.map(|part| part.at.x).collect();
    let drawn = |tells: Tells, lead: &'a Lead, levels: &[Level]| Drawn {
        tells,
        lead,
        pieces: pieces(levels, axis, &breaks),
    };
    let should = profile.lines.iter();
    let mut lines: Vec<Drawn<'a>> = should
        .map(|lead| drawn(Tells::Should, lead, &lead.healthy))
        .collect();
    let (on, aside): (Vec<&Lead>, Vec<&Lead>) =
        profile.lines.iter().partition(|lead| leads_on(sheet, lead));
    let aside = aside.into_iter();
    lines.extend(aside.map(|lead| drawn(Tells::Aside, lead, &lead.suspected)));
    let on = on.into_iter();
    lines.extend(on.map(|lead| drawn(Tells::Suspected, lead, &lead.suspected)));
    lines
}

/// Draws them; the healthy ones, with their bands, only where they are on the scale.
pub fn lines_ui(painter: &Painter, theme: &Theme, lines: &[Drawn<'_>], scale: &VoltScale<'_>) {
    let c = &theme.colour;
    for line in lines {
        for piece in &line.pieces {
            let path = || piece.iter().map(|level| scale.at(level.x, level.volts));
            match line.tells {
                Tells::Should if scale.axis.strip.is_some() => {}
                Tells::Should => {
                    painter.add(band(piece, scale, c.healthy_wash));
                    let stroke = Stroke::new(STRONG, c.healthy);
                    painter.add(Shape::line(path().collect(), stroke));
                }
                Tells::Aside => {
                    let path: Vec<Pos2> = path().collect();
                    let stroke = Stroke::new(STRONG, c.bar);
                    painter.extend(Shape::dashed_line(&path, stroke, 5.0, 4.0));
                }
                Tells::Suspected => {
                    let stroke = Stroke::new(STRONG + 0.8, c.suspect);
                    painter.add(Shape::line(path().collect(), stroke));
                }
            }
        }
    }
}

/// The room between both ends of each level.
fn band(piece: &[Level], scale: &VoltScale<'_>, colour: Color32) -> Shape {
    let mut mesh = Mesh::default();
    for level in piece {
        mesh.colored_vertex(scale.at(level.x, level.high), colour);
        mesh.colored_vertex(scale.at(level.x, level.low), colour);
    }
    let last = u32::try_from(piece.len())
        .unwrap_or(u32::MAX)
        .saturating_sub(1);
    for k in 0..last {
        let at = 2 * k;
        mesh.add_triangle(at, at + 1, at + 2);
        mesh.add_triangle(at + 1, at + 3, at + 2);
    }
    Shape::mesh(mesh)
}

/// Whether a lead is the trunk or leads by the top suspect.
fn leads_on(sheet: &Sheet<'_>, line: &Lead) -> bool {
    let Some(top) = sheet.findings.and_then(|found| found.suspects.first()) else {
        return line.trunk;
    };
    let part = &top.site.part;
    let ends: Vec<&Point> = match sheet.circuit.part(part) {
        Some(PartRef::Wire(wire)) => vec![&wire.to],
        Some(PartRef::Load(load)) => vec![&load.feed],
        _ => Vec::new(),
    };
    let by = |point: &Point| point.part == *part || ends.contains(&point);
    let lead = sheet
        .harness
        .leads
        .iter()
        .find(|lead| lead.points.last() == Some(&line.end));
    line.trunk || lead.is_some_and(|lead| lead.points.iter().skip(1).any(by))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_line_answers_between_its_points_and_nowhere_else() {
        let level = |x: f64, volts: f64| Level {
            x,
            volts,
            low: volts,
            high: volts,
        };
        let lead = Lead {
            lane: 0,
            trunk: true,
            end: Point::battery_negative(),
            healthy: Vec::new(),
            suspected: Vec::new(),
        };
        let line = Drawn {
            tells: Tells::Suspected,
            lead: &lead,
            pieces: vec![
                vec![level(0.0, 5.0), level(2.0, 4.0)],
                vec![level(3.0, 1.0), level(4.0, 1.0)],
            ],
        };
        assert_eq!(line.at(0.5), Some(4.75));
        assert_eq!(line.at(2.5), None, "it is broken there");
        assert_eq!(line.at(4.0), Some(1.0));
    }
}
