//! Photos in a report: JPEG and PNG of a sensible size, never decoded before their size is known.

use crate::notebook::trouble::visible;

/// Largest file that is printed, in bytes.
pub const LARGEST: usize = 16 * 1024 * 1024;
/// Most pixels; a small file can claim enormous sides.
pub const MOST_PIXELS: u64 = 50_000_000;

/// Format of a photo.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Format {
    /// JPEG.
    Jpeg,
    /// PNG.
    Png,
}

/// How a photo has to be turned so that it stands as the camera was held.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Turn {
    /// Not at all.
    #[default]
    None,
    /// A quarter clockwise.
    Right,
    /// Upside down.
    Half,
    /// A quarter the other way.
    Left,
}

/// A photo that can be printed.
#[derive(Clone, Debug, PartialEq)]
pub struct Photo {
    /// Its file.
    pub bytes: Vec<u8>,
    /// Its format.
    pub format: Format,
    /// Width and height in pixels, before it is turned.
    pub size: (u32, u32),
    /// How it has to be turned.
    pub turn: Turn,
    /// What stands under it.
    pub caption: String,
}

impl Photo {
    /// Width and height in pixels as the camera was held.
    pub fn standing(&self) -> (u32, u32) {
        match self.turn {
            Turn::None | Turn::Half => self.size,
            Turn::Right | Turn::Left => (self.size.1, self.size.0),
        }
    }

    /// Looks at a file's bytes.
    ///
    /// # Errors
    /// Why it is not printed, in words: too large, not a JPEG or PNG, or with sides that are none.
    pub fn read(bytes: Vec<u8>, caption: &str) -> Result<Self, String> {
        if bytes.len() > LARGEST {
            return Err("it is larger than 16 MB".to_owned());
        }
        let found = png_size(&bytes)
            .map(|size| (Format::Png, size, ends(&bytes, b"IEND")))
            .or_else(|| {
                let (size, rest) = jpeg_size(&bytes)?;
                Some((Format::Jpeg, size, ends(rest, b"\xff\xd9")))
            });
        let Some((format, size, whole)) = found else {
            return Err("it is no JPEG or PNG that can be read".to_owned());
        };
        let pixels = u64::from(size.0) * u64::from(size.1);
        if pixels == 0 || pixels > MOST_PIXELS {
            return Err(format!("its size is {} × {} pixels", size.0, size.1));
        }
        if !whole {
            return Err("it is torn, its end is missing".to_owned());
        }
        let turn = match format {
            Format::Jpeg => exif_turn(&bytes).unwrap_or_default(),
            Format::Png => Turn::None,
        };
        Ok(Self {
            bytes,
            format,
            size,
            turn,
            caption: visible(caption),
        })
    }
}

/// Width and height from a PNG's header (ISO/IEC 15948, 11.2.2).
fn png_size(bytes: &[u8]) -> Option<(u32, u32)> {
    let head = bytes.strip_prefix(b"\x89PNG\r\n\x1a\n")?;
    if head.get(4..8)? != b"IHDR" {
        return None;
    }
    let number = |at: usize| {
        let four: [u8; 4] = head.get(at..at + 4)?.try_into().ok()?;
        Some(u32::from_be_bytes(four))
    };
    Some((number(8)?, number(12)?))
}

/// Whether the mark of an end is there (PNG: chunk IEND; JPEG: marker EOI). Cameras may write more behind it.
fn ends(bytes: &[u8], mark: &[u8]) -> bool {
    bytes.windows(mark.len()).any(|piece| piece == mark)
}

/// Width and height from a JPEG's frame header (ITU-T T.81, B.2.2), and what follows it; segments before it, in which
/// there may be a small picture of its own, are stepped over.
fn jpeg_size(bytes: &[u8]) -> Option<((u32, u32), &[u8])> {
    let mut rest = bytes.strip_prefix(b"\xff\xd8")?;
    loop {
        rest = rest.strip_prefix(b"\xff")?;
        let (&marker, after) = rest.split_first()?;
        rest = after;
        match marker {
            // Fill bytes, and markers that stand alone.
            0xff => {
                rest = &bytes[bytes.len() - rest.len() - 1..];
                continue;
            }
            0x01 | 0xd0..=0xd7 => continue,
            _ => {}
        }
        let length = usize::from(u16::from_be_bytes(rest.get(..2)?.try_into().ok()?));
        let body = rest.get(2..length)?;
        if matches!(marker, 0xc0..=0xcf) && !matches!(marker, 0xc4 | 0xc8 | 0xcc) {
            let side = |at: usize| {
                let two: [u8; 2] = body.get(at..at + 2)?.try_into().ok()?;
                Some(u32::from(u16::from_be_bytes(two)))
            };
            return Some(((side(3)?, side(1)?), rest.get(length..)?));
        }
        rest = rest.get(length..)?;
    }
}

/// The turn that a camera notes in the Exif segment of a JPEG (CIPA DC-008: a TIFF header behind `Exif\0\0`, tag 0x0112
/// of its first directory; 3 is upside down, 6 and 8 are quarters; mirrored ones are not made by cameras).
fn exif_turn(bytes: &[u8]) -> Option<Turn> {
    let mut rest = bytes.strip_prefix(b"\xff\xd8")?;
    let tiff = loop {
        let marker = *rest.strip_prefix(b"\xff")?.first()?;
        let length = usize::from(u16::from_be_bytes(rest.get(2..4)?.try_into().ok()?));
        let body = rest.get(4..2 + length)?;
        if marker == 0xe1
            && let Some(tiff) = body.strip_prefix(b"Exif\0\0")
        {
            break tiff;
        }
        // Only application segments and comments stand before the tables.
        if !matches!(marker, 0xe0..=0xef | 0xfe) {
            return None;
        }
        rest = rest.get(2 + length..)?;
    };
    let little = tiff.starts_with(b"II");
    let number = |at: usize, size: usize| -> Option<usize> {
        let bytes = tiff.get(at..at.checked_add(size)?)?;
        let add = |sum: usize, byte: &u8| sum << 8 | usize::from(*byte);
        Some(if little {
            bytes.iter().rev().fold(0, add)
        } else {
            bytes.iter().fold(0, add)
        })
    };
    let directory = number(4, 4)?;
    for entry in 0..number(directory, 2)?.min(64) {
        let at = directory + 2 + 12 * entry;
        if number(at, 2)? == 0x0112 {
            return Some(match number(at + 8, 2)? {
                3 => Turn::Half,
                6 => Turn::Right,
                8 => Turn::Left,
                _ => Turn::None,
            });
        }
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    fn png(width: u32, height: u32) -> Vec<u8> {
        let mut bytes = b"\x89PNG\r\n\x1a\n\0\0\0\x0dIHDR".to_vec();
        bytes.extend(width.to_be_bytes());
        bytes.extend(height.to_be_bytes());
        bytes
    }

    #[test]
    fn sizes_are_read_from_headers() {
        assert_eq!(png_size(&png(640, 480)), Some((640, 480)));
        // Start, an application segment of 4 bytes, a fill byte, then a baseline frame of 480 lines by 640 samples.
        let jpeg = b"\xff\xd8\xff\xe0\0\x04ab\xff\xff\xc0\0\x0b\x08\x01\xe0\x02\x80\x01\x01\x11\0";
        let size = |bytes: &[u8]| jpeg_size(bytes).map(|(size, _)| size);
        assert_eq!(size(jpeg), Some((640, 480)));
        for end in 0..jpeg.len() - 1 {
            assert!(size(&jpeg[..end]).is_none_or(|size| size == (640, 480)));
        }
    }

    #[test]
    fn the_camera_says_how_it_was_held() {
        // Built by hand from the layout in CIPA DC-008; no photo of a camera is at hand.
        let with = |order: &[u8], directory: &[u8]| {
            let body = [b"Exif\0\0", order, directory].concat();
            let length = (body.len() as u16 + 2).to_be_bytes();
            [b"\xff\xd8\xff\xe1", &length[..], &body].concat()
        };
        let little = with(
            b"II*\0\x08\0\0\0",
            b"\x01\0\x12\x01\x03\0\x01\0\0\0\x06\0\0\0",
        );
        assert_eq!(exif_turn(&little), Some(Turn::Right));
        let big = with(
            b"MM\0*\0\0\0\x08",
            b"\0\x01\x01\x12\0\x03\0\0\0\x01\0\x03\0\0",
        );
        assert_eq!(exif_turn(&big), Some(Turn::Half));
        for end in 0..little.len() - 4 {
            assert_eq!(exif_turn(&little[..end]), None);
        }
        assert_eq!(exif_turn(b"\xff\xd8\xff\xdb\0\x04ab"), None);
    }

    #[test]
    fn what_is_no_photo_is_refused_with_the_reason() {
        for (bytes, word) in [
            (Vec::new(), "no JPEG or PNG"),
            (b"<svg onload=alert(1)>".to_vec(), "no JPEG or PNG"),
            (b"\xff\xd8\xff\xe0\xff\xff".to_vec(), "no JPEG or PNG"),
            (png(0, 10), "0 × 10"),
            (png(u32::MAX, u32::MAX), "4294967295 × 4294967295"),
            (vec![0; LARGEST + 1], "16 MB"),
            // Headers as above, and nothing behind them.
            (png(640, 480), "torn"),
            (
                b"\xff\xd8\xff\xe1\0\x06\xff\xd9ab\xff\xc0\0\x0b\x08\x01\xe0\x02\x80\x01\x01\x11\0"
                    .to_vec(),
                "torn",
            ),
        ] {
            let error = Photo::read(bytes, "x").expect_err(word);
            assert!(error.contains(word), "{error}");
        }
    }
}
