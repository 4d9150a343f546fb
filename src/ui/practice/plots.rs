//! Two plots of a look back: bits left and minutes spent, step by step, beside the advice.

use egui::{Color32, Rect, Sense, Shape, Stroke, Ui, vec2};
use egui_plot::{GridMark, Line, LineStyle, MarkerShape, PlotPoints, Points};

use crate::{
    practice::Debrief,
    ui::{
        kit::{card_ui, label_ui, still_plot},
        theme::{STRONG, Theme},
    },
};

/// One curve with its name.
struct Curve {
    name: &'static str,
    points: Vec<[f64; 2]>,
    colour: Color32,
    dashed: bool,
}

/// Bits left after every step, beside the advice and beside halving.
pub fn bits_ui(ui: &mut Ui, theme: &Theme, debrief: &Debrief, at: usize, height: f32) {
    let c = &theme.colour;
    let bits = debrief.looked.iter().map(|looked| looked.after.bits);
    let first = debrief
        .looked
        .first()
        .map_or(0.0, |looked| looked.before.bits);
    let advice = debrief.path.steps.iter().skip(1).map(|step| step.bits);
    let found = debrief.path.found.then_some(0.0);
    let halved = |step: u32| (first - f64::from(step)).max(0.0);
    let curves = [
        Curve {
            name: "halving",
            points: (0..=first.ceil() as u32)
                .map(|k| [f64::from(k), halved(k)])
                .collect(),
            colour: c.muted,
            dashed: true,
        },
        Curve {
            name: "the advice",
            points: steps(first, advice.chain(found)),
            colour: c.healthy,
            dashed: false,
        },
        Curve {
            name: "you",
            points: steps(first, bits),
            colour: c.suspect,
            dashed: false,
        },
    ];
    let title = "Bits left, step by step";
    plot_ui(ui, theme, title, &curves, at, height);
}

/// Minutes on the clock after every step, beside the advice.
pub fn minutes_ui(ui: &mut Ui, theme: &Theme, debrief: &Debrief, at: usize, height: f32) {
    let c = &theme.colour;
    let own = debrief.looked.iter().map(|looked| looked.clock);
    let advice = debrief.path.steps.iter().map(|step| step.minutes);
    let curves = [
        Curve {
            name: "the advice",
            points: steps(0.0, advice),
            colour: c.healthy,
            dashed: false,
        },
        Curve {
            name: "you",
            points: steps(0.0, own),
            colour: c.suspect,
            dashed: false,
        },
    ];
    plot_ui(ui, theme, "Minutes, step by step", &curves, at, height);
}

/// Values over the number of steps.
fn steps(first: f64, values: impl Iterator<Item = f64>) -> Vec<[f64; 2]> {
    let all = std::iter::once(first).chain(values);
    (0_u32..)
        .zip(all)
        .map(|(step, value)| [f64::from(step), value])
        .collect()
}

fn plot_ui(ui: &mut Ui, theme: &Theme, title: &str, curves: &[Curve], at: usize, height: f32) {
    let c = &theme.colour;
    card_ui(ui, theme, title, "", |ui| {
        ui.horizontal(|ui| {
            ui.spacing_mut().interact_size.y = 16.0;
            for curve in curves.iter().rev() {
                mark_ui(ui, theme, curve);
                label_ui(ui, curve.name, theme.label(), c.ink);
            }
        });
        let all = || curves.iter().flat_map(|curve| &curve.points);
        let right = all().map(|point| point[0]).fold(1.0, f64::max);
        let top = all().map(|point| point[1]).fold(1.0, f64::max) * 1.1;
        let plot = still_plot(title, height, theme)
            .x_grid_spacer(|input| marks(input.bounds))
            .y_grid_spacer(|input| marks(input.bounds))
            .x_axis_formatter(|mark: GridMark, _| whole(mark.value))
            .y_axis_formatter(|mark: GridMark, _| whole(mark.value))
            .show(ui, |plot| {
                plot.set_plot_bounds_x(0.0..=right + 0.3);
                plot.set_plot_bounds_y(0.0..=top);
                for curve in curves {
                    let line = Line::new(curve.name, PlotPoints::from(curve.points.clone()))
                        .color(curve.colour)
                        .width(STRONG);
                    let line = if curve.dashed {
                        line.style(LineStyle::dashed_dense())
                    } else {
                        line
                    };
                    plot.line(line);
                    if !curve.dashed {
                        let shape = if curve.colour == c.suspect {
                            MarkerShape::Circle
                        } else {
                            MarkerShape::Square
                        };
                        let points =
                            Points::new(curve.name, PlotPoints::from(curve.points.clone()))
                                .shape(shape)
                                .color(curve.colour)
                                .radius(3.5);
                        plot.points(points);
                    }
                }
                // The step in sight stands out.
                let own = curves.last().and_then(|curve| curve.points.get(at + 1));
                if let Some(&here) = own {
                    let point = Points::new("in sight", PlotPoints::from(vec![here]))
                        .shape(MarkerShape::Circle)
                        .filled(false)
                        .color(c.ink)
                        .radius(7.0);
                    plot.points(point);
                }
            });
        let last = |curve: &Curve| curve.points.last().map_or(0.0, |point| point[1]);
        let spoken: Vec<String> = (curves.iter().rev())
            .map(|curve| format!("{} ends at {:.1}", curve.name, last(curve)))
            .collect();
        let spoken = format!("Plot: {title}. {}", spoken.join(", "));
        plot.response
            .widget_info(|| egui::WidgetInfo::labeled(egui::accesskit::Role::Image, true, &spoken));
    });
}

/// The mark of a curve beside its name: a disc, a square, or dashes.
fn mark_ui(ui: &mut Ui, theme: &Theme, curve: &Curve) {
    let (rect, _) = ui.allocate_exact_size(vec2(16.0, 16.0), Sense::empty());
    let painter = ui.painter();
    if curve.dashed {
        let ends = [rect.left_center(), rect.right_center()];
        let stroke = Stroke::new(STRONG, curve.colour);
        painter.extend(Shape::dashed_line(&ends, stroke, 4.0, 2.0));
    } else if curve.colour == theme.colour.suspect {
        painter.circle_filled(rect.center(), 4.5, curve.colour);
    } else {
        let square = Rect::from_center_size(rect.center(), vec2(8.0, 8.0));
        painter.rect_filled(square, 0.0, curve.colour);
    }
}

/// Marks at round numbers, about six of them.
fn marks((low, high): (f64, f64)) -> Vec<GridMark> {
    let least = ((high - low) / 6.0).max(1.0);
    let decade = 10_f64.powf(least.log10().floor());
    let step = [1.0, 2.0, 5.0, 10.0].map(|m| m * decade);
    let step = step
        .into_iter()
        .find(|step| *step >= least)
        .unwrap_or(10.0 * decade);
    (0..=(high / step).floor().clamp(0.0, 100.0) as u32)
        .map(|mark| GridMark {
            value: f64::from(mark) * step,
            step_size: step,
        })
        .collect()
}

fn whole(value: f64) -> String {
    format!("{value:.0}")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn marks_are_round_and_few() {
        for high in [1.0, 3.3, 9.0, 47.0, 260.0] {
            let marks = marks((0.0, high));
            assert!((1..=8).contains(&marks.len()), "{high}: {}", marks.len());
            assert!(marks.iter().all(|mark| mark.value <= high));
        }
    }

    #[test]
    fn a_curve_begins_before_the_first_step() {
        assert_eq!(
            steps(3.0, [2.0, 1.0].into_iter()),
            [[0.0, 3.0], [1.0, 2.0], [2.0, 1.0]]
        );
    }
}
