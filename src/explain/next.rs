//! The next test in words: what to do, what each outcome would mean, and why this one.

use serde::Serialize;

use super::{
    names,
    proof::{must_read, plug_in},
};
use crate::{
    advise::{Asked, Best, Move, Opening, Purpose, Test, outcome::Outcome},
    circuit::{Circuit, hazard},
    diagnosis::{
        Findings, Question,
        proof::{SinceRepair, Verdict},
    },
    quantity::{
        format::{as_read, minutes, percent},
        unit::Unit,
        units::as_ohms,
    },
    reading::{Kind, Meter},
};

/// Places of the order of opening that are told.
const OPENED: usize = 3;

/// One outcome in words.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct OutcomeWords {
    /// What it would show, e.g. `about 0.64 V`.
    pub shows: String,
    /// How likely that is.
    pub chance: String,
    /// What would remain.
    pub leaves: String,
}

/// One test in words.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct TestWords {
    /// What to do, one sentence without a full stop.
    pub action: String,
    /// Minutes from how things stand.
    pub minutes: String,
    /// How much it narrows.
    pub narrows: String,
    /// Its outcomes, from low to high.
    pub outcomes: Vec<OutcomeWords>,
    /// What to be careful with there.
    pub cautions: Vec<String>,
}

/// The advice in words.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct NextWords {
    /// What is best now, one sentence without a full stop.
    pub line: String,
    /// Why.
    pub reason: String,
    /// The tests, best first, parallel to the advice.
    pub tests: Vec<TestWords>,
    /// Where to open up, in order.
    pub opening: Vec<String>,
}

/// Puts the advice into words.
pub fn next_words(question: &Question<'_>, findings: &Findings) -> NextWords {
    let advice = &findings.next;
    let circuit = question.circuit;
    let mut tests: Vec<TestWords> = advice.tests.iter().map(|t| test(question, t)).collect();
    let proof = (advice.tests.first()).and_then(|test| for_the_proof(question, findings, test));
    if let Some(words) = tests.first_mut().filter(|_| proof.is_some()) {
        words.narrows = "for the proof".to_owned();
    }
    let opening: Vec<String> = (advice.opening.iter())
        .take(OPENED)
        .map(|place| open(circuit, place))
        .collect();
    let now = minutes(advice.opening_minutes);
    let first = advice.tests.first().zip(tests.first());
    let out_of_reach = if question.out_of_reach.is_empty() {
        String::new()
    } else {
        let parts: Vec<&String> = question.out_of_reach.iter().collect();
        format!(" Out of reach: {}.", names::list(&parts, "and"))
    };
    let (line, reason) = match (advice.best, first) {
        (Best::Test, Some((_, words))) if proof.is_some() => {
            (words.action.clone(), proof.unwrap_or_default())
        }
        (Best::Stop, _) if findings.since_repair() == Some(SinceRepair::Proved) => {
            let plug = plug_in(question, Verdict::Proved);
            let line = match plug.trim_end_matches('.') {
                "" => "Proved: nothing more to do".to_owned(),
                plug => format!("Proved.{plug}"),
            };
            (line, String::new())
        }
        (Best::Test, Some((test, words))) if test.purpose == Purpose::BeforeReplacing => (
            words.action.clone(),
            "The module is the likeliest, and it is not replaced before its pin was read with the harness off, the key cycled."
                .to_owned(),
        ),
        (Best::Test, Some((test, words))) => (
            words.action.clone(),
            format!(
                "As open as between {} equal places ({:.1} bits). Opening up now would take {now} on average; with this test first, {} in all.",
                places(advice.bits),
                advice.bits,
                minutes(test.expected_minutes)
            ),
        ),
        (Best::Stop, _) => (
            "Nothing more to find: prove it in the states that showed the fault".to_owned(),
            String::new(),
        ),
        // Nothing is opened for readings that nothing on the sketch explains.
        (Best::NothingTells | Best::OpenUp, _) if findings.unexplained > 0.5 => {
            let what = match findings.fit.readings {
                1 => "The reading fits nothing on this sketch",
                _ => "The readings contradict one another",
            };
            (
                what.to_owned(),
                "Repeat the one that is doubted and set the wrong one aside, or check the sketch: nothing on it explains them all."
                    .to_owned(),
            )
        }
        (Best::OpenUp, _) if !opening.is_empty() => (
            format!("Open up: {}", opening[0]),
            format!(
                "In this order the fault comes to light after {now} on average; no test within reach saves more minutes than it costs."
            ),
        ),
        (Best::NothingTells, _) if !opening.is_empty() => (
            format!("Open up: {}", opening[0]),
            "No reading within reach tells the remaining places apart.".to_owned(),
        ),
        (Best::Pending, _) => (
            "The next test is being worked out".to_owned(),
            String::new(),
        ),
        (Best::Searching, _) => (
            "Faults together are still being weighed".to_owned(),
            "What to do next follows from them.".to_owned(),
        ),
        (Best::Unasked, _) => (String::new(), String::new()),
        _ => (
            "No test within reach tells more".to_owned(),
            "What is left is out of reach or not to be touched, or the sketch lacks a part."
                .to_owned(),
        ),
    };
    NextWords {
        line,
        reason: format!("{reason}{out_of_reach}").trim().to_owned(),
        tests,
        opening,
    }
}

/// Why a test comes first after a repair; none where it does not.
fn for_the_proof(question: &Question<'_>, findings: &Findings, test: &Test) -> Option<String> {
    if test.purpose != Purpose::Proves {
        return None;
    }
    match findings.since_repair()? {
        SinceRepair::StillWrong(wrong) => {
            let Asked::Read { kind, .. } = test.asked else {
                return None;
            };
            Some(format!(
                "It reads wrong since the repair and must read {}: the same again tells a mistake from a fault that is left.",
                must_read(question.meter, kind, wrong.must)
            ))
        }
        left @ (SinceRepair::NotRead | SinceRepair::Unfinished(_)) => {
            let check = match left {
                SinceRepair::Unfinished(check) => check,
                _ => findings.proof.as_ref()?.first_unread()?,
            };
            Some(check.should.map_or_else(
                || "It is on the list of the proof.".to_owned(),
                |band| {
                    format!(
                        "It is on the list of the proof and must read {}.",
                        must_read(question.meter, check.kind, band)
                    )
                },
            ))
        }
        SinceRepair::Proved => None,
    }
}

fn test(question: &Question<'_>, test: &Test) -> TestWords {
    TestWords {
        action: action(test),
        minutes: minutes(test.minutes),
        narrows: narrows(test.bits),
        outcomes: test
            .outcomes
            .iter()
            .enumerate()
            .map(|(place, one)| outcome(question.meter, test, place, one))
            .collect(),
        cautions: cautions(question.circuit, test),
    }
}

/// What a test gains: `rules out about half, 1.0 bits`. So many bits divide equally likely places by two to the power of
/// them (the definition of the bit).
fn narrows(bits: f64) -> String {
    let percent = 5 * (20.0 * (1.0 - (-bits).exp2())).round() as i64;
    let words = match percent {
        ..5 => "tells next to nothing".to_owned(),
        50 => "rules out about half".to_owned(),
        100.. => "leaves next to nothing open".to_owned(),
        _ => format!("rules out about {percent} %"),
    };
    format!("{words}, {bits:.1} bits")
}

/// Equally likely places between which it would be as open.
fn places(bits: f64) -> String {
    let count = bits.exp2();
    if count < 2.95 {
        format!("{count:.1}").trim_end_matches(".0").to_owned()
    } else {
        format!("{count:.0}")
    }
}

/// `Plug C1, unplug C2, then read volts at M1 feed pin`.
fn action(test: &Test) -> String {
    let mut steps: Vec<String> = test
        .moves
        .iter()
        .map(|step| match step {
            Move::Unplug(id) => format!("unplug {id}"),
            Move::Plug(id) => format!("plug {id} in again"),
            Move::SupplyOff => "switch the supply off and wait".to_owned(),
            Move::SupplyOn => "switch the supply on".to_owned(),
            Move::ClipOn(load) => format!(
                "clip a {} resistor from {} to {}",
                as_read(as_ohms(load.resistance), Unit::Ohms),
                names::point(&load.from),
                names::point(&load.to)
            ),
            Move::InSeries => "put the meter in series, amps jack".to_owned(),
        })
        .collect();
    let last = match &test.asked {
        Asked::LookFor { part } => format!("look for members at {part} that are not drawn"),
        Asked::Check { connector } => format!("look whether {connector} is plugged"),
        Asked::Read {
            kind: Kind::Scan,
            red,
            ..
        } => format!("look whether {} answers on the scan", red.part),
        Asked::Read { kind, red, black } => {
            let what = match kind {
                Kind::Volts => "volts",
                Kind::Ohms => "ohms",
                Kind::Amperes => "current",
                Kind::Clamp => "current by clamp",
                Kind::Lamp(_) => "a lamp",
                Kind::Scan => "the scan",
            };
            let to = if black.is_battery_negative() {
                String::new()
            } else {
                format!(" to {}", names::point(black))
            };
            format!("read {what} at {}{to}", names::point(red))
        }
    };
    steps.push(last);
    let text = names::list(&steps, "then");
    let mut letters = text.chars();
    letters.next().map_or(String::new(), |first| {
        first.to_uppercase().chain(letters).collect()
    })
}

fn outcome(meter: &Meter, test: &Test, place: usize, one: &Outcome) -> OutcomeWords {
    let shows = match &test.asked {
        Asked::LookFor { .. } if place == 0 => "none found".to_owned(),
        Asked::LookFor { .. } => "one found".to_owned(),
        Asked::Check { .. } if place == 0 => "plugged".to_owned(),
        Asked::Check { .. } => "unplugged".to_owned(),
        Asked::Read {
            kind: Kind::Scan, ..
        } => match (one.above, one.below) {
            (None, Some(_)) => "silent".to_owned(),
            (Some(_), None) => "answers".to_owned(),
            _ => "answers or not".to_owned(),
        },
        Asked::Read { kind, .. } => {
            let shown = |v: f64| names::on_display(meter, *kind, v);
            let same = |a: f64, b: f64| shown(a) == shown(b);
            match (one.above, one.below) {
                (Some(above), Some(below)) if same(above, below) => {
                    format!("about {}", shown(one.about))
                }
                (None, Some(below)) if same(below, one.about) => {
                    format!("{} or less", shown(below))
                }
                (Some(above), None) if same(above, one.about) => {
                    format!("{} or more", shown(above))
                }
                (None, Some(below)) => {
                    format!("below {}, about {}", shown(below), shown(one.about))
                }
                (Some(above), None) => {
                    format!("above {}, about {}", shown(above), shown(one.about))
                }
                (Some(above), Some(below)) => format!("{} to {}", shown(above), shown(below)),
                (None, None) => format!("about {}", shown(one.about)),
            }
        }
    };
    let mut things: Vec<String> = one
        .remaining
        .iter()
        .map(|r| {
            format!(
                "{} {}",
                names::place(&r.site, r.kind),
                percent(r.probability)
            )
        })
        .collect();
    if one.healthy > 0.02 {
        things.push(format!("nothing wrong {}", percent(one.healthy)));
    }
    let leaves = if things.is_empty() {
        "many places, none of them likely".to_owned()
    } else {
        things.join(", ")
    };
    OutcomeWords {
        shows,
        chance: percent(one.probability),
        leaves,
    }
}

/// `W7, 0.5 to 2.4 m from its SP2 end`.
fn open(circuit: &Circuit, place: &Opening) -> String {
    let thing = names::place(&place.site, place.kind);
    let wire = circuit.wire(&place.site.part);
    let whereabouts = match (place.metres, wire) {
        (Some((from, to)), Some(wire)) => {
            format!(", {from:.1} to {to:.1} m from {}", names::end(&wire.from))
        }
        _ => String::new(),
    };
    let again = if place.again { ", a second look" } else { "" };
    format!(
        "{thing}{whereabouts}{again} ({}, {})",
        percent(place.probability),
        minutes(place.minutes)
    )
}

fn cautions(circuit: &Circuit, test: &Test) -> Vec<String> {
    let mut said = Vec::new();
    let mut touched: Vec<&str> = (test.moves.iter())
        .filter_map(|step| match step {
            Move::Unplug(id) | Move::Plug(id) => Some(id.as_str()),
            Move::ClipOn(load) => Some(load.from.part.as_str()),
            Move::SupplyOff | Move::SupplyOn | Move::InSeries => None,
        })
        .collect();
    match &test.asked {
        Asked::Read { kind, red, black } => {
            touched.extend([red.part.as_str(), black.part.as_str()]);
            if *kind == Kind::Clamp {
                said.push("Zero the clamp, jaws around this one wire only.".to_owned());
            }
            if *kind == Kind::Ohms {
                said.push("Ohms only with the supply off: prove it dead first.".to_owned());
            }
        }
        Asked::LookFor { part } => touched.push(part),
        Asked::Check { connector } => touched.push(connector),
    }
    let fuel = hazard::fuel(circuit);
    if touched.iter().any(|part| fuel.iter().any(|f| f == part)) {
        said.push("Fuel vapour: ventilate, no sparks, nothing unplugged live.".to_owned());
    }
    if test.moves.iter().any(|m| matches!(m, Move::Unplug(_))) {
        said.push("Unplugging sets codes: save the scan first.".to_owned());
    }
    if test.moves.iter().any(|m| matches!(m, Move::ClipOn(_))) {
        said.push("A resistor of a few mA only: no lamp, no battery voltage here.".to_owned());
    }
    if test.moves.contains(&Move::InSeries) {
        said.push("Lead back into the volts jack afterwards.".to_owned());
    }
    let latches = circuit.supplies.iter().any(|s| s.latches);
    if latches && !test.moves.is_empty() {
        said.push("Cycle the key after the change and wait.".to_owned());
    }
    said
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Expected: 1 − 2^−b of equally likely places are ruled out by b bits (calculated).
    #[test]
    fn what_a_test_gains_is_said_in_words_with_its_figure() {
        assert_eq!(narrows(1.0), "rules out about half, 1.0 bits");
        assert_eq!(narrows(0.5), "rules out about 30 %, 0.5 bits");
        assert_eq!(narrows(2.0), "rules out about 75 %, 2.0 bits");
        assert_eq!(narrows(0.02), "tells next to nothing, 0.0 bits");
        assert_eq!(narrows(9.0), "leaves next to nothing open, 9.0 bits");
        assert_eq!((places(1.0).as_str(), places(2.4).as_str()), ("2", "5"));
        assert_eq!(places(5.0), "32");
    }
}
