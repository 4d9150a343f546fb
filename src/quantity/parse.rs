//! What technicians type: `0.8`, `820m`, `12,03`, `4k7`, `1.2 V`, `1 300`, `OL`, `0.4..0.6`.
//!
//! A bare number takes the unit of the kind that is being logged. One decimal sign, dot or comma; thousands may be
//! set apart by spaces or apostrophes, never by dots or commas, because `1.234,5` cannot be told from a slip.
//! `M` is mega and `m` is milli; the letter of a prefix or unit may stand for the decimal sign (`4k7`, `3R3`, `3V3`).

use super::{Unit, unit::Worth};

/// Largest magnitude that is accepted, in the unit; no meter shows more.
pub const LARGEST: f64 = 1e12;
/// Longest text that is looked at, in bytes.
const LONGEST_TEXT: usize = 80;

/// What was typed, in the unit of its kind (V, Ω, A, m, min).
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Typed {
    /// One number.
    Number(f64),
    /// Over-range: larger than the meter shows.
    OverRange,
    /// An unsteady display that stayed between two numbers, the smaller first.
    Between(f64, f64),
}

/// Why a text was refused. The text says what was wrong and shows what is right.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum TypedError {
    /// Nothing but blanks.
    #[error("nothing typed: give {} such as {}", .0.word(), .0.example())]
    Empty(Unit),
    /// Not a number at all.
    #[error("“{text}” is no number: type {} such as {}", .unit.word(), .unit.example())]
    NotANumber {
        /// What was typed.
        text: String,
        /// What was asked for.
        unit: Unit,
    },
    /// Dots and commas mixed or repeated.
    #[error(
        "“{0}” can be read in two ways: use one decimal sign, dot or comma, and nothing or a space between thousands, e.g. 1234.5"
    )]
    Separators(String),
    /// Spaces that do not set thousands apart.
    #[error("“{0}” has a space within the number: only thousands may be set apart, e.g. 1 300")]
    Grouping(String),
    /// Beyond what is representable or sensible.
    #[error("“{text}” is out of range: type {} such as {}", .unit.word(), .unit.example())]
    OutOfRange {
        /// What was typed.
        text: String,
        /// What was asked for.
        unit: Unit,
    },
    /// The unit belongs to another kind.
    #[error(
        "“{text}” is in {}, but {} are wanted here: choose the other kind, or type {} such as {}",
        .found.word(), .wanted.word(), .wanted.word(), .wanted.example()
    )]
    WrongUnit {
        /// What was typed.
        text: String,
        /// Unit that it carries.
        found: Unit,
        /// Unit that was asked for.
        wanted: Unit,
    },
    /// The text after the number is no unit.
    #[error("“{suffix}” is no unit of {}: type {}", .unit.word(), .unit.example())]
    UnknownUnit {
        /// What stands after the number.
        suffix: String,
        /// What was asked for.
        unit: Unit,
    },
    /// Mega or giga where only a slip of the shift key explains it.
    #[error("“{0}” has a capital M or G, a million or more: for milli type a small m, e.g. 820m")]
    Mega(String),
    /// An interval that is not two numbers, or of which only the first carries a prefix or unit.
    #[error(
        "“{0}” is no clear interval: type the smaller and the larger number, the unit last, e.g. 0.4..0.6 or 400..600 m"
    )]
    Interval(String),
}

/// Reads a number, an over-range display or an interval.
///
/// ```
/// use pinchpoint::quantity::{Typed, Unit, typed};
/// assert_eq!(typed("0.8", Unit::Volts), Ok(Typed::Number(0.8)));
/// assert_eq!(typed("820m", Unit::Volts), Ok(Typed::Number(0.82)));
/// assert_eq!(typed("12,03", Unit::Volts), Ok(Typed::Number(12.03)));
/// assert_eq!(typed("4k7", Unit::Ohms), Ok(Typed::Number(4700.0)));
/// assert_eq!(typed("3R3", Unit::Ohms), Ok(Typed::Number(3.3)));
/// assert_eq!(typed("1 300", Unit::Ohms), Ok(Typed::Number(1300.0)));
/// assert_eq!(typed("0L", Unit::Ohms), Ok(Typed::OverRange));
/// assert_eq!(typed("400..600 mV", Unit::Volts), Ok(Typed::Between(0.4, 0.6)));
/// assert_eq!(
///     typed("120 mA", Unit::Volts).unwrap_err().to_string(),
///     "“120 mA” is in amperes, but volts are wanted here: choose the other kind, or type volts such as 0.82, 820m or 1.2 V"
/// );
/// ```
///
/// # Errors
/// [`TypedError`]; NaN, infinities and numbers beyond ±[`LARGEST`] are refused.
pub fn typed(text: &str, unit: Unit) -> Result<Typed, TypedError> {
    let text = &tidy(text, unit)?;
    if is_over_range(text, unit) {
        return Ok(Typed::OverRange);
    }
    let Some((low, high)) = split_interval(text) else {
        return Ok(Typed::Number(one(text, unit)?.value()));
    };
    let interval_error = || TypedError::Interval(shown(text));
    if low.is_empty() || high.is_empty() || is_over_range(low, unit) || is_over_range(high, unit) {
        return Err(interval_error());
    }
    let (mut low, high) = (one(low, unit)?, one(high, unit)?);
    match (low.scale, high.scale) {
        // `400..600 mV`: the unit at the end counts for both.
        (None, scale) => low.scale = scale,
        (Some(_), Some(_)) | (Some(Worth::ONE), None) => {}
        (Some(_), None) => return Err(interval_error()),
    }
    let (a, b) = (low.value(), high.value());
    if in_range(a) && in_range(b) {
        Ok(Typed::Between(a.min(b), a.max(b)))
    } else {
        Err(out_of_range(text, unit))
    }
}

/// Reads one number; an over-range display or an interval is refused.
///
/// ```
/// use pinchpoint::quantity::{Unit, typed_number};
/// assert_eq!(typed_number("80 cm", Unit::Metres), Ok(0.8));
/// assert!(typed_number("OL", Unit::Metres).is_err());
/// ```
///
/// # Errors
/// [`TypedError`], as for [`typed`].
pub fn typed_number(text: &str, unit: Unit) -> Result<f64, TypedError> {
    Ok(one(&tidy(text, unit)?, unit)?.value())
}

/// Worth of the last digit of a number as it was typed, in the unit: how finely it was noted. None for anything but one
/// number, and for a bare `0`, which says nothing of its digits.
///
/// ```
/// use pinchpoint::quantity::{Unit, typed_step};
/// assert_eq!(typed_step("0.31", Unit::Volts), Some(0.01));
/// assert_eq!(typed_step("12,03", Unit::Volts), Some(0.01));
/// assert_eq!(typed_step("820m", Unit::Volts), Some(0.001));
/// assert_eq!(typed_step("4k7", Unit::Ohms), Some(100.0));
/// assert_eq!(typed_step("0", Unit::Volts), None);
/// assert_eq!(typed_step("0.3..0.5", Unit::Volts), None);
/// ```
pub fn typed_step(text: &str, unit: Unit) -> Option<f64> {
    let text = tidy(text, unit).ok()?;
    if is_over_range(&text, unit) || split_interval(&text).is_some() {
        return None;
    }
    let number = one(&text, unit).ok()?;
    let step = nearest(&last_digit(&number.digits)?, number.worth());
    (step.is_finite() && step > 0.0).then_some(step)
}

/// A number as it was typed, without its sign and with a dot, and the worth of the unit that stands after it.
struct Scaled {
    negative: bool,
    digits: String,
    scale: Option<Worth>,
}

impl Scaled {
    fn worth(&self) -> Worth {
        self.scale.unwrap_or(Worth::ONE)
    }

    fn value(&self) -> f64 {
        let value = nearest(&self.digits, self.worth());
        if self.negative { -value } else { value }
    }
}

/// Power of ten that no number in range comes near.
const FAR: i64 = 9999;

/// The double that is nearest to digits such as `12.03` or `1.2e-3` in a unit: the decimal is put together as text and read
/// once, since 4.2 divided by 1000 is not the double nearest to 0.0042. Only what is counted in sixtieths is rounded twice.
fn nearest(digits: &str, worth: Worth) -> f64 {
    let (whole, power) = whole_and_power(digits);
    let power = power + i64::from(worth.power);
    let product = whole
        .parse::<u128>()
        .ok()
        .and_then(|whole| whole.checked_mul(worth.times.into()));
    let value = match product {
        Some(product) => format!("{product}e{power}").parse(),
        // Longer than any display: the last bit is of no matter.
        None => format!("{whole}e{power}")
            .parse()
            .map(|value: f64| value * f64::from(worth.times)),
    };
    value.map_or(f64::INFINITY, |value: f64| value / f64::from(worth.per))
}

/// Digits as a whole number and the power of ten that it counts.
fn whole_and_power(digits: &str) -> (String, i64) {
    let (mantissa, exponent) = digits.split_once(['e', 'E']).unwrap_or((digits, "0"));
    let (before, after) = mantissa.split_once('.').unwrap_or((mantissa, ""));
    let far = if exponent.starts_with('-') { -FAR } else { FAR };
    let exponent = exponent
        .parse::<i64>()
        .map_or(far, |power| power.clamp(-FAR, FAR));
    (format!("{before}{after}"), exponent - after.len() as i64)
}

/// The last of digits such as `12.03` or `1.2e-3`: a one at its place.
fn last_digit(digits: &str) -> Option<String> {
    let (whole, power) = whole_and_power(digits);
    let bare_zero = !digits.contains('.') && !whole.contains(|c: char| matches!(c, '1'..='9'));
    (!bare_zero).then(|| format!("1e{power}"))
}

/// Trims, unifies blanks, minus and dashes.
fn tidy(text: &str, unit: Unit) -> Result<String, TypedError> {
    let trimmed = text.trim();
    if trimmed.is_empty() {
        return Err(TypedError::Empty(unit));
    }
    if trimmed.len() > LONGEST_TEXT {
        return Err(TypedError::NotANumber {
            text: shown(trimmed),
            unit,
        });
    }
    Ok(trimmed
        .chars()
        .map(|c| match c {
            '−' | '–' => '-',
            '\u{2126}' => 'Ω',
            'µ' | 'μ' => 'u',
            '’' => '\'',
            c if c.is_whitespace() => ' ',
            c => c,
        })
        .collect())
}

fn is_over_range(text: &str, unit: Unit) -> bool {
    let squeezed: String = text
        .chars()
        .filter(|c| !matches!(c, ' ' | '.' | '+'))
        .collect::<String>()
        .to_lowercase();
    let Some(rest) = ["ol", "0l"]
        .iter()
        .find_map(|mark| squeezed.strip_prefix(mark))
    else {
        return false;
    };
    unit.is_electrical() && (rest.is_empty() || worth(rest, unit).is_some())
}

/// Splits at `..`, `…`, `to` or a dash that is no sign and no part of an exponent.
fn split_interval(text: &str) -> Option<(&str, &str)> {
    let trim = |(a, b): (&'_ str, &'_ str)| -> (usize, usize) { (a.len(), text.len() - b.len()) };
    let cut = ["...", "..", "…", " to "]
        .iter()
        .find_map(|mark| text.split_once(mark))
        .map(trim)
        .or_else(|| {
            text.match_indices('-').find_map(|(at, _)| {
                let before = text[..at].trim_end();
                let is_sign = before.is_empty() || before.ends_with(['e', 'E']);
                (!is_sign).then_some((at, at + 1))
            })
        })?;
    Some((text[..cut.0].trim(), text[cut.1..].trim()))
}

/// Reads one number with an optional unit.
fn one(text: &str, unit: Unit) -> Result<Scaled, TypedError> {
    let not_a_number = || TypedError::NotANumber {
        text: shown(text),
        unit,
    };
    let (negative, unsigned) = match text.strip_prefix('-') {
        Some(rest) => (true, rest.trim_start()),
        None => (false, text.strip_prefix('+').unwrap_or(text).trim_start()),
    };
    let (mantissa, mut suffix) = unsigned.split_at(mantissa_length(unsigned));
    if !mantissa.contains(|c: char| c.is_ascii_digit()) {
        return Err(not_a_number());
    }
    let mut digits = plain_digits(mantissa, text)?;
    if let Some((exponent, rest)) = split_exponent(suffix) {
        digits.push_str(exponent);
        suffix = rest;
    } else if let Some((letter, decimals, rest)) = split_letter_decimal(suffix) {
        if digits.contains('.') {
            return Err(TypedError::Separators(shown(text)));
        }
        let scale = suffix_scale(&letter.to_string(), text, unit)?;
        let tail = rest.trim();
        if !(tail.is_empty()
            || unit
                .spellings()
                .iter()
                .any(|(word, worth)| *worth == Worth::ONE && *word == tail.to_lowercase()))
        {
            suffix_scale(tail, text, unit)?;
            return Err(TypedError::UnknownUnit {
                suffix: shown(suffix),
                unit,
            });
        }
        digits.push('.');
        digits.push_str(decimals);
        return finish(negative, digits, Some(scale), text, unit);
    }
    let suffix = suffix.trim();
    let scale = if suffix.is_empty() {
        None
    } else {
        Some(suffix_scale(suffix, text, unit)?)
    };
    finish(negative, digits, scale, text, unit)
}

fn finish(
    negative: bool,
    digits: String,
    scale: Option<Worth>,
    text: &str,
    unit: Unit,
) -> Result<Scaled, TypedError> {
    let scaled = Scaled {
        negative,
        digits,
        scale,
    };
    let (whole, _) = whole_and_power(&scaled.digits);
    let value = scaled.value();
    let vanished = value == 0.0 && whole.contains(|c: char| matches!(c, '1'..='9'));
    if in_range(value) && !vanished {
        Ok(scaled)
    } else {
        Err(out_of_range(text, unit))
    }
}

fn in_range(value: f64) -> bool {
    value.abs() <= LARGEST
}

fn out_of_range(text: &str, unit: Unit) -> TypedError {
    TypedError::OutOfRange {
        text: shown(text),
        unit,
    }
}

/// Bytes of the leading run of digits, decimal signs and the blanks between digits.
fn mantissa_length(text: &str) -> usize {
    text.find(|c: char| !(c.is_ascii_digit() || matches!(c, '.' | ',' | ' ' | '\'')))
        .unwrap_or(text.len())
}

/// Removes the marks between thousands and makes the decimal sign a dot.
fn plain_digits(mantissa: &str, text: &str) -> Result<String, TypedError> {
    let mantissa = mantissa.trim();
    if mantissa.matches(['.', ',']).count() > 1 {
        return Err(TypedError::Separators(shown(text)));
    }
    let (whole, decimals) = mantissa.split_once(['.', ',']).unwrap_or((mantissa, ""));
    let grouped = |c| matches!(c, ' ' | '\'');
    let mut groups = whole.split(grouped);
    let first = groups.next().unwrap_or("");
    let others: Vec<&str> = groups.collect();
    let misplaced = decimals.contains(grouped)
        || others.iter().any(|group| group.len() != 3)
        || (!others.is_empty() && !(1..=3).contains(&first.len()));
    if misplaced {
        return Err(TypedError::Grouping(shown(text)));
    }
    let mut digits = String::from(first);
    digits.extend(others);
    if !decimals.is_empty() {
        digits.push('.');
        digits.push_str(decimals);
    }
    Ok(digits)
}

/// Splits `e-3` off the front.
fn split_exponent(suffix: &str) -> Option<(&str, &str)> {
    let digits = suffix.strip_prefix(['e', 'E'])?;
    let digits = digits.strip_prefix(['-', '+']).unwrap_or(digits);
    let rest = digits.trim_start_matches(|c: char| c.is_ascii_digit());
    (rest.len() < digits.len()).then(|| suffix.split_at(suffix.len() - rest.len()))
}

/// Splits `k7` or `R33`, a letter that stands for the decimal sign, off the front.
fn split_letter_decimal(suffix: &str) -> Option<(char, &str, &str)> {
    let letter = suffix.chars().next()?;
    let rest = suffix.strip_prefix(letter)?;
    let after = rest.trim_start_matches(|c: char| c.is_ascii_digit());
    let decimals = rest.strip_suffix(after)?;
    (!decimals.is_empty()).then_some((letter, decimals, after))
}

/// Worth of a suffix in the wanted unit, or why it has none.
fn suffix_scale(suffix: &str, text: &str, unit: Unit) -> Result<Worth, TypedError> {
    if let Some(scale) = worth(suffix, unit) {
        return if scale.power >= 6 && unit != Unit::Ohms {
            Err(TypedError::Mega(shown(text)))
        } else {
            Ok(scale)
        };
    }
    match super::unit::UNITS
        .into_iter()
        .find(|other| worth(suffix, *other).is_some())
    {
        Some(found) => Err(TypedError::WrongUnit {
            text: shown(text),
            found,
            wanted: unit,
        }),
        None => Err(TypedError::UnknownUnit {
            suffix: shown(suffix),
            unit,
        }),
    }
}

/// Prefixes with their powers of ten, longer spellings first; `M` and `m` differ, `k` and `K` do not.
const PREFIXES: [(&str, i32); 12] = [
    ("micro", -6),
    ("milli", -3),
    ("kilo", 3),
    ("mega", 6),
    ("meg", 6),
    ("u", -6),
    ("m", -3),
    ("k", 3),
    ("K", 3),
    ("M", 6),
    ("G", 9),
    ("", 0),
];

fn worth(suffix: &str, unit: Unit) -> Option<Worth> {
    let spelled = |text: &str| {
        let text = text.trim().to_lowercase();
        unit.spellings()
            .iter()
            .find(|(word, _)| *word == text)
            .map(|(_, worth)| *worth)
    };
    if !unit.is_electrical() {
        return spelled(suffix);
    }
    PREFIXES.iter().find_map(|(prefix, power)| {
        let rest = suffix.strip_prefix(prefix)?;
        (rest.is_empty() || spelled(rest).is_some()).then_some(Worth::ten(*power))
    })
}

/// The text as shown in an error: its beginning.
fn shown(text: &str) -> String {
    const SHOWN: usize = 24;
    let mut start: String = text.chars().take(SHOWN).collect();
    if text.chars().nth(SHOWN).is_some() {
        start.push('…');
    }
    start
}
