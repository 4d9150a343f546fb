//! Colours, sizes and type of the window; no other file of this room names one.
//!
//! By day a printed sheet: warm paper, ink, one accent for suspicion, one for what is unplugged or wants attention,
//! one for healthy. The dim theme has the same roles for dark bays.

mod fonts;
mod style;
mod wire;

use egui::{Color32, FontFamily, FontId};

pub use fonts::{BOLD, LICENCE};
pub use wire::insulation;

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

/// Lengths in points.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sizes {
    /// Height of buttons and fields.
    pub target: f32,
    /// Room between neighbouring targets.
    pub gap: f32,
    /// Inner margin of a card.
    pub card: f32,
    /// Height of a row of a table.
    pub row: f32,
    /// Radius in which a click finds a point of the harness.
    pub reach: f32,
    /// Width of the right-hand column.
    pub column: f32,
    /// Height of the banner.
    pub banner: f32,
}

/// Bare hands and a pointer.
pub const BARE: Sizes = Sizes {
    target: 36.0,
    gap: 8.0,
    card: 14.0,
    row: 25.0,
    reach: 13.0,
    column: 400.0,
    banner: 56.0,
};

/// Gloves: targets of 52 points, 10 apart.
pub const GLOVE: Sizes = Sizes {
    target: 52.0,
    gap: 10.0,
    card: 14.0,
    row: 48.0,
    reach: 24.0,
    column: 460.0,
    banner: 68.0,
};

/// Everything a draw function asks about looks.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Theme {
    /// Colours.
    pub colour: Palette,
    /// Lengths.
    pub size: Sizes,
    /// Whether this is the dim theme.
    pub dim: bool,
}

/// Corner radius of cards.
pub const CARD_RADIUS: u8 = 6;
/// Corner radius of buttons and fields.
pub const RADIUS: u8 = 5;
/// Thickness of outlines.
pub const LINE: f32 = 1.0;
/// Thickness of outlines that carry a meaning.
pub const STRONG: f32 = 2.0;
/// Thickness of a wire.
pub const WIRE: f32 = 3.0;
/// Distance between strokes of a hatching.
pub const HATCH: f32 = 6.0;

impl Theme {
    /// The theme for a setting.
    pub fn new(dim: bool, glove: bool) -> Self {
        Self {
            colour: if dim { DIM } else { DAY },
            size: if glove { GLOVE } else { BARE },
            dim,
        }
    }

    /// Running text.
    pub fn body(&self) -> FontId {
        regular(15.0)
    }

    /// Running text that counts.
    pub fn strong(&self) -> FontId {
        bold(15.0)
    }

    /// Labels beside what matters.
    pub fn label(&self) -> FontId {
        regular(13.0)
    }

    /// Labels on the drawing.
    pub fn mark(&self) -> FontId {
        bold(14.0)
    }

    /// Lesser labels on the drawing.
    pub fn small(&self) -> FontId {
        regular(12.0)
    }

    /// Lesser labels on the drawing that carry a reading.
    pub fn small_strong(&self) -> FontId {
        bold(12.5)
    }

    /// Titles of cards.
    pub fn heading(&self) -> FontId {
        bold(16.0)
    }

    /// The answer, the next test, the vehicle.
    pub fn title(&self) -> FontId {
        bold(21.0)
    }

    /// The value that is being typed.
    pub fn figure(&self) -> FontId {
        bold(22.0)
    }
}

fn regular(size: f32) -> FontId {
    FontId::new(size, FontFamily::Proportional)
}

fn bold(size: f32) -> FontId {
    FontId::new(size, FontFamily::Name(BOLD.into()))
}

/// Puts fonts and styles into a context, once at start and again when the theme changes.
pub fn install(ctx: &egui::Context, theme: &Theme) {
    fonts::install(ctx);
    style::install(ctx, theme);
}

/// Puts styles into a context after a change of theme.
pub fn restyle(ctx: &egui::Context, theme: &Theme) {
    style::install(ctx, theme);
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Relative luminance and contrast ratio as in WCAG 2.2, "relative luminance" and "contrast ratio".
    fn contrast(a: Color32, b: Color32) -> f64 {
        fn luminance(colour: Color32) -> f64 {
            let channel = |byte: u8| {
                let s = f64::from(byte) / 255.0;
                if s <= 0.04045 {
                    s / 12.92
                } else {
                    ((s + 0.055) / 1.055).powf(2.4)
                }
            };
            0.2126 * channel(colour.r())
                + 0.7152 * channel(colour.g())
                + 0.0722 * channel(colour.b())
        }
        let (a, b) = (luminance(a), luminance(b));
        (a.max(b) + 0.05) / (a.min(b) + 0.05)
    }

    #[test]
    fn contrast_agrees_with_the_extremes_of_wcag() {
        // WCAG 2.2: black on white is 21:1, a colour on itself 1:1.
        assert!((contrast(Color32::BLACK, Color32::WHITE) - 21.0).abs() < 1e-9);
        assert!((contrast(Color32::RED, Color32::RED) - 1.0).abs() < 1e-9);
    }

    #[test]
    fn every_text_keeps_seven_to_one() {
        // WCAG 2.2 success criterion 1.4.6 (enhanced): 7:1.
        for (name, c) in [("day", DAY), ("dim", DIM)] {
            let pairs = [
                ("ink on desk", c.ink, c.desk),
                ("ink on sheet", c.ink, c.sheet),
                ("ink on band", c.ink, c.band),
                ("ink on selected", c.ink, c.selected),
                ("ink on attention", c.ink, c.attention_wash),
                ("ink on suspicion", c.ink, c.suspect_wash),
                ("ink on healthy", c.ink, c.healthy_wash),
                ("muted on desk", c.muted, c.desk),
                ("muted on sheet", c.muted, c.sheet),
                ("muted on band", c.muted, c.band),
                ("muted on selected", c.muted, c.selected),
                ("suspicion on sheet", c.suspect_text, c.sheet),
                ("suspicion on desk", c.suspect_text, c.desk),
                ("suspicion on band", c.suspect_text, c.band),
                ("attention on its wash", c.attention_text, c.attention_wash),
                ("attention on sheet", c.attention_text, c.sheet),
                ("attention on band", c.attention_text, c.band),
                ("healthy on its wash", c.healthy_text, c.healthy_wash),
                ("healthy on sheet", c.healthy_text, c.sheet),
                ("connector on sheet", c.connector, c.sheet),
                ("banner", c.banner_ink, c.banner),
                ("banner, second", c.banner_muted, c.banner),
                ("banner, attention", c.banner_attention, c.banner),
                ("primary", c.primary_ink, c.primary),
                ("primary, pressed", c.primary_ink, c.primary_warm),
                ("sheet on ink", c.sheet, c.ink),
            ];
            for (what, text, ground) in pairs {
                let ratio = contrast(text, ground);
                assert!(ratio >= 7.0, "{name}: {what} is only {ratio:.2}:1");
            }
        }
    }

    #[test]
    fn marks_stand_out_from_the_sheet() {
        // WCAG 2.2 success criterion 1.4.11 (non-text contrast): 3:1 for graphics that carry a meaning.
        for c in [DAY, DIM] {
            for mark in [c.suspect, c.healthy, c.connector, c.bar, c.focus] {
                assert!(contrast(mark, c.sheet) >= 3.0);
            }
        }
    }

    #[test]
    fn gloves_get_targets_they_can_hit() {
        // Common practice, no source: 44 points and up, 8 to 12 apart.
        let glove = Theme::new(false, true).size;
        for target in [glove.target, glove.row, 2.0 * glove.reach] {
            assert!(target >= 44.0);
        }
        assert!((8.0..=12.0).contains(&glove.gap));
    }
}
