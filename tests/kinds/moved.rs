//! Moving a place while the meter is watched: a likelihood ratio for a fault there (judgement), whatever the circuit reads.

use std::collections::BTreeSet;

use pinchpoint::{
    diagnosis::{Findings, Question},
    explain::steps,
    fault::{FaultKind, Site},
    practice::Hidden,
    reading::{Meter, SIGNS, State, Wiggled},
};

use super::shared::{answer, chance, circuit, log, volts_at, without, world};

/// Odds of a fault of the place against every other single fault.
fn odds(findings: &Findings, places: &[&str]) -> f64 {
    let there = chance(findings, |site, _| places.contains(&site.part.as_str()));
    let elsewhere = chance(findings, |site, _| !places.contains(&site.part.as_str()));
    there / elsewhere
}

fn after(moved: &[(&str, bool)], places: &[&str]) -> f64 {
    let mut circuit = circuit(5.0);
    for wire in &mut circuit.wires[2..4] {
        wire.bundle = "left sill".to_owned();
    }
    let fault = Hidden::new(Site::part("S3"), FaultKind::DrawsTooMuch, 20.0);
    let mut world = world(&circuit, fault);
    let mut reading = volts_at(&mut world, "M1.feed", &without(&[]));
    reading.wiggled = (moved.iter())
        .map(|&(place, changed)| Wiggled {
            place: place.to_owned(),
            changed,
        })
        .collect();
    odds(&answer(&circuit, &log([reading])), places)
}

/// Bayes' rule: odds afterwards are odds before times the likelihood ratio.
#[test]
fn odds_are_multiplied_by_the_ratio_of_the_table() {
    let ratio = |moved: &[(&str, bool)], places: &[&str]| after(moved, places) / after(&[], places);
    let (changed, unchanged) = (SIGNS.wiggle.changed, 1.0 / SIGNS.wiggle.unchanged);
    for (moved, places, expected) in [
        (&[("W5", true)][..], &["W5"][..], changed),
        (&[("W5", false)], &["W5"], unchanged),
        (&[("X2", true)], &["X2"], changed),
        // A bundle is all of its wires.
        (&[("left sill", true)], &["W3", "W4"], changed),
        // Moving it again is no new evidence; what it did last counts.
        (&[("W5", true), ("W5", true)], &["W5"], changed),
        (&[("W5", false), ("W5", true)], &["W5"], changed),
        // Of another place it says nothing against the rest.
        (&[("W5", true)], &["W5", "W6"], f64::NAN),
    ] {
        let got = ratio(moved, places);
        if expected.is_nan() {
            assert!(got > 1.5 && got < changed, "{moved:?}: {got}");
        } else {
            // Suspects under one in two thousand are not listed.
            assert!(
                (got / expected - 1.0).abs() < 0.02,
                "{moved:?}: {got} for {expected}"
            );
        }
    }
}

#[test]
fn the_story_says_what_moving_showed() {
    let circuit = circuit(5.0);
    let fault = Hidden::new(Site::part("S3"), FaultKind::DrawsTooMuch, 20.0);
    let mut world = world(&circuit, fault);
    let mut reading = volts_at(&mut world, "M1.feed", &without(&[]));
    reading.wiggled = [("X3", true), ("C1", false)]
        .map(|(place, changed)| Wiggled {
            place: place.to_owned(),
            changed,
        })
        .to_vec();
    let log = log([reading]);
    let question = Question {
        circuit: &circuit,
        meter: &Meter::default(),
        log: &log,
        now: &State::default(),
        out_of_reach: &BTreeSet::new(),
    };
    let told: Vec<String> = steps(&question, &answer(&circuit, &log))
        .into_iter()
        .map(|step| step.text)
        .collect();
    for beginning in [
        "Moving X3 changed the reading: a fault there is 8 times",
        "Moving C1 changed nothing",
    ] {
        assert!(
            told.iter().any(|text| text.starts_with(beginning)),
            "{told:?}"
        );
    }
}
