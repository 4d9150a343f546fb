//! The two faces of the report's font: how wide texts are, where lines break, and which characters it has.

use std::sync::LazyLock;

use ttf_parser::{Face as Parsed, GlyphId};

/// The regular face, an OpenType font (SIL Open Font Licence).
pub const REGULAR: &[u8] = include_bytes!("../../assets/fonts/B612-Regular.otf");
/// The bold one.
pub const BOLD: &[u8] = include_bytes!("../../assets/fonts/B612-Bold.otf");
/// Drawn in place of a character that the font has not.
const STAND_IN: char = '\u{25a1}';

/// One face.
pub struct Face {
    parsed: Parsed<'static>,
    stand_in: GlyphId,
}

/// A character as it is drawn.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Drawn {
    /// Its glyph.
    pub glyph: u16,
    /// Its width in ems.
    pub width: f32,
    /// Whether something else stands in for it.
    pub missing: bool,
}

static REGULAR_FACE: LazyLock<Option<Face>> = LazyLock::new(|| Face::read(REGULAR));
static BOLD_FACE: LazyLock<Option<Face>> = LazyLock::new(|| Face::read(BOLD));

/// The regular or the bold face; none only if the program was built with a broken font.
pub fn face(bold: bool) -> Option<&'static Face> {
    if bold {
        BOLD_FACE.as_ref()
    } else {
        REGULAR_FACE.as_ref()
    }
}

impl Face {
    fn read(data: &'static [u8]) -> Option<Self> {
        let parsed = Parsed::parse(data, 0).ok()?;
        let stand_in = parsed
            .glyph_index(STAND_IN)
            .or_else(|| parsed.glyph_index('?'));
        Some(Self {
            stand_in: stand_in.unwrap_or(GlyphId(0)),
            parsed,
        })
    }

    /// A character as it is drawn.
    pub fn drawn(&self, sign: char) -> Drawn {
        let found = self.parsed.glyph_index(sign).filter(|glyph| glyph.0 != 0);
        let glyph = found.unwrap_or(self.stand_in);
        let units = f32::from(self.parsed.units_per_em()).max(1.0);
        let advance = self.parsed.glyph_hor_advance(glyph).unwrap_or(0);
        Drawn {
            glyph: glyph.0,
            width: f32::from(advance) / units,
            missing: found.is_none(),
        }
    }

    /// Width of a text at a size, in the size's unit.
    pub fn width(&self, text: &str, size: f32) -> f32 {
        text.chars().map(|sign| self.drawn(sign).width).sum::<f32>() * size
    }

    /// Breaks a text into lines no wider than `room`: at line breaks, at spaces, and inside a word that is too long by
    /// itself. Nothing is lost but the spaces at which a line was broken.
    pub fn lines(&self, text: &str, size: f32, room: f32) -> Vec<String> {
        let mut lines = Vec::new();
        for paragraph in text.split('\n') {
            let mut line = String::new();
            let mut width = 0.0;
            for word in paragraph.split_inclusive(' ') {
                let bare = self.width(word.trim_end_matches(' '), size);
                if width > 0.0 && width + bare > room {
                    lines.push(std::mem::take(&mut line).trim_end_matches(' ').to_owned());
                    width = 0.0;
                }
                if bare <= room {
                    line.push_str(word);
                    width += self.width(word, size);
                    continue;
                }
                for sign in word.chars() {
                    let own = self.drawn(sign).width * size;
                    if width > 0.0 && width + own > room {
                        lines.push(std::mem::take(&mut line));
                        width = 0.0;
                    }
                    line.push(sign);
                    width += own;
                }
            }
            lines.push(line.trim_end_matches(' ').to_owned());
        }
        lines
    }
}

/// Width of a text; none of it where there is no font.
pub fn width(text: &str, size: f32, bold: bool) -> f32 {
    face(bold).map_or(0.0, |face| face.width(text, size))
}

/// A text cut to a room, with an ellipsis where something is cut off.
pub fn fitted(text: &str, size: f32, bold: bool, room: f32) -> String {
    if width(text, size, bold) <= room {
        return text.to_owned();
    }
    let ellipsis = width("…", size, bold);
    let mut cut = String::new();
    let mut used = ellipsis;
    for sign in text.chars() {
        used += width(sign.encode_utf8(&mut [0; 4]), size, bold);
        if used > room {
            break;
        }
        cut.push(sign);
    }
    cut + "…"
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_font_has_what_the_trade_writes() {
        for bold in [false, true] {
            let face = face(bold).expect("the font that ships");
            for sign in "Ω µ ± ² √ ✓ · … “ ” – − × ÷ é ü ß"
                .chars()
                .filter(|c| *c != ' ')
            {
                assert!(!face.drawn(sign).missing, "{sign} {bold}");
            }
            assert!(face.drawn('\u{4e00}').missing);
            assert!(
                face.drawn('\u{4e00}').width > 0.0,
                "something stands in for it"
            );
        }
    }

    #[test]
    fn lines_keep_every_word_and_stay_inside() {
        let face = face(false).expect("the font that ships");
        let long = "x".repeat(300);
        let text = format!("the feed reads low at every corner {long} and\n\nbehind  C2");
        let lines = face.lines(&text, 10.0, 90.0);
        for line in &lines {
            assert!(face.width(line, 10.0) <= 90.0 + 1e-3, "{line}");
        }
        let words = |text: &str| text.split_whitespace().collect::<String>();
        assert_eq!(words(&lines.join(" ")), words(&text));
        assert!(lines.iter().any(String::is_empty), "the empty line stays");
        assert_eq!(face.lines("", 10.0, 90.0), [""]);
        // A room narrower than a letter still makes progress.
        assert_eq!(face.lines("ab", 10.0, 1.0), ["a", "b"]);
    }

    #[test]
    fn a_text_is_cut_to_its_room() {
        let room = width("ride height", 9.0, false);
        assert_eq!(fitted("ride height", 9.0, false, room), "ride height");
        let cut = fitted("ride height rear left", 9.0, false, room);
        assert!(
            cut.ends_with('…') && width(&cut, 9.0, false) <= room,
            "{cut}"
        );
    }
}
