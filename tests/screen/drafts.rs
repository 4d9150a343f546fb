//! What is typed and not yet taken over: it stays with its job, is taken when the job is saved or left, and undo
//! reaches it.

use eframe::egui::{Context, Key, Modifiers};
use egui_kittest::kittest::Queryable as _;
use pinchpoint::{
    app::{FileCommand, command::Leave},
    notebook::{Job, parse_job},
};

use crate::driver::{Window, click, sample, settle, window};

const ROOM: [f32; 2] = [1440.0, 900.0];

fn other_job() -> Job {
    let text = include_str!("../../sample_circuits/02-crane-boom.ron");
    parse_job("sample", text.as_bytes()).unwrap().job
}

fn ctrl(window: &mut Window, key: Key) {
    window.key_press_modifiers(Modifiers::COMMAND, key);
    settle(window);
}

fn leave(window: &mut Window, leave: Leave) {
    let command = FileCommand::Leave(leave);
    let state = window.state_mut();
    state.carry_out(&Context::default(), command.into());
    settle(window);
}

fn outline(window: &Window) -> String {
    let text = window.get_by_label("Outline of the circuit").value();
    text.unwrap()
}

fn type_in_outline(window: &mut Window, text: &str) {
    let field = window.get_by_label("Outline of the circuit");
    field.focus();
    settle(window);
    ctrl(window, Key::End);
    let field = window.get_by_label("Outline of the circuit");
    field.type_text(text);
    settle(window);
}

/// Makes W7 a metre longer by writing the whole outline anew, and stays in it.
fn lengthen(window: &mut Window) {
    let text = outline(window).replace("W7 2.4m", "W7 3.4m");
    window.get_by_label("Outline of the circuit").focus();
    settle(window);
    ctrl(window, Key::A);
    let field = window.get_by_label("Outline of the circuit");
    field.type_text(&text);
    settle(window);
}

#[test]
fn an_outline_that_is_being_typed_stays_with_its_job() {
    let mut harness = window(sample(), ROOM);
    click(&mut harness, "Show the outline");
    lengthen(&mut harness);
    let first = outline(&harness);
    ctrl(&mut harness, Key::Num2);
    leave(&mut harness, Leave::Start(Box::new(other_job())));
    ctrl(&mut harness, Key::Num1);
    assert_ne!(outline(&harness), first);
    type_in_outline(&mut harness, " ");
    let circuit = &harness.state().model().job.circuit;
    assert_eq!(*circuit, other_job().circuit);
    // Back at the first, its own text is there.
    ctrl(&mut harness, Key::Num2);
    leave(&mut harness, Leave::Switch(0));
    ctrl(&mut harness, Key::Num1);
    assert!(outline(&harness).contains("W7 3.4m"));
}

#[test]
fn undo_and_redo_reach_the_text_of_the_outline() {
    let mut harness = window(sample(), ROOM);
    click(&mut harness, "Show the outline");
    let before = outline(&harness);
    lengthen(&mut harness);
    let after = outline(&harness);
    assert!(after.contains("W7 3.4m"));
    ctrl(&mut harness, Key::Z);
    assert_eq!(outline(&harness), before);
    assert_eq!(harness.state().model().job.circuit, sample().circuit);
    harness.key_press_modifiers(Modifiers::COMMAND | Modifiers::SHIFT, Key::Z);
    settle(&mut harness);
    assert!(outline(&harness).contains("W7 3.4m"));
    ctrl(&mut harness, Key::Z);
    type_in_outline(&mut harness, "\n");
    let circuit = &harness.state().model().job.circuit;
    assert_eq!(*circuit, sample().circuit, "what was taken back stays so");
}
