//! The whole harness in small over the drawing, where only a piece of it is in sight; pressing it shows another piece.

use egui::{
    CornerRadius, Rect, Sense, Stroke, StrokeKind, Ui, WidgetInfo, accesskit::Role, pos2, vec2,
};

use super::{
    sheet::Sheet,
    view::{Chosen, View},
};
use crate::ui::{
    act::Act,
    theme::{LINE, STRONG, Theme},
};

/// Heights of the sheet that the lanes may take without a map.
const MOST: f32 = 1.2;
/// Its width.
pub const WIDTH: f32 = 230.0;

/// Whether a map is wanted: not where all is in sight.
pub fn is_wanted(sheet: &Sheet<'_>, view: &View, chosen: &Chosen) -> bool {
    let (above, below) = sheet.harness.lane_range();
    let lanes_high = (below - above) as f32 * view.pitch;
    let whole = chosen.piece.is_none() && lanes_high < MOST * view.rect.height();
    !whole && view.rect.width() > 3.0 * WIDTH
}

/// The map.
pub fn map_ui(
    ui: &Ui,
    theme: &Theme,
    sheet: &Sheet<'_>,
    view: &View,
    chosen: &Chosen,
    rect: Rect,
    acts: &mut Vec<Act>,
) {
    let c = &theme.colour;
    let painter = ui.painter_at(rect);
    let radius = CornerRadius::same(4);
    painter.rect(
        rect,
        radius,
        c.sheet,
        Stroke::new(LINE, c.edge),
        StrokeKind::Inside,
    );
    let inner = rect.shrink(4.0);
    let reach = sheet.harness.x_max.max(0.5);
    let (top, bottom) = sheet.harness.lane_range();
    let lanes = f64::from((bottom - top).max(1));
    let at = |x: f64, lane: f64| {
        let across = (x / reach).clamp(0.0, 1.0) as f32;
        let down = ((lane - f64::from(top)) / lanes).clamp(0.0, 1.0) as f32;
        pos2(
            inner.left() + across * inner.width(),
            inner.top() + down * inner.height(),
        )
    };
    for run in &sheet.harness.runs {
        let corners = run
            .corners
            .iter()
            .map(|place| at(place.x, f64::from(place.lane)));
        painter.line(corners.collect(), Stroke::new(1.0, c.bar));
    }
    let (left, right) = view.ends();
    let lane = |y: f32| f64::from((y - view.middle) / view.pitch);
    let seen = Rect::from_two_pos(
        at(left, lane(view.rect.top())),
        at(right, lane(view.rect.bottom())),
    );
    painter.rect_stroke(
        seen.expand(2.0).intersect(rect),
        radius,
        Stroke::new(STRONG, c.focus),
        StrokeKind::Inside,
    );
    let response = ui.interact(rect, ui.scope_id().with("map"), Sense::CLICK | Sense::DRAG);
    response.widget_info(|| WidgetInfo::labeled(Role::Button, true, "Map of the whole harness"));
    if let Some(press) = response.interact_pointer_pos() {
        let across = f64::from((press.x - inner.left()) / inner.width()).clamp(0.0, 1.0);
        let down = ((press.y - inner.top()) / inner.height()).clamp(0.0, 1.0);
        let wanted = f64::from(top) + f64::from(down) * lanes;
        let by = vec2(
            ((f64::midpoint(left, right) - across * reach) * f64::from(view.scale)) as f32,
            view.rect.center().y - view.middle - wanted as f32 * view.pitch,
        );
        acts.push(Act::Look(view.moved(chosen, by, sheet.harness)));
    }
}
