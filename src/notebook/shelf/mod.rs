//! A shop's notebook: a folder of job files, as a list that can be searched.
//!
//! Stages: find the files ([`folder`]), read each into a card ([`card`]; remembered until the file changes), index the
//! words of all cards ([`index`]), ask ([`Shelf::search`]). What past jobs teach is in [`learnt`].

mod card;
mod folder;
mod index;
mod learnt;
mod words;

use std::path::{Path, PathBuf};

pub use card::{Card, Field};
pub use folder::{CARDS_FILE, Unreadable};
pub use learnt::{Learnt, LearntMinutes, LearntVolts};

use super::{FileError, away::is_away};
use index::Index;

/// A notebook that was read.
#[derive(Debug)]
pub struct Shelf {
    /// Its folder.
    pub folder: PathBuf,
    /// Its jobs, by path.
    pub cards: Vec<Card>,
    /// Files that look like jobs and could not be read.
    pub unreadable: Vec<Unreadable>,
    index: Index,
}

/// A word of a question, possibly for one field only.
#[derive(Clone, Debug, PartialEq, Eq)]
enum Asked {
    Word(Option<Field>, String),
    Is(Trait),
}

/// What a job can be asked to be.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Trait {
    Open,
    Repaired,
    Signed,
    Unplugged,
    Away,
}

/// A job that fits a question.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Found {
    /// Its place in [`Shelf::cards`].
    pub at: usize,
    /// Words of it that stand for asked ones by a slip of the pen only, in the order in which they were asked.
    pub near: Vec<String>,
}

impl Found {
    /// What is to be said of it where it fits by a near word only: `found by “suspension”`.
    pub fn note(&self) -> Option<String> {
        let near: Vec<String> = (self.near.iter()).map(|word| format!("“{word}”")).collect();
        (!near.is_empty()).then(|| format!("found by {}", near.join(", ")))
    }
}

/// A question that makes no sense.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{0}")]
pub struct SearchError(String);

impl Shelf {
    /// Reads a notebook. Job files lie in the folder and up to three folders deep; links are not followed.
    ///
    /// # Errors
    /// The folder cannot be read. A single file that cannot be read is listed as such.
    pub fn open(folder: &Path) -> Result<Self, FileError> {
        let read = Self::open_while(folder, &mut |_, _| true)?;
        Ok(read.unwrap_or_else(|| Self::of(folder, Vec::new(), Vec::new())))
    }

    /// The same while `watch` says yes; it is told how many files were seen to and how many there are. Nothing at its no.
    ///
    /// # Errors
    /// As [`Shelf::open`].
    pub fn open_while(
        folder: &Path,
        watch: &mut dyn FnMut(usize, usize) -> bool,
    ) -> Result<Option<Self>, FileError> {
        let read = folder::read(folder, watch)?;
        Ok(read.map(|(cards, unreadable)| Self::of(folder, cards, unreadable)))
    }

    /// A notebook of cards.
    pub fn of(folder: &Path, mut cards: Vec<Card>, unreadable: Vec<Unreadable>) -> Self {
        cards.sort_by(|a, b| a.path.cmp(&b.path));
        Self {
            folder: folder.to_path_buf(),
            index: Index::of(&cards),
            cards,
            unreadable,
        }
    }

    /// Jobs that fit a question, best first; all of them, by path, for an empty one.
    ///
    /// Every word must be found: as it stands, as the beginning of a word, inside one, or with a slip of the pen or two.
    /// `code:P0641`, `colour:BNRD`, `number:417`, `vehicle:tender`, `part:C2` and `shop:lane` look in one field;
    /// `is:open`, `is:repaired`, `is:signed` and `is:unplugged` filter. Jobs that are put away are found with `is:away` only.
    ///
    /// # Errors
    /// A field or filter that is not there, by name.
    pub fn search(&self, question: &str) -> Result<Vec<&Card>, SearchError> {
        let found = self.find(question)?.into_iter();
        Ok(found.filter_map(|found| self.cards.get(found.at)).collect())
    }

    /// The same as places in [`Shelf::cards`], each with the near words that it fits by.
    ///
    /// # Errors
    /// As [`Shelf::search`].
    pub fn find(&self, question: &str) -> Result<Vec<Found>, SearchError> {
        let asked = asked(question)?;
        let away = asked.contains(&Asked::Is(Trait::Away));
        let cards = self.cards.iter();
        let mut scores: Vec<Option<u32>> = cards
            .map(|card| (is_away(&card.path) == away).then_some(0))
            .collect();
        let mut near: Vec<Vec<String>> = vec![Vec::new(); self.cards.len()];
        for asked in asked {
            match asked {
                Asked::Word(field, word) => {
                    let found = self.index.find(&word, field, self.cards.len());
                    for ((score, near), (worth, by)) in scores.iter_mut().zip(&mut near).zip(found)
                    {
                        *score = score
                            .filter(|_| worth > 0)
                            .map(|score| score + u32::from(worth));
                        if (1..=words::NEAR).contains(&worth) {
                            near.push(by.to_owned());
                        }
                    }
                }
                Asked::Is(what) => {
                    for (score, card) in scores.iter_mut().zip(&self.cards) {
                        let is = match what {
                            Trait::Open => !card.signed,
                            Trait::Repaired => card.repaired,
                            Trait::Signed => card.signed,
                            Trait::Unplugged => card.unplugged,
                            // Looked at above.
                            Trait::Away => true,
                        };
                        *score = score.filter(|_| is);
                    }
                }
            }
        }
        let scored = scores.into_iter().enumerate();
        let mut found: Vec<(u32, usize)> = scored
            .filter_map(|(at, score)| Some((score?, at)))
            .collect();
        // Cards stand by path already, and equals stay in that order.
        found.sort_by_key(|(score, _)| std::cmp::Reverse(*score));
        let with_words = |(_, at): (u32, usize)| Found {
            at,
            near: std::mem::take(&mut near[at]),
        };
        Ok(found.into_iter().map(with_words).collect())
    }

    /// What the jobs on a vehicle have taught: minutes to reach its connectors, volts that were right.
    pub fn learnt(&self, vehicle: &str) -> Learnt {
        learnt::learnt(&self.cards, vehicle)
    }
}

/// Whether two names are one vehicle's: the same words in the same order.
pub fn same_vehicle(a: &str, b: &str) -> bool {
    let wanted = words::words(a);
    !wanted.is_empty() && wanted == words::words(b)
}

fn asked(question: &str) -> Result<Vec<Asked>, SearchError> {
    let mut all = Vec::new();
    for piece in question.split_whitespace() {
        let (field, rest) = match piece.split_once(':') {
            Some(("is", what)) => {
                all.push(Asked::Is(match what {
                    "open" => Trait::Open,
                    "repaired" => Trait::Repaired,
                    "signed" => Trait::Signed,
                    "unplugged" => Trait::Unplugged,
                    "away" => Trait::Away,
                    other => {
                        let other = super::trouble::excerpt(other);
                        return Err(SearchError(format!(
                            "is:{other} is no filter; there are is:open, is:repaired, is:signed, is:unplugged and is:away"
                        )));
                    }
                }));
                continue;
            }
            Some((name, rest)) => match Field::named(name) {
                Some(field) => (Some(field), rest),
                // A time or a code with a colon is a word like any other.
                None => (None, piece),
            },
            None => (None, piece),
        };
        let words = words::words(rest);
        all.extend(words.into_iter().map(|word| Asked::Word(field, word)));
    }
    Ok(all)
}
