//! A first walk over a file's text, before the parser sees it: bounded nesting and finite numbers only.
//!
//! The parser would read `1e400` as infinity and spend its stack on brackets; both are refused here, with
//! their place, whatever field they stand in.

use std::{iter::Peekable, str::Chars};

/// Deepest nesting of brackets; a job needs 8.
pub const DEEPEST: usize = 32;

/// What the walk refuses.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Refusal {
    /// Line, from 1.
    pub line: usize,
    /// Column in characters, from 1.
    pub column: usize,
    /// What is wrong.
    pub what: String,
    /// What to do.
    pub remedy: &'static str,
}

/// Walks over the text once. Answers how many brackets are open at its end.
///
/// # Errors
/// The first bracket nested too deeply, or the first number that is no finite number.
pub fn check(text: &str) -> Result<usize, Refusal> {
    Walk {
        rest: text.chars().peekable(),
        line: 1,
        column: 1,
    }
    .run()
}

struct Walk<'a> {
    rest: Peekable<Chars<'a>>,
    line: usize,
    column: usize,
}

impl Walk<'_> {
    fn step(&mut self) -> Option<char> {
        let c = self.rest.next()?;
        if c == '\n' {
            self.line += 1;
            self.column = 1;
        } else {
            self.column += 1;
        }
        Some(c)
    }

    fn run(mut self) -> Result<usize, Refusal> {
        let mut depth = 0usize;
        loop {
            let (line, column) = (self.line, self.column);
            let refuse = |what: String, remedy| {
                Err(Refusal {
                    line,
                    column,
                    what,
                    remedy,
                })
            };
            let Some(c) = self.step() else {
                return Ok(depth);
            };
            match c {
                '(' | '[' | '{' => {
                    depth += 1;
                    if depth > DEEPEST {
                        return refuse(
                            format!("brackets are nested more than {DEEPEST} deep"),
                            "This is no job file, or it is damaged here",
                        );
                    }
                }
                ')' | ']' | '}' => depth = depth.saturating_sub(1),
                '/' => self.comment(),
                '"' => self.quoted('"'),
                '\'' => self.quoted('\''),
                c if c.is_ascii_digit() || c == '.' => {
                    let word = self.word(c);
                    if !is_finite(&word) {
                        return refuse(
                            format!(
                                "“{}” is too large or too small for a number",
                                super::trouble::excerpt(&word)
                            ),
                            "Write a number of ordinary size",
                        );
                    }
                }
                c if c.is_alphabetic() || c == '_' => {
                    let word = self.word(c);
                    if word == "r" || word == "br" {
                        self.raw();
                    } else if is_no_number(&word) {
                        return refuse(
                            format!("“{word}” is not a number that can be measured"),
                            "Write a finite number",
                        );
                    }
                }
                _ => {}
            }
        }
    }

    /// The rest of a word or number that begins with `first`.
    fn word(&mut self, first: char) -> String {
        let mut word = String::from(first);
        let number = first.is_ascii_digit() || first == '.';
        while let Some(&c) = self.rest.peek() {
            let exponent_sign = number
                && matches!(c, '+' | '-')
                && word.ends_with(['e', 'E'])
                && !word.starts_with("0x");
            if c.is_alphanumeric() || c == '_' || (number && c == '.') || exponent_sign {
                word.push(c);
                self.step();
            } else {
                break;
            }
        }
        word
    }

    fn quoted(&mut self, end: char) {
        while let Some(c) = self.step() {
            if c == '\\' {
                self.step();
            } else if c == end {
                return;
            }
        }
    }

    /// After `r`: a raw string `#"…"#` with any number of hashes, or nothing of the kind.
    fn raw(&mut self) {
        let mut hashes = 0usize;
        while self.rest.peek() == Some(&'#') {
            hashes += 1;
            self.step();
        }
        if self.rest.peek() != Some(&'"') {
            return;
        }
        self.step();
        let mut closing = None;
        while let Some(c) = self.step() {
            closing = match (c, closing) {
                ('"', _) => Some(0),
                ('#', Some(seen)) => Some(seen + 1),
                _ => None,
            };
            if closing == Some(hashes) {
                return;
            }
        }
    }

    /// After `/`: a line comment, a block comment (these nest), or nothing of the kind.
    fn comment(&mut self) {
        match self.rest.peek() {
            Some('/') => while self.step().is_some_and(|c| c != '\n') {},
            Some('*') => {
                self.step();
                let mut open = 1usize;
                let mut before = ' ';
                while open > 0 {
                    let Some(c) = self.step() else { return };
                    before = match (before, c) {
                        ('/', '*') => {
                            open += 1;
                            ' '
                        }
                        ('*', '/') => {
                            open -= 1;
                            ' '
                        }
                        _ => c,
                    };
                }
            }
            _ => {}
        }
    }
}

/// Whether a number's text stays finite, and stays different from zero if it is; what is no number is left to the parser.
fn is_finite(word: &str) -> bool {
    let digits = word.replace('_', "");
    let digits = digits
        .strip_suffix("f32")
        .or_else(|| digits.strip_suffix("f64"))
        .unwrap_or(&digits);
    let mantissa = digits.split(['e', 'E']).next().unwrap_or(digits);
    let is_zero = !mantissa.contains(|c: char| ('1'..='9').contains(&c));
    digits.parse::<f64>().map_or(true, |number| {
        number.is_finite() && (number != 0.0 || is_zero)
    })
}

fn is_no_number(word: &str) -> bool {
    ["inf", "NaN"].iter().any(|name| {
        word.strip_prefix(name)
            .is_some_and(|suffix| matches!(suffix, "" | "f32" | "f64"))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn refused_at(text: &str) -> Option<(usize, usize)> {
        check(text).err().map(|r| (r.line, r.column))
    }

    #[test]
    fn numbers_that_no_meter_shows_are_refused_with_their_place() {
        for (text, place) in [
            ("(a: 1e400)", (1, 5)),
            ("(a:\n -1.5e+999,)", (2, 3)),
            ("(a: 1e-999)", (1, 5)),
            ("(a: NaN)", (1, 5)),
            ("(a: -inf)", (1, 6)),
            ("(a: inff64)", (1, 5)),
            ("(a: 1_0e4_00f64)", (1, 5)),
        ] {
            assert_eq!(refused_at(text), Some(place), "{text}");
        }
    }

    #[test]
    fn numbers_and_words_in_text_and_comments_are_left_alone() {
        for text in [
            "(a: 1e300, b: -0.0e5, c: 0x1e4, d: 1.5e-3, e: .5)",
            "(a: \"inf 1e400 \\\" NaN\", b: r#\"1e400 \" inf\"#, c: '\"')",
            "// 1e400 inf\n(a: 1) /* NaN /* 1e400 */ inf */",
            "(info: infinite, nan: 3)",
        ] {
            assert_eq!(refused_at(text), None, "{text}");
        }
    }

    #[test]
    fn nesting_is_bounded_but_siblings_are_not() {
        assert_eq!(refused_at(&"(".repeat(10_000_000)), Some((1, DEEPEST + 1)));
        assert_eq!(refused_at(&"[]".repeat(1_000_000)), None);
    }
}
