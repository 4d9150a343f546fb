//! A drawing as SVG, to stand inside a page.

use std::fmt::Write as _;

use super::{
    html::escaped,
    picture::{Anchor, At, Pen, Picture, Shape},
};

/// The drawing as one element.
pub(super) fn svg(picture: &Picture) -> String {
    let mut text = format!(
        "<svg viewBox=\"0 0 {} {}\" role=\"img\" aria-label=\"{}\">\n",
        number(picture.width),
        number(picture.height),
        escaped(&picture.spoken)
    );
    for shape in &picture.shapes {
        // Writing to a string cannot fail.
        let _ = match shape {
            Shape::Line(points, pen) => {
                writeln!(
                    text,
                    "<polyline points=\"{}\" fill=\"none\"{}/>",
                    places(points),
                    stroke(Some(pen))
                )
            }
            Shape::Area(points, ink, pen) => writeln!(
                text,
                "<polygon points=\"{}\" fill=\"{}\"{}/>",
                places(points),
                colour(ink.rgb()),
                stroke(pen.as_ref())
            ),
            Shape::Disc(at, radius, ink, pen) => writeln!(
                text,
                "<circle cx=\"{}\" cy=\"{}\" r=\"{}\" fill=\"{}\"{}/>",
                number(at.0),
                number(at.1),
                number(*radius),
                colour(ink.rgb()),
                stroke(pen.as_ref())
            ),
            Shape::Words {
                at,
                anchor,
                size,
                bold,
                ink,
                text: words,
            } => {
                let anchor = match anchor {
                    Anchor::Start => "start",
                    Anchor::Middle => "middle",
                    Anchor::End => "end",
                };
                let weight = if *bold { " font-weight=\"bold\"" } else { "" };
                writeln!(
                    text,
                    "<text x=\"{}\" y=\"{}\" text-anchor=\"{anchor}\" font-size=\"{}\" fill=\"{}\"{weight}>{}</text>",
                    number(at.0),
                    number(at.1),
                    number(*size),
                    colour(ink.rgb()),
                    escaped(words)
                )
            }
        };
    }
    text.push_str("</svg>\n");
    text
}

/// Hundredths of a point are enough.
fn number(value: f32) -> String {
    let value = if value.is_finite() { value } else { 0.0 };
    let rounded = (value * 100.0).round() / 100.0;
    format!("{}", rounded + 0.0)
}

fn places(points: &[At]) -> String {
    let places: Vec<String> = points
        .iter()
        .map(|at| format!("{},{}", number(at.0), number(at.1)))
        .collect();
    places.join(" ")
}

fn colour([red, green, blue]: [u8; 3]) -> String {
    format!("#{red:02x}{green:02x}{blue:02x}")
}

fn stroke(pen: Option<&Pen>) -> String {
    let Some(pen) = pen else {
        return String::new();
    };
    let dash = pen.dash.map_or_else(String::new, |(dash, gap)| {
        format!(" stroke-dasharray=\"{} {}\"", number(dash), number(gap))
    });
    format!(
        " stroke=\"{}\" stroke-width=\"{}\"{dash}",
        colour(pen.ink.rgb()),
        number(pen.width)
    )
}
