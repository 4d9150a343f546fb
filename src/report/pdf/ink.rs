//! Writing laid-out pages with the PDF library.

use krilla::{
    Document, SerializeSettings,
    color::rgb,
    destination::XyzDestination,
    geom::{PathBuilder, Point, Size, Transform},
    image::Image,
    metadata::Metadata,
    num::NormalizedF32,
    outline::{Outline, OutlineNode},
    page::PageSettings,
    paint::{Fill, Stroke, StrokeDash},
    surface::Surface,
    text::{Font, GlyphId, KrillaGlyph},
};

use super::flow::{Flow, LEFT, Mark, PAGE, WIDTH};
use crate::{
    notebook::trouble::visible,
    report::{
        content::Report,
        face::{self, BOLD, REGULAR},
        photo::{Format, Photo, Turn},
        picture::{Anchor, At, Ink, Pen, Shape},
    },
};

/// What a file says made it.
pub(super) const CREATOR: &str = "Pinchpoint";
/// Control points of a quarter circle of radius 1 lie so far from its ends.
const QUARTER: f32 = 0.552_285;

struct Fonts {
    regular: Font,
    bold: Font,
}

/// The file's bytes.
///
/// # Errors
/// Why there are none.
pub fn write(flow: &Flow<'_>, report: &Report) -> Result<Vec<u8>, String> {
    let broken = || "the font that ships is broken".to_owned();
    let fonts = Fonts {
        regular: Font::new(REGULAR.into(), 0).ok_or_else(broken)?,
        bold: Font::new(BOLD.into(), 0).ok_or_else(broken)?,
    };
    let mut document = Document::new_with(SerializeSettings::default());
    let settings = PageSettings::from_wh(PAGE.0, PAGE.1).ok_or("a page has no size")?;
    for (index, marks) in flow.pages.iter().enumerate() {
        let mut page = document.start_page_with(settings.clone());
        let mut surface = page.surface();
        for mark in marks {
            match mark {
                Mark::Shape(shape) => draw(&mut surface, &fonts, shape),
                Mark::Photo(photo, at, size) => photo_at(&mut surface, photo, *at, *size)?,
            }
        }
        for shape in foot(report, index + 1, flow.pages.len()) {
            draw(&mut surface, &fonts, &shape);
        }
        surface.finish();
        page.finish();
    }
    let mut outline = Outline::new();
    for (heading, page, y) in &flow.sections {
        let place = XyzDestination::new(*page, Point::from_xy(LEFT, *y));
        outline.push_child(OutlineNode::new(heading.clone(), place));
    }
    document.set_outline(outline);
    document.set_metadata(
        Metadata::new()
            .title(visible(&report.title))
            .language("en".to_owned())
            .creator(CREATOR.to_owned()),
    );
    document
        .finish()
        .map_err(|error| visible(&error.to_string()))
}

/// The foot of a page: the record it was made from, and which page it is.
fn foot(report: &Report, page: usize, pages: usize) -> Vec<Shape> {
    let y = PAGE.1 - 26.0;
    let words = |at, anchor, text: String| Shape::Words {
        at,
        anchor,
        size: 6.8,
        bold: false,
        ink: Ink::Muted,
        text,
    };
    let title = face::fitted(&visible(&report.title), 6.8, false, WIDTH - 190.0);
    vec![
        Shape::Line(
            vec![(LEFT, y - 10.0), (LEFT + WIDTH, y - 10.0)],
            Pen::full(Ink::Grid, 0.6),
        ),
        words((LEFT, y), Anchor::Start, title),
        words(
            (LEFT + WIDTH, y),
            Anchor::End,
            format!("{} · page {page} of {pages}", report.foot),
        ),
    ]
}

fn colour(ink: Ink) -> rgb::Color {
    let [red, green, blue] = ink.rgb();
    rgb::Color::new(red, green, blue)
}

fn fill(ink: Ink) -> Fill {
    Fill {
        paint: colour(ink).into(),
        opacity: NormalizedF32::ONE,
        rule: krilla::paint::FillRule::default(),
    }
}

fn stroke(pen: &Pen) -> Stroke {
    Stroke {
        paint: colour(pen.ink).into(),
        width: pen.width,
        dash: pen.dash.map(|(dash, gap)| StrokeDash {
            array: vec![dash, gap],
            offset: 0.0,
        }),
        ..Stroke::default()
    }
}

fn draw(surface: &mut Surface<'_>, fonts: &Fonts, shape: &Shape) {
    match shape {
        Shape::Line(points, pen) => path(surface, points, false, None, Some(stroke(pen))),
        Shape::Area(points, ink, pen) => {
            path(
                surface,
                points,
                true,
                Some(fill(*ink)),
                pen.as_ref().map(stroke),
            );
        }
        Shape::Disc(at, radius, ink, pen) => disc(surface, *at, *radius, *ink, pen.as_ref()),
        Shape::Words {
            at,
            anchor,
            size,
            bold,
            ink,
            text,
        } => {
            let wide = face::width(text, *size, *bold);
            let x = match anchor {
                Anchor::Start => at.0,
                Anchor::Middle => at.0 - wide / 2.0,
                Anchor::End => at.0 - wide,
            };
            words(surface, fonts, (x, at.1), *size, *bold, *ink, text);
        }
    }
}

fn words(
    surface: &mut Surface<'_>,
    fonts: &Fonts,
    at: At,
    size: f32,
    bold: bool,
    ink: Ink,
    text: &str,
) {
    let Some(face) = face::face(bold) else { return };
    let glyphs: Vec<KrillaGlyph> = text
        .char_indices()
        .map(|(index, sign)| {
            let drawn = face.drawn(sign);
            let own = index..index + sign.len_utf8();
            KrillaGlyph::new(
                GlyphId::new(drawn.glyph.into()),
                drawn.width,
                0.0,
                0.0,
                0.0,
                own,
                None,
            )
        })
        .collect();
    if glyphs.is_empty() {
        return;
    }
    surface.set_fill(Some(fill(ink)));
    surface.set_stroke(None);
    let font = if bold { &fonts.bold } else { &fonts.regular };
    surface.draw_glyphs(
        Point::from_xy(at.0, at.1),
        &glyphs,
        font.clone(),
        text,
        size,
        false,
    );
}

fn path(
    surface: &mut Surface<'_>,
    points: &[At],
    closed: bool,
    fill: Option<Fill>,
    stroke: Option<Stroke>,
) {
    let mut builder = PathBuilder::new();
    for (index, at) in points.iter().enumerate() {
        if index == 0 {
            builder.move_to(at.0, at.1);
        } else {
            builder.line_to(at.0, at.1);
        }
    }
    if closed {
        builder.close();
    }
    if let Some(path) = builder.finish() {
        surface.set_fill(fill);
        surface.set_stroke(stroke);
        surface.draw_path(&path);
    }
}

fn disc(surface: &mut Surface<'_>, (x, y): At, r: f32, ink: Ink, pen: Option<&Pen>) {
    let k = QUARTER * r;
    let mut builder = PathBuilder::new();
    builder.move_to(x + r, y);
    builder.cubic_to(x + r, y + k, x + k, y + r, x, y + r);
    builder.cubic_to(x - k, y + r, x - r, y + k, x - r, y);
    builder.cubic_to(x - r, y - k, x - k, y - r, x, y - r);
    builder.cubic_to(x + k, y - r, x + r, y - k, x + r, y);
    builder.close();
    if let Some(path) = builder.finish() {
        surface.set_fill(Some(fill(ink)));
        surface.set_stroke(pen.map(stroke));
        surface.draw_path(&path);
    }
}

fn photo_at(
    surface: &mut Surface<'_>,
    photo: &Photo,
    at: At,
    size: (f32, f32),
) -> Result<(), String> {
    let bytes = photo.bytes.clone().into();
    let image = match photo.format {
        Format::Jpeg => Image::from_jpeg(bytes, true),
        Format::Png => Image::from_png(bytes, true),
    }?;
    let (own, row) = standing(photo.turn, at, size);
    let own = Size::from_wh(own.0, own.1).ok_or("a photo has no size")?;
    let [a, b, c, d, x, y] = row;
    surface.push_transform(&Transform::from_row(a, b, c, d, x, y));
    surface.draw_image(image, own);
    surface.pop();
    Ok(())
}

/// The picture is drawn as it lies in its file, turned about so that it fills a place of this size as the camera was held:
/// its own size, and the row a, b, c, d, x, y that leads from (u, v) to (a u + c v + x, b u + d v + y).
fn standing(turn: Turn, at: At, size: (f32, f32)) -> ((f32, f32), [f32; 6]) {
    let (right, bottom) = (at.0 + size.0, at.1 + size.1);
    match turn {
        Turn::None => (size, [1.0, 0.0, 0.0, 1.0, at.0, at.1]),
        Turn::Half => (size, [-1.0, 0.0, 0.0, -1.0, right, bottom]),
        Turn::Right => ((size.1, size.0), [0.0, 1.0, -1.0, 0.0, right, at.1]),
        Turn::Left => ((size.1, size.0), [0.0, -1.0, 1.0, 0.0, at.0, bottom]),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// CIPA DC-008, tag 0x0112: of a photo with 6 the file's first row stands at the right and its first column on top; with 8
    /// at the left and at the bottom; with 3 at the bottom and at the right.
    #[test]
    fn a_turned_photo_fills_its_place_with_the_corner_where_the_camera_had_it() {
        let (at, size) = ((10.0, 20.0), (30.0, 40.0));
        for (turn, first, along) in [
            (Turn::None, (10.0, 20.0), (40.0, 20.0)),
            (Turn::Half, (40.0, 60.0), (10.0, 60.0)),
            (Turn::Right, (40.0, 20.0), (40.0, 60.0)),
            (Turn::Left, (10.0, 60.0), (10.0, 20.0)),
        ] {
            let (own, [a, b, c, d, x, y]) = standing(turn, at, size);
            let place = |u: f32, v: f32| (a * u + c * v + x, b * u + d * v + y);
            assert_eq!(place(0.0, 0.0), first, "{turn:?}: the first pixel");
            assert_eq!(
                place(own.0, 0.0),
                along,
                "{turn:?}: the end of the first row"
            );
            let opposite = place(own.0, own.1);
            assert!((10.0..=40.0).contains(&opposite.0) && (20.0..=60.0).contains(&opposite.1));
        }
    }
}
