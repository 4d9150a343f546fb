//! The insulation colours of IEC 60757 as the window paints them.

use egui::Color32;

use crate::{circuit::colour::Hue, drawing::shade};

/// The shade of an insulation colour.
pub fn insulation(hue: Hue) -> Color32 {
    let [red, green, blue] = shade::insulation(hue);
    Color32::from_rgb(red, green, blue)
}
