//! The practice page: a hidden fault found, proved and looked back on by the names of the controls; records; an exercise
//! that a trainer makes, opens and does. The job on the bench stays as it is.

use crate::driver::{
    Window, click, name_with, press, sample, settle, shows, type_into, window, window_at,
};
use eframe::egui::{Context, Key, Modifiers};
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use pinchpoint::{
    app::{
        Bench,
        practice::{Kept, Stage},
    },
    fault::FaultKind,
    notebook::training::{read_exercise, read_trainee, write_exercise, write_trainee},
    practice::{Drill, Flaw, Level, Move, Outcome, Record, trainee::Way},
};

const SIZE: [f32; 2] = [1440.0, 2600.0];

/// A window on the practice page.
fn practice() -> Window {
    let mut window = window(sample(), SIZE);
    click(&mut window, "Page Practice");
    window
}

/// Starts a drill of the first level with this seed.
fn start(window: &mut Window, drill: Drill, seed: u64) {
    click(window, &format!("Drill: {}", drill.name()));
    type_into(window, "Seed", &seed.to_string());
    click(window, "Start practice");
    assert_eq!(window.state().practice().stage, Stage::Vehicle);
}

/// Replaces what stands in a box.
fn retype(window: &mut Window, name: &str, text: &str) {
    click(window, name);
    window.key_press_modifiers(Modifiers::COMMAND, Key::A);
    window.get_by_label(name).type_text(text);
    settle(window);
}

/// Puts the red lead on a point by typing it.
fn red_lead(window: &mut Window, point: &str) {
    retype(window, "Red lead", point);
    press(window, Key::Enter);
}

fn measure(window: &mut Window, point: &str) {
    red_lead(window, point);
    click(window, "Measure");
}

/// The session's steps so far.
fn steps(window: &Window) -> Vec<(Move, Outcome)> {
    let go = window.state().practice().go.as_ref().expect("a vehicle");
    let steps = go.session.steps().iter();
    steps
        .map(|step| (step.done.clone(), step.outcome.clone()))
        .collect()
}

#[test]
fn a_hidden_fault_is_found_proved_and_looked_back_on() {
    let mut window = practice();
    let before = window.state().model().job.clone();
    assert!(shows(&window, "Worked example"));
    let folder = tempfile::tempdir().expect("a folder");
    click(&mut window, "Practice: Progress");
    retype(
        &mut window,
        "Folder of records",
        &folder.path().display().to_string(),
    );
    press(&mut window, Key::Enter);
    click(&mut window, "Practice: Choose");
    type_into(&mut window, "Trainee", "Ada Brandt");
    start(&mut window, Drill::SplitHalf, 7);
    let hidden = {
        let go = window.state().practice().go.as_ref().expect("a vehicle");
        go.session.exercise().hidden[0].site.part.clone()
    };
    // A connector is parted by a click on the drawing, and mated again.
    click(&mut window, "C1 inline connector, plugged");
    assert!(shows(&window, "Unplugged now: C1"));
    click(&mut window, "Plug C1 in");
    assert!(shows(&window, "Unplugged now: nothing"));
    measure(&mut window, "M1.feed");
    measure(&mut window, "C2.1n");
    assert!(shows(&window, "Display:"));
    measure(&mut window, "C2.1n");
    // A hint costs minutes and can be followed.
    let minutes = |window: &Window| {
        let go = window.state().practice().go.as_ref();
        go.map_or(0.0, |go| go.session.minutes())
    };
    let clock = minutes(&window);
    click(&mut window, "Ask for a hint");
    assert!((minutes(&window) - clock - 5.0).abs() < 1e-9);
    assert!(shows(&window, "Hint"));
    // The wrong place first, by name; then the right one.
    let wrong = if hidden == "W1" { "W2" } else { "W1" };
    type_into(&mut window, "Part or pin", wrong);
    click(&mut window, "Open it up");
    assert!(shows(&window, "nothing wrong there"));
    retype(&mut window, "Part or pin", &hidden);
    click(&mut window, "Open it up");
    assert!(shows(&window, "there it is, and it is repaired"));
    measure(&mut window, "C3.1f");
    click(&mut window, "Hand the vehicle over");
    let done: Vec<(Move, Outcome)> = steps(&window);
    assert!(matches!(
        done.last(),
        Some((Move::HandOver, Outcome::HandedOver { left: 0, .. }))
    ));
    let practice = window.state().practice();
    assert_eq!(practice.stage, Stage::Back);
    let back = practice.back.as_ref().expect("it is looked back on");
    assert!(back.debrief.found && back.debrief.path.found);
    assert_eq!(back.debrief.others.len(), Way::PEOPLE.len());
    assert_eq!(back.debrief.looked[2].flaw, Some(Flaw::Redundant));
    assert!(shows(&window, "It was: "));
    assert!(shows(&window, "Plot: Bits left, step by step"));
    assert!(shows(&window, "Plot: Minutes, step by step"));
    assert!(shows(&window, "One connector at a time"));
    // Replay: the drawing stands as it did after the first step.
    while window
        .state()
        .practice()
        .back
        .as_ref()
        .expect("a look back")
        .at
        > 0
    {
        click(&mut window, "Step before");
    }
    let back = window
        .state()
        .practice()
        .back
        .as_ref()
        .expect("a look back");
    assert_eq!(back.bench.job.log.len(), 3, "two are given, one was read");
    assert!(back.bench.answer.is_some());
    // The line is in the trainee's file, and on the page of the group.
    let path = folder.path().join("ada-brandt.ron");
    assert_eq!(back.kept, Kept::In(path.clone()));
    let record = read_trainee(&path).expect("a record");
    assert_eq!((record.name.as_str(), record.done.len()), ("Ada Brandt", 1));
    assert_eq!(record.done[0].day.len(), 10);
    let other = Record {
        name: "Berta Lund".to_owned(),
        done: record.done.clone(),
    };
    write_trainee(&folder.path().join("berta-lund.ron"), &other).expect("written");
    click(&mut window, "Practice: Progress");
    assert!(shows(&window, "1 done, 1 of 8 skills"));
    let score = record.done[0].score;
    let by_skill = format!("Berta Lund by skill: Split a plain chain in half {score}");
    assert!(shows(&window, &by_skill));
    for (button, file) in [
        ("Page to print (HTML)", "ada-brandt.html"),
        ("Page to print (PDF)", "ada-brandt.pdf"),
        ("Group page (HTML)", "group.html"),
    ] {
        click(&mut window, button);
        assert!(folder.path().join(file).exists(), "{file}");
    }
    let page = std::fs::read_to_string(folder.path().join("ada-brandt.html")).expect("a page");
    assert!(page.contains("Ada Brandt") && page.contains("Split a plain chain in half"));
    // Nothing of this has touched the job.
    assert_eq!(window.state().model().job, before);
    assert!(!window.state().model().is_dirty());
}

#[test]
fn the_same_seed_in_window_and_terminal_hides_the_same() {
    let mut window = practice();
    start(&mut window, Drill::GhostVoltage, 11);
    let go = window.state().practice().go.as_ref().expect("a vehicle");
    let exercise = Drill::GhostVoltage.exercise(Level::First, 11);
    assert_eq!(*go.session.exercise(), exercise);
    // Ohms switch the supply off; the black lead can be put elsewhere; a load can be clipped on.
    red_lead(&mut window, "C1.1n");
    click(&mut window, "ohms");
    assert!(shows(&window, "the supply is switched off first"));
    click(&mut window, "Measure");
    assert!(shows(&window, "supply off"));
    click(&mut window, "volts");
    click(&mut window, "Black lead on M1 return pin");
    click(&mut window, "Measure");
    click(&mut window, "Clip a known load on at C1.1n");
    assert!(shows(&window, "Take the load off C1.1n"));
    let done = steps(&window);
    assert!(matches!(&done[1].0, Move::Read { black, .. } if black.to_string() == "M1.return"));
    click(&mut window, "Give up");
    let back = window
        .state()
        .practice()
        .back
        .as_ref()
        .expect("it is looked back on");
    assert!(back.done.given_up && back.done.score == 0);
    assert_eq!(back.kept, Kept::NoName);
}

#[test]
fn a_trainer_makes_an_exercise_that_opens_and_can_be_done() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("yard truck.ron");
    let mut job = sample();
    job.shop = "Hollin Lane Garage".to_owned();
    job.request = "Mrs Quill rang".to_owned();
    let mut window = window(job, SIZE);
    click(&mut window, "Page Practice");
    click(&mut window, "Practice: Make an exercise");
    click(&mut window, "Try it and write the file");
    assert!(shows(&window, "Fault 1: no place is named"));
    type_into(&mut window, "Part or pin of fault 1", "W7");
    click(&mut window, "Amperes");
    retype(&mut window, "Exercise file", &path.display().to_string());
    click(&mut window, "Try it and write the file");
    assert!(shows(&window, "The exercise can be done, and is written"));
    let exercise = read_exercise(&path).expect("an exercise");
    assert_eq!(exercise.hidden[0].kind, FaultKind::ShortToGround);
    assert!(!exercise.allowed.amperes && exercise.allowed.volts);
    let text = std::fs::read_to_string(&path).expect("can be read");
    for private in ["Hollin Lane", "Quill", "Corran"] {
        assert!(!text.contains(private), "{private} is in the file");
    }
    // It opens by its path, and starts.
    click(&mut window, "Practice: Choose");
    type_into(
        &mut window,
        "Exercise or job file",
        &path.display().to_string(),
    );
    click(&mut window, "Take this file");
    assert!(shows(&window, "The exercise yard truck.ron"));
    click(&mut window, "Start practice");
    assert_eq!(window.state().practice().stage, Stage::Vehicle);
    red_lead(&mut window, "M1.feed");
    click(&mut window, "amperes");
    click(&mut window, "Measure");
    assert!(shows(&window, "this exercise is done without amperes"));
    assert!(steps(&window).is_empty());
}

#[test]
fn a_click_on_the_drawing_says_where_the_fault_is() {
    let mut window = practice();
    click(&mut window, "Practice: Make an exercise");
    let fault = |window: &Window, at: usize| window.state().practice().draft.faults[at].clone();
    let wire = name_with(&window, "W7 wire").expect("W7 is drawn");
    click(&mut window, &wire);
    // The middle of it was clicked.
    let metres: f64 = fault(&window, 0).metres.parse().expect("metres");
    assert_eq!(fault(&window, 0).place, "W7");
    assert!((1.0..1.4).contains(&metres), "{metres} of 2.4 m");
    // What the exercise would read stands on the drawing at once, and nothing on the bench has changed.
    assert!(shows(&window, "reads"));
    click(&mut window, "Add a fault");
    click(&mut window, "C2 inline connector, plugged");
    assert_eq!(fault(&window, 1).place, "C2");
    let pin = name_with(&window, "X3 pin 1, near side").expect("the pin is drawn");
    click(&mut window, &pin);
    assert_eq!(
        (
            fault(&window, 1).place.as_str(),
            fault(&window, 1).metres.as_str()
        ),
        ("X3.1", "")
    );
    assert_eq!(fault(&window, 0).place, "W7", "the other fault stays");
    assert!(!window.state().model().is_dirty());
}

#[test]
fn the_banner_says_that_it_is_practice_and_the_keys_leave_the_bench_alone() {
    let mut job = sample();
    job.now.unplugged.insert("C2".to_owned());
    let mut window = window(job, SIZE);
    // A step that could be taken back.
    window
        .state_mut()
        .carry_out(&Context::default(), Bench::SupplyOff(true).into());
    settle(&mut window);
    let before = window.state().model().job.clone();
    click(&mut window, "Page Practice");
    assert!(shows(&window, "no vehicle in the shop is touched"));
    assert!(!shows(&window, "Corran Tender 2.2"));
    // What is off in the shop is not forgotten meanwhile.
    assert!(shows(
        &window,
        "Unplugged on the bench: C2 unplugged, supply off"
    ));
    start(&mut window, Drill::SplitHalf, 7);
    assert!(shows(
        &window,
        "simulated vehicle: Split a plain chain in half"
    ));
    for key in [Key::Z, Key::T, Key::D] {
        window.key_press_modifiers(Modifiers::COMMAND, key);
        settle(&mut window);
    }
    window.key_press_modifiers(Modifiers::COMMAND | Modifiers::SHIFT, Key::P);
    settle(&mut window);
    assert_eq!(window.state().model().job, before);
    click(
        &mut window,
        "Unplugged on the bench: C2 unplugged, supply off",
    );
    assert!(shows(&window, "Corran Tender 2.2"));
}

#[test]
fn a_session_and_a_name_outlive_the_window() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut first = window_at(folder.path(), SIZE);
    click(&mut first, "Page Practice");
    type_into(&mut first, "Trainee", "Ada Brandt");
    start(&mut first, Drill::SplitHalf, 7);
    measure(&mut first, "M1.feed");
    click(&mut first, "LED with its resistor");
    click(&mut first, "Measure");
    let done = steps(&first);
    click(&mut first, "Page Bench");
    drop(first);
    let mut second = window_at(folder.path(), SIZE);
    assert!(shows(
        &second,
        "Practice was not finished: Split a plain chain in half, Ada Brandt, 2 steps done"
    ));
    click(
        &mut second,
        "Go on with Split a plain chain in half, Ada Brandt",
    );
    assert_eq!(steps(&second), done);
    assert!(!shows(&second, "Practice was not finished"));
    click(&mut second, "Practice: Choose");
    assert_eq!(second.state().practice().wish.trainee, "Ada Brandt");
}

#[test]
fn what_cannot_be_done_is_refused_with_the_reason() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("impossible.ron");
    let mut exercise = Drill::SplitHalf.exercise(Level::First, 1);
    exercise.hidden[0].site.part = "W99".to_owned();
    write_exercise(&path, &exercise).expect("can be written");
    let mut window = practice();
    let file = "Exercise or job file";
    retype(&mut window, file, &path.display().to_string());
    click(&mut window, "Take this file");
    click(&mut window, "Start practice");
    assert!(shows(&window, "W99 is not on the sketch"));
    retype(
        &mut window,
        file,
        &folder.path().join("none.ron").display().to_string(),
    );
    click(&mut window, "Take this file");
    assert!(shows(&window, "none.ron: "));
    assert!(window.state().practice().go.is_none());
    let mut window = practice();
    type_into(&mut window, "Seed", "seven");
    click(&mut window, "Start practice");
    assert!(shows(&window, "“seven” is no seed"));
    assert!(window.state().practice().go.is_none());
}

#[test]
fn every_stage_is_held_by_a_small_window_and_by_gloves() {
    for size in [[640.0, 400.0], [320.0, 240.0]] {
        let mut window = window(sample(), size);
        click(&mut window, "Page Practice");
        click(&mut window, "Practice: Choose");
    }
    // Narrow, and high enough that every control is in sight.
    let mut window = window(sample(), [620.0, 3000.0]);
    click(&mut window, "Gloves");
    click(&mut window, "Page Practice");
    click(&mut window, "Practice: Progress");
    click(&mut window, "Practice: Make an exercise");
    click(&mut window, "Practice: Choose");
    click(&mut window, "Start practice");
    assert_eq!(window.state().practice().stage, Stage::Vehicle);
    // Common practice, no source: 44 points and up for gloved hands.
    assert!(window.get_by_label("Measure").rect().height() >= 44.0);
    click(&mut window, "Give up");
    assert_eq!(window.state().practice().stage, Stage::Back);
    assert!(shows(&window, "Step by step"));
}

/// What the meter of the vehicle shows and says, as it is spoken.
fn display(window: &Window) -> String {
    // A text is the value of its node and not its name.
    let mut found = window.query_all_by_label_contains("Display:");
    let spoken = found.next().and_then(|node| node.accesskit_node().value());
    spoken.expect("the meter has a display")
}

#[test]
fn the_meter_shows_what_is_under_its_leads_now() {
    let mut window = practice();
    start(&mut window, Drill::SplitHalf, 7);
    let hidden = {
        let go = window.state().practice().go.as_ref().expect("a vehicle");
        go.session.exercise().hidden[0].site.part.clone()
    };
    assert!(shows(&window, "Black lead on battery negative") && !shows(&window, "BN"));
    assert!(
        display(&window).contains("– – –"),
        "what was left to you is on no display"
    );
    measure(&mut window, "S1.feed");
    // The range of 0.6 V has steps of 0.1 mV, as the meter that is usual here.
    let dead = display(&window);
    assert!(dead.contains(" mV") && !dead.contains("µV"), "{dead}");
    red_lead(&mut window, "C1.1n");
    assert!(
        display(&window).contains("– – –"),
        "another point: {}",
        display(&window)
    );
    red_lead(&mut window, "S1.feed");
    assert_eq!(
        display(&window),
        dead,
        "the lead is back, and nothing has changed"
    );
    click(&mut window, "ohms");
    assert!(display(&window).contains("– – –"), "another kind");
    click(&mut window, "volts");
    click(&mut window, "Black lead on M1 return pin");
    assert!(display(&window).contains("– – –"), "another black lead");
    retype(&mut window, "Black lead elsewhere", "battery -");
    press(&mut window, Key::Enter);
    assert_eq!(display(&window), dead);
    type_into(&mut window, "Part or pin", &hidden);
    click(&mut window, "Open it up");
    assert!(shows(&window, "there it is, and it is repaired"));
    assert!(display(&window).contains("– – –"), "after the repair");
}

#[test]
fn a_new_vehicle_is_seen_from_its_complaint_on_and_its_minutes_are_never_cut() {
    let mut window = window(sample(), [1280.0, 800.0]);
    click(&mut window, "Page Practice");
    start(&mut window, Drill::SplitHalf, 7);
    let top = |window: &Window| window.get_by_label("Clock").rect().top();
    let first = top(&window);
    for _ in 0..7 {
        measure(&mut window, "C2.1n");
    }
    // The pointer is over the right column.
    let over = window.get_by_label("Measure").rect().center();
    window.hover_at(over);
    window.event(eframe::egui::Event::MouseWheel {
        unit: eframe::egui::MouseWheelUnit::Point,
        delta: eframe::egui::vec2(0.0, -400.0),
        phase: eframe::egui::TouchPhase::Move,
        source: eframe::egui::MouseWheelSource::Unknown,
        modifiers: Modifiers::NONE,
    });
    settle(&mut window);
    assert!(top(&window) < first, "it was scrolled");
    assert!(shows(&window, "+2.5 min"));
    click(&mut window, "Practice: Choose");
    click(&mut window, "Start practice");
    assert!(
        (top(&window) - first).abs() < 1.0,
        "{} and {first}",
        top(&window)
    );
}

#[test]
fn an_exercise_that_is_being_made_outlives_the_window() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut first = window_at(folder.path(), SIZE);
    click(&mut first, "Page Practice");
    click(&mut first, "Practice: Make an exercise");
    retype(&mut first, "Title of the exercise", "The yard truck");
    type_into(&mut first, "Part or pin of fault 1", "W7");
    click(&mut first, "Add a fault");
    click(&mut first, "Amperes");
    let draft = first.state().practice().draft.clone();
    click(&mut first, "Page Bench");
    drop(first);
    let mut second = window_at(folder.path(), SIZE);
    click(&mut second, "Page Practice");
    click(&mut second, "Practice: Make an exercise");
    assert_eq!(second.state().practice().draft, draft);
    assert!(draft.title == "The yard truck" && draft.faults.len() == 2 && !draft.allowed.amperes);
}
