//! What to do before leaving a job.

use egui::{Key, Ui};

use crate::{
    app::{
        FileCommand,
        command::GuardAnswer,
        model::{Ask, Guard},
        words,
    },
    ui::{
        act::Act,
        kit::{Tone, button_ui, text_ui},
        theme::Theme,
    },
};

/// The question that stands in the way, with its answers.
pub fn guard_ui(ui: &mut Ui, theme: &Theme, guard: &Guard, acts: &mut Vec<Act>) {
    let c = &theme.colour;
    let (title, text, answers): (&str, String, &[(&str, GuardAnswer, Tone)]) = match &guard.ask {
        Ask::Reconnect(loose) => (
            "Reconnect before you leave?",
            format!("Not plugged or not known: {}.", words::list(loose)),
            &[
                ("All plugged again", GuardAnswer::Reconnected, Tone::Primary),
                (
                    "Leave as they are",
                    GuardAnswer::LeaveUnplugged,
                    Tone::Plain,
                ),
                ("Stay here", GuardAnswer::Stay, Tone::Plain),
            ],
        ),
        Ask::Unsaved => (
            "Save the changes first?",
            "This job has changes that are not on disk.".to_owned(),
            &[
                ("Save", GuardAnswer::Save, Tone::Primary),
                ("Throw them away", GuardAnswer::Discard, Tone::Plain),
                ("Stay here", GuardAnswer::Stay, Tone::Plain),
            ],
        ),
        Ask::Saving => (
            "Saving …",
            "The job is being written to disk.".to_owned(),
            &[("Stay here", GuardAnswer::Stay, Tone::Plain)],
        ),
    };
    text_ui(ui, title, theme.title(), c.ink);
    text_ui(ui, &text, theme.body(), c.ink);
    ui.horizontal_wrapped(|ui| {
        for (text, answer, tone) in answers {
            if button_ui(ui, theme, *tone, text, None).clicked() {
                acts.push(FileCommand::Answer(*answer).into());
            }
        }
    });
    if ui.input(|input| input.key_pressed(Key::Escape)) {
        acts.push(FileCommand::Answer(GuardAnswer::Stay).into());
    }
}
