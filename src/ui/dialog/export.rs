//! Which picture to write, and where to.

use std::path::PathBuf;

use egui::{Key, Ui};

use crate::ui::{
    act::Act,
    kit::{Field, Tone, button_ui, choice_ui, field_ui, text_ui},
    picture::{PICTURES, Picture},
    theme::Theme,
};

/// The question.
pub fn export_ui(
    ui: &mut Ui,
    theme: &Theme,
    picture: &mut Picture,
    path: &mut String,
    acts: &mut Vec<Act>,
) {
    let c = &theme.colour;
    text_ui(ui, "Export a picture", theme.title(), c.ink);
    let words = PICTURES.map(|(_, word, name)| (word, name));
    let chosen = PICTURES.iter().position(|(which, ..)| which == picture);
    if let Some(index) = choice_ui(ui, theme, &words, chosen.unwrap_or(0)) {
        *picture = PICTURES[index].0;
    }
    let kinds = [("SVG", "As SVG"), ("PNG", "As PNG")];
    let png = path.to_lowercase().ends_with(".png");
    if let Some(index) = choice_ui(ui, theme, &kinds, usize::from(png)) {
        let ending = ["svg", "png"][index];
        *path = PathBuf::from(path.as_str())
            .with_extension(ending)
            .display()
            .to_string();
    }
    let field = Field {
        name: "Path of the picture",
        ..Field::default()
    };
    let response = field_ui(ui, theme, path, &field);
    let entered = response.lost_focus() && ui.input(|input| input.key_pressed(Key::Enter));
    text_ui(
        ui,
        "SVG stays sharp at any size; PNG goes into any letter. Both are drawn by day colours.",
        theme.label(),
        c.muted,
    );
    ui.horizontal(|ui| {
        let write = button_ui(ui, theme, Tone::Primary, "Write it", None).clicked();
        if (write || entered) && !path.trim().is_empty() {
            acts.push(Act::Close);
            acts.push(Act::Export(*picture, PathBuf::from(path.trim())));
        }
        if button_ui(ui, theme, Tone::Plain, "Cancel", None).clicked() {
            acts.push(Act::Close);
        }
    });
}
