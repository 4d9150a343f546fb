//! Help: the first minute, every key, what to be careful with.

use egui::Ui;

use crate::{
    app::{Screen, model::Page},
    ui::{
        act::Act,
        commands::Do,
        kit::{Tone, button_ui, label_ui, text_ui},
        theme::Theme,
    },
};

const FIRST: [&str; 6] = [
    "Look at the sample: the hatched swelling on the drawing is where the fault most probably sits. The plot below shares its metres and shows where the voltage stops falling.",
    "Click a small ring on the drawing, or press Ctrl+P and type its name. Type what the meter shows and press Enter: 0.8, 820m, 12,03, 4k7, OL. An unsteady display is typed from its lowest to its highest: 0.3..0.5. OL on a smaller range is typed with its top: OL 6.",
    "Click a connector to part it. What hangs behind it greys. Read again: the answer follows by itself. Every reading keeps the plug state of its moment.",
    "The yellow card says which test tells most for its minutes. Do it sets the plugs and waits for the value; Can\u{2019}t reach takes that way out for this job.",
    "New feed (Ctrl+N) draws your own in three answers; names, one per sensor, can be typed there. Outline (Ctrl+E) shows the same circuit as indented lines.",
    "Repaired? Press it under the answer. What must now read right is listed and ticked off by new readings.",
];

const CAREFUL: [&str; 7] = [
    "The maker\u{2019}s procedure, local codes and licensed practice come first.",
    "Airbag and pretensioner circuits: do not probe, power, jump or read ohms unless that vehicle\u{2019}s procedure allows it.",
    "Orange high-voltage cabling: trained people only; isolate, wait, prove it dead with a rated meter.",
    "Never battery voltage and never a plain lamp on a reference or data line; load it with a resistor of a few mA.",
    "Ohms only with the supply off and dead. The red lead back into the volts jack after amperes.",
    "Probe with what fits: an oversized probe spreads the terminal; do not back-probe sealed connectors.",
    "Near fuel: ventilate, no sparks, nothing unplugged live. Save the scan before the first plug comes off.",
];

/// The page.
pub fn help_ui(ui: &mut Ui, theme: &Theme, acts: &mut Vec<Act>) {
    let c = &theme.colour;
    text_ui(ui, "The first minute", theme.title(), c.ink);
    for (number, text) in (1..).zip(FIRST) {
        text_ui(ui, &format!("{number}. {text}"), theme.body(), c.ink);
    }
    ui.horizontal(|ui| {
        if button_ui(ui, theme, Tone::Primary, "Close help", None).clicked() {
            acts.push(Act::Close);
        }
        let tour = button_ui(ui, theme, Tone::Plain, "Tour of the bench", None);
        if tour.clicked() {
            acts.push(Act::Close);
            acts.push(Screen::Show(Page::Bench).into());
            acts.push(Screen::Tour(Some(0)).into());
        }
    });
    text_ui(ui, "Careful", theme.title(), c.ink);
    for text in CAREFUL {
        text_ui(ui, text, theme.body(), c.attention_text);
    }
    text_ui(ui, "Keys", theme.title(), c.ink);
    let drawing = "On the drawing: arrows walk along the harness and between lanes, Space parts or mates a connector, Enter takes a point for the next reading. Ctrl with the wheel zooms, dragging moves, a double click fits. Dragging a part along its lane changes the length of the wire to it; Shift and dragging over bare ground chooses all inside, Ctrl and a click adds one.";
    text_ui(ui, drawing, theme.body(), c.ink);
    egui::Grid::new("keys").num_columns(2).show(ui, |ui| {
        for command in Do::ALL {
            let keys = command.keys();
            if !keys.is_empty() {
                label_ui(ui, &keys, theme.label_strong(), c.ink);
                text_ui(ui, command.name(), theme.body(), c.ink);
                ui.end_row();
            }
        }
    });
}
