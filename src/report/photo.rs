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

/// A photo that can be printed.
#[derive(Clone, Debug, PartialEq)]
pub struct Photo {
    /// Its file.
    pub bytes: Vec<u8>,
    /// Its format.
    pub format: Format,
    /// Width and height in pixels.
    pub size: (u32, u32),
    /// What stands under it.
    pub caption: String,
}

impl Photo {
    /// Looks at a file's bytes.
    ///
    /// # Errors
    /// Why it is not printed, in words: too large, not a JPEG or PNG, or with sides that are none.
    pub fn read(bytes: Vec<u8>, caption: &str) -> Result<Self, String> {
        if bytes.len() > LARGEST {
            return Err("it is larger than 16 MB".to_owned());
        }
        let found = png_size(&bytes)
            .map(|size| (Format::Png, size))
            .or_else(|| jpeg_size(&bytes).map(|size| (Format::Jpeg, size)));
        let Some((format, size)) = found else {
            return Err("it is no JPEG or PNG that can be read".to_owned());
        };
        let pixels = u64::from(size.0) * u64::from(size.1);
        if pixels == 0 || pixels > MOST_PIXELS {
            return Err(format!("its size is {} × {} pixels", size.0, size.1));
        }
        Ok(Self {
            bytes,
            format,
            size,
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

/// Width and height from a JPEG's frame header (ITU-T T.81, B.2.2); segments before it are stepped over.
fn jpeg_size(bytes: &[u8]) -> Option<(u32, u32)> {
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
            return Some((side(3)?, side(1)?));
        }
        rest = rest.get(length..)?;
    }
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
        assert_eq!(jpeg_size(jpeg), Some((640, 480)));
        for end in 0..jpeg.len() - 1 {
            assert!(jpeg_size(&jpeg[..end]).is_none_or(|size| size == (640, 480)));
        }
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
        ] {
            let error = Photo::read(bytes, "x").expect_err(word);
            assert!(error.contains(word), "{error}");
        }
    }
}
