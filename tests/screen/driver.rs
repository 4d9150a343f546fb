//! A window without display or GPU, driven by the names of its controls.

use eframe::egui::{Key, Modifiers};
use egui_kittest::{Harness, Node, kittest::NodeT as _, kittest::Queryable as _};
use pinchpoint::{
    app::home::Home,
    notebook::{Job, parse_job},
    ui::{Options, Shell},
};

/// An answer, what is asked about the answer, and one to spare.
const ROUNDS: usize = 3;

/// A window under test.
pub type Window = Harness<'static, Shell>;

/// Frames after which a window must have come to rest; a finished computation wakes it a few times more.
const FRAMES: u64 = 60;

/// The sample that a newcomer finds on the bench.
pub fn sample() -> Job {
    let text = include_str!("../../sample_circuits/01-ride-height.ron");
    parse_job("sample", text.as_bytes()).unwrap().job
}

/// Opens a window of this size on a job and lets it come to rest.
pub fn window(job: Job, size: [f32; 2]) -> Window {
    let mut window = Harness::builder()
        .with_size(size)
        .with_max_steps(FRAMES)
        .allow_missing_glyphs()
        .build_eframe(move |creation| Shell::with_job(&creation.egui_ctx, job).unwrap());
    settle(&mut window);
    window
}

/// Opens a window as the program does, with what it remembers in a folder.
pub fn window_at(folder: &std::path::Path, size: [f32; 2]) -> Window {
    let home = Home::at(folder);
    let mut window = Harness::builder()
        .with_size(size)
        .with_max_steps(FRAMES)
        .allow_missing_glyphs()
        .build_eframe(move |creation| {
            Shell::new(&creation.egui_ctx, &Options::default(), Some(home)).unwrap()
        });
    settle(&mut window);
    window
}

/// Lets the engine finish and the window show what it found. What is shown then is asked about in its turn (sums, what
/// was left after each line), and where that came later, on a busy machine, it would move controls under a click.
pub fn settle(window: &mut Window) {
    for _ in 0..ROUNDS {
        window.run();
        window.state_mut().settle();
    }
    window.run();
}

/// Clicks the control with this name.
pub fn click(window: &mut Window, name: &str) {
    window.get_by_label(name).click();
    settle(window);
}

/// Types into the box that has this name, after clicking it.
pub fn type_into(window: &mut Window, name: &str, text: &str) {
    click(window, name);
    window.get_by_label(name).type_text(text);
    settle(window);
}

/// Presses a key.
pub fn press(window: &mut Window, key: Key) {
    window.key_press(key);
    settle(window);
}

/// Saves under a path: the keys for another name, the path typed in place of the proposed one, Enter.
pub fn save_at(window: &mut Window, path: &std::path::Path) {
    window.key_press_modifiers(Modifiers::COMMAND | Modifiers::SHIFT, Key::S);
    settle(window);
    window.key_press_modifiers(Modifiers::COMMAND, Key::A);
    window
        .get_by_label("Path to save at")
        .type_text(&path.display().to_string());
    settle(window);
    press(window, Key::Enter);
}

/// The full name of the first control whose name contains this.
pub fn name_with(window: &Window, part: &str) -> Option<String> {
    let mut found = window.query_all_by_label_contains(part);
    found.next().and_then(|node: Node<'_>| {
        let node = node.accesskit_node();
        // Text that nothing can be done with has its words as its value.
        node.label().or_else(|| node.value())
    })
}

/// Whether any text or control on the screen contains this.
pub fn shows(window: &Window, part: &str) -> bool {
    window.query_all_by_label_contains(part).next().is_some()
}
