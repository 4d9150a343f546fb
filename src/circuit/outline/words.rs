//! Words of an outline: tokens, classes, and which designations tell their class.

/// Classes of parts as an outline names them.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Class {
    Module,
    Wire,
    Connector,
    Splice,
    Ground,
    Fuse,
    Sensor,
    Rail,
}

const CLASSES: [(Class, &str); 8] = [
    (Class::Module, "module"),
    (Class::Wire, "wire"),
    (Class::Connector, "connector"),
    (Class::Splice, "splice"),
    (Class::Ground, "ground"),
    (Class::Fuse, "fuse"),
    (Class::Sensor, "sensor"),
    (Class::Rail, "rail"),
];

/// The battery negative.
pub(super) const NEGATIVE: &str = "negative";
/// Put before a sensor that sits right at a point that is no connector's.
pub(super) const AT: &str = "at";

impl Class {
    pub(super) fn word(self) -> &'static str {
        CLASSES
            .iter()
            .find(|(class, _)| *class == self)
            .map_or("part", |(_, word)| word)
    }

    pub(super) fn by_word(word: &str) -> Option<Self> {
        CLASSES
            .iter()
            .find(|(_, name)| *name == word)
            .map(|(class, _)| *class)
    }

    /// The class that a designation such as `SP12` tells; `None` for others.
    pub(super) fn by_designation(id: &str) -> Option<Self> {
        let letters = id.trim_end_matches(|c: char| c.is_ascii_digit());
        if letters.len() == id.len() {
            return None;
        }
        Some(match letters.to_ascii_uppercase().as_str() {
            "M" => Self::Module,
            "W" => Self::Wire,
            "C" | "X" => Self::Connector,
            "SP" => Self::Splice,
            "G" => Self::Ground,
            "F" => Self::Fuse,
            "S" => Self::Sensor,
            "B" => Self::Rail,
            _ => return None,
        })
    }
}

/// One token of a line.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Token {
    /// Anything without blanks.
    Word(String),
    /// A name that stood in quotes.
    Name(String),
}

/// Words that belong to the number before them: `1.2 m` is `1.2m`.
const UNITS: [&str; 22] = [
    "m", "cm", "mm", "ft", "mm2", "mm²", "V", "mV", "Ω", "ohm", "ohms", "kΩ", "kohm", "A", "mA",
    "amp", "min", "minutes", "h", "%", "pins", "pin",
];

/// Splits a line at blanks, outside of quotes; `None` where a quote is not closed.
pub(super) fn tokens(line: &str) -> Option<Vec<Token>> {
    let mut tokens: Vec<Token> = Vec::new();
    let mut rest = line.trim_start();
    while !rest.is_empty() {
        if let Some(quoted) = rest.strip_prefix('"') {
            let (name, after) = unquote(quoted)?;
            tokens.push(Token::Name(name));
            rest = after.trim_start();
            continue;
        }
        let end = rest
            .find(|c: char| c.is_whitespace() || c == '"')
            .unwrap_or(rest.len());
        let (word, after) = rest.split_at(end);
        match tokens.last_mut() {
            Some(Token::Word(number)) if UNITS.contains(&word) && bare(number).is_some() => {
                number.push_str(word)
            }
            _ => tokens.push(Token::Word(word.to_owned())),
        }
        rest = after.trim_start();
    }
    Some(tokens)
}

/// Reads up to the closing quote; a backslash takes the next character as it is.
fn unquote(text: &str) -> Option<(String, &str)> {
    let mut name = String::new();
    let mut chars = text.char_indices();
    while let Some((at, c)) = chars.next() {
        match c {
            '"' => return Some((name, &text[at + 1..])),
            '\\' => name.push(chars.next()?.1),
            c => name.push(c),
        }
    }
    None
}

/// A name in quotes, on one line.
pub(super) fn quote(name: &str) -> String {
    let escaped = one_line(name).replace('\\', "\\\\").replace('"', "\\\"");
    format!("\"{escaped}\"")
}

/// A name as an outline can carry it.
pub(super) fn one_line(name: &str) -> String {
    name.replace(
        |c: char| c.is_control() || matches!(c, '\u{2028}' | '\u{2029}'),
        " ",
    )
}

/// A finite number without a unit, with a dot or comma.
pub(super) fn bare(text: &str) -> Option<f64> {
    let starts = text.starts_with(|c: char| c.is_ascii_digit() || matches!(c, '.' | '-' | '+'));
    let number = text.replacen(',', ".", 1).parse::<f64>().ok()?;
    (starts && number.is_finite()).then_some(number)
}
