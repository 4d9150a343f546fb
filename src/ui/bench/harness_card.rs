//! The card of the drawing, with the voltage plot under it on the same metres.

use egui::{Align, Frame, Layout, Margin, Stroke, Ui};

use super::{
    harness::harness_ui,
    sheet::Sheet,
    view::{Chosen, View},
    voltage::voltage_ui,
};
use crate::drawing::profile::Profile;
use crate::ui::{
    act::Act,
    kit::{Tone, button_ui, label_ui, line_ui},
    theme::{CARD_RADIUS, LINE, Theme},
};

/// Share of the card that the plot takes.
const PLOT: f32 = 0.34;
/// One press of the zoom buttons.
const ZOOM: f32 = 1.4;

/// The card.
pub fn harness_card_ui(
    ui: &mut Ui,
    theme: &Theme,
    sheet: &Sheet<'_>,
    profile: &Profile,
    chosen: &Chosen,
    acts: &mut Vec<Act>,
) -> View {
    let c = &theme.colour;
    let frame = Frame::new()
        .fill(c.sheet)
        .stroke(Stroke::new(LINE, c.edge))
        .corner_radius(egui::CornerRadius::same(CARD_RADIUS))
        .inner_margin(Margin {
            left: 2,
            right: 2,
            top: 4,
            bottom: 6,
        });
    let card = frame.show(ui, |ui| {
        ui.set_min_size(ui.available_size());
        ui.spacing_mut().item_spacing.y = 0.0;
        let mut zoom = None;
        let row = egui::vec2(ui.available_width(), theme.size.target);
        ui.allocate_ui_with_layout(row, Layout::right_to_left(Align::Center), |ui| {
            ui.spacing_mut().item_spacing.x = 0.0;
            for (text, name, factor) in [("+", "Zoom in", ZOOM), ("−", "Zoom out", 1.0 / ZOOM)] {
                if button_ui(ui, theme, Tone::Quiet, text, Some(name)).clicked() {
                    zoom = Some(factor);
                }
            }
            let fit = button_ui(ui, theme, Tone::Quiet, "Fit", Some("Fit the drawing"));
            if fit.clicked() {
                acts.push(Act::Look(Chosen::default()));
            }
            ui.with_layout(Layout::left_to_right(Align::Center), |ui| {
                ui.add_space(theme.size.card);
                label_ui(ui, "Harness, to scale", theme.heading(), c.ink);
                ui.add_space(6.0);
                let hint =
                    "metres from the module; click a connector to part it, a point to read it";
                line_ui(ui, hint, theme.label(), c.muted);
            });
        });
        let room = ui.available_size();
        let plot = (room.y * PLOT).clamp(110.0, 250.0);
        let size = egui::vec2(room.x, (room.y - plot).max(120.0));
        let view = harness_ui(ui, theme, sheet, chosen, size, acts);
        voltage_ui(
            ui,
            theme,
            sheet,
            profile,
            &view,
            plot.min(room.y - size.y).max(60.0),
        );
        if let Some(factor) = zoom {
            let middle = view.rect.center().x;
            acts.push(Act::Look(view.zoomed(chosen, factor, middle)));
        }
        view
    });
    card.inner
}
