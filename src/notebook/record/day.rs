//! Days as people write them: kept as written, looked at for days that are in no calendar, and put in order.

use crate::notebook::trouble::excerpt;

/// A day: year, month and day of the month, in an order that sorts.
pub type Day = (u16, u8, u8);

/// What can be said of a day as it is written.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Written {
    /// Nothing is.
    Missing,
    /// A day.
    Day(Day),
    /// Either of two days, since month and day cannot be told apart; first the one with the month in front.
    Either(Day, Day),
    /// No day, though it has the form of one; why.
    Impossible(String),
    /// Something else.
    Other,
}

impl Written {
    /// By which a list is sorted; of two possible days the one with the month in front.
    pub fn sorted_by(&self) -> Option<Day> {
        match self {
            Self::Day(day) | Self::Either(day, _) => Some(*day),
            Self::Missing | Self::Impossible(_) | Self::Other => None,
        }
    }

    /// What is doubtful, in words; none where nothing is.
    pub fn doubt(&self, text: &str) -> Option<String> {
        let text = excerpt(text.trim());
        match self {
            Self::Missing | Self::Day(_) => None,
            Self::Impossible(why) => Some(format!("“{text}” is no day: {why}")),
            Self::Either((year, month, day), _) => Some(format!(
                "“{text}” can be {} {} or {} {} {year}",
                day,
                MONTHS[usize::from(*month) - 1],
                month,
                MONTHS[usize::from(*day) - 1],
            )),
            Self::Other => Some(format!("“{text}” is not read as a day")),
        }
    }
}

/// What to do about a doubtful day.
pub const REMEDY: &str = "Write year, month and day, e.g. 2031-04-02";

const MONTHS: [&str; 12] = [
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
];

/// Reads a day: `2031-04-02` (ISO 8601), `02.04.2031`, `2 April 2031`, `Apr 2, 2031`, `4/2/2031`.
///
/// ```
/// use pinchpoint::notebook::record::day::{Written, read};
/// assert_eq!(read("2031-04-02"), Written::Day((2031, 4, 2)));
/// assert_eq!(read("2.4.2031"), Written::Day((2031, 4, 2)));
/// assert_eq!(read("spring"), Written::Other);
/// ```
pub fn read(text: &str) -> Written {
    let text = text.trim();
    if text.is_empty() {
        return Written::Missing;
    }
    let pieces: Vec<&str> = text
        .split(['-', '.', '/', ' ', ','])
        .filter(|piece| !piece.is_empty())
        .collect();
    let [one, two, three] = pieces[..] else {
        return Written::Other;
    };
    if let Some(year) = year(one) {
        return both(year, number(two), number(three));
    }
    let Some(year) = year(three) else {
        return Written::Other;
    };
    if let Some(month) = month(one) {
        return both(year, Some(month), number(two));
    }
    if let Some(month) = month(two) {
        return both(year, Some(month), number(one));
    }
    let (Some(first), Some(second)) = (number(one), number(two)) else {
        return Written::Other;
    };
    if text.contains('.') {
        // With points the day comes first wherever people write so (common practice, no source).
        return day(year, second, first);
    }
    // With strokes or dashes either may come first.
    match (day(year, first, second), day(year, second, first)) {
        (Written::Day(a), Written::Day(b)) if a == b => Written::Day(a),
        (Written::Day(a), Written::Day(b)) => Written::Either(a, b),
        (Written::Day(a), _) => Written::Day(a),
        (_, other) => other,
    }
}

fn both(year: u16, month: Option<u8>, of_month: Option<u8>) -> Written {
    match (month, of_month) {
        (Some(month), Some(of_month)) => day(year, month, of_month),
        _ => Written::Other,
    }
}

fn day(year: u16, month: u8, of_month: u8) -> Written {
    let Some(name) = usize::from(month)
        .checked_sub(1)
        .and_then(|at| MONTHS.get(at))
    else {
        return Written::Impossible(format!("there is no month {month}"));
    };
    let most = days_of(year, month);
    if (1..=most).contains(&of_month) {
        Written::Day((year, month, of_month))
    } else {
        Written::Impossible(format!("{name} {year} has {most} days"))
    }
}

/// Days of a month in the Gregorian calendar (ISO 8601).
fn days_of(year: u16, month: u8) -> u8 {
    let leap = year.is_multiple_of(4) && (!year.is_multiple_of(100) || year.is_multiple_of(400));
    match month {
        2 if leap => 29,
        2 => 28,
        4 | 6 | 9 | 11 => 30,
        _ => 31,
    }
}

fn digits(text: &str) -> bool {
    text.bytes().all(|sign| sign.is_ascii_digit())
}

fn year(text: &str) -> Option<u16> {
    (text.len() == 4 && digits(text)).then(|| text.parse().ok())?
}

fn number(text: &str) -> Option<u8> {
    (text.len() <= 2 && digits(text)).then(|| text.parse().ok())?
}

/// A month by its name, or its first three letters or more.
fn month(text: &str) -> Option<u8> {
    let text = text.to_lowercase();
    let named = |name: &&str| text.len() >= 3 && name.to_lowercase().starts_with(&text);
    let at = MONTHS.iter().position(named)?;
    u8::try_from(at + 1).ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn days_are_read_as_people_write_them() {
        // ISO 8601; the other forms are common practice, no source.
        for text in [
            "2031-04-02",
            "2031/04/02",
            " 02.04.2031 ",
            "2.4.2031",
            "2 April 2031",
            "2 apr 2031",
            "April 2, 2031",
        ] {
            assert_eq!(read(text), Written::Day((2031, 4, 2)), "{text}");
        }
        assert_eq!(read("4/13/2031"), Written::Day((2031, 4, 13)));
        assert_eq!(read("13/4/2031"), Written::Day((2031, 4, 13)));
        assert_eq!(read("4/4/2031"), Written::Day((2031, 4, 4)));
        let either = Written::Either((2031, 4, 2), (2031, 2, 4));
        assert_eq!(read("04-02-2031"), either);
        assert_eq!(read("4/2/2031"), either);
        let doubt = either.doubt("4/2/2031").expect("doubtful");
        assert_eq!(doubt, "“4/2/2031” can be 2 April or 4 February 2031");
        assert_eq!(read(""), Written::Missing);
        for text in [
            "spring",
            "2031",
            "04-2031",
            "2.4.31",
            "1 2 3 4",
            "2 Foo 2031",
            "+2.4.2031",
            "²-4-2031",
        ] {
            assert_eq!(read(text), Written::Other, "{text}");
        }
    }

    #[test]
    fn what_is_in_no_calendar_is_no_day() {
        // Lengths of months and leap years: the Gregorian calendar (ISO 8601).
        for (text, why) in [
            ("31.02.2026", "February 2026 has 28 days"),
            ("2100-02-29", "February 2100 has 28 days"),
            ("31 April 2031", "April 2031 has 30 days"),
            ("2031-13-01", "there is no month 13"),
            ("0.1.2031", "January 2031 has 31 days"),
            ("31/31/2031", "there is no month 31"),
        ] {
            assert_eq!(read(text), Written::Impossible(why.to_owned()), "{text}");
        }
        for (text, day) in [
            ("29.02.2028", (2028, 2, 29)),
            ("2000-02-29", (2000, 2, 29)),
            ("1970-01-01", (1970, 1, 1)),
            ("2100-12-31", (2100, 12, 31)),
        ] {
            assert_eq!(read(text), Written::Day(day), "{text}");
        }
    }
}
