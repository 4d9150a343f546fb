//! What can be typed during practice.

use crate::{
    circuit::{
        Circuit, Point,
        typed::{find, instead},
    },
    fault::Site,
    practice::Move,
    quantity::{Unit, typed_number},
    reading::{Kind, Lamp},
};

pub const COMMANDS: &str = "\
Commands:
  volts POINT [to POINT]   read volts, against battery negative unless another point is named
  ohms POINT [to POINT]    read ohms; the supply is switched off for it
  amps POINT               read the current out of a module's feed or through a connector's pin
  clamp POINT              the same by a clamp, quicker and coarser
  led POINT [to POINT]     clip an LED with its resistor on, and see how it glows
  lamp POINT [to POINT]    the same with a test lamp, which never goes on a real reference or data line
  scan S1                  ask on the scan whether what is fed answers
  unplug C1    plug C1     part a connector, mate it again
  load POINT               clip a known load on to battery negative, or take it off
  key                      cycle the key and wait
  hint                     ask what to do next; costs minutes
  open W3 [at 0.4]         open a place up and repair what is there; a wire at metres from its beginning
  open C1.1                the same at a pin of a connector
  log    sketch    clock   what was read, the circuit, the minutes
  done                     hand the vehicle over
  give up                  see what it was; counts 0
  quit                     leave; nothing is recorded
";

/// A line as typed.
#[derive(Clone, Debug, PartialEq)]
pub enum Command {
    /// Something that is done.
    Move(Move),
    /// Part a connector, or mate it.
    Plug {
        /// The connector.
        id: String,
        /// Part it.
        part: bool,
    },
    /// Show what was read.
    Log,
    /// Show the circuit.
    Sketch,
    /// Show the minutes.
    Clock,
    /// Show the commands.
    Help,
    /// Leave.
    Quit,
}

/// Reads a line; points are named as on the bench.
///
/// # Errors
/// What cannot be understood, with what to type instead.
pub fn command(circuit: &Circuit, typed: &str) -> Result<Command, String> {
    let words: Vec<&str> = typed.split_whitespace().collect();
    let site = |text: &str| text.parse::<Site>().map_err(|error| error.to_string());
    // A point may be named in several words, as on the bench: “c1 2”, “battery negative”.
    let point = |words: &[&str]| {
        let text = words.join(" ");
        find(circuit, &text).ok_or_else(|| {
            let shown: String = text.chars().take(60).collect();
            format!("there is no point “{shown}”; {}", instead(circuit, &text))
        })
    };
    let read = |kind, rest: &[&str]| {
        let mut leads = rest.split(|word| *word == "to");
        match (leads.next(), leads.next(), leads.next()) {
            (Some(red), None, _) if !red.is_empty() => {
                Ok((kind, point(red)?, Point::battery_negative()))
            }
            (Some(red), Some(black), None) if !red.is_empty() && !black.is_empty() => {
                Ok((kind, point(red)?, point(black)?))
            }
            _ => Err("say where, such as “volts C1.1f” or “volts C1.1f to M1.return”".to_owned()),
        }
    };
    let reading = |read: Result<(Kind, Point, Point), String>| {
        read.map(|(kind, red, black)| Command::Move(Move::Read { kind, red, black }))
    };
    match words.as_slice() {
        ["volts" | "v" | "read", rest @ ..] => reading(read(Kind::Volts, rest)),
        ["ohms", rest @ ..] => reading(read(Kind::Ohms, rest)),
        ["amps", rest @ ..] => reading(read(Kind::Amperes, rest)),
        ["clamp", rest @ ..] => reading(read(Kind::Clamp, rest)),
        ["led", rest @ ..] => reading(read(Kind::Lamp(Lamp::Led), rest)),
        ["lamp", rest @ ..] => reading(read(Kind::Lamp(Lamp::Filament), rest)),
        ["scan", rest @ ..] => reading(read(Kind::Scan, rest)),
        [verb @ ("unplug" | "plug"), id] => Ok(Command::Plug {
            id: named(circuit, id),
            part: *verb == "unplug",
        }),
        ["load", at @ ..] if !at.is_empty() => Ok(Command::Move(Move::Load(point(at)?))),
        ["key"] => Ok(Command::Move(Move::Key)),
        ["hint"] => Ok(Command::Move(Move::Hint)),
        ["open", what] => Ok(Command::Move(Move::Open {
            site: site(what)?,
            metres: None,
            reach: None,
        })),
        ["open", what, "at", metres] => Ok(Command::Move(Move::Open {
            site: site(what)?,
            metres: Some(typed_number(metres, Unit::Metres).map_err(|error| error.to_string())?),
            reach: None,
        })),
        ["done"] => Ok(Command::Move(Move::HandOver)),
        ["give", "up"] | ["giveup"] => Ok(Command::Move(Move::GiveUp)),
        ["quit" | "exit" | "q"] => Ok(Command::Quit),
        ["log"] => Ok(Command::Log),
        ["sketch"] => Ok(Command::Sketch),
        ["clock"] => Ok(Command::Clock),
        ["help" | "?"] => Ok(Command::Help),
        _ => Err(format!(
            "“{}” is no command; “help” lists them",
            typed.chars().take(60).collect::<String>()
        )),
    }
}

/// The connector that is meant, in either case; what was typed where there is none.
fn named(circuit: &Circuit, id: &str) -> String {
    let mut ids = circuit.connectors.iter().map(|connector| &connector.id);
    let meant = ids.find(|known| known.eq_ignore_ascii_case(id));
    meant.map_or(id, |known| known.as_str()).to_owned()
}
