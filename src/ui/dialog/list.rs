//! Rows copied from a spreadsheet become sensors with plugs and wires.

use egui::Ui;

use crate::{
    app::{Sketch, parts_list::parse, words},
    circuit::Point,
    ui::{
        act::Act,
        kit::{Field, Tone, button_ui, notice_ui, text_block_ui, text_ui},
        theme::Theme,
    },
};

/// The question.
pub fn list_ui(ui: &mut Ui, theme: &Theme, after: &Point, text: &mut String, acts: &mut Vec<Act>) {
    let c = &theme.colour;
    text_ui(ui, "A list of sensors", theme.title(), c.ink);
    let hint = format!(
        "A row per sensor, pasted from a spreadsheet or typed with semicolons, in any order: name, designation (S4), plug (X4), wire length (0.7 m), colour (BNWH), size (0.5 mm²), draw (8 mA or 5 kΩ). They hang from {}.",
        words::point(after)
    );
    text_ui(ui, &hint, theme.body(), c.ink);
    let field = Field {
        name: "Rows",
        hint: "Intake pressure; 0.7 m; 8 mA",
        ..Field::default()
    };
    text_block_ui(ui, theme, text, 8, &field);
    let rows = parse(text);
    match &rows {
        Ok(rows) => {
            let named = rows.iter().take(6).map(|row| {
                let name = row.id.as_deref().unwrap_or(&row.name);
                match name {
                    "" => "one without a name".to_owned(),
                    name => format!("“{name}”"),
                }
            });
            let named: Vec<String> = named.collect();
            let more = match rows.len().saturating_sub(6) {
                0 => String::new(),
                more => format!(" and {more} more"),
            };
            let sensors = if rows.len() == 1 { "sensor" } else { "sensors" };
            let named = words::list(named.iter().map(String::as_str));
            let line = format!("{} {sensors}: {named}{more}", rows.len());
            text_ui(ui, &line, theme.body(), c.healthy_text);
        }
        Err(trouble) => notice_ui(ui, theme, trouble, ""),
    }
    ui.horizontal(|ui| {
        let draw = ui.add_enabled_ui(rows.is_ok(), |ui| {
            button_ui(ui, theme, Tone::Primary, "Draw them", None).clicked()
        });
        if let (true, Ok(rows)) = (draw.inner, rows) {
            acts.push(Act::Close);
            acts.push(Sketch::AddSensors(after.clone(), rows).into());
        }
        if button_ui(ui, theme, Tone::Plain, "Cancel", None).clicked() {
            acts.push(Act::Close);
        }
    });
}
