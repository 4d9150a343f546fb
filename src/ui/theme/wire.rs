//! The insulation colours of IEC 60757 as they are shown on screen.

use egui::Color32;

use super::rgb;
use crate::circuit::colour::Hue;

/// A printable shade of an insulation colour (our own choice; the standard names colours, not shades).
pub fn insulation(hue: Hue) -> Color32 {
    rgb(match hue {
        Hue::Black => 0x1E_1E_1E,
        Hue::Brown => 0x7A_4A_21,
        Hue::Red => 0xC9_2A_2A,
        Hue::Orange => 0xE8_7A_0C,
        Hue::Yellow => 0xE6_C2_00,
        Hue::Green => 0x2F_8F_46,
        Hue::Blue => 0x2B_5F_C2,
        Hue::Violet => 0x7B_3F_A8,
        Hue::Grey => 0x8B_8F_94,
        Hue::White => 0xFA_FA_FA,
        Hue::Pink => 0xE8_8F_B4,
        Hue::Gold => 0xB8_8A_2B,
        Hue::Turquoise => 0x23_A6_A6,
        Hue::Silver => 0xC0_C4_C8,
    })
}
