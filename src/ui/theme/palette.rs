//! The colours of every role, by day and in a dark bay.

use egui::Color32;

/// The colour of every role.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Palette {
    /// Behind everything.
    pub desk: Color32,
    /// Cards and fields.
    pub sheet: Color32,
    /// Every second row of a table.
    pub band: Color32,
    /// Outline of cards and idle buttons.
    pub edge: Color32,
    /// Lines of a grid.
    pub grid: Color32,
    /// Text, wires, outlines that matter.
    pub ink: Color32,
    /// Labels beside what matters.
    pub muted: Color32,
    /// The banner.
    pub banner: Color32,
    /// The banner during practice.
    pub practice: Color32,
    /// Text on the banner.
    pub banner_ink: Color32,
    /// Second text on the banner.
    pub banner_muted: Color32,
    /// What is unplugged, on the banner.
    pub banner_attention: Color32,
    /// The button that goes on, its press state and its text.
    pub primary: Color32,
    /// The same while the pointer is over it or it is pressed.
    pub primary_warm: Color32,
    /// Text on it.
    pub primary_ink: Color32,
    /// Suspicion: hatching and bars.
    pub suspect: Color32,
    /// Suspicion: ground under the hatching.
    pub suspect_wash: Color32,
    /// Suspicion: text.
    pub suspect_text: Color32,
    /// Unplugged or wants attention: lines.
    pub attention: Color32,
    /// Unplugged or wants attention: ground.
    pub attention_wash: Color32,
    /// Unplugged or wants attention: text.
    pub attention_text: Color32,
    /// Healthy: lines.
    pub healthy: Color32,
    /// Healthy: ground.
    pub healthy_wash: Color32,
    /// Healthy: text.
    pub healthy_text: Color32,
    /// Connectors and links.
    pub connector: Color32,
    /// The ring round what has the keyboard.
    pub focus: Color32,
    /// Ground of a selected thing.
    pub selected: Color32,
    /// What is cut off from the module.
    pub cut_off: Color32,
    /// A bar that is not the top suspect's, and the empty part of bars.
    pub bar: Color32,
    /// The empty part of a bar.
    pub trough: Color32,
}

/// A colour from six hexadecimal digits.
const fn rgb(hex: u32) -> Color32 {
    Color32::from_rgb((hex >> 16) as u8, (hex >> 8) as u8, hex as u8)
}

/// Warm paper in glare.
pub const DAY: Palette = Palette {
    desk: rgb(0xF6F2E8),
    sheet: rgb(0xFFFDF7),
    band: rgb(0xF1EBDF),
    edge: rgb(0xC9C1AF),
    grid: rgb(0xE7E1D3),
    ink: rgb(0x16171B),
    muted: rgb(0x45474E),
    banner: rgb(0x16171B),
    practice: rgb(0x14385F),
    banner_ink: rgb(0xFFFDF7),
    banner_muted: rgb(0xC4C0B6),
    banner_attention: rgb(0xFFC23D),
    primary: rgb(0x16171B),
    primary_warm: rgb(0x3A3C44),
    primary_ink: rgb(0xFFFDF7),
    suspect: rgb(0xB31F1A),
    suspect_wash: rgb(0xF7D9D3),
    suspect_text: rgb(0x981713),
    attention: rgb(0xD99706),
    attention_wash: rgb(0xFDF2D4),
    attention_text: rgb(0x5E4200),
    healthy: rgb(0x1F7A4D),
    healthy_wash: rgb(0xD3E8DA),
    healthy_text: rgb(0x0B452A),
    connector: rgb(0x1B498C),
    focus: rgb(0x1B498C),
    selected: rgb(0xE3EAF4),
    cut_off: rgb(0xB4B0A6),
    bar: rgb(0x565A64),
    trough: rgb(0xECE5D6),
};

/// The dark bay.
pub const DIM: Palette = Palette {
    desk: rgb(0x101216),
    sheet: rgb(0x191C22),
    band: rgb(0x21252D),
    edge: rgb(0x474C57),
    grid: rgb(0x2B3039),
    ink: rgb(0xEFE9DC),
    muted: rgb(0xBDB8AC),
    banner: rgb(0x07080A),
    practice: rgb(0x12304F),
    banner_ink: rgb(0xF4EFE3),
    banner_muted: rgb(0xB8B4A9),
    banner_attention: rgb(0xFFC23D),
    primary: rgb(0xEFE9DC),
    primary_warm: rgb(0xFFFDF7),
    primary_ink: rgb(0x14161A),
    suspect: rgb(0xE85A4B),
    suspect_wash: rgb(0x462220),
    suspect_text: rgb(0xFFA89C),
    attention: rgb(0xE0A42A),
    attention_wash: rgb(0x2E2817),
    attention_text: rgb(0xFFD274),
    healthy: rgb(0x56BD88),
    healthy_wash: rgb(0x173A2A),
    healthy_text: rgb(0x9BE4BD),
    connector: rgb(0x94BDFF),
    focus: rgb(0x94BDFF),
    selected: rgb(0x1F2A3C),
    cut_off: rgb(0x5A5E66),
    bar: rgb(0x9A9CA2),
    trough: rgb(0x2C3038),
};
