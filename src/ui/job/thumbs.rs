//! Small pictures of the photos of the job on the bench, read and made smaller on a thread of their own.

use std::{
    collections::{HashMap, hash_map::Entry},
    io::Cursor,
    path::{Path, PathBuf},
    sync::Arc,
    time::Duration,
};

use egui::{ColorImage, Context, TextureHandle, TextureOptions};
use zune_jpeg::{
    JpegDecoder,
    zune_core::{bytestream::ZCursor, colorspace::ColorSpace, options::DecoderOptions},
};

use crate::{
    app::{
        Model,
        latest::{Latest, Wake, start},
    },
    notebook::{attach::read_attachment, record::Attachment},
    report::{
        Photo,
        photo::{Format, Turn},
    },
};

/// Widest and highest a small picture gets, in pixels.
const WIDE: usize = 288;
const HIGH: usize = 216;

/// Where a job's file is, and a photo of it.
type Wanted = (PathBuf, Attachment);
/// The photo and its small picture, or why there is none.
type Made = (Wanted, Result<ColorImage, String>);

/// What is there of a photo.
pub enum Thumb {
    /// It is being read.
    Coming,
    /// The small picture.
    Picture(TextureHandle),
    /// Why there is none.
    None(String),
}

/// The small pictures.
pub struct Thumbs {
    thread: Latest<Vec<Wanted>, Vec<Made>>,
    known: HashMap<(PathBuf, String), Thumb>,
}

impl Thumbs {
    /// Starts the thread.
    ///
    /// # Errors
    /// The system refuses a thread.
    pub fn start(wake: Wake) -> std::io::Result<Self> {
        let thread = start(
            "photos",
            Duration::ZERO,
            wake,
            |wanted: &Vec<Wanted>, _| {
                let make = |wanted: &Wanted| (wanted.clone(), make(&wanted.0, &wanted.1));
                wanted.iter().map(make).collect()
            },
            |wanted, _| {
                let none = || Err("its content is damaged".to_owned());
                wanted
                    .iter()
                    .map(|wanted| (wanted.clone(), none()))
                    .collect()
            },
        )?;
        Ok(Self {
            thread,
            known: HashMap::new(),
        })
    }

    /// Takes in what was made, and has made what is missing for the job on the bench.
    pub fn follow(&mut self, ctx: &Context, model: &Model) {
        while let Some(made) = self.thread.answer() {
            for ((path, photo), picture) in made {
                let thumb = match picture {
                    Ok(picture) => Thumb::Picture(ctx.load_texture(
                        &photo.sha256,
                        picture,
                        TextureOptions::LINEAR,
                    )),
                    Err(why) => Thumb::None(why),
                };
                self.known.insert((path, photo.sha256), thumb);
            }
        }
        let Some(path) = &model.photos_at else {
            return;
        };
        if self.thread.is_busy() {
            return;
        }
        let photos = &model.job.record.attachments;
        self.known
            .retain(|(of, hash), _| of == path && photos.iter().any(|photo| photo.sha256 == *hash));
        let mut wanted = Vec::new();
        for photo in photos {
            let key = (path.clone(), photo.sha256.clone());
            if let Entry::Vacant(place) = self.known.entry(key) {
                place.insert(Thumb::Coming);
                wanted.push((path.clone(), photo.clone()));
            }
        }
        if !wanted.is_empty() {
            self.thread.ask(wanted);
        }
    }

    /// What is there of a photo.
    pub fn of(&self, path: &Path, hash: &str) -> Option<&Thumb> {
        self.known.get(&(path.to_path_buf(), hash.to_owned()))
    }

    /// Waits until nothing is being read.
    pub fn settle(&self) {
        self.thread.settle();
    }
}

fn make(job_file: &Path, photo: &Attachment) -> Result<ColorImage, String> {
    let bytes = read_attachment(job_file, photo).map_err(|error| error.what.to_string())?;
    // Its size is looked at before a pixel of it is decoded.
    let photo = Photo::read(bytes, "")?;
    let damaged = || "its content is damaged".to_owned();
    let image = match photo.format {
        Format::Png => png_pixels(&photo.bytes),
        Format::Jpeg => jpeg_pixels(&photo.bytes),
    };
    let (pixels, size, channels) = image.ok_or_else(damaged)?;
    let small = smaller(&pixels, size, channels).ok_or_else(damaged)?;
    Ok(turned(small, photo.turn))
}

/// Pixels by rows, their width and height, and bytes for each pixel.
type Pixels = (Vec<u8>, (usize, usize), usize);

fn png_pixels(bytes: &[u8]) -> Option<Pixels> {
    let mut decoder = png::Decoder::new(Cursor::new(bytes));
    decoder.set_transformations(png::Transformations::normalize_to_color8());
    let mut reader = decoder.read_info().ok()?;
    let mut pixels = vec![0; reader.output_buffer_size()?];
    let frame = reader.next_frame(&mut pixels).ok()?;
    let size = (frame.width as usize, frame.height as usize);
    Some((pixels, size, frame.color_type.samples()))
}

fn jpeg_pixels(bytes: &[u8]) -> Option<Pixels> {
    let options = DecoderOptions::default().jpeg_set_out_colorspace(ColorSpace::RGB);
    let mut decoder = JpegDecoder::new_with_options(ZCursor::new(bytes), options);
    let pixels = decoder.decode().ok()?;
    let channels = decoder.output_colorspace()?.num_components();
    Some((pixels, decoder.dimensions()?, channels))
}

/// The middle of as many pixels as fall together, at most eight by eight of them.
fn smaller(pixels: &[u8], (width, height): (usize, usize), channels: usize) -> Option<ColorImage> {
    let by = (width as f32 / WIDE as f32)
        .max(height as f32 / HIGH as f32)
        .max(1.0);
    let size = [
        ((width as f32 / by) as usize).max(1),
        ((height as f32 / by) as usize).max(1),
    ];
    let step = (by / 8.0).ceil().max(1.0) as usize;
    let mut small = Vec::with_capacity(size[0] * size[1]);
    for y in 0..size[1] {
        for x in 0..size[0] {
            let (mut sum, mut count) = ([0u32; 3], 0);
            let end = |at: usize, all: usize| {
                (((at + 1) as f32 * by) as usize).clamp((at as f32 * by) as usize + 1, all)
            };
            for row in ((y as f32 * by) as usize..end(y, height)).step_by(step) {
                for column in ((x as f32 * by) as usize..end(x, width)).step_by(step) {
                    let at = (row * width + column) * channels;
                    let pixel = pixels.get(at..at + channels)?;
                    let colour = match *pixel {
                        [grey] | [grey, _] => [grey; 3],
                        [r, g, b] | [r, g, b, _] => [r, g, b],
                        _ => return None,
                    };
                    for (sum, part) in sum.iter_mut().zip(colour) {
                        *sum += u32::from(part);
                    }
                    count += 1;
                }
            }
            let [r, g, b] = sum.map(|sum| (sum / u32::max(count, 1)) as u8);
            small.push(egui::Color32::from_rgb(r, g, b));
        }
    }
    Some(ColorImage::new(size, small))
}

/// As the camera was held.
fn turned(image: ColorImage, turn: Turn) -> ColorImage {
    let [width, height] = image.size;
    let at = |x: usize, y: usize| image.pixels[y * width + x];
    let size = match turn {
        Turn::None | Turn::Half => [width, height],
        Turn::Right | Turn::Left => [height, width],
    };
    let mut pixels = Vec::with_capacity(image.pixels.len());
    for y in 0..size[1] {
        for x in 0..size[0] {
            pixels.push(match turn {
                Turn::None => at(x, y),
                Turn::Half => at(width - 1 - x, height - 1 - y),
                Turn::Right => at(y, height - 1 - x),
                Turn::Left => at(width - 1 - y, x),
            });
        }
    }
    ColorImage::new(size, pixels)
}

/// The thread, which wakes the window when a picture is there.
///
/// # Errors
/// The system gives no thread.
pub fn start_thumbs(ctx: &Context) -> std::io::Result<Thumbs> {
    let ctx = ctx.clone();
    Thumbs::start(Arc::new(move || ctx.request_repaint()))
}

#[cfg(test)]
mod tests {
    use super::*;
    use egui::Color32;

    fn image() -> ColorImage {
        // 1 2 3
        // 4 5 6
        ColorImage::new([3, 2], (1..=6).map(Color32::from_gray).collect())
    }

    #[test]
    fn a_photo_stands_as_the_camera_was_held() {
        let shades = |turn: Turn| -> Vec<u8> {
            turned(image(), turn).pixels.iter().map(|c| c.r()).collect()
        };
        assert_eq!(shades(Turn::None), [1, 2, 3, 4, 5, 6]);
        assert_eq!(shades(Turn::Half), [6, 5, 4, 3, 2, 1]);
        // Turned to the right, the left column becomes the top row.
        assert_eq!(shades(Turn::Right), [4, 1, 5, 2, 6, 3]);
        assert_eq!(shades(Turn::Left), [3, 6, 2, 5, 1, 4]);
        assert_eq!(turned(image(), Turn::Left).size, [2, 3]);
    }

    /// A file of 48 by 32 pixels, its left half red and its right half blue, that says (Exif orientation 6) to be turned a
    /// quarter clockwise; encoded by ImageMagick, the Exif segment put in by hand from CIPA DC-008.
    #[test]
    fn a_jpeg_is_shown_upright_with_its_colours() {
        let folder = tempfile::tempdir().expect("a folder");
        let (job_file, photo) = (
            folder.path().join("job.ron"),
            folder.path().join("held.jpg"),
        );
        let bytes = include_bytes!("../../../tests/golden/held-upright.jpg");
        std::fs::write(&photo, bytes).expect("written");
        let kept = crate::notebook::attach::attach(&job_file, &photo, "").expect("attached");
        let image = make(&job_file, &kept).expect("a picture");
        assert_eq!(image.size, [32, 48]);
        let (top, bottom) = (image.pixels[5 * 32 + 16], image.pixels[42 * 32 + 16]);
        assert!(top.r() > 150 && top.b() < 90, "{top:?}");
        assert!(bottom.b() > 150 && bottom.r() < 90, "{bottom:?}");
    }

    #[test]
    fn a_picture_that_claims_enormous_sides_is_never_decoded() {
        let folder = tempfile::tempdir().expect("a folder");
        let (job_file, photo) = (
            folder.path().join("job.ron"),
            folder.path().join("bomb.png"),
        );
        // A header that claims 100,000 by 100,000 pixels (ISO/IEC 15948, 11.2.2).
        let mut bytes = b"\x89PNG\r\n\x1a\n\0\0\0\x0dIHDR".to_vec();
        bytes.extend([0, 1, 0x86, 0xa0, 0, 1, 0x86, 0xa0, 8, 2, 0, 0, 0]);
        std::fs::write(&photo, bytes).expect("written");
        let kept = crate::notebook::attach::attach(&job_file, &photo, "").expect("attached");
        let why = make(&job_file, &kept).expect_err("too large");
        assert!(why.contains("100000 × 100000"), "{why}");
    }

    #[test]
    fn a_large_picture_keeps_its_shape_and_its_colours() {
        let pixels: Vec<u8> = [10, 20, 30].repeat(2000 * 1000);
        let small = smaller(&pixels, (2000, 1000), 3).expect("whole");
        assert_eq!(small.size, [288, 144]);
        assert!(
            small
                .pixels
                .iter()
                .all(|c| *c == Color32::from_rgb(10, 20, 30))
        );
        assert_eq!(
            smaller(&[7], (1, 1), 1).expect("whole").pixels,
            [Color32::from_gray(7)]
        );
        assert!(smaller(&pixels[..100], (2000, 1000), 3).is_none(), "torn");
    }
}
