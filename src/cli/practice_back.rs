//! Looking back on practice in a terminal.

use std::io::{self, Write};

use super::words::leads;
use crate::{
    explain::names::{accusation, end},
    practice::{
        Debrief, Move, Session, debrief::Looked, score::reckoning, session::HINT, trainee::Way,
    },
    quantity::format::clock,
};

/// Writes what was known and done, step by step, and what it took.
///
/// # Errors
/// The output cannot be written.
pub fn look_back(session: &Session, debrief: &Debrief, out: &mut dyn Write) -> io::Result<()> {
    for fault in &session.exercise().hidden {
        let wire = session.exercise().circuit.wire(&fault.site.part);
        let at = wire.map_or_else(String::new, |wire| {
            let metres = fault.at * wire.length_or_assumed();
            format!(", {metres:.2} m from {}", end(&wire.from))
        });
        let what = accusation(&fault.site, fault.kind);
        writeln!(out, "  It was: {what}{at}.")?;
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
        "\n  {}, {} ({} each), {} opened in vain, {}.",
        many(debrief.tests, "reading", "readings"),
        many(debrief.hints, "hint", "hints"),
        clock(HINT),
        many(debrief.in_vain, "place", "places"),
        clock(debrief.minutes)
    )?;
    let took = |tests: usize, minutes: f64, found: bool| {
        let end = if found { "" } else { ", and not found" };
        let readings = many(tests, "reading", "readings");
        format!("{readings}, {}{end}", clock(minutes))
    };
    let path = &debrief.path;
    writeln!(
        out,
        "  The same vehicle by the advice: {}.",
        took(path.tests, path.minutes, path.found)
    )?;
    for (number, stride) in (1..).zip(&path.steps) {
        let line = format!("{number}. {}", stride.line());
        writeln!(out, "    {}", wrapped(&line).replace('\n', "\n       "))?;
    }
    for (way, played) in &debrief.others {
        writeln!(
            out,
            "  The same vehicle by {}: {}.",
            match way {
                Way::Random => "any connector that comes to mind",
                _ => way.name(),
            },
            took(played.tests, played.minutes, played.found)
        )?;
    }
    writeln!(
        out,
        "  Halving as many places takes {:.1} tests on average, {} at worst.",
        debrief.bound.expected, debrief.bound.worst
    )?;
    if session.is_over() {
        writeln!(
            out,
            "  Score: {} of 100. {}",
            debrief.score,
            reckoning(debrief)
        )
    } else {
        writeln!(out, "  Broken off before it was handed over: no score.")
    }
}

/// A count with its noun.
pub fn many(count: usize, one: &str, more: &str) -> String {
    format!("{count} {}", if count == 1 { one } else { more })
}

fn step(session: &Session, looked: &Looked, out: &mut dyn Write) -> io::Result<()> {
    let Some(step) = session.steps().get(looked.step) else {
        return Ok(());
    };
    let what = match &step.done {
        Move::Read { .. } => {
            let off: Vec<&str> = step.before.unplugged.iter().map(String::as_str).collect();
            let red = session.read_at(step).map_or_else(String::new, leads);
            if off.is_empty() {
                red
            } else {
                format!("{red} without {}", off.join(" "))
            }
        }
        Move::Open { site, .. } => format!("open {site}"),
        Move::Hint => "hint".to_owned(),
        Move::HandOver | Move::GiveUp => return Ok(()),
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
        if looked.best.test().is_some() {
            writeln!(out, "      better: {}", looked.best.words())?;
        }
    }
    Ok(())
}

/// Lines of at most 100 characters.
pub fn wrapped(text: &str) -> String {
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
