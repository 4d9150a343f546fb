//! What the pointer is told on the plot: the volts of the nearest line at its metre, and the reading it stands on.

use egui::{CornerRadius, Pos2, Rect, Stroke, StrokeKind, Ui, pos2, vec2};

use super::{
    VoltScale,
    lines::{Drawn, Tells},
};
use crate::{
    drawing::profile::Profile,
    quantity::{Unit, format::si},
    ui::theme::{LINE, STRONG, Theme},
};

/// Points within which a reading counts as meant.
const NEAR: f32 = 9.0;

/// Draws a dot on the line nearest to the pointer and says its volts.
pub fn hover_ui(
    ui: &Ui,
    theme: &Theme,
    profile: &Profile,
    lines: &[Drawn<'_>],
    scale: &VoltScale<'_>,
) {
    let pointer = ui.input(|input| input.pointer.hover_pos());
    let covered = |at: &Pos2| {
        ui.ctx()
            .layer_id_at(*at)
            .is_some_and(|layer| layer != ui.layer_id())
    };
    let Some(pointer) = pointer.filter(|at| scale.rect.contains(*at) && !covered(at)) else {
        return;
    };
    let metre = scale.view.metre(pointer.x);
    let on_scale = |line: &&Drawn<'_>| line.tells != Tells::Should || scale.axis.strip.is_none();
    let nearest = lines
        .iter()
        .filter(on_scale)
        .filter_map(|line| Some((line, line.at(metre)?)))
        .min_by(|a, b| {
            let off = |volts: f64| (scale.at(metre, volts).y - pointer.y).abs();
            off(a.1).total_cmp(&off(b.1))
        });
    let marker = profile.markers.iter().find(|marker| {
        let at = scale.at(marker.level.x, marker.level.volts);
        !marker.set_aside && at.distance(pointer) <= NEAR
    });
    let volts = |volts: f64| si(volts, Unit::Volts);
    let (at, text) = if let Some(marker) = marker {
        let at = scale.at(marker.level.x, marker.level.volts);
        let text = format!(
            "line {}: reads {}",
            marker.entry + 1,
            volts(marker.level.volts)
        );
        (at, text)
    } else if let Some((line, here)) = nearest {
        let at = scale.at(metre, here);
        let should = lines
            .iter()
            .find(|other| other.tells == Tells::Should && other.lead.end == line.lead.end)
            .and_then(|other| other.at(metre))
            .filter(|_| line.tells != Tells::Should);
        let mut text = match line.tells {
            Tells::Should => format!("should read {}", volts(here)),
            Tells::Suspected | Tells::Aside => format!("{} under the top suspect", volts(here)),
        };
        if let Some(should) = should {
            text.push_str(&format!(", should {}", volts(should)));
        }
        (at, format!("{text}, at {metre:.2} m"))
    } else {
        return;
    };
    label_ui(ui, theme, scale.rect, at, text);
}

fn label_ui(ui: &Ui, theme: &Theme, rect: Rect, at: Pos2, text: String) {
    let c = &theme.colour;
    let painter = ui.painter_at(rect.expand(6.0));
    painter.vline(at.x, rect.y_range(), Stroke::new(LINE, c.muted));
    painter.circle(at, 4.5, c.focus, Stroke::new(STRONG, c.sheet));
    let galley = painter.layout_no_wrap(text, theme.small_strong(), c.ink);
    let size = galley.size() + vec2(12.0, 6.0);
    let side = if at.x + size.x + 12.0 < rect.right() {
        at.x + 10.0
    } else {
        at.x - 10.0 - size.x
    };
    let top = (at.y - size.y - 6.0).max(rect.top());
    let label = Rect::from_min_size(pos2(side.max(rect.left()), top), size);
    let edge = Stroke::new(LINE, c.ink);
    painter.rect(
        label,
        CornerRadius::same(3),
        c.sheet,
        edge,
        StrokeKind::Inside,
    );
    painter.galley(label.min + vec2(6.0, 3.0), galley, c.ink);
}
