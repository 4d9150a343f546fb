//! A big number pad for gloved hands.

use egui::{Ui, vec2};

use crate::{
    app::{Model, Screen},
    ui::{act::Act, kit::key_ui, theme::Theme},
};

/// Keys in rows: the text on a key, its accessible name, what it adds to the value.
const KEYS: [[(&str, &str, &str); 5]; 3] = [
    [
        ("7", "Key 7", "7"),
        ("8", "Key 8", "8"),
        ("9", "Key 9", "9"),
        ("m", "Key milli", "m"),
        ("del", "Key back", ""),
    ],
    [
        ("4", "Key 4", "4"),
        ("5", "Key 5", "5"),
        ("6", "Key 6", "6"),
        ("k", "Key kilo", "k"),
        ("−", "Key minus", "-"),
    ],
    [
        ("1", "Key 1", "1"),
        ("2", "Key 2", "2"),
        ("3", "Key 3", "3"),
        ("0", "Key 0", "0"),
        (".", "Key point", "."),
    ],
];

/// The pad; it types into the value box.
pub fn pad_ui(ui: &mut Ui, theme: &Theme, model: &Model, acts: &mut Vec<Act>) {
    let gap = theme.size.gap;
    let width = (ui.available_width() - 4.0 * gap) / 5.0;
    for row in KEYS {
        ui.horizontal(|ui| {
            ui.spacing_mut().item_spacing.x = gap;
            for (text, name, adds) in row {
                if key_ui(ui, theme, text, name, vec2(width, theme.size.target)).clicked() {
                    let mut value = model.entry.text.clone();
                    match adds {
                        "" => drop(value.pop()),
                        adds => value.push_str(adds),
                    }
                    acts.push(Screen::TypeValue(value).into());
                }
            }
        });
    }
}
