//! Whole posteriors against an independent sampler that linearises nothing and shares no code with the program.
//!
//! Source: `tests/golden/posteriors.json`, made by `posteriors.py` and `posteriors_model.py` beside it, which say what
//! they assume and with which versions they ran.

#[path = "support/generated.rs"]
mod generated;

use std::collections::{BTreeMap, BTreeSet};

use generated::convert;
use pinchpoint::{
    diagnosis::{Findings, Question, diagnose},
    reading::State,
};
use serde::Deserialize;

/// Total variation between suspects that is let pass, beside two standard errors of the sampler.
const TOTAL_VARIATION: f64 = 0.03;
/// How far an end of an interval of ohms may lie off, as a fraction of the interval on a logarithmic scale.
const INTERVAL: f64 = 0.15;
/// Suspects whose ohms are compared: with fewer draws in them the sampled ends are rough.
const WORTH_COMPARING: f64 = 0.02;

#[derive(Deserialize)]
struct Golden {
    cases: Vec<Expected>,
}

#[derive(Clone, Deserialize)]
struct Expected {
    case: String,
    suspects: Vec<Sampled>,
    unexplained: f64,
}

#[derive(Clone, Deserialize)]
struct Sampled {
    site: String,
    kind: String,
    p: f64,
    se: f64,
    #[serde(default)]
    ohms: Option<[f64; 3]>,
    #[serde(default)]
    tenths: Option<[f64; 10]>,
}

fn golden() -> Vec<Expected> {
    let text = include_str!("golden/posteriors.json");
    serde_json::from_str::<Golden>(text)
        .expect("the sampler's file")
        .cases
}

fn answer(case: &str) -> Findings {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/cases");
    let case = convert(
        &std::fs::read_to_string(format!("{folder}/{case}.json")).expect("the case is there"),
    );
    diagnose(&Question {
        circuit: &case.circuit,
        meter: &case.meter,
        log: &case.log,
        now: &State::default(),
        out_of_reach: &BTreeSet::new(),
    })
}

/// What the program says of each thing: its probability, its ohms, and its probability in tenths of a wire.
struct Said {
    p: f64,
    ohms: Option<[f64; 3]>,
    tenths: Option<Vec<f64>>,
}

fn said(findings: &Findings) -> BTreeMap<(String, String), Said> {
    let mut all = BTreeMap::new();
    for suspect in &findings.suspects {
        let kind = serde_json::to_value(suspect.kind).expect("a kind has a name");
        let kind = kind.as_str().expect("a name").to_owned();
        let cells = (findings.densities.iter())
            .find(|d| kind == "short_to_ground" && d.wire == suspect.site.part)
            .map(|d| {
                d.cells
                    .chunks(d.cells.len() / 10)
                    .map(|c| c.iter().sum())
                    .collect()
            });
        let one = Said {
            p: suspect.probability,
            ohms: suspect.resistance.map(|r| [r.low, r.median, r.high]),
            tenths: cells,
        };
        all.insert((suspect.site.to_string(), kind), one);
    }
    for (kind, p) in [
        ("healthy", findings.healthy),
        ("unexplained", findings.unexplained),
    ] {
        let one = Said {
            p,
            ohms: None,
            tenths: None,
        };
        all.insert((String::new(), kind.to_owned()), one);
    }
    all
}

/// Total variation between the program's suspects and the sampler's, and its standard error.
fn total_variation(expected: &Expected, said: &BTreeMap<(String, String), Said>) -> (f64, f64) {
    let mut left: BTreeMap<&(String, String), f64> = said.iter().map(|(k, s)| (k, s.p)).collect();
    let unexplained = Sampled {
        site: String::new(),
        kind: "unexplained".to_owned(),
        p: expected.unexplained,
        se: 0.0,
        ohms: None,
        tenths: None,
    };
    let (mut sum, mut variance) = (0.0, 0.0);
    for sampled in expected.suspects.iter().chain([&unexplained]) {
        let name = (sampled.site.clone(), sampled.kind.clone());
        sum += (sampled.p - left.remove(&name).unwrap_or(0.0)).abs();
        variance += sampled.se * sampled.se;
    }
    sum += left.values().sum::<f64>();
    (0.5 * sum, 0.5 * variance.sqrt())
}

/// The same over tenths of wires and things that are no wires.
fn by_tenths(expected: &Expected, said: &BTreeMap<(String, String), Said>) -> f64 {
    let off = expected.suspects.iter().map(|sampled| {
        let mine = said.get(&(sampled.site.clone(), sampled.kind.clone()));
        match (&sampled.tenths, mine.and_then(|m| m.tenths.as_ref())) {
            (Some(theirs), Some(mine)) => theirs.iter().zip(mine).map(|(a, b)| (a - b).abs()).sum(),
            _ => (sampled.p - mine.map_or(0.0, |m| m.p)).abs(),
        }
    });
    0.5 * off.sum::<f64>()
}

/// Furthest end of an interval of ohms, as a fraction of the interval.
fn furthest_end(theirs: [f64; 3], mine: [f64; 3]) -> f64 {
    let width = (theirs[2] / theirs[0]).ln();
    (theirs.iter().zip(mine))
        .map(|(a, b)| (b / a).ln().abs() / width)
        .fold(0.0, f64::max)
}

#[test]
fn suspects_have_the_probabilities_that_a_sampler_finds() {
    for expected in golden() {
        let said = said(&answer(&expected.case));
        let sum: f64 = expected.suspects.iter().map(|s| s.p).sum();
        assert!((sum - 1.0).abs() < 2e-3, "{}: sampled {sum}", expected.case);
        let (off, se) = total_variation(&expected, &said);
        let tenths = by_tenths(&expected, &said);
        println!(
            "{}: total variation {off:.4} ± {se:.4}, by tenths {tenths:.4}",
            expected.case
        );
        assert!(
            off < TOTAL_VARIATION + 2.0 * se,
            "{}: {off:.4} ± {se:.4}",
            expected.case
        );
        assert!(
            tenths < TOTAL_VARIATION + 0.01,
            "{}: {tenths:.4} by tenths",
            expected.case
        );
    }
}

#[test]
fn ohms_lie_in_the_interval_that_a_sampler_finds() {
    let mut compared = 0;
    for expected in golden() {
        let said = said(&answer(&expected.case));
        for sampled in expected.suspects.iter().filter(|s| s.p > WORTH_COMPARING) {
            let Some(theirs) = sampled.ohms else { continue };
            let name = (sampled.site.clone(), sampled.kind.clone());
            let mine = said
                .get(&name)
                .and_then(|m| m.ohms)
                .expect("a suspect with ohms");
            let off = furthest_end(theirs, mine);
            println!(
                "{} {}: {theirs:.3?} and {mine:.3?}, off {off:.3}",
                expected.case, sampled.site
            );
            assert!(
                off < INTERVAL,
                "{} {}: {theirs:?} and {mine:?}",
                expected.case,
                sampled.site
            );
            compared += 1;
        }
    }
    assert!(compared >= 10, "only {compared} compared");
}

/// The bounds are no formality: a posterior in which two suspects have changed places does not pass.
#[test]
fn a_wrong_posterior_is_told_from_a_right_one() {
    for mut expected in golden() {
        let said = said(&answer(&expected.case));
        let last = expected
            .suspects
            .iter()
            .rposition(|s| s.p > 0.03)
            .expect("several suspects");
        let (p, other) = (expected.suspects[0].p, expected.suspects[last].p);
        expected.suspects[0].p = other;
        expected.suspects[last].p = p;
        let (off, se) = total_variation(&expected, &said);
        assert!(off > TOTAL_VARIATION + 2.0 * se, "{}: {off}", expected.case);
    }
}
