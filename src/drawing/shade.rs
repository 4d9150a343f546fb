//! The insulation colours of IEC 60757 as they are shown on screen and on paper.

use crate::circuit::colour::Hue;

/// A printable shade of an insulation colour, as red, green, blue (our own choice; the standard names colours, not
/// shades).
pub fn insulation(hue: Hue) -> [u8; 3] {
    match hue {
        Hue::Black => [0x1E, 0x1E, 0x1E],
        Hue::Brown => [0x7A, 0x4A, 0x21],
        Hue::Red => [0xC9, 0x2A, 0x2A],
        Hue::Orange => [0xE8, 0x7A, 0x0C],
        Hue::Yellow => [0xE6, 0xC2, 0x00],
        Hue::Green => [0x2F, 0x8F, 0x46],
        Hue::Blue => [0x2B, 0x5F, 0xC2],
        Hue::Violet => [0x7B, 0x3F, 0xA8],
        Hue::Grey => [0x8B, 0x8F, 0x94],
        Hue::White => [0xFA, 0xFA, 0xFA],
        Hue::Pink => [0xE8, 0x8F, 0xB4],
        Hue::Gold => [0xB8, 0x8A, 0x2B],
        Hue::Turquoise => [0x23, 0xA6, 0xA6],
        Hue::Silver => [0xC0, 0xC4, 0xC8],
    }
}
