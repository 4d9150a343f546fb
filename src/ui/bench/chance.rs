//! How probable each resistance is: density per decade on a logarithmic axis.

use egui::Ui;
use egui_plot::{GridMark, HoverPosition, Line, PlotPoints};

use crate::{
    diagnosis::Findings,
    explain::names,
    quantity::{Unit, format::si},
    ui::{
        kit::{card_ui, still_plot},
        theme::{STRONG, Theme},
    },
};

/// Both ends of a piece of the axis, log10 of ohms.
type Span = (f64, f64);

/// Height of the plot.
const HEIGHT: f32 = 74.0;
/// Straight pieces between two points of the curve.
const PIECES: u32 = 6;
/// Share of the peak below which the axis may end.
const TAIL: f64 = 0.005;

/// The card; nothing where no resistance is in question, or where nothing on the sketch explains the readings.
pub fn chance_ui(ui: &mut Ui, theme: &Theme, findings: &Findings) {
    if findings.is_unexplained() {
        return;
    }
    let Some((curve, span)) = curve(&findings.resistance) else {
        return;
    };
    let c = &theme.colour;
    let beside = findings.suspects.first().map_or_else(String::new, |top| {
        format!("{} {}", top.site, names::kind(top.kind))
    });
    card_ui(ui, theme, "Probability of its ohms", &beside, |ui| {
        let peak = curve.iter().map(|point| point[1]).fold(0.0, f64::max);
        let line = Line::new("probability per decade", PlotPoints::from(smooth(&curve)))
            .color(c.suspect)
            .width(STRONG)
            .fill(0.0)
            .fill_alpha(0.18);
        let plot = still_plot("probability of ohms", HEIGHT, theme)
            .show_axes([true, false])
            .show_grid([true, false])
            .x_grid_spacer(move |_| marks(span))
            .x_axis_formatter(|mark: GridMark, _| si(10f64.powf(mark.value), Unit::Ohms))
            .label_formatter(|at| {
                let (HoverPosition::NearDataPoint { position, .. }
                | HoverPosition::Elsewhere { position }) = at;
                Some(si(10f64.powf(position.x), Unit::Ohms))
            })
            .show(ui, |plot| {
                plot.set_plot_bounds_x(span.0..=span.1);
                plot.set_plot_bounds_y(0.0..=peak * 1.08);
                plot.line(line);
            });
        let spoken = spoken(findings);
        plot.response
            .widget_info(|| egui::WidgetInfo::labeled(egui::accesskit::Role::Image, true, &spoken));
    });
}

fn spoken(findings: &Findings) -> String {
    findings
        .suspects
        .first()
        .and_then(|top| top.resistance)
        .map_or_else(
            || "Plot of the probability of ohms".to_owned(),
            |r| {
                format!(
                    "Plot of the probability of ohms: most likely about {}",
                    si(r.median, Unit::Ohms)
                )
            },
        )
}

/// The curve over log10 of ohms, and the piece of the axis that is worth showing.
fn curve(density: &[(f64, f64)]) -> Option<(Vec<[f64; 2]>, Span)> {
    let curve: Vec<[f64; 2]> = density
        .iter()
        .filter(|(ohm, density)| *ohm > 0.0 && ohm.is_finite() && density.is_finite())
        .map(|(ohm, density)| [ohm.log10(), *density])
        .collect();
    let peak = curve.iter().map(|point| point[1]).fold(0.0, f64::max);
    if peak <= 0.0 {
        return None;
    }
    let shown = curve.iter().filter(|point| point[1] > TAIL * peak);
    let (low, high) = shown.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), point| {
        (low.min(point[0]), high.max(point[0]))
    });
    let middle = f64::midpoint(low, high);
    let half = ((high - low) / 2.0 * 1.15).max(0.5);
    Some((curve, (middle - half, middle + half)))
}

/// A smooth line through points in order of x that never overshoots them: cubic pieces with the harmonic mean of the
/// slopes on both sides as slope at a point, level where it turns (Fritsch and Butland 1984, from memory).
fn smooth(points: &[[f64; 2]]) -> Vec<[f64; 2]> {
    let slope = |k: usize| {
        let (a, b) = (points[k], points[k + 1]);
        (b[1] - a[1]) / (b[0] - a[0]).max(1e-12)
    };
    let at = |k: usize| {
        if k == 0 || k + 1 == points.len() {
            return 0.0;
        }
        let (before, after) = (slope(k - 1), slope(k));
        if before * after <= 0.0 {
            0.0
        } else {
            2.0 * before * after / (before + after)
        }
    };
    let mut line: Vec<[f64; 2]> = points.first().copied().into_iter().collect();
    for k in 0..points.len().saturating_sub(1) {
        let (a, b, width) = (points[k], points[k + 1], points[k + 1][0] - points[k][0]);
        let (start, end) = (at(k) * width, at(k + 1) * width);
        for step in 1..=PIECES {
            let t = f64::from(step) / f64::from(PIECES);
            // Hermite's cubic through both ends with both slopes.
            let (t2, t3) = (t * t, t * t * t);
            let y = (2.0 * t3 - 3.0 * t2 + 1.0) * a[1]
                + (t3 - 2.0 * t2 + t) * start
                + (3.0 * t2 - 2.0 * t3) * b[1]
                + (t3 - t2) * end;
            line.push([a[0] + t * width, y.max(0.0)]);
        }
    }
    line
}

/// 1, 2 and 5 of every decade, or whole decades where many are in sight.
fn marks((low, high): Span) -> Vec<GridMark> {
    let digits: &[f64] = match high - low {
        span if span < 1.6 => &[1.0, 2.0, 5.0],
        span if span < 3.2 => &[1.0, 3.0],
        _ => &[1.0],
    };
    let decades = (low.floor() as i32)..=(high.ceil() as i32);
    let mut marks = Vec::new();
    for decade in decades.take(40) {
        for digit in digits {
            marks.push(GridMark {
                value: f64::from(decade) + digit.log10(),
                step_size: 1.0,
            });
        }
    }
    marks.retain(|mark| mark.value >= low && mark.value <= high);
    marks
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_axis_holds_the_peak_and_at_least_a_decade() {
        let density: Vec<(f64, f64)> = (-20..60)
            .map(|k| {
                let x = f64::from(k) / 10.0;
                (10f64.powf(x), (-((x - 0.7) / 0.02).powi(2)).exp())
            })
            .collect();
        let (_, (low, high)) = curve(&density).unwrap();
        assert!(low < 0.7 && 0.7 < high && high - low >= 1.0);
        assert!(marks((low, high)).len() >= 3);
    }

    #[test]
    fn a_smooth_line_goes_through_its_points_and_never_beyond_them() {
        let points = [[0.0, 0.0], [1.0, 0.2], [2.0, 3.0], [3.0, 1.0], [4.0, 1.0]];
        let line = smooth(&points);
        for point in points {
            let on = |at: &[f64; 2]| (at[0] - point[0]).abs() + (at[1] - point[1]).abs() < 1e-9;
            assert!(line.iter().any(on), "{point:?}");
        }
        assert!(line.iter().all(|at| (0.0..=3.0 + 1e-12).contains(&at[1])));
        let falls = line
            .windows(2)
            .filter(|pair| pair[1][1] < pair[0][1] - 1e-12);
        assert_eq!(falls.count(), PIECES as usize, "one piece falls");
        assert!(smooth(&[]).is_empty() && smooth(&points[..1]).len() == 1);
    }

    #[test]
    fn no_curve_without_probability() {
        assert!(curve(&[]).is_none());
        assert!(curve(&[(1.0, 0.0), (0.0, 1.0), (f64::NAN, 1.0)]).is_none());
    }
}
