//! The house rules that a compiler does not check: the order of the rooms, what the core may know, and tidy files.

use std::{
    collections::BTreeSet,
    fs,
    path::{Path, PathBuf},
};

/// Lines that a file may have.
const LINES: usize = 500;
/// The first room that may know files.
const FIRST_WITH_FILES: &str = "notebook";
/// What a room that knows no screen, no file and no clock has no use for.
const OUTSIDE: [&str; 8] = [
    "std::fs",
    "std::io",
    "std::env",
    "std::net",
    "std::time",
    "std::thread",
    "println!",
    "thread_local!",
];
/// The one file before them that may know threads: a search shares its work between two, settled by its order alone.
const CREW: &str = "src/infer/search/crew.rs";
/// The window's libraries.
const WINDOW: [&str; 6] = ["egui", "eframe", "egui_plot", "egui_extras", "rfd", "winit"];

fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

fn rust_files(folder: &Path, found: &mut Vec<PathBuf>) {
    for entry in fs::read_dir(folder).expect("a folder of the project") {
        let path = entry.expect("an entry of that folder").path();
        if path.is_dir() {
            rust_files(&path, found);
        } else if path.extension().is_some_and(|ending| ending == "rs") {
            found.push(path);
        }
    }
}

/// Every file under `src`: its path from the project's folder, and its text.
fn sources() -> Vec<(String, String)> {
    let mut paths = Vec::new();
    rust_files(&root().join("src"), &mut paths);
    paths.sort();
    let named = |path: PathBuf| {
        let text = fs::read_to_string(&path).expect("a text file");
        let short = path.strip_prefix(root()).expect("a path below the root");
        (short.to_string_lossy().replace('\\', "/"), text)
    };
    paths.into_iter().map(named).collect()
}

/// The rooms from the ground up, in the order in which the library lists them.
fn rooms() -> Vec<String> {
    let text = fs::read_to_string(root().join("src/lib.rs")).expect("src/lib.rs");
    let name = |line: &str| {
        let name = line.strip_prefix("pub mod ")?.strip_suffix(';')?;
        Some(name.to_owned())
    };
    text.lines().filter_map(name).collect()
}

/// The room that a file stands in; none for the two files outside every room.
fn room_of(path: &str) -> Option<&str> {
    path.strip_prefix("src/")?
        .split_once('/')
        .map(|(room, _)| room)
}

/// The text without comments, so that prose may name what code may not.
fn code(text: &str) -> String {
    let before = |line: &str| {
        line.split_once("//")
            .map_or(line, |(code, _)| code)
            .to_owned()
    };
    text.lines().map(before).collect::<Vec<_>>().join("\n")
}

fn first_word(text: &str) -> String {
    text.trim_start()
        .chars()
        .take_while(|c| c.is_alphanumeric() || *c == '_')
        .collect()
}

/// The rooms that code reaches by `crate::room…` and by `crate::{room…, room…}`.
fn reached(code: &str) -> BTreeSet<String> {
    let mut found = BTreeSet::new();
    for (at, path) in code.match_indices("crate::") {
        let rest = code[at + path.len()..].trim_start();
        let Some(group) = rest.strip_prefix('{') else {
            found.insert(first_word(rest));
            continue;
        };
        found.insert(first_word(group));
        let mut depth = 1;
        for (at, sign) in group.char_indices() {
            match sign {
                '{' => depth += 1,
                '}' => depth -= 1,
                ',' if depth == 1 => {
                    found.insert(first_word(&group[at + 1..]));
                }
                _ => {}
            }
            if depth == 0 {
                break;
            }
        }
    }
    found.remove("");
    found
}

/// Whether a word stands in the code by itself, not as part of a longer one.
fn has_word(code: &str, word: &str) -> bool {
    let part = |c: char| c.is_alphanumeric() || c == '_';
    code.match_indices(word)
        .any(|(at, _)| !code[..at].ends_with(part) && !code[at + word.len()..].starts_with(part))
}

#[test]
fn paths_are_read_from_code_as_they_are_written() {
    let text = "use crate::{\n    circuit::{Circuit, find::{A, B}}, // crate::ui\n    reading::Kind,\n};\nlet x = crate::fault::y();";
    let found: Vec<String> = reached(&code(text)).into_iter().collect();
    assert_eq!(found, ["circuit", "fault", "reading"]);
    assert!(has_word("use egui::Ui;", "egui") && !has_word("my_egui_like", "egui"));
}

#[test]
fn each_room_uses_only_rooms_before_it() {
    let rooms = rooms();
    assert!(rooms.len() > 10, "src/lib.rs lists {rooms:?}");
    let mut wrong = Vec::new();
    for (path, text) in sources() {
        let Some(room) = room_of(&path) else { continue };
        let own = rooms.iter().position(|name| name == room);
        let own = own.unwrap_or_else(|| panic!("{path} stands in no room of src/lib.rs"));
        for used in reached(&code(&text)) {
            match rooms.iter().position(|name| *name == used) {
                Some(place) if place <= own => {}
                Some(_) => wrong.push(format!("{path} uses {used}, which comes after {room}")),
                None => wrong.push(format!("{path} uses crate::{used}, which is no room")),
            }
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
}

#[test]
fn the_core_knows_no_screen_file_or_clock() {
    let rooms = rooms();
    let core = rooms.iter().take_while(|room| *room != FIRST_WITH_FILES);
    let core: BTreeSet<&str> = core.map(String::as_str).collect();
    assert!(core.contains("infer") && core.contains("diagnosis"));
    let mut wrong = Vec::new();
    for (path, text) in sources() {
        let Some(room) = room_of(&path) else { continue };
        let code = code(&text);
        if room != "ui" {
            let used = WINDOW.iter().filter(|word| has_word(&code, word));
            wrong.extend(used.map(|word| format!("{path} uses {word}")));
        }
        if core.contains(room) {
            let threads = |word: &str| path == CREW && word == "std::thread";
            let used = OUTSIDE
                .iter()
                .filter(|word| code.contains(**word) && !threads(word));
            wrong.extend(used.map(|word| format!("{path} uses {word}")));
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
}

#[test]
fn every_file_says_in_its_first_line_what_it_is_for() {
    let silent: Vec<String> = sources()
        .into_iter()
        .filter(|(_, text)| !text.starts_with("//! "))
        .map(|(path, _)| path)
        .collect();
    assert!(
        silent.is_empty(),
        "these start without a //! line: {silent:#?}"
    );
}

#[test]
fn no_file_grows_beyond_what_one_reads_in_a_sitting() {
    let long: Vec<(String, usize)> = sources()
        .into_iter()
        .map(|(path, text)| (path, text.lines().count()))
        .filter(|(_, lines)| *lines > LINES)
        .collect();
    assert!(long.is_empty(), "too many lines: {long:#?}");
}

#[test]
fn there_are_samples_to_learn_from() {
    let entries = fs::read_dir(root().join("sample_circuits")).expect("the samples' folder");
    let jobs = entries
        .map(|entry| entry.expect("an entry of that folder").path())
        .filter(|path| path.extension().is_some_and(|ending| ending == "ron"))
        .count();
    assert!(jobs >= 8, "only {jobs} samples");
}
