//! The voltage along the feed, drawn under the harness on the very same metres.

use egui::{Align2, CornerRadius, Pos2, Rect, Stroke, Ui, WidgetInfo, accesskit::Role, pos2, vec2};
use egui_plot::{
    FilledArea, HoverPosition, Line, LineStyle, Plot, PlotPoint, PlotPoints, PlotTransform,
};

use super::{
    place::Taken,
    sheet::Sheet,
    view::{LEFT, View},
};
use crate::{
    app::layout::PlacedPart,
    app::profile::{Level, Line as Lead, Marker, Profile, Taken as When},
    circuit::{PartRef, Point},
    quantity::{
        Unit,
        format::{interval, si},
    },
    ui::theme::{LINE, STRONG, Theme},
};

/// Height of the strip that stands for a healthy band far off the readings.
const STRIP: f32 = 20.0;
/// Least distance of two marks on the volt axis, in points.
const MARK: f32 = 34.0;

/// How the volts lie on the axis.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Axis {
    /// Lowest and highest volts in sight.
    low: f64,
    high: f64,
    /// Where a far healthy band is hinted at: above or below what is in sight.
    strip: Option<Side>,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Side {
    Above,
    Below,
}

impl Axis {
    /// Shows what is read and suspected as large as it goes; a healthy band far away becomes a strip at the edge.
    fn new(profile: &Profile) -> Option<Self> {
        let (low, high) = profile.range()?;
        let (healthy_low, healthy_high) = healthy(profile).unwrap_or((low, high));
        let least = (high.abs().max(low.abs()) * 0.004).max(0.002);
        let span = (high - low).max(least);
        let gap = (healthy_low - high).max(low - healthy_high);
        if gap > 1.5 * span {
            let strip = if healthy_low > high {
                Side::Above
            } else {
                Side::Below
            };
            return Some(Self::padded(low, high, Some(strip)));
        }
        Some(Self::padded(
            low.min(healthy_low),
            high.max(healthy_high),
            None,
        ))
    }

    fn padded(low: f64, high: f64, strip: Option<Side>) -> Self {
        let least = (high.abs().max(low.abs()) * 0.004).max(0.002);
        let pad = (high - low).max(least) * 0.16;
        Self {
            low: low - pad,
            high: high + pad,
            strip,
        }
    }

    /// Volts at the marks, and their distance.
    fn marks(&self, height: f32) -> Vec<f64> {
        let most = f64::from((height / MARK).max(1.0));
        let raw = ((self.high - self.low) / most).max(1e-9);
        let decade = 10f64.powf(raw.log10().floor());
        let step = [1.0, 2.0, 5.0, 10.0]
            .into_iter()
            .map(|m| m * decade)
            .find(|step| *step >= raw)
            .unwrap_or(10.0 * decade);
        let first = (self.low / step).ceil();
        (0..60)
            .map(|k| (first + f64::from(k)) * step)
            .take_while(|volts| *volts <= self.high)
            .collect()
    }
}

/// Lowest and highest end of the healthy bands.
fn healthy(profile: &Profile) -> Option<(f64, f64)> {
    profile
        .lines
        .iter()
        .flat_map(|line| &line.healthy)
        .fold(None, |range, level| {
            let (low, high) = range.unwrap_or((level.low, level.high));
            Some((low.min(level.low), high.max(level.high)))
        })
}

/// Draws the plot over the width of the drawing above it.
pub fn voltage_ui(
    ui: &mut Ui,
    theme: &Theme,
    sheet: &Sheet<'_>,
    profile: &Profile,
    view: &View,
    height: f32,
) {
    let c = &theme.colour;
    let width = view.rect.width();
    let (rect, _) = ui.allocate_exact_size(vec2(width, height), egui::Sense::empty());
    ui.painter().text(
        pos2(rect.left() + theme.size.card, rect.top() + 8.0),
        Align2::LEFT_TOP,
        "Feed voltage along the same metres",
        theme.heading(),
        c.ink,
    );
    let inner = Rect::from_min_max(rect.min + vec2(0.0, 30.0), rect.max);
    let Some(axis) = Axis::new(profile) else {
        ui.painter().text(
            inner.center(),
            Align2::CENTER_CENTER,
            "Log a reading to see the voltage here.",
            theme.body(),
            c.muted,
        );
        return;
    };
    let plot_rect = match axis.strip {
        Some(Side::Above) => Rect::from_min_max(inner.min + vec2(0.0, STRIP + 4.0), inner.max),
        Some(Side::Below) => Rect::from_min_max(inner.min, inner.max - vec2(0.0, STRIP + 4.0)),
        None => inner,
    };
    grid_ui(ui, theme, view, plot_rect, &axis);
    strip_ui(ui, theme, profile, inner, &axis);
    let items = items(theme, sheet, profile, &axis);
    let transform = plot_ui(ui, profile, view, plot_rect, &axis, (items, c.muted));
    let mut taken = Taken::new(plot_rect.expand(2.0));
    let screen = |x: f64, volts: f64| transform.position_from_point(&PlotPoint::new(x, volts));
    markers_ui(ui, theme, profile, plot_rect, &screen, &mut taken);
    fall_ui(ui, theme, profile, plot_rect, &screen, &mut taken);
}

/// Hairlines at the metres (continuing those of the drawing) and at round volts, named at the left.
fn grid_ui(ui: &Ui, theme: &Theme, view: &View, rect: Rect, axis: &Axis) {
    let c = &theme.colour;
    let painter = ui.painter();
    let stroke = Stroke::new(LINE, c.grid);
    let step = view.step(74.0);
    let (left, right) = view.ends();
    let first = (left / step).ceil().max(0.0) as i64;
    for k in (first..).take(400) {
        let metre = k as f64 * step;
        if metre > right {
            break;
        }
        painter.vline(view.x(metre), rect.y_range(), stroke);
    }
    let height = rect.height();
    for volts in axis.marks(height) {
        let up = ((volts - axis.low) / (axis.high - axis.low)) as f32;
        let y = rect.bottom() - up * height;
        painter.hline(rect.left() + LEFT - 4.0..=rect.right(), y, stroke);
        painter.text(
            pos2(rect.left() + LEFT - 10.0, y),
            Align2::RIGHT_CENTER,
            axis_volts(volts, axis),
            theme.small(),
            c.muted,
        );
    }
}

/// A mark's volts with as many figures as the distance of the marks asks for.
fn axis_volts(volts: f64, axis: &Axis) -> String {
    let span = axis.high - axis.low;
    if axis.high.abs().max(axis.low.abs()) < 1.0 {
        let decimals = usize::from(span < 0.004);
        format!("{:.decimals$} mV", volts * 1000.0)
    } else {
        let decimals = if span < 0.04 {
            3
        } else if span < 0.4 {
            2
        } else {
            1
        };
        format!("{volts:.decimals$} V")
    }
}

/// The healthy band that is too far off to be drawn to scale.
fn strip_ui(ui: &Ui, theme: &Theme, profile: &Profile, rect: Rect, axis: &Axis) {
    let c = &theme.colour;
    let (Some(side), Some((low, high))) = (axis.strip, healthy(profile)) else {
        return;
    };
    let top = match side {
        Side::Above => rect.top(),
        Side::Below => rect.bottom() - STRIP,
    };
    let strip = Rect::from_min_size(
        pos2(rect.left() + LEFT, top),
        vec2(rect.width() - LEFT, STRIP),
    );
    let painter = ui.painter();
    painter.rect_filled(strip, CornerRadius::ZERO, c.healthy_wash);
    painter.text(
        strip.right_center() - vec2(10.0, 0.0),
        Align2::RIGHT_CENTER,
        format!(
            "should be {}, off this scale",
            interval(low, high, Unit::Volts)
        ),
        theme.label(),
        c.healthy_text,
    );
}

fn plot_ui(
    ui: &mut Ui,
    profile: &Profile,
    view: &View,
    rect: Rect,
    axis: &Axis,
    ((bands, lines), cursor): (Items, egui::Color32),
) -> PlotTransform {
    let (left, right) = view.ends();
    let builder = egui::UiBuilder::new().max_rect(rect).id_salt("volts");
    let response = ui
        .scope_builder(builder, |ui| {
            Plot::new("voltage along the feed")
                .width(rect.width())
                .height(rect.height())
                .show_axes(false)
                .show_grid(false)
                .show_background(false)
                .allow_drag(false)
                .allow_zoom(false)
                .allow_scroll(false)
                .allow_boxed_zoom(false)
                .allow_double_click_reset(false)
                .set_margin_fraction(egui::Vec2::ZERO)
                .cursor_color(cursor)
                .label_formatter(|at| {
                    let (HoverPosition::NearDataPoint { position, .. }
                    | HoverPosition::Elsewhere { position }) = at;
                    let volts = si(position.y, Unit::Volts);
                    Some(format!("{volts} at {:.2} m", position.x.max(0.0)))
                })
                .show(ui, |plot| {
                    plot.set_plot_bounds_x(left..=right);
                    plot.set_plot_bounds_y(axis.low..=axis.high);
                    for band in bands {
                        plot.add(band);
                    }
                    for line in lines {
                        plot.line(line);
                    }
                })
        })
        .inner;
    let spoken = spoken(profile);
    response
        .response
        .widget_info(|| WidgetInfo::labeled(Role::Image, true, &spoken));
    response.transform
}

fn spoken(profile: &Profile) -> String {
    let read = profile
        .markers
        .iter()
        .filter(|m| m.taken == When::Now)
        .count();
    let mut text = format!("Plot of the feed voltage along the metres, {read} readings");
    if let Some((low, high)) = healthy(profile) {
        text.push_str(&format!(", should be {}", interval(low, high, Unit::Volts)));
    }
    if let Some(end) = profile.fall_ends {
        text.push_str(&format!(", the fall ends at {:.1} m", end.x));
    }
    text
}

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
type Items = (Vec<FilledArea>, Vec<Line<'static>>);

/// Bands and lines from back to front: healthy, branches, and the way to the suspect.
fn items(theme: &Theme, sheet: &Sheet<'_>, profile: &Profile, axis: &Axis) -> Items {
    let c = &theme.colour;
    let (mut bands, mut lines) = (Vec::new(), Vec::new());
    let unplugged = |part: &&PlacedPart| sheet.unplugged(&part.id);
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

/// Readings with the meter's band: ringed in ink when taken as things stand, faint otherwise.
fn markers_ui(
    ui: &Ui,
    theme: &Theme,
    profile: &Profile,
    rect: Rect,
    screen: &impl Fn(f64, f64) -> Pos2,
    taken: &mut Taken,
) {
    let c = &theme.colour;
    let painter = ui.painter_at(rect.expand(6.0));
    let shown = |marker: &&Marker| !marker.set_aside && marker.taken != When::BeforeRepair;
    for marker in profile.markers.iter().filter(shown) {
        let Level {
            x,
            volts,
            low,
            high,
        } = marker.level;
        let at = screen(x, volts);
        if !rect.expand(4.0).contains(at) {
            continue;
        }
        let (ink, ground) = match marker.taken {
            When::Now => (c.ink, c.sheet),
            When::OtherState | When::BeforeRepair => (c.bar, c.sheet),
        };
        let stroke = Stroke::new(STRONG, ink);
        painter.line_segment([screen(x, low), screen(x, high)], stroke);
        painter.circle(at, 5.0, ground, stroke);
        taken.take(Rect::from_center_size(at, vec2(14.0, 14.0)));
        let text = format!("{}", marker.entry + 1);
        let galley = painter.layout_no_wrap(text, theme.small(), c.muted);
        let places = [
            vec2(11.0, -8.0),
            vec2(-11.0, 8.0),
            vec2(11.0, 8.0),
            vec2(-11.0, -8.0),
        ];
        if let Some(spot) = taken.first(galley.size(), places.map(|by| at + by)) {
            painter.galley(spot.min, galley, c.muted);
        }
    }
}

/// Where the fall of the voltage ends.
fn fall_ui(
    ui: &Ui,
    theme: &Theme,
    profile: &Profile,
    rect: Rect,
    screen: &impl Fn(f64, f64) -> Pos2,
    taken: &mut Taken,
) {
    let c = &theme.colour;
    // Behind something unplugged nothing falls.
    let Some(end) = profile.fall_ends.filter(|end| end.volts.abs() > 1e-3) else {
        return;
    };
    let at = screen(end.x, end.volts);
    if !rect.contains(at) {
        return;
    }
    let painter = ui.painter_at(rect);
    painter.vline(at.x, rect.top()..=at.y, Stroke::new(1.5, c.suspect));
    painter.circle_filled(at, 4.0, c.suspect);
    let text = format!("the fall ends here: {:.1} m", end.x);
    let galley = painter.layout_no_wrap(text, theme.small_strong(), c.suspect_text);
    let size = galley.size();
    let aside = size.x / 2.0 + 8.0;
    for lead in &profile.lines {
        for pair in lead.suspected.windows(2) {
            let (a, b) = (&pair[0], &pair[1]);
            line_room(screen(a.x, a.volts), screen(b.x, b.volts), taken);
        }
    }
    let places = (0..8).flat_map(|down| {
        let y = rect.top() + size.y / 2.0 + 3.0 + down as f32 * 10.0;
        [pos2(at.x + aside, y), pos2(at.x - aside, y)]
    });
    if let Some(spot) = taken.first(size, places) {
        painter.galley(spot.min, galley, c.suspect_text);
    }
}

/// Takes the room along a line, piece by piece.
fn line_room(a: Pos2, b: Pos2, taken: &mut Taken) {
    let pieces = ((b.x - a.x).abs() / 16.0).ceil().clamp(1.0, 200.0);
    for piece in 0..pieces as usize {
        let from = a.lerp(b, piece as f32 / pieces);
        let to = a.lerp(b, (piece + 1) as f32 / pieces);
        taken.take(Rect::from_two_pos(from, to).expand(2.0));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn profile(healthy: f64, suspected: (f64, f64)) -> Profile {
        let level = |x: f64, volts: f64| Level {
            x,
            volts,
            low: volts - 0.002,
            high: volts + 0.002,
        };
        Profile {
            lines: vec![Lead {
                lane: 0,
                trunk: true,
                end: "SP1".parse().unwrap(),
                healthy: vec![level(0.0, healthy), level(4.0, healthy - 0.02)],
                suspected: vec![level(0.0, suspected.0), level(4.0, suspected.1)],
            }],
            ..Profile::default()
        }
    }

    #[test]
    fn a_far_healthy_band_becomes_a_strip_and_leaves_the_fall_its_size() {
        let axis = Axis::new(&profile(8.95, (0.67, 0.63))).unwrap();
        assert_eq!(axis.strip, Some(Side::Above));
        assert!(axis.high - axis.low < 0.08);
        let axis = Axis::new(&profile(5.0, (12.6, 12.5))).unwrap();
        assert_eq!(axis.strip, Some(Side::Below));
    }

    #[test]
    fn a_near_healthy_band_is_drawn_to_scale() {
        let axis = Axis::new(&profile(5.0, (4.99, 4.6))).unwrap();
        assert_eq!(axis.strip, None);
        assert!(axis.low < 4.6 && axis.high > 5.0);
    }

    #[test]
    fn marks_are_round_and_inside() {
        let axis = Axis::padded(0.628, 0.672, None);
        let marks = axis.marks(140.0);
        assert!(marks.len() >= 2 && marks.len() <= 5, "{marks:?}");
        for volts in marks {
            assert!((axis.low..=axis.high).contains(&volts));
            assert!(
                (volts * 100.0 - (volts * 100.0).round()).abs() < 1e-6,
                "{volts}"
            );
        }
    }
}
