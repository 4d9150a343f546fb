//! The answer on the drawing: the headline with the metre at which it points, and a row per suspect.

use crate::{
    app::model::Answer,
    circuit::Circuit,
    diagnosis::{Findings, Position, Suspect},
    drawing::Harness,
    explain::{self, names},
    fault::Site,
    notebook::Job,
    quantity::{
        Unit,
        format::{interval, percent},
    },
};

/// The answer in a sentence of up to two pieces, and a line of detail.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Headline {
    /// What: `Short to ground, about 4.7 Ω,`.
    pub what: String,
    /// Where: `on W7 near 6.6 m`, on the metres of the drawing; empty where no place is accused.
    pub place: String,
    /// Place and size more exactly, how likely, and what limits the answer.
    pub detail: String,
    /// Whether it names a fault that is no longer one of several.
    pub settled: bool,
    /// Whether it names a part of the feed and no single place.
    pub region: bool,
}

/// The answer in a sentence; `harness` is the layout of the job's sketch.
pub fn headline(job: &Job, findings: &Findings, harness: &Harness) -> Headline {
    let said = explain::headline(&job.question(), findings);
    let what = said.line.strip_suffix(&said.place).unwrap_or(&said.line);
    let what = what.trim_end().to_owned();
    let mut headline = Headline {
        what,
        settled: said.is_settled(),
        region: said.region,
        place: said.place,
        detail: said.detail,
    };
    let top = findings.suspects.first();
    if let Some((suspect, at)) = top.and_then(|s| Some((s, s.position.as_ref()?)))
        && let Some(past) = names::past(at)
        && headline.place == format!("on {} {past}", suspect.site.part)
        && let Some(x) = metre(&job.circuit, harness, suspect, at)
    {
        headline.place = format!("on {} near {x:.1} m", suspect.site.part);
        headline.detail = format!("{past} · {}", headline.detail);
    }
    headline
}

/// Metre of the drawing at the middle of a place along a wire.
fn metre(circuit: &Circuit, harness: &Harness, suspect: &Suspect, at: &Position) -> Option<f64> {
    let wire = circuit.wire(&suspect.site.part)?;
    let fraction = (at.metres.median / at.length.max(f64::MIN_POSITIVE)).clamp(0.0, 1.0);
    let along = if wire.from == at.from {
        fraction
    } else {
        1.0 - fraction
    };
    Some(harness.run(&wire.id)?.at(along).x)
}

/// One suspect.
#[derive(Clone, Debug, PartialEq)]
pub struct SuspectRow {
    /// The thing.
    pub site: Site,
    /// The thing with its fault: `W7, SP2 to X3`, `S3, shorted inside`, `C1 pin 2, high resistance`.
    pub label: String,
    /// Probability, 0 to 1, for the length of a bar.
    pub share: f64,
    /// The same in words; never 0 % or 100 %.
    pub probability: String,
    /// Ohms of the short or added in series, 90 % interval; empty where there are none.
    pub resistance: String,
    /// Where along the wire, 90 % interval; empty where there is none.
    pub position: String,
    /// Whether it is what the headline names, alone or with others.
    pub named: bool,
    /// Number of its group; equal numbers cannot be told apart by any reachable test.
    pub group: usize,
}

/// Suspects in the order of the answer: what is likeliest together comes first, then what cannot be told from that,
/// the others by probability.
pub fn in_order(findings: &Findings) -> Vec<&Suspect> {
    let named = findings.named();
    let rank = |suspect: &&Suspect| {
        let is = named.iter().any(|named| std::ptr::eq(*named, *suspect));
        let alike = named.iter().any(|named| named.group == suspect.group);
        (!is, !alike)
    };
    let mut order: Vec<&Suspect> = findings.suspects.iter().collect();
    order.sort_by_key(rank);
    order
}

/// The first suspects of the answer, at most `count`.
pub fn suspects(answer: &Answer, count: usize) -> Vec<SuspectRow> {
    let listed = in_order(&answer.findings).into_iter().take(count);
    let named = answer.named();
    listed
        .map(|suspect| SuspectRow {
            site: suspect.site.clone(),
            label: names::label(&answer.job.circuit, suspect),
            share: suspect.probability.clamp(0.0, 1.0),
            probability: percent(suspect.probability),
            resistance: suspect.resistance.map_or_else(String::new, |ohms| {
                interval(ohms.low, ohms.high, Unit::Ohms)
            }),
            position: suspect
                .position
                .as_ref()
                .map_or_else(String::new, names::stretch),
            named: named.iter().any(|named| std::ptr::eq(*named, suspect)),
            group: suspect.group,
        })
        .collect()
}
