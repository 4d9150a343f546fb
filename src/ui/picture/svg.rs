//! Shapes of the toolkit as SVG: words stay words.

use std::fmt::Write as _;

use egui::{
    Color32, FontFamily, Pos2, Shape, StrokeKind, Vec2,
    epaint::{ClippedShape, ColorMode, PathStroke, TessellationOptions, Tessellator, TextShape},
};

use crate::ui::theme::BOLD;

/// A whole SVG document.
pub fn svg(shapes: &[ClippedShape], size: Vec2) -> String {
    let mut text = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{0}\" height=\"{1}\" viewBox=\"0 0 {0} {1}\" font-family=\"B612, sans-serif\">\n",
        size.x, size.y
    );
    for (number, clipped) in shapes.iter().enumerate() {
        let clip = clipped.clip_rect;
        // Writing to a string cannot fail.
        let _ = writeln!(
            text,
            "<clipPath id=\"c{number}\"><rect x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\"/></clipPath><g clip-path=\"url(#c{number})\">",
            clip.left().max(0.0),
            clip.top().max(0.0),
            clip.width().clamp(0.0, size.x),
            clip.height().clamp(0.0, size.y)
        );
        shape_svg(&mut text, &clipped.shape);
        text.push_str("</g>\n");
    }
    text.push_str("</svg>\n");
    text
}

fn shape_svg(text: &mut String, shape: &Shape) {
    let _ = match shape {
        Shape::Noop | Shape::Callback(_) => Ok(()),
        Shape::Vec(shapes) => {
            shapes.iter().for_each(|shape| shape_svg(text, shape));
            Ok(())
        }
        Shape::Circle(circle) => writeln!(
            text,
            "<circle cx=\"{:.2}\" cy=\"{:.2}\" r=\"{:.2}\"{}{}/>",
            circle.center.x,
            circle.center.y,
            circle.radius,
            fill(circle.fill),
            stroke(circle.stroke.width, circle.stroke.color)
        ),
        Shape::LineSegment {
            points,
            stroke: pen,
        } => writeln!(
            text,
            "<polyline points=\"{}\" fill=\"none\"{}/>",
            places(points),
            stroke(pen.width, pen.color)
        ),
        Shape::Path(path) => writeln!(
            text,
            "<{} points=\"{}\"{}{}/>",
            if path.closed { "polygon" } else { "polyline" },
            places(&path.points),
            fill(path.fill),
            pen(&path.stroke)
        ),
        Shape::Rect(rect) => {
            // The stroke lies inside or outside of the edge; SVG draws it on the edge.
            let half = rect.stroke.width / 2.0;
            let edge = match rect.stroke_kind {
                StrokeKind::Inside => rect.rect.shrink(half),
                StrokeKind::Outside => rect.rect.expand(half),
                StrokeKind::Middle => rect.rect,
            };
            writeln!(
                text,
                "<rect x=\"{:.2}\" y=\"{:.2}\" width=\"{:.2}\" height=\"{:.2}\" rx=\"{}\"{}{}/>",
                edge.left(),
                edge.top(),
                edge.width().max(0.0),
                edge.height().max(0.0),
                rect.corner_radius.nw,
                fill(rect.fill),
                stroke(rect.stroke.width, rect.stroke.color)
            )
        }
        Shape::Text(words) => {
            words_svg(text, words);
            Ok(())
        }
        other => {
            triangles_svg(text, other);
            Ok(())
        }
    };
}

fn words_svg(text: &mut String, words: &TextShape) {
    let Some(format) = words
        .galley
        .job
        .sections
        .first()
        .map(|section| &section.format)
    else {
        return;
    };
    let own = if format.color == Color32::PLACEHOLDER {
        words.fallback_color
    } else {
        format.color
    };
    let colour = words.override_text_color.unwrap_or(own);
    let bold = format.font_id.family == FontFamily::Name(BOLD.into());
    let weight = if bold { " font-weight=\"bold\"" } else { "" };
    for row in &words.galley.rows {
        let Some(first) = row.row.glyphs.first() else {
            continue;
        };
        let at = words.pos + row.pos.to_vec2() + first.pos.to_vec2();
        let shown: String = row.row.glyphs.iter().map(|glyph| glyph.chr).collect();
        let _ = writeln!(
            text,
            "<text x=\"{:.2}\" y=\"{:.2}\" font-size=\"{}\"{weight}{} xml:space=\"preserve\">{}</text>",
            at.x,
            at.y,
            format.font_id.size,
            fill(colour),
            escaped(&shown)
        );
    }
}

/// Anything else as the triangles that the screen would show.
fn triangles_svg(text: &mut String, shape: &Shape) {
    let options = TessellationOptions {
        feathering: false,
        ..TessellationOptions::default()
    };
    let mut mesh = egui::Mesh::default();
    Tessellator::new(1.0, options, [1, 1], Vec::new()).tessellate_shape(shape.clone(), &mut mesh);
    for corner in mesh.indices.chunks_exact(3) {
        let corners: Vec<_> = corner
            .iter()
            .filter_map(|index| mesh.vertices.get(*index as usize))
            .collect();
        let places: Vec<Pos2> = corners.iter().map(|vertex| vertex.pos).collect();
        let colour = corners
            .first()
            .map_or(Color32::TRANSPARENT, |vertex| vertex.color);
        let _ = writeln!(
            text,
            "<polygon points=\"{}\"{}/>",
            self::places(&places),
            fill(colour)
        );
    }
}

fn places(points: &[Pos2]) -> String {
    let places: Vec<String> = points
        .iter()
        .map(|p| format!("{:.2},{:.2}", p.x, p.y))
        .collect();
    places.join(" ")
}

/// Red, green, blue and opacity of a colour with its opacity worked in.
fn colour(colour: Color32) -> (String, f32) {
    let [r, g, b, a] = colour.to_srgba_unmultiplied();
    (format!("#{r:02x}{g:02x}{b:02x}"), f32::from(a) / 255.0)
}

fn fill(of: Color32) -> String {
    let (hex, opacity) = colour(of);
    match opacity {
        0.0 => " fill=\"none\"".to_owned(),
        1.0 => format!(" fill=\"{hex}\""),
        opacity => format!(" fill=\"{hex}\" fill-opacity=\"{opacity:.2}\""),
    }
}

fn stroke(width: f32, of: Color32) -> String {
    let (hex, opacity) = colour(of);
    if width <= 0.0 || opacity <= 0.0 {
        return String::new();
    }
    format!(" stroke=\"{hex}\" stroke-width=\"{width:.2}\" stroke-opacity=\"{opacity:.2}\"")
}

fn pen(of: &PathStroke) -> String {
    match &of.color {
        ColorMode::Solid(colour) => stroke(of.width, *colour),
        ColorMode::UV(_) => stroke(of.width, Color32::BLACK),
    }
}

fn escaped(text: &str) -> String {
    text.replace('&', "&amp;")
        .replace('<', "&lt;")
        .replace('>', "&gt;")
}
