//! Words of a text, and how far two words are apart.

/// Longest word that is kept, in characters; a longer one is cut.
const LONGEST: usize = 40;

/// The words of a text in small letters, each once: pieces of letters and digits.
pub fn words(text: &str) -> Vec<String> {
    let mut words: Vec<String> = Vec::new();
    for piece in text.split(|sign: char| !sign.is_alphanumeric()) {
        let word: String = piece
            .chars()
            .take(LONGEST)
            .flat_map(char::to_lowercase)
            .collect();
        if !word.is_empty() && !words.contains(&word) {
            words.push(word);
        }
    }
    words
}

/// The most that a word is worth which answers with slips of the pen only.
pub const NEAR: u8 = 2;

/// How well a word answers to an asked one: 0 not at all, 8 the same, 6 beginning with it, 4 holding it, [`NEAR`] and less
/// with slips of the pen. Words with a digit allow one slip only where they are long, since 417 and 471 are two wires.
pub fn answers(word: &str, asked: &str) -> u8 {
    if word == asked {
        return 8;
    }
    if word.starts_with(asked) {
        return 6;
    }
    let length = asked.chars().count();
    if length >= 3 && word.contains(asked) {
        return 4;
    }
    let digits = asked.chars().any(|sign| sign.is_ascii_digit());
    let slips = match (length, digits) {
        (0..=3, _) => 0,
        (_, true) => usize::from(length >= 7),
        (4..=7, false) => 1,
        _ => 2,
    };
    if slips == 0 {
        return 0;
    }
    match distance(word, asked, slips) {
        Some(1) => NEAR,
        Some(_) => 1,
        None => 0,
    }
}

/// Insertions, deletions, replacements and swaps of neighbours that turn one word into another; none where it takes more
/// than `most` (optimal string alignment distance). Cost: product of the lengths, cut short as soon as it is too many.
pub fn distance(a: &str, b: &str, most: usize) -> Option<usize> {
    let (a, b): (Vec<char>, Vec<char>) = (a.chars().collect(), b.chars().collect());
    if a.len().abs_diff(b.len()) > most {
        return None;
    }
    let mut before: Vec<usize> = Vec::new();
    let mut row: Vec<usize> = (0..=b.len()).collect();
    for (i, &sign) in a.iter().enumerate() {
        let mut next = vec![i + 1];
        for (j, &other) in b.iter().enumerate() {
            let replaced = row[j] + usize::from(sign != other);
            let mut least = replaced.min(row[j + 1] + 1).min(next[j] + 1);
            if i > 0 && j > 0 && sign == b[j - 1] && a[i - 1] == other {
                least = least.min(before[j - 1] + 1);
            }
            next.push(least);
        }
        if next.iter().all(|&steps| steps > most) {
            return None;
        }
        before = std::mem::replace(&mut row, next);
    }
    row.last().copied().filter(|&steps| steps <= most)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_are_pieces_of_letters_and_digits_once_each() {
        assert_eq!(
            words("CT-4471 · Rear, rear LOOM"),
            ["ct", "4471", "rear", "loom"]
        );
        assert_eq!(words("Größe ΩW7"), ["größe", "ωw7"]);
        assert_eq!(words(&"x".repeat(1_000_000))[0].len(), LONGEST);
        assert!(words(" -- ").is_empty());
    }

    #[test]
    fn distances_are_the_textbook_ones() {
        // The standard examples of Levenshtein and of optimal string alignment distance (memory).
        for (a, b, steps) in [
            ("kitten", "sitting", 3),
            ("saturday", "sunday", 3),
            ("ca", "abc", 3),
            ("loom", "lomo", 1),
            ("", "ab", 2),
            ("same", "same", 0),
        ] {
            assert_eq!(distance(a, b, 9), Some(steps), "{a} {b}");
            assert_eq!(distance(b, a, 9), Some(steps), "{b} {a}");
            assert_eq!(distance(a, b, steps), Some(steps));
            if steps > 0 {
                assert_eq!(distance(a, b, steps - 1), None);
            }
        }
    }

    #[test]
    fn slips_are_allowed_in_words_and_not_in_numbers() {
        for (word, asked, worth) in [
            ("height", "height", 8),
            ("height", "hei", 6),
            ("ride417a", "417", 4),
            ("height", "hieght", 2),
            ("suspension", "suspenion", 2),
            ("suspension", "supsenion", 1),
            ("417", "471", 0),
            ("c2", "c3", 0),
            ("fuel", "feed", 0),
        ] {
            assert_eq!(answers(word, asked), worth, "{word} {asked}");
        }
    }
}
