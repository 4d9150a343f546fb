//! The bench's drawing, put to use for practice: what it asks for becomes a move at the vehicle.

use egui::Ui;

use crate::{
    app::{Bench, Command as Change, Model, Screen, practice::Command, view::tags},
    circuit::tree::cut_off_points,
    drawing::{Harness, profile::profile},
    practice::Move,
    ui::{
        act::Act,
        bench::{
            Under, Volts, harness_card_ui,
            sheet::Sheet,
            view::{Chosen, View},
        },
        theme::Theme,
    },
};

/// Draws the sketch of a practice bench with the volts below it. Nothing can be drawn on; `hands_on` says whether
/// connectors and points answer.
pub fn drawn_ui(
    ui: &mut Ui,
    theme: &Theme,
    model: &Model,
    harness: &Harness,
    (chosen, caption, hands_on): (&Chosen, &str, bool),
    acts: &mut Vec<Act>,
) -> View {
    let gone = cut_off_points(&model.job.circuit, &model.job.now.unplugged);
    let tags = tags(model);
    let mut sheet = Sheet::new(model, harness, &gone, &tags);
    sheet.caption = Some(caption);
    let now = profile(&model.job.question(), harness, sheet.findings);
    let volts = Volts {
        now: &now,
        other: None,
        compare: None,
        states: &[],
        under: Under::Volts,
    };
    let mut asked = Vec::new();
    let view = harness_card_ui(ui, theme, &sheet, &volts, chosen, &mut asked);
    for act in asked {
        match act {
            Act::Look(chosen) => acts.push(Act::PracticeLook(chosen)),
            act if hands_on => acts.extend(moved(act).map(Act::from)),
            _ => {}
        }
    }
    view
}

/// What a press on the drawing means for practice; what changes a sketch means nothing.
fn moved(act: Act) -> Option<Command> {
    match act {
        Act::ReadAt(point) => Some(Command::Point(Some(point))),
        Act::Do(Change::Bench(Bench::TogglePlug(id))) => Some(Command::Do(Move::Plug(id))),
        Act::Do(Change::Screen(Screen::SelectPoint(point))) => Some(Command::Point(point)),
        Act::Do(Change::Screen(Screen::SelectPart(part))) => Some(Command::Part(part)),
        _ => None,
    }
}
