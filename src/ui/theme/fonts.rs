//! The two faces of B612 that travel inside the program, with the toolkit's own faces behind them for rare characters.

use std::sync::Arc;

use egui::{FontData, FontDefinitions, FontFamily};

/// Name of the bold family.
pub const BOLD: &str = "bold";

/// Who made the faces and under which terms they travel; the full text is in `assets/fonts/B612-LICENCE.txt`.
pub const LICENCE: &str = include_str!("../../../assets/fonts/B612-LICENCE.txt");

const REGULAR_FACE: &[u8] = include_bytes!("../../../assets/fonts/B612-Regular.otf");
const BOLD_FACE: &[u8] = include_bytes!("../../../assets/fonts/B612-Bold.otf");

/// Gives the context its faces.
pub fn install(ctx: &egui::Context) {
    let mut fonts = FontDefinitions::default();
    for (name, bytes) in [("B612", REGULAR_FACE), ("B612 bold", BOLD_FACE)] {
        fonts
            .font_data
            .insert(name.to_owned(), Arc::new(FontData::from_static(bytes)));
    }
    let behind = fonts
        .families
        .get(&FontFamily::Proportional)
        .cloned()
        .unwrap_or_default();
    let family = |first: &str| {
        let mut faces = vec![first.to_owned()];
        faces.extend(behind.iter().cloned());
        faces
    };
    let (regular, bold) = (family("B612"), family("B612 bold"));
    fonts
        .families
        .insert(FontFamily::Proportional, regular.clone());
    fonts.families.insert(FontFamily::Monospace, regular);
    fonts.families.insert(FontFamily::Name(BOLD.into()), bold);
    ctx.set_fonts(fonts);
}
