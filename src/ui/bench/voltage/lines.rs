//! Bands and lines of the plot.

use egui_plot::{FilledArea, Line, LineStyle, PlotPoints};

use super::super::sheet::Sheet;
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

fn points(piece: &[Level]) -> PlotPoints<'static> {
    piece.iter().map(|level| [level.x, level.volts]).collect()
}

/// Bands and lines of the plot.
pub type Items = (Vec<FilledArea>, Vec<Line<'static>>);

/// Bands and lines from back to front: healthy, branches, and the way to the suspect.
pub fn items(
    theme: &Theme,
    sheet: &Sheet<'_>,
    profile: &Profile,
    state: &State,
    axis: &Axis,
) -> Items {
    let c = &theme.colour;
    let (mut bands, mut lines) = (Vec::new(), Vec::new());
    let unplugged = |part: &&PlacedPart| state.unplugged.contains(&part.id);
    let parted = sheet.harness.parts.iter().filter(unplugged);
    let breaks: Vec<f64> = parted.map(|part| part.at.x).collect();
    let pieces = |levels: &[Level]| pieces(levels, axis, &breaks);
    if axis.strip.is_none() {
        for piece in profile.lines.iter().flat_map(|lead| pieces(&lead.healthy)) {
            let all = |pick: fn(&Level) -> f64| piece.iter().map(pick).collect::<Vec<f64>>();
            let (x, low, high) = (all(|l| l.x), all(|l| l.low), all(|l| l.high));
            let band = FilledArea::new("healthy band", &x, &low, &high);
            bands.push(band.fill_color(c.healthy_wash));
            let line = Line::new("should read", points(&piece));
            lines.push(line.color(c.healthy).width(STRONG));
        }
    }
    let (on, aside): (Vec<&Lead>, Vec<&Lead>) =
        profile.lines.iter().partition(|lead| leads_on(sheet, lead));
    for piece in aside.iter().flat_map(|lead| pieces(&lead.suspected)) {
        let line = Line::new("under the top suspect", points(&piece))
            .color(c.bar)
            .style(LineStyle::dashed_dense())
            .width(STRONG);
        lines.push(line);
    }
    for piece in on.iter().flat_map(|lead| pieces(&lead.suspected)) {
        let line = Line::new("under the top suspect", points(&piece));
        lines.push(line.color(c.suspect).width(STRONG + 0.8));
    }
    (bands, lines)
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
