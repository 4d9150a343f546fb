//! The probability along the feed, drawn under the harness on the very same metres: what each stretch holds, the
//! likeliest part hatched.

use egui::{
    Align2, CornerRadius, Rect, Sense, Stroke, StrokeKind, Ui, WidgetInfo, accesskit::Role, pos2,
    vec2,
};

use super::{
    draw::hatch_ui,
    ground::metres_ui,
    sheet::Sheet,
    view::{LEFT, View},
};
use crate::{
    drawing::chance::{Bin, along},
    quantity::format::percent,
    ui::theme::{LINE, Theme},
};

/// Least width of a bar, in points.
const BAR: f32 = 9.0;
/// Tops of the axis, in shares of one.
const TOPS: [f64; 9] = [0.01, 0.02, 0.05, 0.1, 0.2, 0.4, 0.6, 0.8, 1.0];

/// Draws the plot over the width of the drawing above it.
pub fn likely_ui(ui: &mut Ui, theme: &Theme, sheet: &Sheet<'_>, view: &View, height: f32) {
    let c = &theme.colour;
    let size = vec2(view.rect.width(), height);
    let (rect, response) = ui.allocate_exact_size(size, Sense::hover());
    ui.painter().text(
        pos2(rect.left() + theme.size.card, rect.top() + 8.0),
        Align2::LEFT_TOP,
        "Probability along the same metres",
        theme.heading(),
        c.ink,
    );
    let plot = Rect::from_min_max(rect.min + vec2(0.0, 34.0), rect.max - vec2(0.0, 4.0));
    let step = view.step(BAR);
    let bins = sheet.findings.map_or_else(Vec::new, |findings| {
        along(
            sheet.harness,
            findings,
            (&sheet.chances, sheet.named()),
            step,
        )
    });
    response.widget_info(|| WidgetInfo::labeled(Role::Image, true, spoken(&bins)));
    let peak = bins.iter().map(|bin| bin.all).fold(0.0, f64::max);
    if peak <= 0.0 {
        ui.painter().text(
            plot.center(),
            Align2::CENTER_CENTER,
            match sheet.findings {
                None => "Working it out \u{2026}",
                Some(_) => "Log a reading to see where the fault is likely.",
            },
            theme.body(),
            c.muted,
        );
        return;
    }
    let painter = ui.painter_at(plot.expand2(vec2(0.0, 4.0)));
    metres_ui(&painter, theme, view, plot.y_range());
    let top = TOPS.into_iter().find(|top| *top >= peak).unwrap_or(1.0);
    let y = |share: f64| plot.bottom() - (share / top) as f32 * plot.height();
    for share in [top, top / 2.0] {
        painter.hline(
            plot.left() + LEFT - 4.0..=plot.right(),
            y(share),
            Stroke::new(LINE, c.grid),
        );
        painter.text(
            pos2(plot.left() + LEFT - 10.0, y(share)),
            Align2::RIGHT_CENTER,
            percent(share),
            theme.small(),
            c.muted,
        );
    }
    for bin in &bins {
        let column = |low: f64, high: f64| {
            Rect::from_min_max(
                pos2(view.x(bin.from) + 0.5, y(high)),
                pos2(view.x(bin.to) - 0.5, y(low)),
            )
        };
        let (suspect, rest) = (column(0.0, bin.top), column(bin.top, bin.all));
        hatch_ui(&painter, suspect, c.suspect_wash, c.suspect);
        painter.rect_stroke(
            suspect,
            CornerRadius::ZERO,
            Stroke::new(LINE, c.suspect),
            StrokeKind::Inside,
        );
        painter.rect_filled(rest, CornerRadius::ZERO, c.bar);
    }
    painter.hline(
        plot.left() + LEFT - 4.0..=plot.right(),
        plot.bottom(),
        Stroke::new(LINE, c.muted),
    );
    let pointer = response.hover_pos().map(|at| view.metre(at.x));
    let under = pointer.and_then(|x| bins.iter().find(|bin| (bin.from..bin.to).contains(&x)));
    if let Some(bin) = under {
        response.on_hover_text_at_pointer(said(bin));
    }
}

fn said(bin: &Bin) -> String {
    format!("{:.2} to {:.2} m: {}", bin.from, bin.to, percent(bin.all))
}

fn spoken(bins: &[Bin]) -> String {
    let most = bins.iter().max_by(|a, b| a.all.total_cmp(&b.all));
    let text = "Plot of the probability along the metres";
    most.filter(|bin| bin.all > 0.0).map_or_else(
        || text.to_owned(),
        |bin| format!("{text}, most at {}", said(bin)),
    )
}
