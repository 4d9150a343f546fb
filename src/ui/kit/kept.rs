//! A field that takes effect when it is left or Enter is pressed, and says at once what it cannot take.

use egui::{Key, Ui};

use super::{
    field::{Field, field_ui},
    text::text_ui,
};
use crate::ui::theme::Theme;

/// Shows `now`, or what is being typed instead of it. Answers what `read` makes of the text when the field is left
/// with something new that can be taken; what cannot stays there with its reason below. `key` tells the thing it
/// belongs to, so that a draft does not stray to another.
pub fn kept_ui<T>(
    ui: &mut Ui,
    theme: &Theme,
    key: &str,
    now: &str,
    field: &Field<'_>,
    read: impl Fn(&str) -> Result<T, String>,
) -> Option<T> {
    let id = ui.scope_id().with(("draft", key, field.name));
    let draft: Option<String> = ui.data(|data| data.get_temp(id));
    let mut text = draft.clone().unwrap_or_else(|| now.to_owned());
    let trouble = draft
        .filter(|draft| draft != now)
        .and_then(|draft| read(&draft).err());
    let field = Field {
        wrong: trouble.is_some(),
        ..field.clone()
    };
    let width = if field.width > 0.0 {
        field.width
    } else {
        ui.available_width()
    };
    // A known size lets a row that is full go on in the next one.
    let size = egui::vec2(width, theme.size.target + 20.0);
    let response = ui
        .allocate_ui_with_layout(size, egui::Layout::top_down(egui::Align::Min), |ui| {
            ui.set_width(width);
            let response = field_ui(ui, theme, &mut text, &field);
            if let Some(trouble) = &trouble {
                text_ui(ui, trouble, theme.label(), theme.colour.attention_text);
            }
            response
        })
        .inner;
    if response.changed() {
        ui.data_mut(|data| data.insert_temp(id, text.clone()));
    }
    if !response.lost_focus() {
        return None;
    }
    if ui.input(|input| input.key_pressed(Key::Escape)) || text == now {
        ui.data_mut(|data| data.remove::<String>(id));
        return None;
    }
    let taken = read(&text).ok()?;
    ui.data_mut(|data| data.remove::<String>(id));
    Some(taken)
}
