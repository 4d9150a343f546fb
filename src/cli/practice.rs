//! Practice in a terminal: one command a line, so that a script can do it as well.

use std::{
    io::{self, BufRead, Read, Write},
    path::{Path, PathBuf},
};

use super::{
    practice_back::{look_back, wrapped},
    practice_words::{COMMANDS, Command, command},
    words,
};
use crate::{
    circuit::{Circuit, outline},
    explain::{NOTHING, looked_at, names},
    notebook::{
        FileError, read_job,
        training::{can_keep, read_exercise, read_trainee, write_trainee},
        trouble::visible,
    },
    practice::{
        Debrief, Done, Drill, Exercise, Level, Move, Outcome, Session, care, exercise::anonymous,
    },
    quantity::format::clock,
    reading::{Entry, Kind, Meter},
};

/// Longest line that is read at once, bytes.
const LINE: u64 = 4096;

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
    // Names, stories and what was typed may hold signs that steer a terminal.
    let out: &mut dyn Write = &mut Visible(out);
    let Some((exercise, drill)) = chosen(practice, clock_seed)? else {
        list(out)?;
        return Ok(true);
    };
    // A record that cannot be kept is told now and not when all is done.
    if let Some(path) = &practice.trainee {
        can_keep(path)?;
    }
    let mut session = Session::start(exercise).map_err(|error| Trouble::Told(error.to_string()))?;
    begin(&session, drill, out)?;
    let mut line = Vec::new();
    let mut said = Vec::new();
    while !session.is_over() {
        line.clear();
        // What is no UTF-8 is a slip of the keyboard like any other: the line is refused and the session goes on.
        if Read::take(&mut *input, LINE).read_until(b'\n', &mut line)? == 0 {
            break;
        }
        let text = String::from_utf8_lossy(&line);
        let typed = text.trim();
        if typed.is_empty() || typed.starts_with('#') {
            continue;
        }
        match command(&session.exercise().circuit, typed) {
            Ok(Command::Move(moved)) => {
                heed(&moved, &mut said, out)?;
                answer(&mut session, moved, out)?;
            }
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
            Ok(Command::Clock) => writeln!(out, "{}", clock(session.minutes()))?,
            Ok(Command::Help) => write!(out, "{COMMANDS}")?,
            Ok(Command::Quit) => break,
            Err(what) => writeln!(out, "{what}")?,
        }
        out.flush()?;
    }
    if !session.is_over() && session.steps().is_empty() {
        writeln!(
            out,
            "\nNothing was done, so there is nothing to look back on."
        )?;
        return Ok(false);
    }
    writeln!(out, "\nLooking back")?;
    out.flush()?;
    let debrief = Debrief::of(&session).map_err(|error| Trouble::Told(error.to_string()))?;
    look_back(&session, &debrief, out)?;
    if let Some(path) = practice.trainee.as_ref().filter(|_| session.is_over()) {
        let done = Done::of(
            &debrief,
            &session.exercise().title,
            drill,
            session.exercise().seed,
        );
        if let Err(trouble) = keep(path, &done, out) {
            let line = done.certificate("");
            writeln!(out, "  This could not be kept: {}", wrapped(&line))?;
            return Err(trouble);
        }
    }
    Ok(debrief.found)
}

/// Text with every sign that cannot be seen written as its number, line ends apart.
struct Visible<'w>(&'w mut dyn Write);

impl Write for Visible<'_> {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        let text = String::from_utf8_lossy(bytes);
        let lines: Vec<String> = text.split('\n').map(visible).collect();
        self.0.write_all(lines.join("\n").as_bytes())?;
        Ok(bytes.len())
    }

    fn flush(&mut self) -> io::Result<()> {
        self.0.flush()
    }
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
                (anonymous(&job.circuit), job.meter)
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
    for caution in care::grave(&session.question()) {
        writeln!(out, "{}\n", wrapped(&caution))?;
    }
    write!(out, "{}", outline::outline(&exercise.circuit))?;
    if !session.log().is_empty() {
        writeln!(out)?;
        log(session, out)?;
    }
    writeln!(out, "\n{COMMANDS}")?;
    out.flush()
}

/// What goes with a way of measuring, when it is used first.
fn heed(moved: &Move, said: &mut Vec<Kind>, out: &mut dyn Write) -> io::Result<()> {
    let Move::Read { kind, .. } = moved else {
        return Ok(());
    };
    match care::measuring(*kind).filter(|_| !said.contains(kind)) {
        Some(caution) => {
            said.push(*kind);
            writeln!(out, "  {caution}")
        }
        None => Ok(()),
    }
}

fn answer(session: &mut Session, moved: Move, out: &mut dyn Write) -> io::Result<()> {
    let before = session.minutes();
    // What was typed may be short for it.
    let at = match &moved {
        Move::Load(point) => format!("{}: ", point.shown()),
        _ => String::new(),
    };
    let outcome = match session.make(moved) {
        Ok(outcome) => outcome.clone(),
        Err(error) => return writeln!(out, "{error}"),
    };
    let spent = session.minutes() - before;
    let off = &session.now().unplugged;
    match outcome {
        Outcome::Done if off.is_empty() => writeln!(out, "{at}done; everything is plugged"),
        Outcome::Done => {
            let list: Vec<&str> = off.iter().map(String::as_str).collect();
            writeln!(out, "{at}done; unplugged now: {}", list.join(" "))
        }
        Outcome::Read(_) => match session.log().last() {
            Some(Entry::Reading(reading)) => {
                let (leads, shown) = (words::leads(reading), names::shown(reading));
                writeln!(out, "{leads}: {shown}")
            }
            _ => Ok(()),
        },
        Outcome::Hint(hint) => {
            writeln!(out, "{}", hint.words())?;
            let mut cautions = hint.cautions().iter();
            cautions.try_for_each(|caution| writeln!(out, "  {caution}"))
        }
        Outcome::GivenUp => writeln!(out, "given up"),
        Outcome::Repaired => writeln!(
            out,
            "there it is; repaired. With everything plugged, read where it had made the reading wrong, then type “done”"
        ),
        Outcome::NothingThere => writeln!(out, "nothing wrong there"),
        Outcome::HandedOver {
            left: 0,
            proven: true,
        } => writeln!(out, "handed over, and proven"),
        Outcome::HandedOver { left: 0, .. } => writeln!(
            out,
            "handed over; nothing is left in it, but nothing was read with everything plugged that the fault had made wrong"
        ),
        Outcome::HandedOver { left, .. } => writeln!(out, "handed over with {left} left in it"),
    }?;
    writeln!(
        out,
        "  +{}, {} in all",
        clock(spent),
        clock(session.minutes())
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
                names::shown(reading),
                words::state(&reading.state)
            )?,
            Entry::Inspection(look) => writeln!(
                out,
                "  {:>2}  {}: {NOTHING}",
                index + 1,
                looked_at(&session.exercise().circuit, look)
            )?,
            Entry::Repair(repair) => writeln!(out, "  {:>2}  {} repaired", index + 1, repair.part)?,
        }
    }
    Ok(())
}

fn keep(path: &Path, done: &Done, out: &mut dyn Write) -> Result<(), Trouble> {
    let mut record = read_trainee(path)?;
    record.done.push(done.clone());
    write_trainee(path, &record)?;
    for skill in record.skills() {
        writeln!(
            out,
            "  {:<36} {}, {:.0} of 100 lately; next: level {}",
            skill.drill.name(),
            skill.times_words(),
            skill.score,
            skill.next.number()
        )?;
    }
    Ok(())
}
