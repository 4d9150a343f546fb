//! Suspicion on the drawing: hatched swellings along wires, hatched rings round pins and loads.

use egui::{CornerRadius, Painter, Pos2, Rect, Stroke, StrokeKind, pos2, vec2};

use super::{
    draw::{hatch_ui, wire_path},
    place::Taken,
    sheet::Sheet,
    view::View,
};
use crate::{drawing::Run, ui::theme::Theme};

/// Least width of one step of a swelling, in points.
const STEP: f32 = 6.0;
/// Half-height of the thickest swelling, and the least at which one is seen on both sides of its wire.
const SWELL: f32 = 25.0;
const SEEN: f32 = 8.0;
/// Share of a wire's own mean density from which a piece of it counts as suspected with the wire.
const SUSPECTED: f64 = 0.5;
/// Probability below which a symbol has no ring.
pub const RING: f64 = 0.04;

/// Draws the swellings of wires; call before the wires.
pub fn swellings_ui(
    painter: &Painter,
    theme: &Theme,
    sheet: &Sheet<'_>,
    view: &View,
    taken: &mut Taken,
) {
    let spread: Vec<(&Run, &[f64])> = sheet
        .harness
        .runs
        .iter()
        .filter_map(|run| Some((run, sheet.chances.wire(&run.id)?)))
        .collect();
    let densest_of = |run: &Run, cells: &[f64]| {
        let metres = run.length.max(0.01) / cells.len() as f64;
        cells.iter().copied().fold(0.0, f64::max) / metres
    };
    let of_all = spread.iter().map(|(run, cells)| densest_of(run, cells));
    let densest = of_all.fold(0.0, f64::max);
    let likeliest = spread
        .iter()
        .map(|(_, cells)| cells.iter().sum())
        .fold(0.0, f64::max);
    if densest <= 0.0 {
        return;
    }
    // Where it accuses many and names none, the likeliest of them.
    let accuses = sheet
        .findings
        .is_some_and(|found| found.accused().is_some());
    let least = if accuses && sheet.named().is_empty() {
        RING.min(likeliest)
    } else {
        RING
    };
    // Little suspicion, spread widely, whispers; a culprit shouts.
    let loudness = |of: f64| of.clamp(0.0, 1.0).powf(0.8);
    for (run, cells) in spread {
        let path = wire_path(run, view);
        let all: f64 = cells.iter().sum();
        // What the answer names is seen, however thin its probability lies on a long wire, and what would have a ring if it were
        // a symbol.
        let named = sheet.is_named(&run.id) || all >= least;
        // What the answer names is as loud as it is likely, whatever lies closer together on a shorter wire.
        let (densest, loudness) = if sheet.is_named(&run.id) {
            (densest_of(run, cells), loudness(all))
        } else {
            (densest, loudness(likeliest))
        };
        let mean = all / run.length.max(0.01);
        for (a, b, density) in merged(run, cells, view) {
            let height = SWELL * ((density / densest).sqrt() * loudness) as f32;
            let height = if named && density >= SUSPECTED * mean {
                height.max(SEEN)
            } else {
                height
            };
            if height < 4.0 {
                continue;
            }
            let (a, b) = (view.at(run.at(a)), view.at(run.at(b)));
            // Where the line bends, the swelling goes along.
            let (start, end) = (height_at(&path, a), height_at(&path, b));
            let rect = Rect::from_two_pos(
                pos2(a.x, start.min(end) - height),
                pos2(b.x, start.max(end) + height),
            );
            let seen = rect.intersect(view.rect);
            if seen.is_positive() {
                taken.take_line(seen);
                hatch_ui(
                    painter,
                    seen,
                    theme.colour.suspect_wash,
                    theme.colour.suspect,
                );
            }
        }
    }
}

/// Where the line of a wire runs at the x of a place on it.
fn height_at(path: &[Pos2], at: Pos2) -> f32 {
    let near = path.windows(2).filter_map(|pair| {
        let (a, b) = (pair[0], pair[1]);
        let across = (a.x.min(b.x)..=a.x.max(b.x)).contains(&at.x) && (b.x - a.x).abs() > 1e-3;
        across.then(|| a.y + (b.y - a.y) * (at.x - a.x) / (b.x - a.x))
    });
    near.min_by(|a, b| (a - at.y).abs().total_cmp(&(b - at.y).abs()))
        .unwrap_or(at.y)
}

/// Cells as (from, to, probability per metre), joined until each is wide enough to see.
fn merged(run: &Run, cells: &[f64], view: &View) -> Vec<(f64, f64, f64)> {
    let count = cells.len();
    let metres = run.length.max(0.01) / count as f64;
    let width = metres as f32 * view.scale;
    let join = ((STEP / width.max(1e-3)).ceil() as usize).clamp(1, count);
    cells
        .chunks(join)
        .enumerate()
        .map(|(index, chunk)| {
            let from = index * join;
            let sum: f64 = chunk.iter().sum();
            (
                from as f64 / count as f64,
                (from + chunk.len()) as f64 / count as f64,
                sum / (metres * chunk.len() as f64),
            )
        })
        .collect()
}

/// Draws a hatched ring round a symbol, the thicker the likelier; call before the symbol. What the answer names has one
/// in any case.
pub fn ring_ui(
    painter: &Painter,
    theme: &Theme,
    symbol: Rect,
    (probability, named): (f64, bool),
    taken: &mut Taken,
) {
    if probability < RING && !named {
        return;
    }
    let thick = 2.5 + 10.0 * probability as f32;
    let rect = symbol.expand2(vec2(thick, thick));
    taken.take(rect);
    hatch_ui(
        painter,
        rect,
        theme.colour.suspect_wash,
        theme.colour.suspect,
    );
    painter.rect_stroke(
        rect,
        CornerRadius::ZERO,
        Stroke::new(1.0, theme.colour.suspect),
        StrokeKind::Inside,
    );
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawing::{Group, Harness, Place, Scale};

    #[test]
    fn joining_cells_keeps_the_probability() {
        let run = Run {
            id: "W1".to_owned(),
            wire: 0,
            corners: vec![Place { x: 0.0, lane: 0 }, Place { x: 2.0, lane: 0 }],
            length: 2.0,
            assumed: false,
            scale: Scale::True,
            group: Group::Feed,
        };
        let rect = Rect::from_min_size(egui::Pos2::ZERO, vec2(400.0, 200.0));
        let harness = Harness {
            x_max: 2.0,
            ..Harness::default()
        };
        let view = View::new(rect, &harness, &super::super::view::Chosen::default(), 22.0);
        let cells: Vec<f64> = (0..80).map(f64::from).collect();
        let joined = merged(&run, &cells, &view);
        let sum: f64 = joined
            .iter()
            .map(|(a, b, d)| (b - a) * run.length * d)
            .sum();
        assert!(joined.len() < 80, "cells narrower than a step are joined");
        assert!(
            (sum - 3160.0).abs() < 1e-9,
            "0 + 1 + … + 79 = 3160, got {sum}"
        );
    }
}
