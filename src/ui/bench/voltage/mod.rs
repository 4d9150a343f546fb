//! The voltage along the feed, drawn under the harness on the very same metres.

mod hover;
mod lines;
mod marks;

use egui::{Align2, CornerRadius, Pos2, Rect, Stroke, Ui, WidgetInfo, accesskit::Role, pos2, vec2};

use self::{
    hover::hover_ui,
    lines::{lines, lines_ui},
    marks::{fall_ui, markers_ui},
};
use super::{
    ground::metres_ui,
    place::Taken,
    sheet::Sheet,
    view::{LEFT, View},
};
use crate::{
    drawing::{
        axis::{Axis, Side, axis_volts, healthy},
        profile::{Profile, Taken as When},
    },
    quantity::{Unit, format::interval},
    reading::State,
    ui::theme::{LINE, Theme},
};

/// Height of the strip that stands for a healthy band far off the readings.
const STRIP: f32 = 20.0;

/// What one plot shows.
#[derive(Clone, Copy)]
pub struct Shown<'a> {
    /// The volts.
    pub profile: &'a Profile,
    /// How the circuit stands for them.
    pub state: &'a State,
    /// Said above it.
    pub title: &'a str,
}

/// Draws the plot over the width of the drawing above it.
pub fn voltage_ui(
    ui: &mut Ui,
    theme: &Theme,
    sheet: &Sheet<'_>,
    Shown {
        profile,
        state,
        title,
    }: Shown<'_>,
    view: &View,
    height: f32,
) {
    let c = &theme.colour;
    let width = view.rect.width();
    let (rect, _) = ui.allocate_exact_size(vec2(width, height), egui::Sense::empty());
    ui.painter().text(
        pos2(rect.left() + theme.size.card, rect.top() + 8.0),
        Align2::LEFT_TOP,
        title,
        theme.heading(),
        c.ink,
    );
    let inner = Rect::from_min_max(rect.min + vec2(0.0, 34.0), rect.max);
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
    let scale = VoltScale {
        rect: plot_rect,
        view,
        axis: &axis,
    };
    let lines = lines(sheet, profile, state, &axis);
    lines_ui(&ui.painter_at(plot_rect), theme, &lines, &scale);
    let id = ui.scope_id().with(("volts", title));
    let response = ui.interact(plot_rect, id, egui::Sense::HOVER);
    let said = format!("{title}: {}", spoken(profile));
    response.widget_info(|| WidgetInfo::labeled(Role::Image, true, &said));
    let mut taken = Taken::new(plot_rect.expand(2.0));
    markers_ui(ui, theme, profile, &scale, &mut taken);
    fall_ui(ui, theme, profile, &scale, &mut taken);
    hover_ui(ui, theme, profile, &lines, &scale);
}

/// How metres and volts lie on the screen.
pub struct VoltScale<'a> {
    /// The plot.
    pub rect: Rect,
    /// The metres.
    pub view: &'a View,
    /// The volts.
    pub axis: &'a Axis,
}

impl VoltScale<'_> {
    /// Where so many volts at a metre lie.
    pub fn at(&self, metre: f64, volts: f64) -> Pos2 {
        let up = (volts - self.axis.low) / (self.axis.high - self.axis.low);
        let y = self.rect.bottom() - up as f32 * self.rect.height();
        pos2(self.view.x(metre), y)
    }
}

/// Hairlines at the metres (continuing those of the drawing) and at round volts, named at the left.
fn grid_ui(ui: &Ui, theme: &Theme, view: &View, rect: Rect, axis: &Axis) {
    let c = &theme.colour;
    let painter = ui.painter();
    let stroke = Stroke::new(LINE, c.grid);
    metres_ui(painter, theme, view, rect.y_range());
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
