//! Practice in a terminal: one command a line, so that a script can do it as well.

use std::{
    io::{self, BufRead, Write},
    path::{Path, PathBuf},
};

use super::words;
use crate::{
    circuit::{Circuit, Point, outline},
    explain::names::accusation,
    fault::Site,
    notebook::{
        FileError, read_job,
        training::{read_exercise, read_trainee, write_trainee},
    },
    practice::{
        Debrief, Done, Drill, Exercise, Level, Move, Outcome, Session, belief::Proposal,
        debrief::Looked, session::HINT, trainee::Way,
    },
    quantity::format::as_read,
    reading::{Entry, Kind, Meter, Value},
};

/// What is to be practised.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Practice {
    /// The drill.
    pub drill: Option<Drill>,
    /// 1 to 3.
    pub level: Option<usize>,
    /// The seed; one from the clock when left out.
    pub seed: Option<u64>,
    /// A job whose circuit is drilled.
    pub circuit: Option<PathBuf>,
    /// A trainer's exercise.
    pub exercise: Option<PathBuf>,
    /// The trainee's record.
    pub trainee: Option<PathBuf>,
}

const COMMANDS: &str = "\
Commands:
  volts POINT [to POINT]   read volts, against battery negative unless another point is named
  ohms POINT [to POINT]    read ohms; the supply is switched off for it
  amps POINT               read the current out of a module's feed or through a connector's pin
  unplug C1    plug C1     part a connector, mate it again
  load POINT               clip a known load on to battery negative, or take it off
  key                      cycle the key and wait
  hint                     ask what to do next; costs minutes
  open W3 [at 0.4]         open a place up and repair what is there; a wire at metres from its beginning
  open C1.1                the same at a pin of a connector
  log    sketch    clock   what was read, the circuit, the minutes
  done                     hand the vehicle over
";

/// Plays a session over a reader and a writer; gives whether all faults were found.
///
/// # Errors
/// What cannot be read or done, in words, or output that cannot be written.
pub fn practise(
    practice: &Practice,
    clock_seed: u64,
    input: &mut dyn BufRead,
    out: &mut dyn Write,
) -> Result<bool, Trouble> {
    let Some((exercise, drill)) = chosen(practice, clock_seed)? else {
        list(out)?;
        return Ok(true);
    };
    let mut session = Session::start(exercise).map_err(|error| Trouble::Told(error.to_string()))?;
    begin(&session, drill, out)?;
    let mut line = String::new();
    while !session.is_over() {
        line.clear();
        if input.read_line(&mut line)? == 0 {
            break;
        }
        let typed = line.trim();
        if typed.is_empty() || typed.starts_with('#') {
            continue;
        }
        match command(typed) {
            Ok(Command::Move(moved)) => answer(&mut session, moved, out)?,
            // Both are one move; what is so already is said instead of being undone.
            Ok(Command::Plug { id, part }) if session.now().unplugged.contains(&id) == part => {
                writeln!(
                    out,
                    "{id} is {}plugged already",
                    if part { "un" } else { "" }
                )?;
            }
            Ok(Command::Plug { id, .. }) => answer(&mut session, Move::Plug(id), out)?,
            Ok(Command::Log) => log(&session, out)?,
            Ok(Command::Sketch) => {
                write!(out, "{}", outline::outline(&session.exercise().circuit))?
            }
            Ok(Command::Clock) => writeln!(out, "{:.0} min", session.minutes())?,
            Ok(Command::Help) => write!(out, "{COMMANDS}")?,
            Err(what) => writeln!(out, "{what}")?,
        }
        out.flush()?;
    }
    let debrief = Debrief::of(&session).map_err(|error| Trouble::Told(error.to_string()))?;
    look_back(&session, &debrief, out)?;
    if let Some(path) = &practice.trainee {
        let done = Done::of(
            &debrief,
            &session.exercise().title,
            drill,
            session.exercise().seed,
        );
        keep(path, done, out)?;
    }
    Ok(debrief.found)
}

/// Why practice broke off.
#[derive(Debug)]
pub enum Trouble {
    /// Something is wrong with what was asked for.
    Told(String),
    /// The output could not be written, or the input not read.
    Io(io::Error),
}

impl From<io::Error> for Trouble {
    fn from(error: io::Error) -> Self {
        Self::Io(error)
    }
}

impl From<FileError> for Trouble {
    fn from(error: FileError) -> Self {
        Self::Told(error.to_string())
    }
}

type Chosen = (Exercise, Option<(Drill, Level)>);

fn chosen(practice: &Practice, clock_seed: u64) -> Result<Option<Chosen>, Trouble> {
    if let Some(path) = &practice.exercise {
        return Ok(Some((read_exercise(path)?, None)));
    }
    let drill = match (practice.drill, &practice.circuit) {
        (Some(drill), _) => drill,
        (None, Some(_)) => Drill::UnequalOdds,
        (None, None) => return Ok(None),
    };
    let level = Level::of(practice.level.unwrap_or(1)).unwrap_or(Level::First);
    let seed = practice.seed.unwrap_or(clock_seed);
    let exercise = match &practice.circuit {
        None => drill.exercise(level, seed),
        Some(path) => {
            let (circuit, meter): (Circuit, Meter) = {
                let job = read_job(path)?.job;
                (job.circuit, job.meter)
            };
            (drill.exercise_on(&circuit, &meter, level, seed))
                .map_err(|error| Trouble::Told(error.to_string()))?
        }
    };
    Ok(Some((exercise, Some((drill, level)))))
}

fn list(out: &mut dyn Write) -> io::Result<()> {
    writeln!(
        out,
        "Drills, in the order in which they are best learned:\n"
    )?;
    for drill in Drill::ALL {
        writeln!(out, "  {:<16} {}", drill.key(), drill.name())?;
    }
    writeln!(
        out,
        "\nStart one with: pinchpoint practice --drill split-half --level 1 --seed 7"
    )
}

fn begin(session: &Session, drill: Option<(Drill, Level)>, out: &mut dyn Write) -> io::Result<()> {
    let exercise = session.exercise();
    writeln!(out, "{}", exercise.title)?;
    if let Some((drill, level)) = drill {
        writeln!(out, "Level {}, {}.\n", level.number(), level.name())?;
        writeln!(out, "{}\n", wrapped(drill.lesson()))?;
        writeln!(
            out,
            "{}\n",
            wrapped(&format!("For example: {}", drill.example()))
        )?;
    }
    if !exercise.story.is_empty() {
        writeln!(out, "{}\n", wrapped(&exercise.story))?;
    }
    write!(out, "{}", outline::outline(&exercise.circuit))?;
    if !session.log().is_empty() {
        writeln!(out)?;
        log(session, out)?;
    }
    writeln!(out, "\n{COMMANDS}")?;
    out.flush()
}

/// Lines of at most 100 characters.
fn wrapped(text: &str) -> String {
    let mut lines: Vec<String> = vec![String::new()];
    for word in text.split_whitespace() {
        // There is always a last line.
        let last = lines.len() - 1;
        if !lines[last].is_empty() && lines[last].chars().count() + word.chars().count() >= 100 {
            lines.push(word.to_owned());
        } else {
            if !lines[last].is_empty() {
                lines[last].push(' ');
            }
            lines[last].push_str(word);
        }
    }
    lines.join("\n")
}

enum Command {
    Move(Move),
    Plug { id: String, part: bool },
    Log,
    Sketch,
    Clock,
    Help,
}

fn command(typed: &str) -> Result<Command, String> {
    let words: Vec<&str> = typed.split_whitespace().collect();
    let point = |text: &str| text.parse::<Point>().map_err(|error| error.to_string());
    let read = |kind, rest: &[&str]| match rest {
        [red] => Ok((kind, point(red)?, Point::battery_negative())),
        [red, "to", black] => Ok((kind, point(red)?, point(black)?)),
        _ => Err("say where, such as “volts C1.1f” or “volts C1.1f to M1.return”".to_owned()),
    };
    let reading = |read: Result<(Kind, Point, Point), String>| {
        read.map(|(kind, red, black)| Command::Move(Move::Read { kind, red, black }))
    };
    match words.as_slice() {
        ["volts" | "v" | "read", rest @ ..] => reading(read(Kind::Volts, rest)),
        ["ohms", rest @ ..] => reading(read(Kind::Ohms, rest)),
        ["amps", rest @ ..] => reading(read(Kind::Amperes, rest)),
        [verb @ ("unplug" | "plug"), id] => Ok(Command::Plug {
            id: (*id).to_owned(),
            part: *verb == "unplug",
        }),
        ["load", at] => Ok(Command::Move(Move::Load(point(at)?))),
        ["key"] => Ok(Command::Move(Move::Key)),
        ["hint"] => Ok(Command::Move(Move::Hint)),
        ["open", what] => Ok(Command::Move(Move::Open {
            site: site(what)?,
            metres: None,
        })),
        ["open", what, "at", metres] => Ok(Command::Move(Move::Open {
            site: site(what)?,
            metres: Some(
                (metres.replace(',', ".").parse())
                    .ok()
                    .filter(|m: &f64| m.is_finite())
                    .ok_or_else(|| {
                        format!("“{metres}” is no number of metres; type one such as 0.4")
                    })?,
            ),
        })),
        ["done"] => Ok(Command::Move(Move::HandOver)),
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

/// `W3`, or `C1.2` for a pin.
fn site(typed: &str) -> Result<Site, String> {
    match typed.split_once('.') {
        None => Ok(Site::part(typed)),
        Some((part, pin)) => match pin.trim_end_matches(['n', 'f']).parse() {
            Ok(pin) if pin > 0 => Ok(Site::pin(part, pin)),
            _ => Err(format!(
                "“{typed}” is no place; type a part such as W3 or a pin such as C1.1"
            )),
        },
    }
}

fn answer(session: &mut Session, moved: Move, out: &mut dyn Write) -> io::Result<()> {
    let kind = match &moved {
        Move::Read { kind, .. } => *kind,
        _ => Kind::Volts,
    };
    let before = session.minutes();
    let outcome = match session.make(moved) {
        Ok(outcome) => outcome.clone(),
        Err(error) => return writeln!(out, "{error}"),
    };
    let spent = session.minutes() - before;
    let off = &session.now().unplugged;
    match outcome {
        Outcome::Done if off.is_empty() => writeln!(out, "done; everything is plugged"),
        Outcome::Done => {
            let list: Vec<&str> = off.iter().map(String::as_str).collect();
            writeln!(out, "done; unplugged now: {}", list.join(" "))
        }
        Outcome::Read(value) => writeln!(out, "{}", shown(value, kind)),
        Outcome::Hint(proposal) => writeln!(out, "{}", hint(&proposal)),
        Outcome::OpenUp(site) => writeln!(out, "no test tells much more: open up {site}"),
        Outcome::Repaired => writeln!(out, "there it is; repaired. Prove it, then type “done”"),
        Outcome::NothingThere => writeln!(out, "nothing wrong there"),
        Outcome::HandedOver {
            left: 0,
            proven: true,
        } => writeln!(out, "handed over, and proven"),
        Outcome::HandedOver { left: 0, .. } => writeln!(
            out,
            "handed over; nothing is left in it, but no reading with everything plugged shows that"
        ),
        Outcome::HandedOver { left, .. } => writeln!(out, "handed over with {left} left in it"),
    }?;
    writeln!(
        out,
        "  +{spent:.1} min, {:.0} min in all",
        session.minutes()
    )
}

fn shown(value: Value, kind: Kind) -> String {
    let unit = kind.unit();
    match value {
        Value::Exactly(value) => as_read(value, unit),
        Value::OverRange { .. } => "OL".to_owned(),
        Value::Between(low, high) => format!("{} to {}", as_read(low, unit), as_read(high, unit)),
        Value::Seen(seen) => seen.word().to_owned(),
    }
}

fn hint(proposal: &Proposal) -> String {
    let off: Vec<&str> = proposal
        .state
        .unplugged
        .iter()
        .map(String::as_str)
        .collect();
    let state = if off.is_empty() {
        "everything plugged".to_owned()
    } else {
        format!("{} unplugged", off.join(" "))
    };
    format!(
        "read volts at {} with {state}: about {:.1} bits for {:.0} min",
        proposal.red, proposal.bits, proposal.minutes
    )
}

fn log(session: &Session, out: &mut dyn Write) -> io::Result<()> {
    for (index, entry) in session.log().iter().enumerate() {
        match entry {
            Entry::Reading(reading) => writeln!(
                out,
                "  {:>2}  {:<20} {:<10} {}",
                index + 1,
                words::leads(reading),
                words::value(reading),
                words::state(&reading.state)
            )?,
            Entry::Repair(repair) => writeln!(out, "  {:>2}  {} repaired", index + 1, repair.part)?,
        }
    }
    Ok(())
}

fn look_back(session: &Session, debrief: &Debrief, out: &mut dyn Write) -> io::Result<()> {
    writeln!(out, "\nLooking back")?;
    for fault in &session.exercise().hidden {
        let place = session
            .exercise()
            .circuit
            .wires
            .iter()
            .find(|w| w.id == fault.site.part);
        let at = place.map_or_else(String::new, |wire| {
            format!(
                ", {:.2} m from {}",
                fault.at * wire.length_or_assumed(),
                wire.from
            )
        });
        writeln!(
            out,
            "  It was: {}{at}.",
            accusation(&fault.site, fault.kind)
        )?;
    }
    writeln!(
        out,
        "\n  step                                    left      bits     likeliest"
    )?;
    for looked in &debrief.looked {
        step(session, looked, out)?;
    }
    writeln!(
        out,
        "\n  {} readings, {} hints ({HINT:.0} min each), {} places opened in vain, {:.0} minutes.",
        debrief.tests, debrief.hints, debrief.in_vain, debrief.minutes
    )?;
    for (way, played) in &debrief.others {
        let end = if played.found { "" } else { ", and not found" };
        writeln!(
            out,
            "  The same vehicle by {}: {} readings, {:.0} minutes{end}.",
            match way {
                Way::Random => "any test that comes to mind",
                _ => way.name(),
            },
            played.tests,
            played.minutes
        )?;
    }
    writeln!(
        out,
        "  Halving as many places takes {:.1} tests on average, {} at worst.",
        debrief.bound.expected, debrief.bound.worst
    )?;
    writeln!(out, "  Score: {} of 100.", debrief.score)
}

fn step(session: &Session, looked: &Looked, out: &mut dyn Write) -> io::Result<()> {
    let Some(step) = session.steps().get(looked.step) else {
        return Ok(());
    };
    let what = match &step.done {
        Move::Read { red, .. } => {
            let off: Vec<&str> = step.before.unplugged.iter().map(String::as_str).collect();
            if off.is_empty() {
                format!("{red}")
            } else {
                format!("{red} without {}", off.join(" "))
            }
        }
        Move::Open { site, .. } => format!("open {site}"),
        Move::Hint => "hint".to_owned(),
        Move::HandOver => return Ok(()),
        Move::Plug(_) | Move::Key | Move::Load(_) => String::new(),
    };
    writeln!(
        out,
        "  {:<38} {:>3} to {:<3} {:>4.1} to {:<4.1} {}",
        what.chars().take(38).collect::<String>(),
        looked.before.left,
        looked.after.left,
        looked.before.bits,
        looked.after.bits,
        looked.after.place
    )?;
    if let Some(flaw) = looked.flaw {
        writeln!(out, "      {}: {}", flaw.name(), flaw.reason())?;
        if let Some(best) = &looked.best {
            writeln!(out, "      better: {}", hint(best))?;
        }
    }
    Ok(())
}

fn keep(path: &Path, done: Done, out: &mut dyn Write) -> Result<(), Trouble> {
    let mut record = read_trainee(path)?;
    record.done.push(done);
    write_trainee(path, &record)?;
    for skill in record.skills() {
        writeln!(
            out,
            "  {:<36} {} times, {:.0} of 100 lately; next: level {}",
            skill.drill.name(),
            skill.times,
            skill.score,
            skill.next.number()
        )?;
    }
    Ok(())
}
