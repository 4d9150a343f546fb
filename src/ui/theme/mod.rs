//! Colours, sizes and type of the window; no other file of this room names one.
//!
//! By day a printed sheet: warm paper, ink, one accent for suspicion, one for what is unplugged or wants attention,
//! one for healthy. The dim theme has the same roles for dark bays.

mod fonts;
mod palette;
mod style;
mod wire;

use egui::{FontFamily, FontId};

pub use fonts::{BOLD, LICENCE};
pub use palette::{DAY, DIM, Palette};
pub use wire::insulation;

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

    /// Labels that count.
    pub fn label_strong(&self) -> FontId {
        bold(13.0)
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
    use egui::Color32;

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
