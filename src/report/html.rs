//! The report as one HTML page that needs nothing else: font, drawings and photos are inside, scripts are forbidden.

use base64::{Engine as _, engine::general_purpose::STANDARD};

use super::{
    content::{Basis, Block, Report, Row, Side, Table, Tone},
    face::{BOLD, REGULAR},
    photo::Format,
    svg::svg,
};
use crate::notebook::trouble::visible;

const STYLE: &str = include_str!("../../assets/report.css");

/// How every page begins. Even if something slipped through, a browser runs and loads nothing.
const HEAD: &str = "<!DOCTYPE html>
<html lang=\"en\">
<head>
<meta charset=\"utf-8\">
<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src 'unsafe-inline'; img-src data:; font-src data:\">
<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">
";
/// Who wrote it.
const GENERATOR: &str = "<meta name=\"generator\" content=\"Pinchpoint report\">\n";
/// Bytes at the end of a page in which its foot stands.
const FOOT: usize = 200;

/// Whether a page is a report of this program: by the line that says so at its place, or, in those that were written before
/// there was one, by beginning and foot.
pub fn is_own(page: &[u8]) -> bool {
    let Some(rest) = page.strip_prefix(HEAD.as_bytes()) else {
        return false;
    };
    let foot = &rest[rest.len().saturating_sub(FOOT)..];
    let foot = String::from_utf8_lossy(foot);
    rest.starts_with(GENERATOR.as_bytes())
        || foot.contains(" · Pinchpoint ") && foot.ends_with("</p></footer>\n</body>\n</html>\n")
}

/// The page.
pub fn html(report: &Report) -> String {
    let mut page = format!("{HEAD}{GENERATOR}");
    page.push_str(&format!(
        "<title>{}</title>\n<style>\n",
        escaped(&report.title)
    ));
    for (weight, data) in [("normal", REGULAR), ("bold", BOLD)] {
        page.push_str(&format!(
            "@font-face {{ font-family: B612; font-weight: {weight}; src: url(data:font/otf;base64,{}) format(\"opentype\"); }}\n",
            STANDARD.encode(data)
        ));
    }
    page.push_str(STYLE);
    page.push_str("</style>\n</head>\n<body>\n<header>\n");
    page.push_str(&format!("<h1>{}</h1>\n", escaped(&report.title)));
    if !report.vehicle.is_empty() {
        page.push_str(&format!(
            "<p class=\"vehicle\">{}</p>\n",
            escaped(&report.vehicle)
        ));
    }
    page.push_str("</header>\n");
    for section in &report.sections {
        page.push_str(&format!(
            "<section>\n<h2>{}</h2>\n",
            escaped(&section.heading)
        ));
        for block in &section.blocks {
            write(&mut page, block);
        }
        page.push_str("</section>\n");
    }
    page.push_str(&format!(
        "<footer><p>{}</p></footer>\n</body>\n</html>\n",
        escaped(&report.foot)
    ));
    page
}

/// A text that is nothing but text in HTML: no character of it can begin or end a tag, an attribute or an entity, and
/// what cannot be seen stands as its number.
pub fn escaped(text: &str) -> String {
    let mut safe = String::with_capacity(text.len());
    for sign in visible(text).chars() {
        match sign {
            '&' => safe.push_str("&amp;"),
            '<' => safe.push_str("&lt;"),
            '>' => safe.push_str("&gt;"),
            '"' => safe.push_str("&quot;"),
            '\'' => safe.push_str("&#39;"),
            sign => safe.push(sign),
        }
    }
    safe
}

/// The same with line breaks kept.
fn lines(text: &str) -> String {
    let lines: Vec<String> = text.split('\n').map(escaped).collect();
    lines.join("<br>\n")
}

fn tag(basis: Option<Basis>) -> String {
    basis.map_or_else(String::new, |basis| {
        format!("<span class=\"basis {0}\">{0}</span>", basis.word())
    })
}

fn tone(tone: Tone) -> &'static str {
    match tone {
        Tone::Plain => "plain",
        Tone::Good => "good",
        Tone::Bad => "bad",
        Tone::Careful => "careful",
        Tone::Quiet => "quiet",
    }
}

fn write(page: &mut String, block: &Block) {
    let piece = match block {
        Block::Heading(text) => format!("<h3>{}</h3>\n", escaped(text)),
        Block::Text { basis, text } => format!("<p>{}{}</p>\n", tag(*basis), lines(text)),
        Block::Facts { basis, facts } => {
            let rows: String = facts
                .iter()
                .map(|(label, text)| {
                    format!("<dt>{}</dt><dd>{}</dd>\n", escaped(label), lines(text))
                })
                .collect();
            format!("{}<dl>\n{rows}</dl>\n", tag(Some(*basis)))
        }
        Block::List { basis, items } => {
            let items: String = items
                .iter()
                .map(|item| format!("<li>{}</li>\n", lines(item)))
                .collect();
            format!("{}<ul>\n{items}</ul>\n", tag(*basis))
        }
        Block::Verdict {
            tone: how,
            basis,
            line,
            detail,
        } => {
            let detail = if detail.is_empty() {
                String::new()
            } else {
                format!("<p>{}</p>\n", lines(detail))
            };
            format!(
                "<div class=\"verdict {}\">\n{}<p class=\"line\">{}</p>\n{detail}</div>\n",
                tone(*how),
                tag(*basis),
                lines(line)
            )
        }
        Block::Table(table) => self::table(table),
        Block::Picture(picture) => format!(
            "<figure>\n{}<figcaption>{}</figcaption>\n</figure>\n",
            svg(picture),
            lines(&picture.caption)
        ),
        Block::Photo(photo) => {
            let kind = match photo.format {
                Format::Jpeg => "jpeg",
                Format::Png => "png",
            };
            format!(
                "<figure class=\"photo\">\n<img alt=\"{0}\" width=\"{1}\" height=\"{2}\" src=\"data:image/{kind};base64,{3}\">\n<figcaption>{0}</figcaption>\n</figure>\n",
                escaped(&photo.caption),
                photo.size.0,
                photo.size.1,
                STANDARD.encode(&photo.bytes)
            )
        }
    };
    page.push_str(&piece);
}

fn table(table: &Table) -> String {
    let side = |index: usize| match table.columns.get(index).map(|column| column.side) {
        Some(Side::Right) => " class=\"figure\"",
        _ => "",
    };
    let all: f32 = table.columns.iter().map(|column| column.share).sum();
    let head: String = table
        .columns
        .iter()
        .enumerate()
        .map(|(index, column)| {
            // The same shares of the width as on paper.
            format!(
                "<th scope=\"col\" style=\"width: {:.1}%\"{}>{}</th>",
                100.0 * column.share / all.max(f32::MIN_POSITIVE),
                side(index),
                escaped(column.name)
            )
        })
        .collect();
    let row = |row: &Row| {
        let cells: String = row
            .cells
            .iter()
            .enumerate()
            .map(|(index, cell)| format!("<td{}>{}</td>", side(index), lines(cell)))
            .collect();
        format!("<tr class=\"{}\">{cells}</tr>\n", tone(row.tone))
    };
    let body: String = table.rows.iter().map(row).collect();
    format!(
        "{}<table>\n<thead><tr>{head}</tr></thead>\n<tbody>\n{body}</tbody>\n</table>\n",
        tag(Some(table.basis))
    )
}
