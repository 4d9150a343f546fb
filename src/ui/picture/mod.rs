//! Pictures for paper and mail: parts of the bench drawn off the screen, by day, and written as SVG or PNG.

mod dots;
mod svg;

use std::{fs, path::Path};

use egui::{
    Color32, ColorImage, Context, FullOutput, ImageData, RawInput, Rect, TextureId, Ui, Vec2,
    Visuals, vec2,
};

use super::theme::{self, Theme};
use crate::app::model::Refusal;

/// What is pictured.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[allow(missing_docs, reason = "the variants are named in PICTURES")]
pub enum Picture {
    #[default]
    Harness,
    Likely,
    Ohms,
    Doubt,
}

/// Every picture: itself, its word, its accessible name.
pub const PICTURES: [(Picture, &str, &str); 4] = [
    (
        Picture::Harness,
        "Volts",
        "Picture of the harness and the volts",
    ),
    (
        Picture::Likely,
        "Probability",
        "Picture of the harness and the probability along it",
    ),
    (Picture::Ohms, "Ohms", "Picture of the probability of ohms"),
    (
        Picture::Doubt,
        "Suspects left",
        "Picture of the suspects left after every reading",
    ),
];

impl Picture {
    /// Its size in points.
    fn size(self) -> Vec2 {
        match self {
            Self::Harness | Self::Likely => vec2(1000.0, 620.0),
            Self::Ohms => vec2(460.0, 170.0),
            Self::Doubt => vec2(700.0, 320.0),
        }
    }
}

/// Dots per point of a PNG: sharp on paper at the size of the screen.
const DENSITY: f32 = 2.0;
/// Frames after which a page that measures itself has come to rest.
const FRAMES: usize = 3;

/// Draws and writes a picture; the end of the file's name says how: `.svg`, else PNG.
///
/// # Errors
/// What the disk says, and where.
pub fn write(
    picture: Picture,
    path: &Path,
    draw: impl FnMut(&mut Ui, &Theme),
) -> Result<(), Refusal> {
    let is_svg = path
        .extension()
        .is_some_and(|end| end.eq_ignore_ascii_case("svg"));
    let bytes = if is_svg {
        let (output, size, _) = drawn(picture.size(), 1.0, draw);
        svg::svg(&output.shapes, size).into_bytes()
    } else {
        let (output, size, context) = drawn(picture.size(), DENSITY, draw);
        let image = dots::image(&context.0, output, size, &context.1);
        dots::png(&image)
            .map_err(|error| Refusal::new(path.display().to_string(), error, "Try SVG instead"))?
    };
    fs::write(path, bytes).map_err(|error| {
        Refusal::new(
            path.display().to_string(),
            format!("the picture could not be written: {error}"),
            "Choose another place",
        )
    })
}

/// The context and its font texture.
type Drawn = (FullOutput, Vec2, (Context, ColorImage));

fn drawn(size: Vec2, density: f32, mut draw: impl FnMut(&mut Ui, &Theme)) -> Drawn {
    let context = Context::default();
    let theme = Theme::new(false, false);
    theme::install(&context, &theme);
    context.set_visuals(Visuals {
        panel_fill: theme.colour.sheet,
        ..Visuals::light()
    });
    theme::restyle(&context, &theme);
    context.set_pixels_per_point(density);
    let input = RawInput {
        screen_rect: Some(Rect::from_min_size(egui::Pos2::ZERO, size)),
        ..RawInput::default()
    };
    let mut fonts = ColorImage::filled([1, 1], Color32::WHITE);
    let mut output = FullOutput::default();
    for _ in 0..FRAMES {
        output = context.run_ui(input.clone(), |ui| draw(ui, &theme));
        let own = output.textures_delta.set.get(&TextureId::default());
        for delta in own.into_iter().flatten() {
            let ImageData::Color(image) = &delta.image;
            match delta.pos {
                None => fonts = ColorImage::clone(image),
                Some(at) => put(&mut fonts, image, at),
            }
        }
        output.textures_delta.clear();
    }
    (output, size, (context, fonts))
}

/// Copies a piece into an image.
fn put(image: &mut ColorImage, piece: &ColorImage, [left, top]: [usize; 2]) {
    for y in 0..piece.size[1].min(image.size[1].saturating_sub(top)) {
        for x in 0..piece.size[0].min(image.size[0].saturating_sub(left)) {
            image.pixels[(top + y) * image.size[0] + left + x] =
                piece.pixels[y * piece.size[0] + x];
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use egui::{CornerRadius, Stroke, pos2};

    fn cross(ui: &mut Ui, theme: &Theme) {
        let painter = ui.painter();
        let all = Rect::from_min_size(egui::Pos2::ZERO, vec2(460.0, 170.0));
        painter.rect_filled(all, CornerRadius::ZERO, Color32::WHITE);
        let stroke = Stroke::new(8.0, Color32::from_rgb(255, 0, 0));
        painter.line_segment([pos2(0.0, 85.0), pos2(460.0, 85.0)], stroke);
        painter.text(
            pos2(10.0, 10.0),
            egui::Align2::LEFT_TOP,
            "4.7 kΩ & <more>",
            theme.body(),
            Color32::BLACK,
        );
    }

    #[test]
    fn dots_lie_where_the_line_is_and_nowhere_else() {
        let (output, size, (context, fonts)) = drawn(vec2(460.0, 170.0), DENSITY, cross);
        let image = dots::image(&context, output, size, &fonts);
        assert_eq!(image.size, [920, 340]);
        let at = |x: usize, y: usize| image.pixels[y * 920 + x];
        assert_eq!(at(500, 170), Color32::from_rgb(255, 0, 0));
        assert_eq!(at(500, 300), Color32::WHITE);
        let inked = (20..300).flat_map(|x| (20..60).map(move |y| (x, y)));
        assert!(
            inked.filter(|(x, y)| at(*x, *y).r() < 128).count() > 50,
            "no letters"
        );
        // PNG, second edition, 5.2: the signature.
        assert_eq!(&dots::png(&image).unwrap()[..8], b"\x89PNG\r\n\x1a\n");
    }

    #[test]
    fn svg_keeps_words_as_words_and_escapes_them() {
        let (output, size, _) = drawn(vec2(460.0, 170.0), 1.0, cross);
        let text = svg::svg(&output.shapes, size);
        assert!(text.starts_with("<svg ") && text.trim_end().ends_with("</svg>"));
        assert!(text.contains("4.7 kΩ &amp; &lt;more&gt;"));
        assert!(text.contains("#ff0000"));
    }
}
