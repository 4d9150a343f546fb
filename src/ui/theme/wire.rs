//! The insulation colours of IEC 60757 as they are shown on screen.

use egui::Color32;

use super::palette::rgb;
use crate::circuit::colour::Hue;

/// A printable shade of an insulation colour (our own choice; the standard names colours, not shades).
pub fn insulation(hue: Hue) -> Color32 {
    rgb(match hue {
        Hue::Black => 0x1E1E1E,
        Hue::Brown => 0x7A4A21,
        Hue::Red => 0xC92A2A,
        Hue::Orange => 0xE87A0C,
        Hue::Yellow => 0xE6C200,
        Hue::Green => 0x2F8F46,
        Hue::Blue => 0x2B5FC2,
        Hue::Violet => 0x7B3FA8,
        Hue::Grey => 0x8B8F94,
        Hue::White => 0xFAFAFA,
        Hue::Pink => 0xE88FB4,
        Hue::Gold => 0xB88A2B,
        Hue::Turquoise => 0x23A6A6,
        Hue::Silver => 0xC0C4C8,
    })
}
