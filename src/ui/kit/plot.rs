//! The plot that only shows: nothing in it is dragged or zoomed, and it wears the theme's grid.

use egui::Vec2;
use egui_plot::Plot;

use crate::ui::theme::Theme;

/// A plot of a height in points; axes, marks and curves are the caller's.
pub fn still_plot<'a>(title: &str, height: f32, theme: &Theme) -> Plot<'a> {
    Plot::new(title)
        .height(height)
        .allow_drag(false)
        .allow_zoom(false)
        .allow_scroll(false)
        .allow_boxed_zoom(false)
        .allow_double_click_reset(false)
        .show_background(false)
        .grid_color(theme.colour.grid)
        .grid_fade(0.0)
        .set_margin_fraction(Vec2::ZERO)
}
