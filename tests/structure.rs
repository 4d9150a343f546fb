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

/// Every file of code under these folders of the project: its path from there, and its text.
fn code_in(folders: &[&str]) -> Vec<(String, String)> {
    let mut paths = Vec::new();
    for folder in folders {
        rust_files(&root().join(folder), &mut paths);
    }
    paths.sort();
    let named = |path: PathBuf| {
        let text = fs::read_to_string(&path).expect("a text file");
        let short = path.strip_prefix(root()).expect("a path below the root");
        (short.to_string_lossy().replace('\\', "/"), text)
    };
    paths.into_iter().map(named).collect()
}

/// What the rooms are made of.
fn sources() -> Vec<(String, String)> {
    code_in(&["src"])
}

/// Everything that is read by who works on the project.
fn all_code() -> Vec<(String, String)> {
    code_in(&["src", "tests", "benches"])
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
    let silent: Vec<String> = all_code()
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
    let long: Vec<(String, usize)> = all_code()
        .into_iter()
        .map(|(path, text)| (path, text.lines().count()))
        .filter(|(_, lines)| *lines > LINES)
        .collect();
    assert!(long.is_empty(), "too many lines: {long:#?}");
}

/// The paths from the project's folder that a text names.
fn named_paths(text: &str) -> Vec<&str> {
    const FOLDERS: [&str; 6] = [
        "src/",
        "tests/",
        "benches/",
        "assets/",
        "sample_circuits/",
        ".ci/",
    ];
    let outside = |c: char| !(c.is_ascii_alphanumeric() || "_-./*".contains(c));
    text.split(outside)
        .map(|word| word.trim_start_matches("../").trim_end_matches('.'))
        .filter(|word| FOLDERS.iter().any(|folder| word.starts_with(folder)))
        .collect()
}

/// Whether a path leads somewhere; one with a star, whether anything begins like it.
fn exists(path: &str) -> bool {
    let Some((start, _)) = path.split_once('*') else {
        return root().join(path).exists();
    };
    let (folder, start) = start.rsplit_once('/').unwrap_or(("", start));
    let entries = fs::read_dir(root().join(folder));
    entries.is_ok_and(|entries| {
        let mut names = entries.filter_map(|entry| entry.ok()?.file_name().into_string().ok());
        names.any(|name| name.starts_with(start))
    })
}

#[test]
fn every_path_that_is_named_leads_somewhere() {
    let text = "`tests/no_such.rs`, [it](../assets/formats/json.md). tests/cases/*.json";
    let found = named_paths(text);
    assert_eq!(
        found,
        [
            "tests/no_such.rs",
            "assets/formats/json.md",
            "tests/cases/*.json"
        ]
    );
    assert_eq!(
        found.iter().map(|path| exists(path)).collect::<Vec<_>>(),
        [false, true, true]
    );

    let prose = [
        "README.md",
        "DEVELOPERS.md",
        "CHANGELOG.md",
        "assets/LICENCES.md",
    ]
    .map(str::to_owned);
    let formats = fs::read_dir(root().join("assets/formats")).expect("the formats' folder");
    let formats = formats.map(|entry| {
        let name = entry.expect("an entry of that folder").file_name();
        format!("assets/formats/{}", name.to_string_lossy())
    });
    let pages = prose.into_iter().chain(formats).map(|path| {
        let text = fs::read_to_string(root().join(&path)).expect("a text file");
        (path, text)
    });
    let mut wrong = Vec::new();
    // This file names one that is not there.
    let code = all_code()
        .into_iter()
        .filter(|(path, _)| path != "tests/structure.rs");
    for (path, text) in code.chain(pages) {
        let lost = named_paths(&text)
            .into_iter()
            .filter(|named| !exists(named));
        wrong.extend(lost.map(|named| format!("{path} names {named}")));
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
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
