//! The answer in one sentence, and each suspect in a line: findings put into the trade's words.

use super::layout::Harness;
use crate::{
    circuit::Circuit,
    diagnosis::{Findings, Interval, ModuleVerdict, Position, Suspect},
    fault::FaultKind,
    quantity::{
        Unit,
        format::{interval, percent, si},
    },
};

/// The answer: what, where, and the particulars.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Verdict {
    /// What is wrong, or that nothing is.
    pub what: String,
    /// Where; empty when nothing is accused.
    pub place: String,
    /// Particulars, muted.
    pub detail: String,
}

/// Probability from which the sentence names the top suspect alone.
const ALONE: f64 = 0.5;

/// Puts findings into one sentence.
pub fn verdict(circuit: &Circuit, harness: &Harness, findings: &Findings) -> Verdict {
    if let Some(problem) = findings.problems.iter().find(|problem| problem.fatal) {
        return Verdict {
            what: "No answer yet".to_owned(),
            place: String::new(),
            detail: format!("{}: {}. {}", problem.place, problem.what, problem.remedy),
        };
    }
    if findings.fit.readings == 0 {
        return Verdict {
            what: "No reading yet".to_owned(),
            place: String::new(),
            detail: "Read the module's feed pin first, as things stand.".to_owned(),
        };
    }
    if findings.healthy >= ALONE {
        return Verdict {
            what: "Nothing is wrong on this sketch".to_owned(),
            place: String::new(),
            detail: format!(
                "{} that every reading is of a healthy feed",
                percent(findings.healthy)
            ),
        };
    }
    if findings.unexplained >= ALONE {
        return Verdict {
            what: "Nothing on this sketch explains the readings".to_owned(),
            place: String::new(),
            detail: "Look for a member that is not drawn, or take the odd reading again."
                .to_owned(),
        };
    }
    let Some(top) = findings.suspects.first() else {
        return Verdict {
            what: "Nothing is accused yet".to_owned(),
            ..Verdict::default()
        };
    };
    let group = findings.groups.get(top.group);
    let members: Vec<&Suspect> = group
        .into_iter()
        .flat_map(|group| {
            group
                .members
                .iter()
                .filter_map(|&i| findings.suspects.get(i))
        })
        .collect();
    if top.probability < ALONE && members.len() > 1 {
        let names: Vec<String> = members.iter().take(4).map(|s| s.site.to_string()).collect();
        return Verdict {
            what: format!(
                "{},",
                sentence_start(top, members.iter().all(|s| s.kind == top.kind))
            ),
            place: format!("at {}", super::words::list(&names)),
            detail: "No reading so far, and no test in reach, tells these apart.".to_owned(),
        };
    }
    let sure = if top.probability < ALONE {
        "Perhaps: "
    } else {
        ""
    };
    let start = sentence_start(top, true);
    let what = if sure.is_empty() {
        format!("{start},")
    } else {
        format!("{sure}{},", lower(&start))
    };
    Verdict {
        what,
        place: place(circuit, harness, top),
        detail: detail(top),
    }
}

fn sentence_start(top: &Suspect, same_kind: bool) -> String {
    let about = top
        .resistance
        .filter(|_| same_kind)
        .map_or_else(String::new, |r| {
            format!(" of about {}", si(r.median, Unit::Ohms))
        });
    if !same_kind {
        return "One fault".to_owned();
    }
    match top.kind {
        FaultKind::ShortToGround => format!("Short to ground{about}"),
        FaultKind::ShortToRail => match &top.site.with {
            Some(rail) => format!("Short to {rail}{about}"),
            None => format!("Short to another rail{about}"),
        },
        FaultKind::ShortBetween => format!("Short between two{about}"),
        FaultKind::Open => "Open".to_owned(),
        FaultKind::HighResistance => match top.resistance {
            Some(r) => format!("High resistance of about {}", si(r.median, Unit::Ohms)),
            None => "High resistance".to_owned(),
        },
        FaultKind::DrawsTooMuch => format!("Draws too much{about}"),
        FaultKind::DrawsNothing => "Draws nothing".to_owned(),
        FaultKind::SupplyDead => "No feed out of the module".to_owned(),
        FaultKind::SupplyLow => "The module gives too little".to_owned(),
        FaultKind::LimitsEarly => "The module limits too early".to_owned(),
        FaultKind::UndrawnShort => "A member that is not drawn pulls the feed down".to_owned(),
    }
}

fn lower(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| {
        first.to_lowercase().chain(letters).collect()
    })
}

/// Metres from the module to a place along a wire, as drawn.
pub fn metres_from_module(
    harness: &Harness,
    wire: &str,
    position: &Position,
    metres: f64,
) -> Option<f64> {
    let run = harness.run(wire)?;
    let fraction = metres / position.length.max(1e-9);
    let from = harness.place(&position.from)?;
    let starts_here = run.corners.first().is_some_and(|corner| *corner == from);
    Some(
        run.at(if starts_here {
            fraction
        } else {
            1.0 - fraction
        })
        .x,
    )
}

fn place(circuit: &Circuit, harness: &Harness, top: &Suspect) -> String {
    let site = top.site.to_string();
    let wire = circuit.wires.iter().any(|wire| wire.id == top.site.part);
    match (&top.position, wire) {
        (Some(position), true) => {
            let median = position.metres.median;
            let metres =
                metres_from_module(harness, &top.site.part, position, median).unwrap_or(median);
            format!("on {site} near {metres:.1} m")
        }
        (_, true) => format!("on {site}"),
        (_, false) if circuit.loads.iter().any(|load| load.id == top.site.part) => {
            format!("inside {site}")
        }
        _ => format!("at {site}"),
    }
}

fn detail(top: &Suspect) -> String {
    let mut parts = Vec::new();
    if let Some(position) = &top.position {
        let median = position.metres.median;
        parts.push(format!(
            "{median:.1} m past {}, {:.1} m before {}",
            position.from.part,
            (position.length - median).max(0.0),
            position.to.part
        ));
    }
    if let Some(r) = top.resistance {
        parts.push(format!("R {}", interval(r.low, r.high, Unit::Ohms)));
    }
    parts.join(" · ")
}

/// One line under a suspect: its ohms and where along the wire, as 90 % intervals.
pub fn particulars(suspect: &Suspect) -> String {
    let mut parts = Vec::new();
    if let Some(r) = suspect.resistance {
        parts.push(interval(r.low, r.high, Unit::Ohms));
    }
    if let Some(position) = &suspect.position {
        let Interval { low, high, .. } = position.metres;
        parts.push(format!(
            "{low:.1} to {high:.1} m from {}",
            position.from.part
        ));
    }
    parts.join(" · ")
}

/// Whether a module is accused, in one line.
pub fn module_line(verdict: &ModuleVerdict) -> String {
    match verdict {
        ModuleVerdict::Cleared { supply, volts, .. } => format!(
            "{supply} is not accused: with the harness off, its pin read {}.",
            si(*volts, Unit::Volts)
        ),
        ModuleVerdict::NotTested { supply, unplug } if unplug.is_empty() => {
            format!("{supply} is not accused: its pin was not read alone.")
        }
        ModuleVerdict::NotTested { supply, unplug } => format!(
            "{supply} is not accused: its pin was not read alone (unplug {}).",
            super::words::list(unplug)
        ),
        ModuleVerdict::Accused { supply, entry } => format!(
            "{supply} is accused: its pin read wrong alone, line {}.",
            entry + 1
        ),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{
        app::layout::{END_ROOM_M, layout},
        diagnosis::{Fit, Group},
        fault::Site,
        notebook::parse_job,
    };

    fn case(suspects: Vec<Suspect>) -> (Circuit, Harness, Findings) {
        let text = include_str!("../../sample_circuits/01-ride-height.ron");
        let circuit = parse_job("sample", text.as_bytes()).unwrap().job.circuit;
        let harness = layout(&circuit, END_ROOM_M);
        let findings = Findings {
            problems: Vec::new(),
            groups: vec![Group {
                members: (0..suspects.len()).collect(),
                probability: 0.9,
            }],
            suspects,
            combinations: Vec::new(),
            healthy: 0.01,
            unexplained: 0.01,
            fit: Fit {
                tail: 0.5,
                chi_squared: 4.0,
                readings: 5,
            },
            readings: Vec::new(),
            points: Vec::new(),
            densities: Vec::new(),
            resistance: Vec::new(),
            modules: Vec::new(),
        };
        (circuit, harness, findings)
    }

    fn suspect(part: &str, kind: FaultKind, probability: f64) -> Suspect {
        Suspect {
            site: Site::part(part),
            kind,
            probability,
            resistance: None,
            position: None,
            group: 0,
        }
    }

    #[test]
    fn a_short_on_a_wire_is_placed_in_metres_from_the_module() {
        let mut top = suspect("W7", FaultKind::ShortToGround, 0.9);
        let around = |median: f64| Interval {
            low: median * 0.9,
            median,
            high: median * 1.1,
        };
        top.resistance = Some(around(4.6));
        top.position = Some(Position {
            from: "SP2".parse().unwrap(),
            to: "X3.1n".parse().unwrap(),
            metres: around(1.5),
            length: 2.4,
        });
        let (circuit, harness, findings) = case(vec![top]);
        let verdict = verdict(&circuit, &harness, &findings);
        assert_eq!(verdict.what, "Short to ground of about 4.6 Ω,");
        // SP2 lies 1.4 + 0.9 + 2.2 + 0.6 = 5.1 m from the module.
        assert_eq!(verdict.place, "on W7 near 6.6 m");
        assert_eq!(
            verdict.detail,
            "1.5 m past SP2, 0.9 m before X3 · R 4.1 to 5.1 Ω"
        );
    }

    #[test]
    fn what_cannot_be_told_apart_is_named_together() {
        let pair = vec![
            suspect("W3", FaultKind::Open, 0.4),
            suspect("W4", FaultKind::Open, 0.4),
        ];
        let (circuit, harness, findings) = case(pair);
        let verdict = verdict(&circuit, &harness, &findings);
        assert_eq!(
            (verdict.what.as_str(), verdict.place.as_str()),
            ("Open,", "at W3 and W4")
        );
    }

    #[test]
    fn nothing_is_accused_where_nothing_is_wrong() {
        let (circuit, harness, mut findings) = case(vec![suspect("W3", FaultKind::Open, 0.02)]);
        findings.healthy = 0.97;
        assert_eq!(verdict(&circuit, &harness, &findings).place, "");
        findings.fit.readings = 0;
        assert_eq!(
            verdict(&circuit, &harness, &findings).what,
            "No reading yet"
        );
    }
}
