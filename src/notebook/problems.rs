//! What is wrong or doubtful in a job that could be read: the sketch's complaints, and log lines that point nowhere.
//!
//! None of these keeps a job from opening; what is fatal keeps it from being computed.

use std::collections::HashSet;

use crate::{
    circuit::{Circuit, Point, check},
    diagnosis::Problem,
    infer::lower::{NEGATIVE_OHM, most_shown},
    quantity::units::as_ohms,
    reading::{Entry, Kind, Meter, Reading, State, Value},
};

use super::{Job, record::doubts};

/// Everything to mend or know, the sketch first, then the meter, the log line by line, and the record.
pub fn problems(job: &Job) -> Vec<Problem> {
    let mut problems: Vec<Problem> = check(&job.circuit).into_iter().map(Problem::from).collect();
    check_meter(&job.meter, &mut problems);
    let known = Known::of(&job.circuit);
    for (index, entry) in job.log.iter().enumerate() {
        let line = format!("log line {}", index + 1);
        match entry {
            Entry::Reading(reading) => check_reading(&known, &line, reading, &mut problems),
            Entry::Inspection(look) => {
                let trouble = look.trouble(&job.circuit);
                problems.extend(trouble.map(|(what, remedy)| warning(&line, what, remedy)));
            }
            Entry::Repair(repair) => {
                if !known.parts.contains(repair.part.as_str()) {
                    problems.push(warning(
                        &line,
                        format!(
                            "the repaired part “{}” is not on the sketch",
                            shown(&repair.part)
                        ),
                        "correct the designation, or draw the part",
                    ));
                }
            }
        }
    }
    check_state(&known, "bench", &job.now, &mut problems);
    problems.extend(doubts(&job.record));
    problems
}

/// What a log line can name.
struct Known<'a> {
    points: HashSet<Point>,
    parts: HashSet<&'a str>,
    connectors: HashSet<&'a str>,
    bundles: HashSet<&'a str>,
}

impl<'a> Known<'a> {
    fn of(circuit: &'a Circuit) -> Self {
        Self {
            points: circuit.points().into_iter().collect(),
            parts: circuit.ids().collect(),
            connectors: circuit.connectors.iter().map(|c| c.id.as_str()).collect(),
            bundles: circuit
                .wires
                .iter()
                .map(|wire| wire.bundle.as_str())
                .collect(),
        }
    }
}

fn warning(place: &str, what: impl Into<String>, remedy: impl Into<String>) -> Problem {
    Problem {
        place: place.to_owned(),
        what: what.into(),
        remedy: remedy.into(),
        fatal: false,
    }
}

fn check_meter(meter: &Meter, problems: &mut Vec<Problem>) {
    let mut fatal = |what: &str, remedy: &str| {
        problems.push(Problem {
            fatal: true,
            ..warning("meter", what, remedy)
        });
    };
    let within = |number: f64| (0.0..=100.0).contains(&number);
    if !within(meter.percent) || !within(meter.counts) {
        fatal(
            "its percent or counts are not between 0 and 100",
            "take them from the meter's data sheet, e.g. 0.5 percent and 2 counts",
        );
    }
    let rising = meter
        .ranges
        .windows(2)
        .all(|pair| pair[0].top < pair[1].top);
    let sound = |range: &crate::reading::Range| {
        range.top.is_finite() && range.step > 0.0 && range.step < range.top
    };
    if meter.ranges.is_empty() || !rising || !meter.ranges.iter().all(sound) {
        fatal(
            "its ranges are missing, out of order, or have impossible steps",
            "give them smallest first, e.g. top 6 V in steps of 0.001 V",
        );
    }
    if as_ohms(meter.input) <= 0.0 {
        fatal(
            "its input resistance is not above zero",
            "give it in ohms, usually 10000000",
        );
    }
    if !within(meter.clamp.percent) || !(0.0..=100.0).contains(&meter.clamp.zero_a) {
        fatal(
            "its clamp's percent or zero drift are not between 0 and 100",
            "take them from the clamp's data sheet, e.g. 2 percent and 0.01 A",
        );
    }
    if as_ohms(meter.lead) < 0.0 {
        fatal(
            "its lead resistance is below zero",
            "give what it shows with the leads touching, usually 0.2",
        );
    }
}

fn check_reading(known: &Known<'_>, line: &str, reading: &Reading, problems: &mut Vec<Problem>) {
    for (lead, point) in [("red", &reading.red), ("black", &reading.black)] {
        if !known.points.contains(point) {
            problems.push(no_point(line, &format!("the {lead} lead"), point));
        }
    }
    if reading.red == reading.black {
        problems.push(warning(
            line,
            format!(
                "both leads are at {}; the line is not used",
                reading.red.shown()
            ),
            "correct one of them",
        ));
    }
    check_value(line, reading, problems);
    check_moved(known, line, reading, problems);
    if reading.step.is_some() && reading.noted_to().is_none() {
        problems.push(warning(
            line,
            "the last digit is worth nothing, or less; the meter's own step is taken",
            "leave step out, or give what the last digit is worth, e.g. 0.01",
        ));
    }
    check_state(known, line, &reading.state, problems);
}

fn no_point(line: &str, what: &str, point: &Point) -> Problem {
    warning(
        line,
        format!("{what} is at {point}, which is not on the sketch; the line is not used"),
        "correct the point, or draw it",
    )
}

fn check_value(line: &str, reading: &Reading, problems: &mut Vec<Problem>) {
    let numbers = match reading.value {
        Value::Exactly(number) => vec![number],
        Value::OverRange { above } => {
            if above.is_some_and(|above| above <= 0.0) {
                problems.push(warning(
                    line,
                    "over range of a range that ends at nothing, or below",
                    "give the top of the range that it was on, or leave it out",
                ));
            }
            above.into_iter().collect()
        }
        Value::Between(low, high) => {
            if low > high {
                problems.push(warning(
                    line,
                    "the lower value is above the upper one",
                    "swap them",
                ));
            }
            vec![low, high]
        }
        Value::Seen(_) => Vec::new(),
    };
    check_seen(line, reading, problems);
    let negative = |&ohms: &f64| ohms < NEGATIVE_OHM;
    if reading.kind == Kind::Ohms && numbers.iter().any(negative) {
        problems.push(warning(
            line,
            "negative ohms, so the circuit was live; the line is not used",
            "take it again with the supply off and the battery disconnected",
        ));
    }
    if (numbers.iter()).any(|number| number.is_finite() && number.abs() > most_shown(reading.kind))
    {
        problems.push(warning(
            line,
            "no meter shows such a value; the line is not used",
            "check the number and its unit",
        ));
    }
    if numbers.iter().any(|number| !number.is_finite()) {
        problems.push(warning(
            line,
            "the value is no finite number; the line is not used",
            "enter what the display showed, or OL",
        ));
    }
}

/// What is seen belongs to a lamp or a scan, and nothing else does.
fn check_seen(line: &str, reading: &Reading, problems: &mut Vec<Problem>) {
    let may = reading.kind.seen();
    let words: Vec<&str> = may.iter().map(|seen| seen.word()).collect();
    let (what, remedy) = match reading.value {
        Value::Seen(seen) if may.contains(&seen) => return,
        Value::Seen(seen) if may.is_empty() => (
            format!("“{}” is no number; the line is not used", seen.word()),
            "enter what the display showed, or choose a lamp or the scan as its kind".to_owned(),
        ),
        Value::Exactly(_) | Value::Between(..) | Value::OverRange { .. } if may.is_empty() => {
            return;
        }
        _ => (
            "it is not what can be seen there; the line is not used".to_owned(),
            format!("give one of: {}", words.join(", ")),
        ),
    };
    problems.push(warning(line, what, remedy));
}

/// Places that were moved, which must be drawn.
fn check_moved(known: &Known<'_>, line: &str, reading: &Reading, problems: &mut Vec<Problem>) {
    for moved in &reading.wiggled {
        if !known.parts.contains(moved.place.as_str()) && !known.bundles.contains(&*moved.place) {
            problems.push(warning(
                line,
                format!(
                    "“{}” was moved, but is no part or bundle of the sketch",
                    shown(&moved.place)
                ),
                "correct the designation, or draw the part",
            ));
        }
    }
}

fn check_state(known: &Known<'_>, line: &str, state: &State, problems: &mut Vec<Problem>) {
    for connector in state.unplugged.iter().chain(&state.unknown) {
        if !known.connectors.contains(connector.as_str()) {
            problems.push(warning(
                line,
                format!(
                    "“{}” is noted as unplugged, but is no connector of the sketch",
                    shown(connector)
                ),
                "correct the designation, or draw the connector",
            ));
        }
    }
    if let Some(both) = state.unplugged.intersection(&state.unknown).next() {
        problems.push(warning(
            line,
            format!("{} is noted as unplugged and as unknown", shown(both)),
            "keep one of the two",
        ));
    }
    for load in &state.attached {
        for point in [&load.from, &load.to] {
            if !known.points.contains(point) {
                problems.push(no_point(line, "an attached load", point));
            }
        }
        if as_ohms(load.resistance) <= 0.0 {
            problems.push(warning(
                line,
                "an attached load has no resistance above zero",
                "give its ohms",
            ));
        }
    }
}

/// The beginning of a text from a file, short enough for a message.
fn shown(text: &str) -> String {
    super::trouble::excerpt(&text.chars().take(40).collect::<String>())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{
        circuit::{Splice, Terminal},
        quantity::units::ohms,
        reading::{Attached, Range, Repair},
    };

    /// A job that has nothing to complain about but its lack of a supply.
    fn job(change: impl FnOnce(&mut Job, &mut Reading)) -> Vec<(String, bool)> {
        let mut job = Job::default();
        for id in ["SP1", "SP2"] {
            job.circuit.splices.push(Splice {
                id: id.to_owned(),
                place: String::new(),
                more_members: false,
            });
        }
        let mut reading = Reading::volts(Point::new("SP1", Terminal::Only), 5.0);
        let before = problems(&job).len();
        change(&mut job, &mut reading);
        job.log.push(Entry::Reading(reading));
        problems(&job)
            .split_off(before)
            .into_iter()
            .map(|p| (format!("{}: {} / {}", p.place, p.what, p.remedy), p.fatal))
            .collect()
    }

    #[test]
    fn a_sound_job_has_none() {
        assert_eq!(job(|_, _| {}), []);
    }

    #[test]
    fn lines_that_point_nowhere_are_named_with_their_number_and_are_not_fatal() {
        let nowhere = || Point::new("X9", Terminal::Near(1));
        type Change = Box<dyn FnOnce(&mut Job, &mut Reading)>;
        let cases: Vec<(Change, &str)> = vec![
            (
                Box::new(move |_, r| r.red = nowhere()),
                "the red lead is at X9.1n",
            ),
            (
                Box::new(move |_, r| r.black = nowhere()),
                "the black lead is at X9.1n",
            ),
            (Box::new(|_, r| r.black = r.red.clone()), "both leads"),
            (
                Box::new(|_, r| r.value = Value::Exactly(f64::NAN)),
                "finite",
            ),
            (Box::new(|_, r| r.value = Value::Between(2.0, 1.0)), "swap"),
            (
                Box::new(|_, r| r.step = Some(0.0)),
                "the last digit is worth nothing",
            ),
            (
                Box::new(|_, r| {
                    r.kind = Kind::Ohms;
                    r.value = Value::Exactly(-3.0);
                }),
                "negative ohms",
            ),
            (
                Box::new(|_, r| {
                    r.state.unplugged.insert("C7".to_owned());
                }),
                "“C7” is noted as unplugged",
            ),
            (
                Box::new(move |_, r| {
                    r.state.attached.push(Attached {
                        from: nowhere(),
                        to: Point::battery_negative(),
                        resistance: ohms(1000.0),
                    });
                }),
                "an attached load is at X9.1n",
            ),
            (
                Box::new(|_, r| {
                    r.state.attached.push(Attached {
                        from: Point::new("SP1", Terminal::Only),
                        to: Point::battery_negative(),
                        resistance: ohms(0.0),
                    });
                }),
                "no resistance above zero",
            ),
        ];
        for (change, words) in cases {
            let told = job(change);
            assert!(told.len() == 1, "{words}: {told:?}");
            assert!(told[0].0.starts_with("log line 1: "), "{told:?}");
            assert!(told[0].0.contains(words), "{words}: {told:?}");
            assert!(!told[0].1, "{told:?}");
        }
        let told = job(|job, _| {
            job.log.push(Entry::Repair(Repair {
                part: "W9".to_owned(),
                replaced: false,
                note: String::new(),
            }));
        });
        assert!(
            told[0].0.contains("log line 1: the repaired part “W9”"),
            "{told:?}"
        );
    }

    #[test]
    fn a_meter_that_cannot_be_is_fatal() {
        let range = |top, step| Range { top, step };
        let changes: [fn(&mut Meter); 5] = [
            |meter| meter.percent = -1.0,
            |meter| meter.counts = f64::INFINITY,
            |meter| meter.ranges.clear(),
            |meter| meter.input = ohms(0.0),
            |meter| meter.lead = ohms(-0.1),
        ];
        for change in changes {
            let told = job(|job, _| change(&mut job.meter));
            assert!(told.len() == 1 && told[0].1, "{told:?}");
            assert!(told[0].0.starts_with("meter: "), "{told:?}");
        }
        for ranges in [
            vec![range(6.0, 0.001), range(0.6, 0.0001)],
            vec![range(6.0, 0.0)],
            vec![range(f64::INFINITY, 1.0)],
            vec![range(f64::NAN, 1.0)],
        ] {
            let told = job(|job, _| job.meter.ranges = ranges);
            assert!(told.len() == 1 && told[0].1, "{told:?}");
        }
    }
}
