//! What the advisor says on an exercise: the engine's own advice, kept to what the exercise allows and away from places
//! that were opened and found sound.

use super::Exercise;
use crate::{
    advise::{Advice, Asked, Best, Opening, Purpose, Test},
    diagnosis::{Findings, Question},
    explain::next_words,
    fault::FaultKind,
    quantity::format::clock,
    reading::{Entry, State},
};

/// Metres of a wire that may stay unopened at the end of a piece and yet count as opened (judgement).
const SLACK: f64 = 0.05;

/// What to do next.
#[derive(Clone, Debug, PartialEq)]
pub enum Hint {
    /// A test.
    Test {
        /// The test.
        test: Box<Test>,
        /// The same in words, without a full stop.
        words: String,
        /// How much of what is left it rules out, in words.
        narrows: String,
        /// What to be careful with.
        cautions: Vec<String>,
    },
    /// No test tells more than it costs: open up.
    Open {
        /// The place.
        opening: Opening,
        /// The same in words, without a full stop.
        words: String,
    },
    /// Nothing seems to be wrong any more: prove it.
    Stop,
    /// No allowed test tells more, and no place is left to open.
    Nothing,
}

impl Hint {
    /// The advice of some findings, kept to what can be done in an exercise.
    pub fn of(exercise: &Exercise, question: &Question<'_>, findings: &Findings) -> Self {
        let advice = &findings.next;
        let allowed =
            |test: &&Test| Self::is_allowed(exercise, question.now, &test.asked, &test.state);
        let test = || {
            let test = advice.tests.iter().find(allowed)?;
            let words = next_words(question, &only(vec![test.clone()], Vec::new()));
            let told = words.tests.into_iter().next()?;
            Some(Self::Test {
                test: Box::new(test.clone()),
                words: told.action,
                narrows: told.narrows,
                cautions: told.cautions,
            })
        };
        let open = || {
            let opening = Self::first_opening(advice, question.log)?;
            let words = next_words(question, &only(Vec::new(), vec![opening.clone()]));
            Some(Self::Open {
                opening: opening.clone(),
                words: words.opening.into_iter().next()?,
            })
        };
        match advice.best {
            Best::Stop => Self::Stop,
            Best::Test => test().or_else(open).unwrap_or(Self::Nothing),
            Best::OpenUp | Best::NothingTells => open().or_else(test).unwrap_or(Self::Nothing),
            Best::Pending | Best::Searching | Best::Unasked => Self::Nothing,
        }
    }

    /// The first place to open that has not been opened in vain: what is opened here is seen.
    pub fn first_opening<'a>(advice: &'a Advice, log: &[Entry]) -> Option<&'a Opening> {
        let mut places = advice.opening.iter();
        places.find(|place| !is_sound(place, log))
    }

    /// Whether an exercise allows what is asked.
    pub fn is_allowed(exercise: &Exercise, now: &State, asked: &Asked, state: &State) -> bool {
        let allowed = &exercise.allowed;
        let kind = match asked {
            Asked::Read { kind, .. } => allowed.kind(*kind),
            // A member that is not drawn is looked for by opening up; how plugs stand is known.
            Asked::LookFor { .. } | Asked::Check { .. } => false,
        };
        let plugs = allowed.unplugging || state.unplugged == now.unplugged;
        let clipped = |load| now.attached.contains(load);
        let loads = allowed.loads || state.attached.iter().all(clipped);
        kind && plugs && loads
    }

    /// The test, if it is one.
    pub fn test(&self) -> Option<&Test> {
        match self {
            Self::Test { test, .. } => Some(test),
            _ => None,
        }
    }

    /// What to be careful with.
    pub fn cautions(&self) -> &[String] {
        match self {
            Self::Test { cautions, .. } => cautions,
            _ => &[],
        }
    }

    /// What to do, with what it tells and costs.
    pub fn words(&self) -> String {
        match self {
            Self::Test { test, words, .. } if test.purpose != Purpose::Tells => {
                format!("{words}: {}", clock(test.minutes))
            }
            Self::Test {
                test,
                words,
                narrows,
                ..
            } => format!("{words}: {narrows}, in {}", clock(test.minutes)),
            Self::Open { words, .. } => format!("open up {words}"),
            Self::Stop => "nothing more to find: prove it, then hand the vehicle over".to_owned(),
            Self::Nothing => "no allowed test tells more, and no place is left to open".to_owned(),
        }
    }
}

/// Findings that hold nothing but this advice, to be put into words.
fn only(tests: Vec<Test>, opening: Vec<Opening>) -> Findings {
    Findings {
        next: Advice {
            tests,
            opening,
            ..Advice::default()
        },
        ..Findings::unanswered(Vec::new())
    }
}

/// Whether a place was opened before, all of it or piece by piece.
fn is_sound(place: &Opening, log: &[Entry]) -> bool {
    let undrawn = place.kind == FaultKind::UndrawnShort;
    let own = log.iter().filter_map(|entry| match entry {
        Entry::Inspection(look) => Some(look).filter(|look| {
            let pin = look.pin.is_none() || look.pin == place.site.pin;
            look.part == place.site.part && pin && look.undrawn == undrawn
        }),
        Entry::Reading(_) | Entry::Repair(_) => None,
    });
    let (mut pieces, mut whole) = (Vec::new(), false);
    for look in own {
        match look.metres {
            Some(piece) => pieces.push(piece),
            None => whole = true,
        }
    }
    let Some((from, to)) = place.metres else {
        return whole;
    };
    pieces.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut reached = from;
    for (start, end) in pieces {
        if start <= reached + SLACK {
            reached = reached.max(end);
        }
    }
    whole || reached >= to - SLACK
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{fault::Site, reading::Inspection};

    fn place(part: &str, metres: Option<(f64, f64)>) -> Opening {
        Opening {
            site: Site::part(part),
            kind: FaultKind::ShortToGround,
            metres,
            probability: 0.5,
            minutes: 1.0,
            again: false,
        }
    }

    fn opened(part: &str, metres: Option<(f64, f64)>) -> Entry {
        let site = Site::part(part);
        Entry::Inspection(Inspection::of(&site, FaultKind::ShortToGround, metres))
    }

    #[test]
    fn a_place_is_sound_once_all_of_it_was_opened() {
        let piece = place("W1", Some((0.2, 1.1)));
        assert!(!is_sound(&piece, &[]));
        assert!(!is_sound(&piece, &[opened("W1", Some((0.0, 0.5)))]));
        let both = [
            opened("W1", Some((0.5, 1.1))),
            opened("W1", Some((0.0, 0.5))),
        ];
        assert!(is_sound(&piece, &both));
        assert!(is_sound(&piece, &[opened("W1", None)]));
        assert!(!is_sound(&piece, &[opened("W2", None)]));
        assert!(!is_sound(&place("C1", None), &[opened("W1", None)]));
        assert!(is_sound(&place("C1", None), &[opened("C1", None)]));
    }
}
