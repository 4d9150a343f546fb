//! The answer in words: a headline, and a row per suspect.

use crate::{
    app::{layout::Harness, words},
    circuit::Circuit,
    diagnosis::{Findings, Group, Suspect},
    fault::{FaultKind, Site},
    quantity::{
        Unit,
        format::{interval, percent, si},
    },
};

/// Most parts that a headline names as alike.
const NAMED: usize = 4;

/// A kind of fault in words.
pub fn fault(kind: FaultKind) -> &'static str {
    match kind {
        FaultKind::ShortToGround => "short to ground",
        FaultKind::ShortToRail => "short to another rail",
        FaultKind::ShortBetween => "short between two wires",
        FaultKind::Open => "open",
        FaultKind::HighResistance => "high resistance",
        FaultKind::DrawsTooMuch => "draws too much",
        FaultKind::DrawsNothing => "draws nothing",
        FaultKind::SupplyDead => "gives nothing",
        FaultKind::SupplyLow => "gives too little",
        FaultKind::LimitsEarly => "limits its current too early",
        FaultKind::UndrawnShort => "short on a member that is not drawn",
    }
}

/// The answer in a sentence of up to two pieces, and a line of detail.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Headline {
    /// What: `Short to ground, about 5 Ω,`.
    pub what: String,
    /// Where: `on W7 near 6.6 m`; empty where no place is accused.
    pub place: String,
    /// More: `1.5 m past SP2, 0.9 m before X3 · R 4.0 to 5.4 Ω`.
    pub detail: String,
}

/// The answer. Metres are those of the drawing.
pub fn headline(findings: &Findings, circuit: &Circuit, harness: &Harness) -> Headline {
    let plain = |what: &str, detail: String| Headline {
        what: what.to_owned(),
        place: String::new(),
        detail,
    };
    if let Some(problem) = findings.problems.iter().find(|problem| problem.fatal) {
        return plain(
            "No answer yet",
            format!("{}: {}. {}", problem.place, problem.what, problem.remedy),
        );
    }
    if findings.fit.readings == 0 {
        return plain(
            "No readings yet",
            "Read the feed at the module first".to_owned(),
        );
    }
    let likeliest = findings.suspects.first();
    let top = likeliest.map_or(0.0, |suspect| suspect.probability);
    if findings.unexplained > top.max(findings.healthy) {
        return plain(
            "Nothing on this sketch explains these readings",
            format!(
                "{} · is a member missing, or a plug noted wrong?",
                percent(findings.unexplained)
            ),
        );
    }
    match likeliest {
        Some(suspect) if top >= findings.healthy => accuse(suspect, findings, circuit, harness),
        _ => plain(
            &capital(&format!("{}nothing is wrong", hedge(findings.healthy))),
            percent(findings.healthy),
        ),
    }
}

/// How sure a sentence may sound.
fn hedge(probability: f64) -> &'static str {
    match probability {
        p if p >= 0.9 => "",
        p if p >= 0.5 => "probably ",
        _ => "perhaps ",
    }
}

fn accuse(
    suspect: &Suspect,
    findings: &Findings,
    circuit: &Circuit,
    harness: &Harness,
) -> Headline {
    let kind = fault(suspect.kind);
    let about = suspect.resistance.map_or_else(String::new, |ohms| {
        format!(", about {}", si(ohms.median, Unit::Ohms))
    });
    let hedge = hedge(suspect.probability);
    let (what, place) = if is_of_the_part(suspect.kind) {
        (
            capital(&format!("{hedge}{} {kind}{about}", suspect.site)),
            format!("inside {}", suspect.site.part),
        )
    } else {
        let article = match (hedge, suspect.kind) {
            ("", _) | (_, FaultKind::HighResistance) => "",
            (_, FaultKind::Open) => "an ",
            _ => "a ",
        };
        let comma = if about.is_empty() { "" } else { "," };
        (
            capital(&format!("{hedge}{article}{kind}{about}{comma}")),
            place(suspect, circuit, harness),
        )
    };
    Headline {
        what,
        place,
        detail: details(suspect, findings).join(" · "),
    }
}

/// Whether the fault is a behaviour of the part as a whole: `S2 draws too much`.
fn is_of_the_part(kind: FaultKind) -> bool {
    matches!(
        kind,
        FaultKind::DrawsTooMuch
            | FaultKind::DrawsNothing
            | FaultKind::SupplyDead
            | FaultKind::SupplyLow
            | FaultKind::LimitsEarly
    )
}

/// Where a fault is, with the metre of the drawing for a place on a wire.
fn place(suspect: &Suspect, circuit: &Circuit, harness: &Harness) -> String {
    let wire = circuit.wires.iter().find(|w| w.id == suspect.site.part);
    let Some(wire) = wire else {
        return format!("at {}", suspect.site);
    };
    let metre = suspect.position.as_ref().and_then(|at| {
        let fraction = (at.metres.median / at.length.max(f64::MIN_POSITIVE)).clamp(0.0, 1.0);
        let along = if wire.from == at.from {
            fraction
        } else {
            1.0 - fraction
        };
        Some(harness.run(&wire.id)?.at(along).x)
    });
    metre.map_or_else(
        || format!("on {}", suspect.site),
        |x| format!("on {} near {x:.1} m", suspect.site),
    )
}

fn details(suspect: &Suspect, findings: &Findings) -> Vec<String> {
    let mut details = Vec::new();
    if let Some(at) = &suspect.position {
        let middle = at.metres.median;
        details.push(format!(
            "{} past {}, {} before {}",
            si(middle, Unit::Metres),
            at.from.part,
            si((at.length - middle).max(0.0), Unit::Metres),
            at.to.part
        ));
    }
    if let Some(ohms) = suspect.resistance {
        details.push(format!("R {}", interval(ohms.low, ohms.high, Unit::Ohms)));
    }
    let together = findings.combinations.first();
    if let Some(together) = together.filter(|c| c.faults.len() > 1 && c.probability > 0.1) {
        let faults = together.faults.iter().map(|(site, kind)| {
            let words = fault(*kind);
            if is_of_the_part(*kind) {
                format!("{site} {words}")
            } else {
                format!("{words} at {site}")
            }
        });
        details.push(format!(
            "{} together: {}",
            percent(together.probability),
            words::list(faults)
        ));
    }
    if let Some(group) = alike(suspect, findings) {
        let mut names: Vec<String> = Vec::new();
        for member in &group.members {
            let name = findings.suspects.get(*member).map(|s| s.site.to_string());
            names.extend(name.filter(|name| !names.contains(name)));
        }
        if names.len() > NAMED {
            let others = names.len() - NAMED + 1;
            names.truncate(NAMED - 1);
            names.push(format!("{others} others"));
        }
        if names.len() > 1 {
            details.push(format!(
                "no reachable test tells {} apart",
                words::list(names)
            ));
        }
    }
    details
}

fn alike<'f>(suspect: &Suspect, findings: &'f Findings) -> Option<&'f Group> {
    let group = findings.groups.get(suspect.group)?;
    (group.members.len() > 1).then_some(group)
}

fn capital(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map_or_else(String::new, |first| {
        first.to_uppercase().chain(chars).collect()
    })
}

/// One suspect.
#[derive(Clone, Debug, PartialEq)]
pub struct SuspectRow {
    /// The thing.
    pub site: Site,
    /// What it is called: `W7 SP2 to X3`, `S3`, `C1 pin 2`.
    pub label: String,
    /// What would be wrong.
    pub fault: &'static str,
    /// Probability, 0 to 1, for the length of a bar.
    pub share: f64,
    /// The same in words; never 0 % or 100 %.
    pub probability: String,
    /// Ohms of the short or added in series, 90 % interval; empty where there are none.
    pub resistance: String,
    /// Where along the wire, 90 % interval; empty where there is none.
    pub position: String,
    /// Number of its group; equal numbers cannot be told apart by any reachable test.
    pub group: usize,
}

/// The likeliest suspects, at most `count`.
pub fn suspects(findings: &Findings, count: usize) -> Vec<SuspectRow> {
    let listed = findings.suspects.iter().take(count);
    listed
        .map(|suspect| SuspectRow {
            site: suspect.site.clone(),
            label: match &suspect.position {
                Some(at) if suspect.site.with.is_none() => {
                    format!("{} {} to {}", suspect.site, at.from.part, at.to.part)
                }
                _ => suspect.site.to_string(),
            },
            fault: fault(suspect.kind),
            share: suspect.probability.clamp(0.0, 1.0),
            probability: percent(suspect.probability),
            resistance: suspect.resistance.map_or_else(String::new, |ohms| {
                interval(ohms.low, ohms.high, Unit::Ohms)
            }),
            position: suspect.position.as_ref().map_or_else(String::new, |at| {
                format!(
                    "{} from {}",
                    interval(at.metres.low, at.metres.high, Unit::Metres),
                    at.from.part
                )
            }),
            group: suspect.group,
        })
        .collect()
}
