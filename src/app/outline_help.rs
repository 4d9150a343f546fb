//! Help while an outline is typed: what could come next, how far the next line is indented, rows of a spreadsheet as
//! lines.

use super::parts_list::{self, Draw, NewSensor};
use crate::{
    circuit::{Circuit, ConductorSize, colour::HUES, outline::from_outline},
    quantity::{Volts, units::as_square_millimetres},
};

/// Most proposals.
const MOST: usize = 8;
/// Blanks by which a line that hangs from the one above is indented further.
const STEP: usize = 2;

/// A proposal: what takes the place of the word being typed, and what it is.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Proposal {
    /// The word.
    pub word: String,
    /// What it is, in a few words.
    pub what: String,
}

/// Classes that a designation tells: its letters and what it is.
const CLASSES: [(&str, &str); 9] = [
    ("SP", "splice"),
    ("W", "wire"),
    ("X", "sensor plug"),
    ("C", "inline connector"),
    ("S", "sensor"),
    ("F", "fuse"),
    ("G", "ground"),
    ("B", "other rail"),
    ("M", "module"),
];

/// Letters of classes, and words with what they are.
type Noted = (
    &'static [&'static str],
    &'static [(&'static str, &'static str)],
);

/// What may be noted behind a part of a class, by the class's letters: word and what it is.
const NOTED: [Noted; 7] = [
    (
        &["W"],
        &[
            ("1.0m", "length"),
            ("0.5", "size in mm²"),
            ("awg20", "size as a gauge"),
        ],
    ),
    (
        &["S"],
        &[
            ("8mA", "what it draws"),
            ("5kΩ", "its resistance"),
            ("10%", "spread"),
            ("tap 0.5", "signal tap"),
            ("\"name\"", "what people call it"),
        ],
    ),
    (
        &["X", "C"],
        &[
            ("3min", "minutes to reach"),
            ("2pins", "pins"),
            ("sealed", "not to be back-probed"),
        ],
    ),
    (
        &["M"],
        &[
            ("5V", "nominal volts"),
            ("2%", "tolerance"),
            ("3Ω", "source"),
            ("latches", "latches off after an overload"),
            ("more", "may feed more than is drawn"),
        ],
    ),
    (&["SP"], &[("more", "may feed more than is drawn")]),
    (&["F"], &[("10A", "rated current")]),
    (&["B"], &[("12V", "volts")]),
];

/// The letters of a designation such as `SP12` or `C1.2f`; none for other words.
fn letters(word: &str) -> Option<&str> {
    let part = word.split('.').next().unwrap_or(word);
    let letters = part.trim_end_matches(|c: char| c.is_ascii_digit());
    let class = CLASSES
        .iter()
        .find(|(own, _)| own.eq_ignore_ascii_case(letters));
    class
        .filter(|_| letters.len() < part.len())
        .map(|(own, _)| *own)
}

/// The line up to a place in the text, given in bytes.
fn line_before(text: &str, cursor: usize) -> &str {
    let before = text.get(..cursor).unwrap_or(text);
    before.rsplit('\n').next().unwrap_or(before)
}

/// The word that is being typed at a place in the text; empty behind a blank.
pub fn word_at(text: &str, cursor: usize) -> &str {
    let line = line_before(text, cursor);
    let start = line.rfind(char::is_whitespace).map_or(0, |at| {
        at + line[at..].chars().next().map_or(1, char::len_utf8)
    });
    &line[start..]
}

/// A designation of this class that neither the circuit nor the text has, the `nth` of them from 0.
fn fresh(circuit: &Circuit, text: &str, class: &str, nth: usize) -> String {
    let known = |id: &str| {
        circuit.part(id).is_some()
            || text
                .split(|c: char| !(c.is_ascii_alphanumeric() || c == '_' || c == '-'))
                .any(|word| word == id)
    };
    let free = (1..).map(|number: u32| format!("{class}{number}"));
    // There are more numbers than words in a text.
    free.filter(|id| !known(id)).nth(nth).unwrap_or_default()
}

/// What could come next at a place in the text, likeliest first.
pub fn proposals(circuit: &Circuit, text: &str, cursor: usize) -> Vec<Proposal> {
    let typed = word_at(text, cursor);
    let line = line_before(text, cursor);
    let before = &line[..line.len() - typed.len()];
    let last = before.split_whitespace().rev().find_map(letters);
    let mut found: Vec<Proposal> = Vec::new();
    let mut put = |word: String, what: String| {
        let starts = word.to_lowercase().starts_with(&typed.to_lowercase());
        if starts && word != typed && !found.iter().any(|known| known.word == word) {
            found.push(Proposal { word, what });
        }
    };
    // After a part what is known of it; a colour only once its letters are begun.
    if let Some(last) = last {
        let noted = NOTED.iter().filter(|(classes, _)| classes.contains(&last));
        for (word, what) in noted.flat_map(|(_, words)| *words) {
            let given = before.split_whitespace().any(|known| {
                let unit = |word: &str| {
                    word.trim_start_matches(|c: char| c.is_ascii_digit() || c == '.')
                        .to_owned()
                };
                unit(known) == unit(word) && letters(known).is_none()
            });
            if !given {
                put((*word).to_owned(), (*what).to_owned());
            }
        }
        if last == "W" && !typed.is_empty() {
            let base = typed.get(..2).filter(|_| typed.len() > 2).unwrap_or("");
            for (hue, code) in HUES {
                let what = format!("{hue:?}").to_lowercase();
                put(format!("{}{code}", base.to_uppercase()), what);
            }
        }
    }
    let wanted: &[&str] = match last {
        None => &["W", "SP", "X"],
        Some("W") => &["X", "SP", "C", "F", "G"],
        Some("X") => &["S"],
        _ => &["W"],
    };
    let class = |class: &str| {
        CLASSES
            .iter()
            .find(|(own, _)| *own == class)
            .map_or("", |(_, what)| *what)
    };
    for letters in wanted {
        put(
            fresh(circuit, text, letters, 0),
            format!("new {}", class(letters)),
        );
    }
    if !typed.is_empty() {
        for (letters, what) in CLASSES {
            put(fresh(circuit, text, letters, 0), format!("new {what}"));
        }
        for part in circuit.parts() {
            put(
                part.id().to_owned(),
                format!("{} that is there", part.class()),
            );
        }
    }
    found.truncate(MOST);
    found
}

/// The blanks that a new line at a place in the text begins with: those of the line above, and more where something can
/// hang from the last part on it.
pub fn indent(text: &str, cursor: usize) -> String {
    let above = line_before(text, cursor.saturating_sub(1));
    let own = above.len() - above.trim_start_matches(' ').len();
    let last = above.split_whitespace().rev().find_map(letters);
    let more = match last {
        // A sensor, a ground point or a rail ends a branch, and so does a line that says nothing.
        None | Some("S" | "G" | "B") => 0,
        Some(_) => STEP,
    };
    " ".repeat(own + more)
}

/// Rows of a spreadsheet as lines of an outline, each a wire with a plug and its sensor, indented alike.
pub fn lines(circuit: &Circuit, text: &str, indent: &str, rows: &[NewSensor]) -> String {
    let mut lines = Vec::new();
    let (mut plugs, mut sensors) = (0, 0);
    for (nth, row) in rows.iter().enumerate() {
        let mut words = vec![fresh(circuit, text, "W", nth)];
        words.extend(row.length_m.map(|metres| format!("{metres}m")));
        words.extend(row.size.map(|size| match size {
            ConductorSize::SquareMillimetres(area) => format!("{}", as_square_millimetres(area)),
            ConductorSize::Awg(gauge) => format!("awg{gauge}"),
        }));
        words.extend(row.colour.map(|colour| colour.to_string()));
        words.push(row.plug.clone().unwrap_or_else(|| {
            plugs += 1;
            fresh(circuit, text, "X", plugs - 1)
        }));
        words.push(row.id.clone().unwrap_or_else(|| {
            sensors += 1;
            fresh(circuit, text, "S", sensors - 1)
        }));
        words.extend(row.draw.map(|draw| match draw {
            Draw::Current(ampere) => format!("{}mA", round(ampere * 1e3)),
            Draw::Resistance(ohm) => format!("{}Ω", round(ohm)),
        }));
        if !row.name.is_empty() {
            let name = row.name.replace('\\', "\\\\").replace('"', "\\\"");
            words.push(format!("\"{name}\""));
        }
        lines.push(format!("{indent}{}", words.join(" ")));
    }
    lines.join("\n")
}

/// What becomes of a text with tabs that is pasted into an outline.
#[derive(Clone, Debug, PartialEq)]
pub enum Pasted {
    /// It is a piece of an outline, indented with tabs, and stays as it is.
    Outline,
    /// Rows of a spreadsheet, each of which tells of a sensor.
    Rows(Vec<NewSensor>),
    /// Something else, or names alone: whether they are sensors is to be asked.
    Unclear,
}

/// Looks at a text that is to be pasted at a place in an outline.
pub fn pasted(outline: &str, at: usize, pasted: &str, nominal: Volts) -> Pasted {
    let (before, after) = outline.split_at_checked(at).unwrap_or((outline, ""));
    let wires = |text: &str| from_outline(text, nominal).map_or(0, |read| read.wires.len());
    // Rows without wires of their own can be read as sensors without any, and are meant otherwise.
    if wires(&format!("{before}{pasted}{after}")) > wires(outline) {
        return Pasted::Outline;
    }
    match parts_list::parse(pasted) {
        Ok(rows) if rows.iter().all(NewSensor::is_told) => Pasted::Rows(rows),
        _ => Pasted::Unclear,
    }
}

/// Without the dust of a conversion.
fn round(number: f64) -> f64 {
    (number * 1e6).round() / 1e6
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{
        app::parts_list::parse,
        circuit::{outline::from_outline, quick_feed},
        quantity::units::volts,
    };

    fn words(text: &str) -> Vec<String> {
        let circuit = quick_feed(volts(5.0), 2, true, false);
        let proposals = proposals(&circuit, text, text.len());
        proposals
            .into_iter()
            .map(|proposal| proposal.word)
            .collect()
    }

    #[test]
    fn a_wire_is_followed_by_what_is_known_of_it_and_then_by_a_part() {
        assert_eq!(words("M1 5V\n  W77 ")[..3], ["1.0m", "0.5", "awg20"]);
        assert!(words("M1 5V\n  W77 1.2m 0.35 ").contains(&"X3".to_owned()));
        assert!(!words("M1 5V\n  W77 1.2m ").contains(&"1.0m".to_owned()));
        assert!(words("M1 5V\n  W77 1.2m b").contains(&"BN".to_owned()));
        assert!(words("M1 5V\n  W77 1.2m BNw").contains(&"BNWH".to_owned()));
        assert!(words("M1 5V\n  W77 X9 ").contains(&"S3".to_owned()));
        assert!(
            words("M1 5V\n  C").iter().any(|word| word == "C1"),
            "to lead a second wire there"
        );
    }

    #[test]
    fn new_designations_are_new_to_the_text_too() {
        assert!(words("M1 5V\n  W77 X3 S3\n  W78 ").contains(&"X4".to_owned()));
    }

    #[test]
    fn a_new_line_hangs_from_what_can_carry_it() {
        for (text, expected) in [
            ("M1 5V\n", 2),
            ("M1\n  W1 1.2m SP1\n", 4),
            ("M1\n  W1 1.2m X1 S1 8mA \"oil\"\n", 2),
            ("M1\n    \n", 4),
            ("", 0),
        ] {
            assert_eq!(indent(text, text.len()).len(), expected, "{text:?}");
        }
    }

    #[test]
    fn a_list_becomes_lines_that_an_outline_reads() {
        let circuit = quick_feed(volts(5.0), 1, false, false);
        let rows =
            parse("Oil \"hot\" pressure\t0.7 m\t8 mA\tBNWH\nS9\tX9\tLevel\t1,2 m\t5 kΩ\t0,35 mm2")
                .unwrap();
        let text = format!("M1 5V\n{}", lines(&circuit, "M1 5V", "  ", &rows));
        let read = from_outline(&text, volts(5.0)).unwrap();
        assert_eq!(read.loads.len(), 2);
        assert_eq!(read.loads[1].id, "S9");
        assert!(read.loads[0].name.contains("hot"));
        assert_eq!(read.wires.len(), 2);
    }

    #[test]
    fn a_pasted_text_with_tabs_is_taken_for_what_it_is() {
        let outline = "M1 5V\n  W1 1.2m SP1\n    ";
        let becomes = |text: &str| pasted(outline, outline.len(), text, volts(5.0));
        let rows = becomes("Oil pressure\t0.7 m\t8 mA\nS9\tX9\tLevel");
        assert!(matches!(rows, Pasted::Rows(rows) if rows.len() == 2));
        for unclear in [
            "left\tright\nup\tdown\n",
            "Oil pressure\t0.7 m\nyours\tfaithfully",
            "0.7 m\t1.2 m",
        ] {
            assert_eq!(becomes(unclear), Pasted::Unclear, "{unclear}");
        }
        assert_eq!(
            becomes("W2 0.7m X2 S2\n\tW3"),
            Pasted::Unclear,
            "W3 ends nowhere"
        );
        assert_eq!(becomes("W2 0.7m X2 S2"), Pasted::Outline);
        assert_eq!(
            pasted("", 0, "M1 5V\n\tW1 1.2m SP1\n\t\tW2 X1 S1", volts(5.0)),
            Pasted::Outline
        );
    }

    #[test]
    fn any_place_in_any_text_is_answered() {
        let text = "Ω W1\u{2003}µ\n\t\"x";
        for cursor in 0..text.len() + 3 {
            let circuit = quick_feed(volts(5.0), 1, false, false);
            let _ = (proposals(&circuit, text, cursor), indent(text, cursor));
            assert!(text.ends_with(word_at(text, cursor)) || cursor < text.len());
        }
    }
}
