//! The report as PDF: A4 pages with an embedded font, real text and vector drawings. The same report gives the same
//! bytes: nothing in it comes from a clock.
//!
//! Stages: break blocks into lines and lines into pages ([`flow`]), then write the pages ([`ink`]).

#[cfg(test)]
mod crowded;
mod cut;
mod flow;
mod ink;
mod pictures;
mod rows;

use super::{
    content::{Block, Report, Section},
    photo::Photo,
};
use flow::Flow;

/// Why no PDF could be written.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("the PDF could not be written: {0}; the same report as HTML has everything")]
pub struct PdfError(String);

/// A report as a PDF file.
///
/// # Errors
/// The report is longer than the format or the program allows, or the font that ships is broken.
pub fn pdf(report: &Report) -> Result<Vec<u8>, PdfError> {
    match ink::write(&laid_out(report), report) {
        Ok(bytes) => Ok(bytes),
        // A photo with a sound header can be broken further in; it is named instead of printed, and the others stay.
        Err(_) if has_photos(report) => {
            let without = without_broken(report);
            ink::write(&laid_out(&without), &without).map_err(PdfError)
        }
        Err(why) => Err(PdfError(why)),
    }
}

/// Bytes at the end of a file in which its trailer stands.
const TRAILER: usize = 1024;

/// Whether a PDF file was made by this program: by the entry in the one place where a file says what made it, the
/// information dictionary that its trailer names (ISO 32000-1, 14.3.3).
pub fn is_own(file: &[u8]) -> bool {
    let trailer = String::from_utf8_lossy(&file[file.len().saturating_sub(TRAILER)..]);
    let Some((_, info)) = trailer.rsplit_once("/Info ") else {
        return false;
    };
    let number: String = info.chars().take_while(char::is_ascii_digit).collect();
    let object = format!("\n{number} 0 obj\n");
    let found = |what: &[u8], of: &[u8]| of.windows(what.len()).rposition(|piece| piece == what);
    let Some(begin) = found(object.as_bytes(), file).filter(|_| !number.is_empty()) else {
        return false;
    };
    let rest = &file[begin + object.len()..];
    let end = rest.windows(END.len()).position(|piece| piece == END);
    let made_by = format!("/Creator({})>>", ink::CREATOR);
    file.starts_with(b"%PDF-") && end.is_some_and(|end| rest[..end].ends_with(made_by.as_bytes()))
}

/// How an object ends.
const END: &[u8] = b"\nendobj";

fn laid_out(report: &Report) -> Flow<'_> {
    let mut flow = Flow::new();
    flow.title(&report.title, &report.vehicle);
    for section in &report.sections {
        flow.section(&section.heading, Flow::least(&section.blocks));
        for (index, block) in section.blocks.iter().enumerate() {
            if matches!(block, Block::Heading(_)) {
                // No heading stands alone at the foot of a page.
                flow.need(Flow::least(&section.blocks[index..]));
            }
            flow.block(block);
        }
    }
    flow.missing();
    flow
}

fn has_photos(report: &Report) -> bool {
    let mut blocks = report.sections.iter().flat_map(|section| &section.blocks);
    blocks.any(|block| matches!(block, Block::Photo(_)))
}

/// Whether a photo can be printed, by printing it.
fn prints(photo: &Photo) -> bool {
    let alone = Report {
        title: String::new(),
        vehicle: String::new(),
        foot: String::new(),
        sections: vec![Section {
            heading: String::new(),
            blocks: vec![Block::Photo(photo.clone())],
        }],
    };
    ink::write(&laid_out(&alone), &alone).is_ok()
}

fn without_broken(report: &Report) -> Report {
    let mut report = report.clone();
    for block in report
        .sections
        .iter_mut()
        .flat_map(|section| &mut section.blocks)
    {
        if let Block::Photo(photo) = block
            && !prints(photo)
        {
            *block = Block::Text {
                basis: None,
                text: format!("Photo not printed, as it is damaged: {}", photo.caption),
            };
        }
    }
    report
}

#[cfg(test)]
mod tests {
    use super::{flow::Mark, *};
    use crate::{
        notebook::trouble::visible,
        report::{
            content::{Basis, Column, Row, Table, Tone},
            picture::Shape,
        },
    };
    use proptest::prelude::*;

    /// Everything that is printed, without the spaces at which lines are broken.
    fn printed(report: &Report) -> String {
        let flow = laid_out(report);
        let marks = flow.pages.iter().flatten();
        let words = marks.filter_map(|mark| match mark {
            Mark::Shape(Shape::Words { text, .. }) => Some(text.as_str()),
            _ => None,
        });
        bare(&words.collect::<Vec<_>>().join(""))
    }

    fn bare(text: &str) -> String {
        text.split_whitespace().collect()
    }

    fn report(texts: &[String; 5]) -> Report {
        let [title, heading, line, item, cell] = texts.clone();
        let row = Row::plain([cell.clone(), item.clone()]).toned(Tone::Bad);
        Report {
            title,
            vehicle: String::new(),
            foot: "Record 0".to_owned(),
            sections: vec![Section {
                heading,
                blocks: vec![
                    Block::Text {
                        basis: Some(Basis::Stated),
                        text: line.clone(),
                    },
                    Block::List {
                        basis: None,
                        items: vec![item],
                    },
                    Block::Verdict {
                        tone: Tone::Good,
                        basis: Some(Basis::Measured),
                        line,
                        detail: cell,
                    },
                    Block::Table(Table {
                        basis: Basis::Measured,
                        columns: vec![Column::words("a", 1.0), Column::figures("b", 2.0)],
                        rows: vec![row],
                    }),
                ],
            }],
        }
    }

    /// A PDF without its strings and streams (ISO 32000-1, 7.3.4.2 and 7.3.8): what a viewer acts on.
    fn structure(bytes: &[u8]) -> String {
        let text: String = bytes.iter().map(|&byte| char::from(byte)).collect();
        let mut rest = text.as_str();
        let mut kept = String::new();
        while let Some(at) = rest.find(['(', 's']) {
            kept.push_str(&rest[..at]);
            rest = &rest[at..];
            if let Some(inside) = rest
                .strip_prefix("stream\n")
                .or(rest.strip_prefix("stream\r\n"))
            {
                let end = inside.find("endstream").expect("a stream ends");
                rest = &inside[end + "endstream".len()..];
            } else if rest.starts_with('(') {
                let (mut depth, mut escaped, mut end) = (0, false, None);
                for (at, sign) in rest.char_indices() {
                    match sign {
                        _ if escaped => escaped = false,
                        '\\' => escaped = true,
                        '(' => depth += 1,
                        ')' => depth -= 1,
                        _ => {}
                    }
                    if depth == 0 {
                        end = Some(at + 1);
                        break;
                    }
                }
                rest = &rest[end.expect("a string ends")..];
            } else {
                kept.push('s');
                rest = &rest[1..];
            }
        }
        kept + rest
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(64))]
        /// What was typed is printed as text, all of it, whatever it is; the file is a PDF that asks for nothing.
        #[test]
        fn nothing_typed_is_lost_or_becomes_anything_else(
            texts in prop::array::uniform5(prop_oneof![
                any::<String>(),
                "[a-z(){}<>/\\\\%&'\" ]{0,400}",
                Just("/JavaScript (app.alert(1)) >> endobj trailer << /OpenAction".to_owned()),
            ])
        ) {
            let report = report(&texts);
            let all = printed(&report);
            for text in &texts {
                let shown: Vec<String> = text.split('\n').map(visible).collect();
                let shown = bare(&shown.join("\n"));
                prop_assert!(all.contains(&shown), "{shown:?} is not in {all:?}");
            }
            let bytes = pdf(&report).expect("a PDF");
            prop_assert!(bytes.starts_with(b"%PDF-"));
            let structure = structure(&bytes);
            for active in ["/JavaScript", "/JS", "/Launch", "/OpenAction", "/AA", "/URI", "/EmbeddedFile", "/Annots"] {
                // Behind it stands no letter: a font's random prefix can begin with the same ones.
                let mut found = structure.match_indices(active);
                let named = found.any(|(at, _)| {
                    let next = structure[at + active.len()..].chars().next();
                    !next.is_some_and(|sign| sign.is_ascii_alphanumeric())
                });
                prop_assert!(!named, "{active}");
            }
        }
    }

    /// Base lines of the words of each page.
    fn lines(report: &Report) -> Vec<Vec<(f32, String)>> {
        let flow = laid_out(report);
        let words = |mark: &Mark<'_>| match mark {
            Mark::Shape(Shape::Words { at, text, .. }) => Some((at.1, text.clone())),
            _ => None,
        };
        let pages = flow.pages.iter();
        pages
            .map(|page| page.iter().filter_map(words).collect())
            .collect()
    }

    #[test]
    fn no_heading_stands_alone_and_tables_say_their_columns_on_every_page() {
        let row = |n: usize| Row::plain([format!("cell {n}"), "two lines\nof it".to_owned()]);
        let table = Block::Table(Table {
            basis: Basis::Measured,
            columns: vec![
                Column::words("first column", 1.0),
                Column::words("second column", 2.0),
            ],
            rows: (0..120).map(row).collect(),
        });
        let last = [
            table,
            Block::Verdict {
                tone: Tone::Bad,
                basis: None,
                line: "verdict".to_owned(),
                detail: "d ".repeat(900),
            },
            Block::Text {
                basis: None,
                text: "text".to_owned(),
            },
        ];
        // However much stands before it on the page.
        for before in 0..70 {
            for block in &last {
                let filler = Block::List {
                    basis: None,
                    items: vec!["filler".to_owned(); before],
                };
                let heading = Block::Heading("HEADING".to_owned());
                let sections = vec![Section {
                    heading: "SECTION".to_owned(),
                    blocks: vec![filler, heading, block.clone()],
                }];
                let report = Report {
                    sections,
                    ..report(&Default::default())
                };
                for page in lines(&report) {
                    let end = page.last().map(|(_, text)| text.as_str());
                    assert!(
                        !matches!(end, Some("HEADING" | "SECTION" | "second column")),
                        "{before}: {end:?} ends a page"
                    );
                    let cells = page.iter().any(|(_, text)| text.starts_with("cell"));
                    let rows = page
                        .iter()
                        .filter(|(_, text)| text.starts_with("cell"))
                        .count();
                    assert_ne!(rows, 1, "{before}: a single row on a page");
                    let heads = page.iter().any(|(_, text)| text == "first column");
                    assert_eq!(cells, heads, "{before}");
                }
            }
        }
    }

    #[test]
    fn a_cell_longer_than_pages_goes_on_over_pages() {
        let word = "feed ".repeat(20_000);
        let short = || "x".to_owned();
        let report = report(&[short(), short(), short(), short(), word.clone()]);
        let flow = laid_out(&report);
        assert!(flow.pages.len() > 20, "{}", flow.pages.len());
        // Once as detail and once as cell; headings stand between the pages, so the words are counted.
        assert_eq!(printed(&report).matches("feed").count(), 40_000);
        for mark in flow.pages.iter().flatten() {
            if let Mark::Shape(Shape::Words { at, .. }) = mark {
                assert!(at.1 > 20.0 && at.1 < 800.0, "{at:?}");
            }
        }
    }
}
