//! Naming a part on the drawing itself: fields over its label, with what is wrong beside them.

use egui::{
    CornerRadius, Frame, Id, Key, Margin, Rect, Response, Stroke, Ui, UiBuilder, pos2, vec2,
};

use super::{names::Label, sheet::Sheet, spot::symbol_rect, view::View};
use crate::{
    app::{
        Screen,
        naming::{Name, Naming},
    },
    ui::{
        act::Act,
        kit::{Field, choose_all, field_ui, notice_ui},
        theme::{RADIUS, STRONG, Theme},
    },
};

/// Widths of the two fields.
const DESIGNATION: f32 = 118.0;
const CALLED: f32 = 240.0;

/// The field for the designation, so that a key or a double click can put the keyboard there.
fn name_box() -> Id {
    Id::unique("designation on the drawing")
}

/// Whether the fields were there in the last frame.
fn shown() -> Id {
    Id::unique("naming a part on the drawing")
}

/// No part is being named.
pub fn no_naming(ui: &Ui) {
    ui.data_mut(|data| data.remove::<bool>(shown()));
}

/// What begins to name a part.
pub fn rename(part: &str) -> Act {
    let start = Name::Start(part.to_owned());
    Act::All(vec![Screen::Name(start).into(), Act::Focus(name_box())])
}

/// The fields, over the label of the part or where its symbol is.
pub fn naming_ui(
    ui: &mut Ui,
    theme: &Theme,
    sheet: &Sheet<'_>,
    view: &View,
    labels: &[Label],
    naming: &Naming,
    acts: &mut Vec<Act>,
) {
    let label = labels.iter().find(|label| label.part == naming.part);
    let symbol = sheet
        .part(&naming.part)
        .map(|part| symbol_rect(theme, sheet, view, part).center());
    let along = || {
        let (a, b) = sheet.harness.run(&naming.part)?.span()?;
        Some(view.at(a).lerp(view.at(b), 0.5))
    };
    let at = label
        .map(|label| label.rect.center())
        .or(symbol)
        .or_else(along);
    let at = at.unwrap_or(view.rect.center());
    let size = vec2(width(naming), theme.size.target) + vec2(12.0, 12.0);
    // Over the label, but whole on the sheet.
    let corner = (at - size / 2.0)
        .max(view.rect.min)
        .min((view.rect.max - size).max(view.rect.min));
    let room = Rect::from_min_max(corner, pos2(corner.x + size.x, view.rect.bottom()));
    let builder = UiBuilder::new().max_rect(room).id_salt("naming a part");
    let mut said: Vec<Name> = Vec::new();
    // It takes no room from what is laid out after it.
    let rect = Frame::new()
        .fill(theme.colour.sheet)
        .stroke(Stroke::new(STRONG, theme.colour.focus))
        .corner_radius(CornerRadius::same(RADIUS))
        .inner_margin(Margin::same(4))
        .show(&mut ui.new_child(builder), |ui| {
            fields_ui(ui, theme, naming, &mut said);
        })
        .response
        .rect;
    // Pressing anywhere else takes the name over, as leaving a cell of a table does.
    let elsewhere = ui.input(|input| {
        let at = input.pointer.interact_pos();
        input.pointer.any_click() && at.is_some_and(|at| !rect.contains(at))
    });
    if said.is_empty() && elsewhere {
        said.push(Name::Take);
    }
    acts.extend(said.into_iter().map(|step| Screen::Name(step).into()));
}

fn width(naming: &Naming) -> f32 {
    DESIGNATION + naming.called.as_ref().map_or(0.0, |_| CALLED + 4.0)
}

fn fields_ui(ui: &mut Ui, theme: &Theme, naming: &Naming, said: &mut Vec<Name>) {
    ui.spacing_mut().item_spacing = egui::vec2(4.0, 4.0);
    ui.set_max_width(width(naming).max(CALLED));
    ui.horizontal(|ui| {
        let field = Field {
            name: "Designation on the drawing",
            hint: "designation",
            bare: true,
            width: DESIGNATION,
            wrong: naming.error.is_some(),
            id: Some(name_box()),
            ..Field::default()
        };
        let mut text = naming.designation.clone();
        let response = field_ui(ui, theme, &mut text, &field);
        // The keyboard was put there before the field was, so it gains it unseen.
        let first =
            ui.data_mut(|data| !std::mem::replace(data.get_temp_mut_or(shown(), false), true));
        keys(ui, &response, &text, first || response.gained_focus(), said);
        if response.changed() {
            said.push(Name::Designation(text));
        }
        let Some(called) = &naming.called else { return };
        let field = Field {
            name: "What people call it",
            hint: "what people call it",
            bare: true,
            width: CALLED,
            id: Some(Id::unique("name on the drawing")),
            ..Field::default()
        };
        let mut text = called.clone();
        let response = field_ui(ui, theme, &mut text, &field);
        keys(ui, &response, &text, response.gained_focus(), said);
        if response.changed() {
            said.push(Name::Called(text));
        }
    });
    if let Some(error) = &naming.error {
        notice_ui(ui, theme, error, "");
    }
}

/// All of the text is chosen when a field is entered, so that typing replaces it; Enter takes it over, Escape leaves.
fn keys(ui: &Ui, response: &Response, text: &str, entered: bool, said: &mut Vec<Name>) {
    if entered {
        choose_all(ui, response, text);
    }
    if !response.lost_focus() {
        return;
    }
    if ui.input(|input| input.key_pressed(Key::Enter)) {
        said.push(Name::Take);
        // What was refused is put right where it stands.
        response.request_focus();
    } else if ui.input(|input| input.key_pressed(Key::Escape)) {
        said.push(Name::Leave);
    }
}
