//! Looking back on practice in a terminal.

use std::io::{self, Write};

use crate::{
    explain::names::accusation,
    practice::{Debrief, Move, Session, debrief::Looked, session::HINT, trainee::Way},
};

/// Writes what was known and done, step by step, and what it took.
///
/// # Errors
/// The output cannot be written.
pub fn look_back(session: &Session, debrief: &Debrief, out: &mut dyn Write) -> io::Result<()> {
    for fault in &session.exercise().hidden {
        let place = session.exercise().circuit.wire(&fault.site.part);
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
    let end = if debrief.path.found {
        ""
    } else {
        ", and not found"
    };
    writeln!(
        out,
        "  The same vehicle by the advice: {} readings, {:.0} minutes{end}.",
        debrief.path.tests, debrief.path.minutes
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
    if session.is_over() {
        writeln!(out, "  Score: {} of 100.", debrief.score)
    } else {
        writeln!(out, "  Broken off before it was handed over: no score.")
    }
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
