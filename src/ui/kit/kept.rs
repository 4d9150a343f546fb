//! A field that takes effect when it is left or Enter is pressed, and says at once what it cannot take. When the job is
//! saved or left, every such field on the page takes what is typed in it, or says that it cannot.

use egui::{Context, Id, Key, Ui};

use super::{
    field::{Field, field_ui},
    owner::job_id,
    text::text_ui,
};
use crate::ui::theme::Theme;

/// What is typed in a field and not taken yet.
#[derive(Clone, Debug)]
struct Draft {
    text: String,
    /// What the field held when the typing began; where that is changed, by a step taken back say, the draft goes.
    over: String,
    /// Somebody was told that it cannot be taken.
    told: bool,
}

/// A text that a field could not take when everything was to be taken.
#[derive(Clone, Debug)]
pub struct NotTaken {
    /// The field's name.
    pub field: String,
    /// What is typed.
    pub text: String,
    /// Why it cannot be taken.
    pub why: String,
    /// Whether that was said before, of the same text.
    pub again: bool,
}

fn taking_id() -> Id {
    Id::unique("frame in which all that is typed is taken")
}

fn not_taken_id() -> Id {
    Id::unique("what could not be taken")
}

/// Has every field of the frame that begins take what is typed in it.
pub fn take_typed(ctx: &Context) {
    let pass = ctx.cumulative_pass_nr();
    ctx.data_mut(|data| data.insert_temp(taking_id(), pass));
}

fn is_taking(ctx: &Context) -> bool {
    let pass: Option<u64> = ctx.data(|data| data.get_temp(taking_id()));
    pass == Some(ctx.cumulative_pass_nr())
}

/// What could not be taken in the frame that ends.
pub fn not_taken(ctx: &Context) -> Vec<NotTaken> {
    ctx.data_mut(|data| data.remove_temp(not_taken_id()))
        .unwrap_or_default()
}

/// Shows `now`, or what is being typed instead of it. Answers what `read` makes of the text when the field is left
/// with something new that can be taken; what cannot stays there with its reason below. `key` tells the thing of this
/// job that it belongs to, so that a draft does not stray to another.
pub fn kept_ui<T>(
    ui: &mut Ui,
    theme: &Theme,
    key: &str,
    now: &str,
    field: &Field<'_>,
    read: impl Fn(&str) -> Result<T, String>,
) -> Option<T> {
    let own = job_id(ui, field.name).with(key);
    let id = own.with("draft");
    let mut draft: Option<Draft> = ui.data(|data| data.get_temp(id));
    if draft.as_ref().is_some_and(|draft| draft.over != now) {
        ui.data_mut(|data| data.remove::<Draft>(id));
        draft = None;
    }
    let told = draft.as_ref().is_some_and(|draft| draft.told);
    let mut text = draft.map_or_else(|| now.to_owned(), |draft| draft.text);
    let trouble = Some(&text)
        .filter(|text| *text != now)
        .and_then(|text| read(text).err());
    let field = Field {
        wrong: trouble.is_some(),
        id: field.id.or(Some(own)),
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
    let keep = |told: bool, text: String| {
        let over = now.to_owned();
        ui.data_mut(|data| data.insert_temp(id, Draft { text, over, told }));
    };
    if response.changed() {
        keep(false, text.clone());
    }
    let taking = is_taking(ui.ctx());
    if !response.lost_focus() && !taking {
        return None;
    }
    let given_up = response.lost_focus() && ui.input(|input| input.key_pressed(Key::Escape));
    if given_up || text == now {
        ui.data_mut(|data| data.remove::<Draft>(id));
        return None;
    }
    match read(&text) {
        Ok(taken) => {
            ui.data_mut(|data| data.remove::<Draft>(id));
            Some(taken)
        }
        Err(why) => {
            if taking {
                keep(true, text.clone());
                let (field, again) = (field.name.to_owned(), told && !response.changed());
                let left = NotTaken {
                    field,
                    text,
                    why,
                    again,
                };
                ui.data_mut(|data| {
                    data.get_temp_mut_or_default::<Vec<NotTaken>>(not_taken_id())
                        .push(left);
                });
            }
            None
        }
    }
}
