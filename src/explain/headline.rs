//! The answer in one sentence, never surer than the findings.

use serde::Serialize;

use super::{names, region::region, since_repair::since_the_repair};
use crate::{
    circuit::{Circuit, LimitMode},
    diagnosis::{Findings, Group, ModuleVerdict, Question, SETTLED, Suspect},
    fault::{FaultKind, Site},
    quantity::format::percent,
    reading::Entry,
};

/// Share of its group from which a member is named in the sentence, and below which it is not named at all (judgement).
const IN_LINE: f64 = 0.05;
const IN_DETAIL: f64 = 0.01;
/// Members of a group that are named (judgement).
const NAMED: usize = 3;
/// Tail probability of the misfit below which the sentence is hedged (judgement).
const POOR_FIT: f64 = 0.01;
/// Probability under which what is named is only the first of several (judgement).
const ONE_OF_SEVERAL: f64 = 0.35;

/// The answer.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Headline {
    /// One sentence without a full stop.
    pub line: String,
    /// Its end that says where, to be set apart; empty where there is no place to name.
    pub place: String,
    /// Place and size more exactly, how likely, and what limits the answer; may be empty.
    pub detail: String,
    /// How likely what it names is; none where it names no fault.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub probability: Option<f64>,
    /// Whether it names a part of the feed and no single place.
    #[serde(skip)]
    pub region: bool,
}

impl Headline {
    pub(super) fn plain(line: impl Into<String>, detail: impl Into<String>) -> Self {
        Self {
            line: line.into(),
            place: String::new(),
            detail: detail.into(),
            probability: None,
            region: false,
        }
    }

    /// Whether it names a fault that is no longer one of several.
    pub fn is_settled(&self) -> bool {
        self.probability.is_some_and(|share| share >= SETTLED)
    }
}

/// Says in a sentence what the findings are.
pub fn headline(question: &Question<'_>, findings: &Findings) -> Headline {
    if let Some(problem) = findings.problems.iter().find(|problem| problem.fatal) {
        return Headline::plain(
            format!("No answer yet: {}, {}", problem.place, problem.what),
            problem.remedy.clone(),
        );
    }
    if findings.fit.readings == 0 {
        return nothing_read(question);
    }
    if findings.is_unfinished() {
        return Headline::plain(
            "No single fault explains every reading",
            "faults together are being weighed; what is listed is the best that one alone does",
        );
    }
    if let Some(said) = since_the_repair(question, findings) {
        return said;
    }
    if findings.is_unexplained() {
        return Headline::plain(
            "Nothing on this sketch explains these readings",
            "check the plug states and units in the log, then draw what is missing: other members, other rails",
        );
    }
    match findings.suspects.first() {
        Some(top) if findings.healthy < top.probability => accuse(question, findings, top),
        _ => healthy(question.circuit, findings),
    }
}

fn nothing_read(question: &Question<'_>) -> Headline {
    let logged = question
        .log
        .iter()
        .any(|entry| matches!(entry, Entry::Reading(_)));
    if logged {
        return Headline::plain(
            "None of the readings can be used yet",
            "see what is to mend in the log",
        );
    }
    Headline::plain(
        "No readings yet: log one where it is easy to reach",
        "with everything plugged and the key on; the next test names the point that tells most for its minutes",
    )
}

fn healthy(circuit: &Circuit, findings: &Findings) -> Headline {
    let mut detail = vec![format!(
        "nothing wrong at all: {}",
        percent(findings.healthy)
    )];
    if let Some(suspect) = findings
        .suspects
        .first()
        .filter(|suspect| suspect.probability > 0.02)
    {
        detail.push(format!(
            "a fault that would hardly show is not ruled out, such as {} ({})",
            names::accusation(&suspect.site, suspect.kind),
            percent(suspect.probability)
        ));
    }
    if circuit.loads.is_empty() {
        detail.push("no sensor is drawn".to_owned());
    }
    Headline::plain(
        "Nothing wrong that these readings can see",
        detail.join(" · "),
    )
}

fn accuse(question: &Question<'_>, findings: &Findings, top: &Suspect) -> Headline {
    let told = match findings.together() {
        Some(combination) => several(findings, &combination.faults),
        None => alone(question.circuit, findings, top),
    };
    let (mut line, mut detail, probability) = (told.line, told.detail, told.probability);
    detail.retain(|text| !text.is_empty());
    detail.extend(gate(findings, top));
    if findings.fit.tail < POOR_FIT {
        line = format!("Does not fit well; nearest is {}", lower(&line));
        detail.push("look for a reading or a plug state that is wrong".to_owned());
    } else if probability < ONE_OF_SEVERAL {
        line = format!(
            "Several faults are possible; likeliest, with {}, is {}",
            percent(probability),
            lower(&line)
        );
    } else if probability < SETTLED {
        line = format!("Not sure yet; likeliest is {}", lower(&line));
    }
    if question
        .circuit
        .supplies
        .iter()
        .any(|supply| supply.limit == LimitMode::Unknown && supply.id == top.site.part)
        && top.kind == FaultKind::LimitsEarly
    {
        detail.push("its limit is not known".to_owned());
    }
    Headline {
        line,
        place: told.place,
        detail: detail.join(" · "),
        probability: Some(probability),
        region: told.region,
    }
}

/// One fault: the part of the feed that holds it where no place has a fair share, else the place.
fn alone(circuit: &Circuit, findings: &Findings, top: &Suspect) -> Told {
    let said = one(findings, top);
    let few = said.probability >= SETTLED && said.members <= NAMED;
    if top.probability < ONE_OF_SEVERAL
        && !few
        && let Some(region) = region(circuit, findings, top)
    {
        let more = one(findings, region.likeliest).detail;
        return region.told(circuit, more);
    }
    let mut detail = Vec::new();
    if said.members == 1 {
        detail.extend([place_in_full(top), names::known_as(circuit, &top.site)]);
    }
    detail.extend(said.ohms);
    detail.extend(said.detail);
    detail.push(likely(said.probability));
    Told {
        line: said.line,
        place: said.place,
        detail,
        probability: said.probability,
        region: false,
    }
}

/// What is said of one suspect with those that cannot be told from it.
struct Said {
    line: String,
    place: String,
    /// Its size in full, where it has one.
    ohms: Option<String>,
    /// What else there is to say.
    detail: Vec<String>,
    probability: f64,
    members: usize,
}

fn one(findings: &Findings, suspect: &Suspect) -> Said {
    let alone = Group {
        members: Vec::new(),
        probability: suspect.probability,
    };
    let group = findings.groups.get(suspect.group).unwrap_or(&alone);
    let members: Vec<&Suspect> = group
        .members
        .iter()
        .filter_map(|&member| findings.suspects.get(member))
        .filter(|member| member.probability >= IN_DETAIL * group.probability)
        .collect();
    let named: Vec<&Suspect> = members
        .iter()
        .copied()
        .filter(|member| member.probability >= IN_LINE * group.probability)
        .collect();
    let mut detail = Vec::new();
    if members.len() > 1 {
        let shown = &members[..members.len().min(NAMED + 1)];
        let place = |member: &Suspect| names::place(&member.site, member.kind);
        let kinds_differ =
            (0..shown.len()).any(|i| (0..i).any(|other| place(shown[other]) == place(shown[i])));
        let chances: Vec<String> = shown
            .iter()
            .map(|member| {
                let name = if kinds_differ {
                    names::accusation(&member.site, member.kind)
                } else {
                    place(member)
                };
                format!("{name} ({})", percent(member.probability))
            })
            .collect();
        let chances = chances.join(", ");
        detail.push(format!(
            "no reading against battery negative tells these apart: {chances}"
        ));
    }
    let (what, place) = if named.len() > 1 {
        shared(&named)
    } else {
        sentence(suspect)
    };
    Said {
        line: format!("{what} {place}"),
        place,
        ohms: suspect.resistance.map(names::resistance),
        detail,
        probability: group.probability,
        members: named.len().max(1),
    }
}

/// The sentence for a group: what they have in common, and who they are.
fn shared(members: &[&Suspect]) -> (String, String) {
    let first = members[0];
    let same = |test: fn(FaultKind) -> bool| members.iter().all(|member| test(member.kind));
    let to_ground = |kind| {
        matches!(
            kind,
            FaultKind::ShortToGround | FaultKind::DrawsTooMuch | FaultKind::UndrawnShort
        )
    };
    let size = first
        .resistance
        .map_or_else(String::new, |ohms| format!(", {},", names::about(ohms)));
    let one_rail = members
        .iter()
        .all(|member| member.site.with == first.site.with);
    if same(to_ground) {
        let places = either(members, |member| names::place(&member.site, member.kind));
        (format!("Short to ground{size}"), format!("at {places}"))
    } else if same(|kind| kind == FaultKind::ShortToRail) && one_rail {
        let places = either(members, |member| member.site.part.clone());
        let rail = first.site.with.as_deref().unwrap_or("another rail");
        (format!("Short to {rail}{size}"), format!("at {places}"))
    } else if same(|kind| matches!(kind, FaultKind::Open | FaultKind::HighResistance)) {
        let places = either(members, |member| names::thing(&member.site));
        let what = if same(|kind| kind == FaultKind::Open) {
            "Open".to_owned()
        } else if same(|kind| kind == FaultKind::HighResistance) {
            format!("High resistance{size}")
        } else {
            "Open or high resistance".to_owned()
        };
        (what, format!("at {places}"))
    } else {
        let places = either(members, |member| {
            names::accusation(&member.site, member.kind)
        });
        ("One of these:".to_owned(), places)
    }
}

fn either(members: &[&Suspect], name: impl Fn(&Suspect) -> String) -> String {
    let mut named: Vec<String> = Vec::new();
    for member in members {
        let name = name(member);
        if !named.contains(&name) {
            named.push(name);
        }
    }
    let more = named.len().saturating_sub(NAMED);
    if more > 1 {
        named.truncate(NAMED);
        named.push(format!("{more} others"));
    }
    names::list(&named, "or")
}

/// What is wrong, with its size, and where.
fn sentence(suspect: &Suspect) -> (String, String) {
    let site = &suspect.site;
    let part = &site.part;
    let other = site.with.as_deref().unwrap_or("another line");
    let sized = |what: String| {
        suspect.resistance.map_or(what.clone(), |ohms| {
            format!("{what}, {},", names::about(ohms))
        })
    };
    let at = if let Some(pin) = site.pin {
        format!("at {part} pin {pin}")
    } else if let Some(position) = &suspect.position {
        let place = names::past(position).map_or_else(String::new, |past| format!(" {past}"));
        format!("on {part}{place}")
    } else {
        format!("at {part}")
    };
    match suspect.kind {
        FaultKind::ShortToGround => (sized("Short to ground".to_owned()), at),
        FaultKind::ShortToRail => (sized(format!("Short to {other}")), format!("on {part}")),
        FaultKind::ShortBetween => (
            sized("Short".to_owned()),
            format!("between {part} and {other}"),
        ),
        FaultKind::Open => ("Open".to_owned(), at),
        FaultKind::HighResistance => (sized("High resistance".to_owned()), at),
        FaultKind::DrawsTooMuch => (
            sized("Short to ground".to_owned()),
            format!("inside {part}"),
        ),
        FaultKind::DrawsNothing => ("No current is taken".to_owned(), format!("by {part}")),
        FaultKind::SignalStuck => ("The signal is held".to_owned(), format!("inside {part}")),
        FaultKind::SupplyDead => ("Nothing is given".to_owned(), format!("by {part}")),
        FaultKind::SupplyLow => ("Too few volts are given".to_owned(), format!("by {part}")),
        FaultKind::LimitsEarly => (
            "The current is limited too early".to_owned(),
            format!("by {part}"),
        ),
        FaultKind::UndrawnShort => (
            sized("Short to ground".to_owned()),
            format!("on a member at {part} that is not drawn"),
        ),
    }
}

fn place_in_full(suspect: &Suspect) -> String {
    suspect
        .position
        .as_ref()
        .map_or_else(String::new, names::stretch)
}

/// An accusation before it is hedged: a sentence, its end that says where, what more there is to say, how likely it is, and
/// whether it is of a part of the feed.
pub(super) struct Told {
    pub line: String,
    pub place: String,
    pub detail: Vec<String>,
    pub probability: f64,
    pub region: bool,
}

/// Two or more faults together.
fn several(findings: &Findings, faults: &[(Site, FaultKind)]) -> Told {
    let named = findings.named();
    let said: Vec<Said> = named.iter().map(|suspect| one(findings, suspect)).collect();
    let groups = |faults: &[(Site, FaultKind)]| {
        let mut groups: Vec<Option<usize>> = faults
            .iter()
            .map(|fault| findings.suspect(fault).map(|suspect| suspect.group))
            .collect();
        groups.sort_unstable();
        groups
    };
    let own = groups(faults);
    // Combinations that differ only in what no test can tell apart say the same.
    let probability = findings
        .combinations
        .iter()
        .filter(|combination| groups(&combination.faults) == own)
        .map(|combination| combination.probability)
        .sum();
    let count = match faults.len() {
        2 => "Two faults".to_owned(),
        3 => "Three faults".to_owned(),
        more => format!("{more} faults"),
    };
    let each: Vec<String> = said
        .iter()
        .enumerate()
        .map(|(index, one)| {
            if index == 0 {
                lower(&one.line)
            } else {
                format!("and {}", lower(&one.line))
            }
        })
        .collect();
    let place = each.join(", ");
    let mut detail = Vec::new();
    for (one, suspect) in said.iter().zip(named) {
        let text: Vec<&str> = (one.ohms.iter().chain(&one.detail))
            .map(String::as_str)
            .collect();
        if !text.is_empty() {
            detail.push(format!(
                "{}: {}",
                names::place(&suspect.site, suspect.kind),
                text.join(", ")
            ));
        }
    }
    detail.push(likely(probability));
    Told {
        line: format!("{count}: {place}"),
        place,
        detail,
        probability,
        region: false,
    }
}

pub(super) fn likely(probability: f64) -> String {
    format!("{} likely", percent(probability))
}

/// A module is suspected, but accused only when its pin was read alone.
fn gate(findings: &Findings, top: &Suspect) -> Option<String> {
    let supply = matches!(
        top.kind,
        FaultKind::SupplyDead | FaultKind::SupplyLow | FaultKind::LimitsEarly
    );
    if !supply {
        return None;
    }
    findings.modules.iter().find_map(|verdict| match verdict {
        ModuleVerdict::NotTested { supply, unplug, .. } if *supply == top.site.part => {
            Some(if unplug.is_empty() {
                format!("{supply} is not accused before its pin was read with the harness off")
            } else {
                format!(
                    "{supply} is not accused before its pin was read with {} unplugged",
                    names::list(unplug, "and")
                )
            })
        }
        _ => None,
    })
}

/// With a small first letter, for the middle of a sentence.
fn lower(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| {
        first.to_lowercase().chain(letters).collect()
    })
}
