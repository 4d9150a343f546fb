//! The worked sum: from what is read to the ohms of the fault, with the numbers of the solve.
//!
//! Seen from any place the rest of a circuit is some volts behind some ohms (Thevenin's theorem), so a short is always
//! explained by a divider of two resistances; at a supply's limit by its current; a bad joint by the volts that are lost
//! across it; a load or supply by what it gives or takes.

mod best_fit;
pub mod figures;
mod ohms;
mod scene;
mod series;
mod shunt;
mod source;

use serde::Serialize;

use super::names;
use crate::{
    circuit::{
        LimitMode, Point,
        tree::{FeedTree, Side, cut_off},
    },
    diagnosis::{Findings, Question, ReadingFinding, SupplyFinding, Suspect, proof::SinceRepair},
    fault::FaultKind,
    infer::solve::Regime,
    quantity::Unit,
    reading::{Kind, Reading, State},
};
use figures::{Equation, Figure, three};
use scene::{Numbers, Scene};

/// Standard deviations by which a reading must be off its healthy value to show the fault (judgement).
const SHOWS: f64 = 2.0;
/// Readings among which one is looked for in whose state the fault carries current, and how much, A.
const TRIED: usize = 4;
const WORTH_SHOWING: f64 = 2e-5;
/// Share of a value below which a difference to it is not worth a line.
const SLIGHT: f64 = 0.005;
/// Ratio of the ends of its 90 % interval under which a limit that nobody knows counts as told by the readings (judgement).
const TOLD: f64 = 1.25;

/// One line of a worked sum.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct SumLine {
    /// The line as it is shown.
    pub text: String,
    /// The sum in it with its unrounded numbers; `None` for words alone.
    pub equation: Option<Equation>,
}

/// A worked sum.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct WorkedSum {
    /// Index of the suspect in the findings; `None` where nothing is wrong.
    pub suspect: Option<usize>,
    /// Index in the log of the reading whose state it is in; `None` for the present state.
    pub entry: Option<usize>,
    /// The lines; empty where nothing can be computed.
    pub lines: Vec<SumLine>,
}

/// The sum behind the answer: the top suspect, in the state of the reading that speaks most for it. With nothing read
/// since a repair it is what the next reading is to show: the circuit without a fault, as it stands now.
pub fn worked_sum(question: &Question<'_>, findings: &Findings) -> WorkedSum {
    let accused =
        findings.since_repair() != Some(SinceRepair::NotRead) && findings.accused().is_some();
    let suspect = accused.then_some(0);
    worked_sum_of(
        question,
        findings,
        suspect,
        telling(question, findings, suspect),
    )
}

/// The log line in whose state a sum is most worth showing; `None` for the present state.
///
/// Of the readings that the fault moves off what a sound circuit gives it is the one that speaks most; volts before
/// anything else, and what was read since the last repair before older readings.
pub fn telling(
    question: &Question<'_>,
    findings: &Findings,
    suspect: Option<usize>,
) -> Option<usize> {
    let last_repair = question
        .log
        .iter()
        .rposition(|line| matches!(line, crate::reading::Entry::Repair(_)));
    let rank = |finding: &ReadingFinding| {
        let reading = scene::reading_at(question, finding.entry)?;
        let shows = finding.suspected.is_some_and(|under| {
            let sd = finding.healthy.sd.max(1e-6 * finding.healthy.mean.abs());
            (under.mean - finding.healthy.mean).abs() > SHOWS * sd
        });
        let usable = finding.mistaken <= super::readings::FLAGGED
            && under_test(reading)
            && (suspect.is_none() || shows);
        let since = last_repair.is_none_or(|repair| finding.entry > repair);
        // A sound circuit is no sum of what was read while the fault was there.
        (usable && (suspect.is_some() || since)).then_some((
            since,
            reading.kind == Kind::Volts,
            if suspect.is_none() { 0.0 } else { finding.bits },
        ))
    };
    let mut ranked: Vec<_> = findings
        .readings
        .iter()
        .filter_map(|finding| Some((rank(finding)?, finding.entry)))
        .collect();
    ranked.sort_by(|(a, _), (b, _)| b.partial_cmp(a).unwrap_or(std::cmp::Ordering::Equal));
    let carries = |entry: usize| {
        Scene::new(question, findings, suspect, Some(entry))
            .and_then(|scene| scene.current())
            .is_none_or(|current| current > WORTH_SHOWING)
    };
    let first = ranked.first().map(|(_, entry)| *entry);
    let tried = ranked.iter().take(TRIED).map(|(_, entry)| *entry);
    let mut carrying = tried.filter(|&entry| suspect.is_none() || carries(entry));
    carrying.next().or(first)
}

/// Whether a display gave a number to reckon with.
fn under_test(reading: &Reading) -> bool {
    use crate::reading::Value;
    !matches!(reading.value, Value::OverRange { .. } | Value::Seen(_))
}

/// The sum of any suspect (`None`: nothing wrong) in the state of any reading (`None`: as the circuit stands now).
pub fn worked_sum_of(
    question: &Question<'_>,
    findings: &Findings,
    suspect: Option<usize>,
    entry: Option<usize>,
) -> WorkedSum {
    let mut sum = WorkedSum {
        suspect,
        entry,
        lines: Vec::new(),
    };
    let unanswered = findings.problems.iter().any(|problem| problem.fatal);
    if unanswered || findings.fit.readings == 0 || question.circuit.supplies.is_empty() {
        return sum;
    }
    let Some(scene) = Scene::new(question, findings, suspect, entry) else {
        return sum;
    };
    let mut story = Story {
        question,
        findings,
        suspect: suspect.and_then(|index| findings.suspects.get(index)),
        reading: entry.and_then(|entry| Some((entry, scene::reading_at(question, entry)?))),
        with: scene.solve(),
        without: scene.solve_without(),
        scene,
        lines: Vec::new(),
    };
    story.tell();
    sum.lines = story.lines;
    sum
}

/// A sum while it is written.
struct Story<'a> {
    question: &'a Question<'a>,
    findings: &'a Findings,
    suspect: Option<&'a Suspect>,
    reading: Option<(usize, &'a Reading)>,
    scene: Scene,
    with: Numbers,
    without: Numbers,
    lines: Vec<SumLine>,
}

impl Story<'_> {
    fn say(&mut self, text: impl Into<String>) {
        self.lines.push(SumLine {
            text: text.into(),
            equation: None,
        });
    }

    /// A line with a sum in it: `before` sum `after`.
    fn sum(&mut self, before: &str, (sum, equation): (String, Equation), after: &str) {
        self.lines.push(SumLine {
            text: format!("{before}{sum}{after}"),
            equation: Some(equation),
        });
    }

    fn state(&self) -> &State {
        self.reading
            .map_or(self.question.now, |(_, reading)| &reading.state)
    }

    fn finding(&self) -> Option<&ReadingFinding> {
        let (entry, _) = self.reading?;
        self.findings.readings.iter().find(|f| f.entry == entry)
    }

    fn tell(&mut self) {
        self.head();
        let ohms = self
            .reading
            .is_some_and(|(_, reading)| reading.kind == Kind::Ohms);
        let kind = self.suspect.map(|suspect| suspect.kind);
        match kind {
            _ if ohms => self.tell_ohms(),
            None => self.tell_healthy(),
            Some(_) if !self.scene.is_there() => {
                self.say("The fault was not there yet when this was read.");
                self.tell_healthy();
            }
            Some(
                FaultKind::ShortToGround
                | FaultKind::ShortToRail
                | FaultKind::ShortBetween
                | FaultKind::DrawsTooMuch
                | FaultKind::SignalStuck
                | FaultKind::UndrawnShort,
            ) => self.tell_shunt(),
            Some(FaultKind::Open | FaultKind::HighResistance) => self.tell_series(),
            Some(FaultKind::DrawsNothing) => self.tell_idle_load(),
            Some(FaultKind::SupplyDead | FaultKind::SupplyLow | FaultKind::LimitsEarly) => {
                self.tell_supply();
            }
        }
    }

    /// Which reading it is about, or that it is about the present state.
    fn head(&mut self) {
        let state = names::state(self.state());
        match self.reading {
            None => self.say(format!("As it stands now, {state}:")),
            Some((entry, reading)) => {
                let unit = reading.kind.unit();
                let should = self.finding().map_or_else(String::new, |finding| {
                    let should = names::should(finding.healthy.mean, finding.hinges, unit);
                    format!(", should read {should}")
                });
                let mistaken = self
                    .finding()
                    .is_some_and(|finding| finding.mistaken > super::readings::FLAGGED);
                self.say(format!(
                    "Reading {}, {}, {state}: reads {}{should}.",
                    entry + 1,
                    names::leads(reading),
                    names::shown(reading)
                ));
                let hinges = self
                    .finding()
                    .is_some_and(|finding| finding.hinges.is_some());
                if hinges && self.suspect.is_none() {
                    self.say(
                        "It hinges on the supply's limit; the sum takes that as it is stated.",
                    );
                }
                if mistaken {
                    self.say("It is probably a mistake; the sum is what it should have been.");
                }
            }
        }
        let off = cut_off(self.question.circuit, &self.state().unplugged);
        let others = self.scene.others.iter();
        let others: Vec<_> = others
            .filter(|(site, _)| !off.contains(&site.part))
            .collect();
        if !others.is_empty() {
            let others: Vec<String> = others
                .into_iter()
                .map(|(site, kind)| names::accusation(site, *kind))
                .collect();
            self.say(format!(
                "In it too, as part of the rest: {}.",
                names::list(&others, "and")
            ));
        }
    }

    /// Current at which a supply is at its limit, where nobody knows the limit and the readings hardly tell it: what the
    /// search had to assume.
    fn assumed_limit(&self, source: usize) -> Option<f64> {
        let supply = self.question.circuit.supplies.get(source)?;
        let known = match supply.limit {
            LimitMode::Constant { limit } | LimitMode::Foldback { limit, .. } => limit.is_some(),
            LimitMode::Unknown | LimitMode::None => false,
        };
        let told = |finding: &SupplyFinding| {
            let limit = finding.limit_a.filter(|_| finding.supply == supply.id);
            limit.is_some_and(|limit| limit.now.high < TOLD * limit.now.low)
        };
        let limited = self.with.regime(source) == Regime::Limited;
        (limited && !known && !self.findings.supplies.iter().any(told))
            .then(|| self.with.output(source))
    }

    /// Where the suspect's fault is.
    fn place(&self) -> String {
        let Some(suspect) = self.suspect else {
            return String::new();
        };
        let wire = self.question.circuit.wire(&suspect.site.part);
        match (wire, self.scene.fraction) {
            (Some(wire), Some(x)) => format!(
                "{}, {:.2} m past {}",
                wire.id,
                x * wire.length_or_assumed(),
                names::end(&wire.from)
            ),
            _ => names::place(&suspect.site, suspect.kind),
        }
    }

    /// From the volts at the reading's point to those at the fault, `there`.
    fn way_from_reading(&mut self, there: f64) {
        let Some((_, reading)) = self.reading else {
            return;
        };
        if reading.kind != Kind::Volts || !reading.black.is_battery_negative() {
            return;
        }
        let tree = FeedTree::walk(self.question.circuit, Side::Feed);
        if tree.index_of(&reading.red).is_none() {
            return;
        }
        let Some(here) = self.with.between(&self.scene, &reading.red, &reading.black) else {
            return;
        };
        let fall = here - there;
        if fall.abs() < SLIGHT * there.abs().max(here.abs()) || fall.abs() < 5e-5 {
            return;
        }
        let point = names::point(&reading.red);
        if fall > 0.0 {
            let sum = figures::difference(here, fall, Unit::Volts);
            let lost = three((fall, Unit::Volts));
            self.sum(
                &format!("From {point} to the fault {lost} is lost: "),
                sum,
                " there.",
            );
        } else {
            let sum = figures::total(here, -fall, Unit::Volts);
            self.sum(
                &format!("The fault stands higher than {point}: "),
                sum,
                " there.",
            );
        }
    }

    /// Name of a supply.
    fn supply(&self, source: usize) -> String {
        self.question
            .circuit
            .supplies
            .get(source)
            .map_or_else(String::new, |supply| supply.id.clone())
    }

    /// Name of the point at a node of the network.
    fn at_node(&self, node: usize) -> String {
        self.scene
            .model()
            .nodes
            .iter()
            .find(|(_, n)| **n == node)
            .map_or_else(
                || "there".to_owned(),
                |(point, _): (&Point, _)| names::point(point),
            )
    }
}

fn volts(value: f64) -> Figure {
    (value, Unit::Volts)
}

fn amperes(value: f64) -> Figure {
    (value, Unit::Amperes)
}

fn of_ohms(value: f64) -> Figure {
    (value, Unit::Ohms)
}
