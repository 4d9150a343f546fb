//! What is typed and not yet taken over: it stays with its job, is taken when the job is saved or left, and undo
//! reaches it.

use eframe::egui::{Context, Event, Key, Modifiers};
use egui_kittest::kittest::Queryable as _;
use pinchpoint::{
    app::{FileCommand, command::Leave, model::Page},
    notebook::{Job, parse_job, read_job, record::Mileage},
    quantity::units::as_metres,
};

use crate::driver::{
    Window, click, name_with, press, sample, save_at, settle, shows, type_into, window,
};

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

/// Metres of W5 in a job.
fn metres(job: &Job) -> f64 {
    let wire = job.circuit.wires.iter().find(|wire| wire.id == "W5");
    as_metres(wire.unwrap().length.unwrap())
}

/// Types metres for W5 and stays in the field.
fn type_metres(window: &mut Window, text: &str) {
    let field = name_with(window, "Length (empty").unwrap();
    click(window, &field);
    ctrl(window, Key::A);
    window.get_by_label(&field).type_text(text);
    settle(window);
}

#[test]
fn figures_are_taken_when_the_job_is_saved_or_its_page_left() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("tender.ron");
    let mut harness = window(sample(), ROOM);
    save_at(&mut harness, &file);
    click(&mut harness, "W5 wire BN, 2.20 m");
    type_metres(&mut harness, "9.9");
    assert_eq!(metres(&harness.state().model().job), 2.2);
    ctrl(&mut harness, Key::S);
    assert_eq!(metres(&harness.state().model().job), 9.9);
    assert_eq!(metres(&read_job(&file).unwrap().job), 9.9);
    assert!(!harness.state().model().is_dirty());
    // The caret is still there.
    type_metres(&mut harness, "8.8");
    ctrl(&mut harness, Key::Num2);
    assert_eq!(harness.state().model().page, Page::Job);
    assert_eq!(metres(&harness.state().model().job), 8.8);
    ctrl(&mut harness, Key::Num1);
    type_metres(&mut harness, "7.7");
    ctrl(&mut harness, Key::Q);
    assert_eq!(metres(&harness.state().model().job), 7.7);
    assert!(shows(&harness, "Save the changes first?"));
}

#[test]
fn figures_that_cannot_be_taken_are_told_before_the_job_is_left() {
    let mut harness = window(sample(), ROOM);
    click(&mut harness, "W5 wire BN, 2.20 m");
    type_metres(&mut harness, "3.3");
    press(&mut harness, Key::Enter);
    type_metres(&mut harness, "long");
    ctrl(&mut harness, Key::Q);
    assert!(shows(&harness, "“long” is not taken"));
    assert!(harness.state().model().guard.is_none(), "first it is told");
    ctrl(&mut harness, Key::Q);
    assert!(shows(&harness, "Save the changes first?"));
    assert_eq!(metres(&harness.state().model().job), 3.3);
}

#[test]
fn what_is_typed_for_one_job_never_shows_in_another() {
    let mut harness = window(sample(), [1440.0, 5400.0]);
    ctrl(&mut harness, Key::Num2);
    // With a change it stays open.
    type_into(&mut harness, "Plate", "HL 4471");
    type_into(&mut harness, "Mileage", "123456");
    // Left without a key or a press that the field could notice.
    leave(&mut harness, Leave::Start(Box::new(other_job())));
    let field = |harness: &Window, name: &str| harness.get_by_label(name).value();
    let empty = |harness: &Window, name: &str| field(harness, name).is_none_or(|v| v.is_empty());
    assert!(empty(&harness, "Mileage"));
    type_into(&mut harness, "Battery at arrival", "12.4");
    press(&mut harness, Key::Tab);
    let record = harness.state().model().job.record.clone();
    assert_eq!(record.vehicle.mileage, None);
    assert!(record.vehicle.battery.is_some());
    // A tab of the strip takes what is typed along with it.
    type_into(&mut harness, "Mileage", "777");
    let first = name_with(&harness, "Go to: ").unwrap();
    click(&mut harness, &first);
    assert_eq!(harness.state().model().job.record.vehicle.mileage, None);
    leave(&mut harness, Leave::Switch(1));
    let mileage = harness.state().model().job.record.vehicle.mileage;
    assert_eq!(mileage, Some(Mileage::Kilometres(777)));
}

/// What another program copied comes as one event. Nonsense with tabs would be names of sensors, if anything.
#[test]
fn tabbed_text_that_is_no_list_of_sensors_is_asked_about() {
    let mut harness = window(sample(), ROOM);
    click(&mut harness, "Show the outline");
    let before = harness.state().model().job.circuit.clone();
    type_in_outline(&mut harness, "");
    let nonsense = "left\tright\nup\tdown\nin the\tbeginning\n";
    harness.event(Event::Paste(nonsense.to_owned()));
    settle(&mut harness);
    assert_eq!(harness.state().model().job.circuit, before);
    assert!(shows(&harness, "A list of sensors"));
    click(&mut harness, "Cancel");
    assert_eq!(harness.state().model().job.circuit, before);
    // From a part that was named above.
    type_in_outline(&mut harness, "\nSP1\n  ");
    harness.event(Event::Paste("Oil pressure\t0.7 m\t8 mA".to_owned()));
    settle(&mut harness);
    let model = harness.state().model();
    let (loads, wrong) = (&model.job.circuit.loads, &model.outline_error);
    assert_eq!(loads.len(), before.loads.len() + 1, "{wrong:?}");
}

#[test]
fn a_place_at_which_nothing_can_be_saved_is_asked_for_once_more() {
    let folder = tempfile::tempdir().unwrap();
    let nowhere = folder.path().join("no such folder/job.ron");
    let mut harness = window(sample(), ROOM);
    save_at(&mut harness, &nowhere);
    let field = harness.get_by_label("Path to save at").value();
    assert_eq!(field, Some(nowhere.display().to_string()));
    assert!(harness.state().model().not_saved().is_some());
    let somewhere = folder.path().join("job.ron");
    harness.key_press_modifiers(Modifiers::COMMAND, Key::A);
    harness
        .get_by_label("Path to save at")
        .type_text(&somewhere.display().to_string());
    settle(&mut harness);
    press(&mut harness, Key::Enter);
    settle(&mut harness);
    assert!(somewhere.is_file());
    assert!(harness.query_by_label("Path to save at").is_none());
}
