//! The files of a notebook. Cards are remembered in a hidden file of the folder, by size, time and end of each job file; it
//! can be deleted at any time and is never trusted for anything but speed.

use std::{
    collections::HashMap,
    fs,
    io::{self, Read, Seek, SeekFrom, Write},
    path::{Path, PathBuf},
    time::UNIX_EPOCH,
};

use serde::{Deserialize, Serialize};

use super::card::Card;
use crate::notebook::{FileError, attach, file::LARGEST, read_job, trouble::disk};

/// Where cards are remembered.
pub const CARDS_FILE: &str = ".pinchpoint-cards.json";
/// Folders deep that are looked into, and most files that are read.
const DEEPEST: usize = 3;
const MOST: usize = 200_000;
/// Version of the remembered shape; another one is not read.
const SHAPE: u32 = 4;
/// Bytes at a file's end that are looked at to see whether it is the same.
const SEAL: u64 = 64;

/// A file that looks like a job and could not be read.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Unreadable {
    /// The file, from the notebook's folder.
    pub path: String,
    /// Why.
    pub why: String,
}

/// A remembered card and what its file looked like.
#[derive(Serialize, Deserialize)]
struct Kept {
    size: u64,
    modified: u128,
    seal: u32,
    card: Card,
}

#[derive(Serialize, Deserialize)]
struct Remembered<C> {
    shape: u32,
    cards: C,
}

struct Found {
    path: PathBuf,
    name: String,
    size: u64,
    modified: u128,
    seal: u32,
}

/// What was met in the folder.
#[derive(Default)]
struct Met {
    files: Vec<Found>,
    unreadable: Vec<Unreadable>,
}

impl Met {
    fn refuse(&mut self, path: String, why: &str) {
        let why = why.to_owned();
        self.unreadable.push(Unreadable { path, why });
    }
}

/// The cards of a folder, by path, and what could not be read.
pub(super) type Both = (Vec<Card>, Vec<Unreadable>);

/// Reads a folder. `watch` is told how many files were seen to and how many
/// there are; at its no the reading ends with nothing.
pub(super) fn read(
    folder: &Path,
    watch: &mut dyn FnMut(usize, usize) -> bool,
) -> Result<Option<Both>, FileError> {
    let mut met = Met::default();
    let on_disk = |error: std::io::Error| disk(&folder.display().to_string(), &error);
    let entries = fs::read_dir(folder).map_err(on_disk)?;
    look(entries, String::new(), 0, &mut met);
    let Met {
        mut files,
        mut unreadable,
    } = met;
    files.sort_by(|a, b| a.name.cmp(&b.name));
    let mut known = remembered(folder);
    let (had, all) = (known.len(), files.len());
    let mut kept: Vec<Kept> = Vec::with_capacity(all);
    let mut fresh = 0;
    for (number, file) in files.into_iter().enumerate() {
        if !watch(number, all) {
            // The next reading goes on from here.
            kept.extend(known.into_values());
            remember(folder, &kept);
            return Ok(None);
        }
        let same = known.remove(&file.name).filter(|kept| {
            (kept.size, kept.modified, kept.seal) == (file.size, file.modified, file.seal)
        });
        if let Some(same) = same {
            kept.push(same);
            continue;
        }
        fresh += 1;
        if file.size > LARGEST as u64 {
            unreadable.push(Unreadable {
                path: file.name,
                why: "it is larger than 8 MB".to_owned(),
            });
            continue;
        }
        match read_job(&file.path) {
            Ok(opened) => kept.push(Kept {
                size: file.size,
                modified: file.modified,
                seal: file.seal,
                card: Card::of(file.name, &opened.job),
            }),
            Err(error) => unreadable.push(Unreadable {
                path: file.name,
                why: why(&error),
            }),
        }
    }
    drop(known);
    if fresh > 0 || had != kept.len() {
        remember(folder, &kept);
    }
    unreadable.sort_by(|a, b| a.path.cmp(&b.path));
    Ok(Some((
        kept.into_iter().map(|kept| kept.card).collect(),
        unreadable,
    )))
}

/// Place, reason and remedy; the list names the file itself.
fn why(error: &FileError) -> String {
    let place = error.place.map_or_else(String::new, |(line, column)| {
        format!("line {line}, column {column}: ")
    });
    format!("{place}{}. {}", error.what, error.remedy)
}

fn look(entries: fs::ReadDir, above: String, depth: usize, met: &mut Met) {
    for entry in entries.flatten() {
        let name = entry.file_name().to_string_lossy().into_owned();
        if name.starts_with('.') || name == attach::FOLDER {
            continue;
        }
        let shown = if above.is_empty() {
            name.clone()
        } else {
            format!("{above}/{name}")
        };
        // Links are looked at as links, so that none leads out of the folder or round in a ring.
        let about = match fs::symlink_metadata(entry.path()) {
            Ok(about) => about,
            Err(error) => {
                met.refuse(shown, &format!("it cannot be looked at: {error}"));
                continue;
            }
        };
        if about.is_dir() {
            let inside = fs::read_dir(entry.path());
            match inside {
                Ok(inside) if depth < DEEPEST => look(inside, shown, depth + 1, met),
                Ok(_) => met.refuse(
                    shown,
                    "this folder lies too deep and is not looked into. Move it up",
                ),
                Err(error) => met.refuse(shown, &format!("this folder cannot be read: {error}")),
            }
        } else if about.is_symlink() {
            if is_job(&name) || fs::metadata(entry.path()).is_ok_and(|behind| behind.is_dir()) {
                met.refuse(
                    shown,
                    "this is a link, and links are not followed. Put what it points at into the folder itself",
                );
            }
        } else if is_job(&name) && !about.is_file() {
            met.refuse(shown, "this is no plain file");
        } else if is_job(&name) && met.files.len() >= MOST {
            met.refuse(
                shown,
                "there are more than 200 000 jobs here. Move some to another folder",
            );
        } else if is_job(&name) {
            let modified = about.modified().ok();
            let modified = modified.and_then(|time| time.duration_since(UNIX_EPOCH).ok());
            met.files.push(Found {
                path: entry.path(),
                name: shown,
                size: about.len(),
                modified: modified.map_or(0, |time| time.as_nanos()),
                seal: seal(&entry.path(), about.len()),
            });
        }
    }
}

/// What stands at a file's end, where a job has its checksum: a clock that is wrong, or a copy that keeps its time, does
/// not hide a change.
fn seal(path: &Path, size: u64) -> u32 {
    let mut bytes = Vec::new();
    let read = fs::File::open(path).and_then(|mut file| {
        file.seek(SeekFrom::Start(size.saturating_sub(SEAL)))?;
        file.take(SEAL).read_to_end(&mut bytes)
    });
    // A file that cannot be read now is looked at whole, and told of.
    read.map_or(0, |_| crc32fast::hash(&bytes))
}

/// Whether a name is a job's, and not an earlier save's or a damaged file's that was put beside it.
fn is_job(name: &str) -> bool {
    let Some(stem) = name.strip_suffix(".ron") else {
        return false;
    };
    let word = stem.rsplit_once('.').map_or("", |(_, word)| word);
    let word = word.trim_end_matches(|sign: char| sign.is_ascii_digit());
    !matches!(word, "bak" | "unreadable")
}

fn remembered(folder: &Path) -> HashMap<String, Kept> {
    let text = fs::read(folder.join(CARDS_FILE)).unwrap_or_default();
    let found: Option<Remembered<Vec<Kept>>> = serde_json::from_slice(&text).ok();
    let found = found.filter(|found| found.shape == SHAPE);
    let cards = found.map_or_else(Vec::new, |found| found.cards);
    cards
        .into_iter()
        .map(|kept| (kept.card.path.clone(), kept))
        .collect()
}

/// Remembering is for speed only, so a folder that cannot be written to is no error.
fn remember(folder: &Path, cards: &[Kept]) {
    let beside = folder.join(format!("{CARDS_FILE}.{}.tmp", std::process::id()));
    let remembered = Remembered {
        shape: SHAPE,
        cards,
    };
    // Straight into the file: the text of ten thousand cards is larger than they are.
    let written = fs::File::create(&beside).and_then(|file| {
        let mut file = io::BufWriter::new(file);
        serde_json::to_writer(&mut file, &remembered)?;
        file.flush()?;
        fs::rename(&beside, folder.join(CARDS_FILE))
    });
    if written.is_err() {
        let _ = fs::remove_file(&beside);
    }
}
