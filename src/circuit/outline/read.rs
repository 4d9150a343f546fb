//! From an outline to a circuit: lines, the parts on them, and where each is joined.

use std::collections::{HashMap, HashSet};

use super::{
    OutlineError,
    words::{AT, Class, NEGATIVE, Token, tokens},
};
use crate::{
    circuit::{
        Circuit, LoadModel, Point, Terminal,
        point::{BATTERY_NEGATIVE, DESIGNATION_LIMIT, is_designation},
        stock,
    },
    quantity::{Volts, units::volts},
};

/// Columns that a tab takes.
const TAB: usize = 4;
/// Volts of a rail of which nothing is said: the battery's.
const RAIL_VOLTS: f64 = 12.0;

/// Reads a text. Wires without a designation take that of an old wire with the same ends, or one that nothing has.
pub(super) fn read(text: &str, nominal: Volts, old: &Circuit) -> Result<Circuit, OutlineError> {
    let mut reader = Reader {
        circuit: Circuit::default(),
        nominal,
        line: 0,
        parts: HashMap::new(),
        placed: HashSet::new(),
        knees: HashSet::new(),
        open: HashMap::new(),
    };
    // Lines that this one could hang from: the indent of each and where it ended.
    let mut above: Vec<(usize, Tail)> = Vec::new();
    for (number, line) in (1..).zip(text.lines()) {
        if line.trim().is_empty() {
            continue;
        }
        reader.line = number;
        let blanks = line.chars().take_while(|c| c.is_whitespace());
        let indent: usize = blanks.map(|c| if c == '\t' { TAB } else { 1 }).sum();
        let deeper = above
            .iter()
            .rev()
            .take_while(|(other, _)| *other > indent)
            .count();
        above.truncate(above.len() - deeper);
        if above.last().is_some_and(|(other, _)| *other == indent) {
            above.pop();
        } else if deeper > 0 {
            return reader.fail(
                "it is indented between two levels",
                "indent it like a line above it",
            );
        }
        let start = above.last_mut().map_or(Tail::Root, |(_, tail)| tail.take());
        let end = reader.read_line(line, start)?;
        above.push((indent, end));
    }
    reader.finish(old)
}

/// Where a line has come to.
#[derive(Clone, Debug)]
pub(super) enum Tail {
    /// Nowhere: the line has no indent and nothing on it yet.
    Root,
    /// A point.
    Point(Point),
    /// The open end of a wire.
    Wire(usize),
    /// The end of a wire that leads somewhere by now.
    Taken(usize),
}

impl Tail {
    /// For a line that hangs here: a wire has one end only.
    fn take(&mut self) -> Self {
        let taken = match &*self {
            Self::Wire(wire) => Self::Taken(*wire),
            other => other.clone(),
        };
        std::mem::replace(self, taken)
    }
}

pub(super) struct Reader {
    pub(super) circuit: Circuit,
    nominal: Volts,
    pub(super) line: usize,
    /// Class of every designation and its index in its list.
    parts: HashMap<String, (Class, usize)>,
    /// Ends of sensors (and grounds, as their only end) that have a place.
    pub(super) placed: HashSet<Point>,
    /// Sensors whose knee was given.
    pub(super) knees: HashSet<usize>,
    /// Wires that lead nowhere yet, with their lines.
    pub(super) open: HashMap<usize, usize>,
}

impl Reader {
    pub(super) fn fail<T>(
        &self,
        what: impl Into<String>,
        remedy: impl Into<String>,
    ) -> Result<T, OutlineError> {
        Err(OutlineError {
            line: self.line,
            what: what.into(),
            remedy: remedy.into(),
        })
    }

    fn read_line(&mut self, line: &str, start: Tail) -> Result<Tail, OutlineError> {
        let Some(tokens) = tokens(line) else {
            return self.fail("a name in quotes has no end", "put a quote behind the name");
        };
        let mut tokens = tokens.into_iter().peekable();
        let mut tail = start;
        while let Some(token) = tokens.next() {
            let mut word = match token {
                Token::Word(word) => word,
                Token::Name(name) => {
                    return self.fail(
                        format!("the name “{}” stands before any part", shown(&name)),
                        "put it behind the designation",
                    );
                }
            };
            if word == NEGATIVE {
                let negative = Point::battery_negative();
                self.arrive(tail, &negative)?;
                tail = Tail::Point(negative);
                continue;
            }
            let mut next_word = |before: &str| match tokens.next() {
                Some(Token::Word(word)) => Ok(word),
                _ => self.fail(
                    format!("nothing follows “{before}”"),
                    format!("write a designation behind it, e.g. {before} S1"),
                ),
            };
            let direct = word == AT;
            if direct {
                word = next_word(AT)?;
            }
            let named_class = Class::by_word(&word);
            if let Some(class) = named_class {
                word = next_word(class.word())?;
            }
            let (id, terminal) = match word.split_once('.') {
                Some((id, terminal)) => (id, Some(terminal)),
                None => (word.as_str(), None),
            };
            let known = self.parts.get(id).map(|(class, _)| *class);
            let Some(class) = named_class.or(known).or_else(|| Class::by_designation(id)) else {
                return self.unknown_word(&word);
            };
            let index = self.part(class, id)?;
            tail = self.place(class, index, id, terminal, direct, tail)?;
            while let Some(token) = tokens.next_if(|token| Self::is_property(class, token)) {
                let argument = match &token {
                    Token::Word(word) if Self::takes_argument(word) => tokens.next(),
                    _ => None,
                };
                self.property(class, index, &token, argument.as_ref())?;
            }
        }
        Ok(tail)
    }

    fn unknown_word<T>(&self, word: &str) -> Result<T, OutlineError> {
        let word = shown(word);
        if word.starts_with(|c: char| c.is_ascii_digit()) {
            self.fail(
                format!("“{word}” stands before any part that it could tell of"),
                "put numbers behind the designation, e.g. W1 1.2m 0.5",
            )
        } else {
            self.fail(
                format!("“{word}” does not tell what it is"),
                format!("put its class in front, e.g. sensor {word} or connector {word}"),
            )
        }
    }

    /// Finds a part or makes it; returns its index in its list. A wire is made where it is placed.
    fn part(&mut self, class: Class, id: &str) -> Result<usize, OutlineError> {
        match self.parts.get(id) {
            Some((_, _)) if class == Class::Wire => {
                return self.fail(
                    format!("{id} was named above"),
                    "write every wire once; lead it to a part that was named above by naming that part again",
                );
            }
            Some((other, _)) if *other != class => {
                return self.fail(
                    format!(
                        "{id} is a {} above and a {} here",
                        other.word(),
                        class.word()
                    ),
                    "give one of the two another designation",
                );
            }
            Some((_, index)) => return Ok(*index),
            None => {}
        }
        if !is_designation(id) || id == BATTERY_NEGATIVE {
            return self.fail(
                format!("“{}” cannot be the designation of a {}", shown(id), class.word()),
                format!(
                    "use a letter, then letters, digits, - and _, at most {DESIGNATION_LIMIT} in all; the battery negative is written negative"
                ),
            );
        }
        let circuit = &mut self.circuit;
        let index = match class {
            Class::Module => push(&mut circuit.supplies, stock::supply(id, self.nominal)),
            Class::Wire => circuit.wires.len(),
            Class::Connector if id.starts_with(['X', 'x']) => {
                push(&mut circuit.connectors, stock::plug(id, 1))
            }
            Class::Connector => push(&mut circuit.connectors, stock::connector(id, 1)),
            Class::Splice => push(&mut circuit.splices, stock::splice(id)),
            Class::Ground => push(
                &mut circuit.grounds,
                stock::ground(id, Point::new(id, Terminal::Only)),
            ),
            Class::Fuse => push(&mut circuit.fuses, stock::fuse(id)),
            Class::Sensor => {
                let feed = Point::new(id, Terminal::Feed(1));
                let sensor = stock::sensor(id, feed, Point::battery_negative(), self.nominal);
                push(&mut circuit.loads, sensor)
            }
            Class::Rail => push(&mut circuit.rails, stock::rail(id, volts(RAIL_VOLTS))),
        };
        self.parts.insert(id.to_owned(), (class, index));
        Ok(index)
    }

    fn finish(mut self, old: &Circuit) -> Result<Circuit, OutlineError> {
        if let Some((wire, line)) = self.open.iter().min_by_key(|(_, line)| **line) {
            self.line = *line;
            let id = &self.circuit.wires[*wire].id;
            return self.fail(
                format!("{id} leads nowhere"),
                "write the part at its end behind it, e.g. a splice SP1",
            );
        }
        let knee = stock::knee(self.circuit.nominal_or_5());
        for (index, load) in self.circuit.loads.iter_mut().enumerate() {
            if let LoadModel::Electronic { knee: value, .. } = &mut load.model
                && !self.knees.contains(&index)
            {
                *value = knee;
            }
        }
        let mut taken: HashSet<String> = self.parts.into_keys().collect();
        let mut fresh = (1..).map(|number| format!("W{number}"));
        for wire in self
            .circuit
            .wires
            .iter_mut()
            .filter(|wire| wire.id.is_empty())
        {
            let same = old
                .wires
                .iter()
                .find(|before| before.joins(&wire.from, &wire.to) && !taken.contains(&before.id));
            let id = match same {
                Some(before) => Some(before.id.clone()),
                None => fresh.find(|id| !taken.contains(id) && old.part(id).is_none()),
            };
            // Numbers do not run out before memory does.
            wire.id = id.unwrap_or_default();
            taken.insert(wire.id.clone());
        }
        Ok(self.circuit)
    }
}

pub(super) fn push<T>(list: &mut Vec<T>, part: T) -> usize {
    list.push(part);
    list.len() - 1
}

/// The beginning of a text, short enough for a message.
pub(super) fn shown(text: &str) -> String {
    text.chars().take(40).collect()
}
