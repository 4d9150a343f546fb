//! The files of a notebook. Cards are remembered in a hidden file of the folder, by size and time of each job file; it
//! can be deleted at any time and is never trusted for anything but speed.

use std::{
    collections::HashMap,
    fs,
    path::{Path, PathBuf},
    time::UNIX_EPOCH,
};

use serde::{Deserialize, Serialize};

use super::card::Card;
use crate::notebook::{FileError, file::LARGEST, read_job, trouble::disk};

/// Where cards are remembered.
pub const CARDS_FILE: &str = ".pinchpoint-cards.json";
/// Folders deep that are looked into, and most files that are read.
const DEEPEST: usize = 3;
const MOST: usize = 200_000;
/// Version of the remembered shape; another one is not read.
const SHAPE: u32 = 1;

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
    card: Card,
}

#[derive(Serialize, Deserialize)]
struct Remembered {
    shape: u32,
    cards: Vec<Kept>,
}

struct Found {
    path: PathBuf,
    name: String,
    size: u64,
    modified: u128,
}

/// The cards of a folder, by path, and what could not be read.
pub fn read(folder: &Path) -> Result<(Vec<Card>, Vec<Unreadable>), FileError> {
    let mut files = Vec::new();
    let on_disk = |error: std::io::Error| disk(&folder.display().to_string(), &error);
    let entries = fs::read_dir(folder).map_err(on_disk)?;
    look(entries, String::new(), 0, &mut files);
    files.sort_by(|a, b| a.name.cmp(&b.name));
    let mut known = remembered(folder);
    let had = known.len();
    let mut kept: Vec<Kept> = Vec::with_capacity(files.len());
    let (mut unreadable, mut fresh) = (Vec::new(), 0);
    for file in files {
        let same = known
            .remove(&file.name)
            .filter(|kept| (kept.size, kept.modified) == (file.size, file.modified));
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
                card: Card::of(file.name, &opened.job),
            }),
            Err(error) => unreadable.push(Unreadable {
                path: file.name,
                why: format!("{}. {}", error.what, error.remedy),
            }),
        }
    }
    let remembered = Remembered {
        shape: SHAPE,
        cards: kept,
    };
    if fresh > 0 || had != remembered.cards.len() {
        remember(folder, &remembered);
    }
    let cards = remembered.cards.into_iter().map(|kept| kept.card).collect();
    Ok((cards, unreadable))
}

fn look(entries: fs::ReadDir, above: String, depth: usize, files: &mut Vec<Found>) {
    for entry in entries.flatten() {
        let name = entry.file_name().to_string_lossy().into_owned();
        // Links are looked at as links, so that none leads out of the folder or round in a ring; pipes are no files.
        let Ok(about) = fs::symlink_metadata(entry.path()) else {
            continue;
        };
        if name.starts_with('.') || files.len() >= MOST {
            continue;
        }
        let shown = if above.is_empty() {
            name.clone()
        } else {
            format!("{above}/{name}")
        };
        if about.is_dir() {
            if depth < DEEPEST
                && name != crate::notebook::attach::FOLDER
                && let Ok(inside) = fs::read_dir(entry.path())
            {
                look(inside, shown, depth + 1, files);
            }
        } else if about.is_file() && is_job(&name) {
            let modified = about.modified().ok();
            let modified = modified.and_then(|time| time.duration_since(UNIX_EPOCH).ok());
            files.push(Found {
                path: entry.path(),
                name: shown,
                size: about.len(),
                modified: modified.map_or(0, |time| time.as_nanos()),
            });
        }
    }
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
    let found: Option<Remembered> = serde_json::from_slice(&text).ok();
    let found = found.filter(|found| found.shape == SHAPE);
    let cards = found.map_or_else(Vec::new, |found| found.cards);
    cards
        .into_iter()
        .map(|kept| (kept.card.path.clone(), kept))
        .collect()
}

/// Remembering is for speed only, so a folder that cannot be written to is no error.
fn remember(folder: &Path, cards: &Remembered) {
    let Ok(text) = serde_json::to_vec(cards) else {
        return;
    };
    let beside = folder.join(format!("{CARDS_FILE}.{}.tmp", std::process::id()));
    if fs::write(&beside, text)
        .and_then(|()| fs::rename(&beside, folder.join(CARDS_FILE)))
        .is_err()
    {
        let _ = fs::remove_file(&beside);
    }
}
