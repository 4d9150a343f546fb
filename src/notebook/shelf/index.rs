//! The words of all cards, each with where it stands: a question touches every word once, not every card.

use std::collections::BTreeMap;

use super::{
    card::{Card, Field},
    words::answers,
};

/// Words in order, each with the cards and fields that have it.
#[derive(Debug)]
pub struct Index {
    words: Vec<(String, Vec<(u32, Field)>)>,
}

impl Index {
    /// Indexes cards.
    pub fn of(cards: &[Card]) -> Self {
        let mut words: BTreeMap<&str, Vec<(u32, Field)>> = BTreeMap::new();
        for (number, card) in (0u32..).zip(cards) {
            for (field, text) in &card.words {
                for word in text.split(' ') {
                    words.entry(word).or_default().push((number, *field));
                }
            }
        }
        Self {
            words: words
                .into_iter()
                .map(|(word, mut at)| {
                    at.shrink_to_fit();
                    (word.to_owned(), at)
                })
                .collect(),
        }
    }

    /// How well each card answers to a word, in one field or in any, and with which of its own words.
    pub fn find(&self, asked: &str, field: Option<Field>, cards: usize) -> Vec<(u8, &str)> {
        let mut best = vec![(0, ""); cards];
        for (word, places) in &self.words {
            let worth = answers(word, asked);
            if worth == 0 {
                continue;
            }
            for &(card, at) in places {
                if field.is_none_or(|field| field == at)
                    && let Some(best) = best.get_mut(card as usize)
                    && worth > best.0
                {
                    *best = (worth, word.as_str());
                }
            }
        }
        best
    }
}
