//! What was typed after “practice”.

use lexopt::prelude::*;

use super::{Request, UsageError, practice::Practice};
use crate::practice::{Drill, Level};

/// Reads the rest of the arguments.
///
/// # Errors
/// Unknown options, drills and levels, each named.
pub fn parse(mut parser: lexopt::Parser) -> Result<Request, UsageError> {
    let mut asked = Practice::default();
    let unreadable = |error: lexopt::Error| UsageError(error.to_string());
    while let Some(argument) = parser.next().map_err(unreadable)? {
        match argument {
            Long("help") | Short('h') => return Ok(Request::Help),
            Long("drill") => {
                let key = parser
                    .value()
                    .and_then(|v| v.string())
                    .map_err(unreadable)?;
                asked.drill = Some(Drill::of(&key).ok_or_else(|| unknown(&key))?);
            }
            Long("level") => {
                let number: usize = number(&mut parser, "--level")?;
                Level::of(number).ok_or_else(|| {
                    UsageError(format!("there is no level {number}; give one from 1 to 3"))
                })?;
                asked.level = Some(number);
            }
            Long("seed") => asked.seed = Some(number(&mut parser, "--seed")?),
            Long("on") => asked.circuit = Some(parser.value().map_err(unreadable)?.into()),
            Long("exercise") => asked.exercise = Some(parser.value().map_err(unreadable)?.into()),
            Long("trainee") => asked.trainee = Some(parser.value().map_err(unreadable)?.into()),
            other => return Err(unreadable(other.unexpected())),
        }
    }
    let drilled = asked.drill.is_some() || asked.circuit.is_some();
    let tuned = asked.level.is_some() || asked.seed.is_some();
    if asked.exercise.is_some() && (drilled || tuned) {
        return Err(UsageError(
            "--exercise says itself what is hidden; leave --drill, --level, --seed and --on out"
                .to_owned(),
        ));
    }
    if tuned && !drilled {
        return Err(UsageError(
            "--level and --seed go with --drill or --on".to_owned(),
        ));
    }
    Ok(Request::Practice(asked))
}

fn number<T: std::str::FromStr>(
    parser: &mut lexopt::Parser,
    option: &str,
) -> Result<T, UsageError> {
    let typed = parser
        .value()
        .map_err(|error| UsageError(error.to_string()))?;
    let text = typed.to_string_lossy();
    text.parse().map_err(|_| {
        let text: String = text.chars().take(40).collect();
        UsageError(format!("{option} takes a whole number, not “{text}”"))
    })
}

fn unknown(key: &str) -> UsageError {
    let keys: Vec<&str> = Drill::ALL.iter().map(|drill| drill.key()).collect();
    let key: String = key.chars().take(40).collect();
    UsageError(format!(
        "there is no drill “{key}”; there are {}",
        keys.join(", ")
    ))
}
