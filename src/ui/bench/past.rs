//! What one point read, state by state, with a line of bars against what it should have read.

use egui::{
    CornerRadius, Rect, ScrollArea, Sense, Stroke, Ui, WidgetInfo, accesskit::Role, pos2, vec2,
};

use crate::{
    app::{
        Model,
        view::{Past, history},
    },
    explain::names,
    ui::{
        kit::{label_ui, text_ui},
        theme::{STRONG, Theme},
    },
};

/// The readings at the chosen point.
pub fn past_ui(ui: &mut Ui, theme: &Theme, model: &Model) {
    let c = &theme.colour;
    let Some(point) = &model.selection.point else {
        let none = "Choose a point on the drawing to see everything that was read there.";
        text_ui(ui, none, theme.body(), c.muted);
        return;
    };
    let label = names::point(point);
    let past = history(model, point);
    ui.horizontal(|ui| {
        label_ui(ui, &label, theme.heading(), c.ink);
        if past.len() > 1 {
            spark_ui(
                ui,
                theme,
                &past,
                vec2(26.0 * past.len().min(12) as f32, 30.0),
            );
        }
    });
    if past.is_empty() {
        let none = "Nothing was read here against battery negative yet.";
        text_ui(ui, none, theme.body(), c.muted);
        return;
    }
    ScrollArea::vertical().auto_shrink(false).show(ui, |ui| {
        for reading in &past {
            let mut text = format!(
                "{}. {}: reads {}",
                reading.entry + 1,
                reading.state,
                reading.reads
            );
            for (word, value) in [
                ("should read", &reading.should_read),
                ("under the top suspect", &reading.suspected),
            ] {
                if !value.is_empty() {
                    text.push_str(&format!(", {word} {value}"));
                }
            }
            if reading.set_aside {
                text.push_str(" (set aside)");
            }
            let ink = if reading.set_aside { c.muted } else { c.ink };
            text_ui(ui, &text, theme.body(), ink);
        }
    });
}

/// A bar per reading, filled as far as it is of the largest value in sight, with a tick at what it should read.
pub fn spark_ui(ui: &mut Ui, theme: &Theme, past: &[Past], size: egui::Vec2) {
    let c = &theme.colour;
    let (rect, response) = ui.allocate_exact_size(size, Sense::HOVER);
    let values = past.iter().flat_map(|p| [p.volts, p.should]).flatten();
    let most = values.map(f64::abs).fold(1e-6, f64::max);
    let shown = &past[past.len().saturating_sub(12)..];
    let step = rect.width() / shown.len().max(1) as f32;
    for (index, reading) in shown.iter().enumerate() {
        let left = rect.left() + index as f32 * step + 2.0;
        let height = |v: f64| (v.abs() / most) as f32 * (rect.height() - 4.0);
        if let Some(volts) = reading.volts {
            let off = reading
                .should
                .is_some_and(|should| (volts - should).abs() > 0.02 * should.abs() + 0.01);
            let top = rect.bottom() - height(volts).max(1.5);
            let bar = Rect::from_min_max(pos2(left, top), pos2(left + step - 6.0, rect.bottom()));
            let ink = if off { c.suspect } else { c.healthy };
            ui.painter().rect_filled(bar, CornerRadius::ZERO, ink);
        }
        if let Some(should) = reading.should {
            let y = rect.bottom() - height(should);
            ui.painter().hline(
                left - 1.0..=left + step - 5.0,
                y,
                Stroke::new(STRONG, c.ink),
            );
        }
    }
    let spoken = format!("{} readings here against what they should be", past.len());
    response.widget_info(|| WidgetInfo::labeled(Role::Image, true, &spoken));
    response.on_hover_text(format!(
        "{spoken}: a bar for each, and a stroke at what it should read"
    ));
}
