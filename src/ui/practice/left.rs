//! Sessions that are not finished: offered over every page after a start, and listed where one chooses what to practise.

use egui::{CornerRadius, Frame, Margin, Stroke, Ui};

use crate::{
    app::{
        Screen,
        model::Page,
        practice::{Command, Left, Practice},
    },
    ui::{
        act::Act,
        kit::{Tone, button_ui, card_ui, text_ui},
        theme::{RADIUS, STRONG, Theme},
    },
};

/// Sessions that are offered at once over a page; the others stand in the list.
const OFFERED: usize = 2;

/// What windows have left, until somebody says what is to become of it.
pub fn left_notices_ui(ui: &mut Ui, theme: &Theme, state: &Practice, acts: &mut Vec<Act>) {
    let c = &theme.colour;
    for left in state.left.iter().filter(|left| left.asks).take(OFFERED) {
        Frame::new()
            .fill(c.attention_wash)
            .stroke(Stroke::new(STRONG, c.attention))
            .corner_radius(CornerRadius::same(RADIUS))
            .inner_margin(Margin::symmetric(10, 4))
            .show(ui, |ui| {
                ui.horizontal(|ui| {
                    take_ui(ui, theme, state, left, acts);
                    let name = format!("Later: {}", left.name());
                    if button_ui(ui, theme, Tone::Plain, "Later", Some(&name)).clicked() {
                        acts.push(Command::Later.into());
                    }
                    let text =
                        format!("Practice was not finished: {}, {}", left.name(), done(left));
                    text_ui(ui, &text, theme.body(), c.attention_text);
                });
            });
    }
}

/// The list; nothing where everything is finished.
pub fn left_ui(ui: &mut Ui, theme: &Theme, state: &Practice, acts: &mut Vec<Act>) {
    if state.left.is_empty() {
        return;
    }
    let beside = "kept until it is handed over, given up or forgotten";
    card_ui(ui, theme, "Not finished", beside, |ui| {
        for left in &state.left {
            ui.horizontal_wrapped(|ui| {
                take_ui(ui, theme, state, left, acts);
                let name = format!("Forget {}", left.name());
                if button_ui(ui, theme, Tone::Quiet, "Forget it", Some(&name)).clicked() {
                    acts.push(Command::Forget(left.clone()).into());
                }
                let text = format!("{}, {}", left.name(), done(left));
                text_ui(ui, &text, theme.body(), theme.colour.ink);
            });
        }
    });
}

fn take_ui(ui: &mut Ui, theme: &Theme, state: &Practice, left: &Left, acts: &mut Vec<Act>) {
    ui.add_enabled_ui(state.pending.is_none(), |ui| {
        let name = format!("Go on with {}", left.name());
        if button_ui(ui, theme, Tone::Primary, "Go on", Some(&name)).clicked() {
            acts.push(Screen::Show(Page::Practice).into());
            acts.push(Command::TakeUp(left.clone()).into());
        }
    });
}

/// How far it has come.
fn done(left: &Left) -> String {
    match left.unfinished.moves.len() {
        1 => "1 step done".to_owned(),
        steps => format!("{steps} steps done"),
    }
}
