//! Text on screen. What was typed or read from a file is shown, never obeyed: control and direction characters become
//! visible marks, and over-long text is cut with an ellipsis.

use std::{borrow::Cow, sync::Arc};

use egui::{
    Color32, FontId, Galley, Label, Response, RichText, Sense, Ui,
    text::{LayoutJob, TextWrapping},
};

use super::button::focus_ring;
use crate::ui::theme::Theme;

/// Longest text that is laid out in a label, in characters.
const LIMIT: usize = 400;
/// Stands for a character that would steer the text instead of showing.
pub const MARK: char = '¤';

/// Whether a character steers text instead of showing: controls, direction overrides and isolates, joiners, invisible
/// spaces, tags (Unicode 16, general categories Cc and Cf, and the line and paragraph separators).
fn steers(c: char) -> bool {
    c.is_control()
        || matches!(c,
            '\u{AD}' | '\u{61C}' | '\u{180E}' | '\u{200B}'..='\u{200F}' | '\u{2028}'..='\u{202E}'
            | '\u{2060}'..='\u{206F}' | '\u{FEFF}' | '\u{FFF9}'..='\u{FFFB}' | '\u{E0000}'..='\u{E007F}')
}

/// The same text with every steering character replaced by a mark, one for one.
///
/// ```
/// use pinchpoint::ui::kit::shown;
/// assert_eq!(shown("left\u{202E}thgir\n"), "left¤thgir¤");
/// assert_eq!(shown("4.7 kΩ"), "4.7 kΩ");
/// ```
pub fn shown(text: &str) -> Cow<'_, str> {
    if text.chars().any(steers) {
        Cow::Owned(
            text.chars()
                .map(|c| if steers(c) { MARK } else { c })
                .collect(),
        )
    } else {
        Cow::Borrowed(text)
    }
}

/// At most so many characters of a text, marked like [`shown`], with an ellipsis where it was cut.
///
/// ```
/// use pinchpoint::ui::kit::shortened;
/// assert_eq!(shortened("ride height", 6), "ride …");
/// assert_eq!(shortened("ride", 6), "ride");
/// ```
pub fn shortened(text: &str, limit: usize) -> String {
    let mut cut = String::new();
    for (count, c) in text.chars().enumerate() {
        if count + 1 == limit && text.chars().nth(limit).is_some() {
            cut.push('…');
            return cut;
        }
        cut.push(if steers(c) { MARK } else { c });
    }
    cut
}

/// Text that wraps.
pub fn text_ui(ui: &mut Ui, text: &str, font: FontId, colour: Color32) -> Response {
    ui.add(Label::new(rich(text, font, colour)).wrap())
}

/// Text that stays on one line and ends in an ellipsis where room ends.
pub fn line_ui(ui: &mut Ui, text: &str, font: FontId, colour: Color32) -> Response {
    ui.add(Label::new(rich(text, font, colour)).truncate())
}

/// Text on one line that ends in an ellipsis where room ends and is then told in full when it is pressed.
pub fn fold_ui(ui: &mut Ui, theme: &Theme, text: &str, font: FontId, colour: Color32) -> Response {
    let id = ui.scope_id().with(("told in full", text));
    let open: bool = ui.data(|data| data.get_temp(id).unwrap_or_default());
    let cut = fitted(ui, text, font.clone(), colour, ui.available_width()).elided;
    if !cut {
        return line_ui(ui, text, font, colour);
    }
    let label = Label::new(rich(text, font, colour)).sense(Sense::click());
    let label = if open { label.wrap() } else { label.truncate() };
    let response = ui.add(label);
    focus_ring(ui, theme, &response, response.rect.expand(2.0));
    if response.clicked() {
        ui.data_mut(|data| data.insert_temp(id, !open));
    }
    response
}

/// A word or two that need all their room.
pub fn label_ui(ui: &mut Ui, text: &str, font: FontId, colour: Color32) -> Response {
    ui.add(Label::new(rich(text, font, colour)).extend())
}

/// Text on one line for the painter, cut with an ellipsis where it is wider than its room.
pub fn fitted(ui: &Ui, text: &str, font: FontId, ink: Color32, width: f32) -> Arc<Galley> {
    let mut job = LayoutJob::simple_singleline(shortened(text, LIMIT), font, ink);
    job.wrap = TextWrapping::truncate_at_width(width.max(0.0));
    ui.fonts_mut(|fonts| fonts.layout_job(job))
}

fn rich(text: &str, font: FontId, colour: Color32) -> RichText {
    RichText::new(shortened(text, LIMIT))
        .font(font)
        .color(colour)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_steering_character_becomes_one_mark() {
        for c in [
            '\0',
            '\t',
            '\u{7F}',
            '\u{85}',
            '\u{200F}',
            '\u{2067}',
            '\u{FEFF}',
            '\u{E0041}',
        ] {
            assert_eq!(shown(&format!("a{c}b")), "a¤b", "{:?}", c);
        }
    }

    #[test]
    fn cutting_keeps_the_limit_and_whole_characters() {
        let long = "Ω".repeat(10_000);
        assert_eq!(shortened(&long, 12).chars().count(), 12);
        assert!(shortened(&long, 12).ends_with('…'));
        assert_eq!(shortened("", 12), "");
        assert_eq!(shortened("abc", 3), "abc");
    }
}
