//! Connectors of which nobody noted whether they were plugged: a mixture, and never a verdict. Common practice, no source.

use pinchpoint::{
    circuit::quick_feed,
    diagnosis::ModuleVerdict,
    fault::{FaultKind, Site},
    infer::unknown::{broad, ways},
    practice::Hidden,
    quantity::units::volts,
    reading::{Entry, Reading, State, Value},
};

use super::shared::{answer, chance, circuit, log, point, volts_at, without, world};

fn unknown(ids: &[&str]) -> State {
    State {
        unknown: ids.iter().map(|&id| id.to_owned()).collect(),
        ..State::default()
    }
}

fn reading(state: State) -> Entry {
    Entry::Reading(Reading {
        state,
        ..Reading::volts(point("M1.feed"), 4.0)
    })
}

#[test]
fn up_to_three_are_followed_both_ways_and_more_are_not() {
    for (states, count, too_many) in [
        (vec![unknown(&[])], 1, vec![]),
        (vec![unknown(&["X1"])], 2, vec![]),
        // One state is one truth, however often it is read in.
        (vec![unknown(&["X1"]), unknown(&["X1"])], 2, vec![]),
        (vec![unknown(&["X1", "X2"]), unknown(&["X3"])], 8, vec![]),
        (
            vec![unknown(&["X1", "X2"]), unknown(&["X2", "X3"])],
            4,
            vec![1],
        ),
        (
            vec![unknown(&["C1", "X1", "X2", "X3"]), unknown(&["X4"])],
            2,
            vec![0],
        ),
    ] {
        let log: Vec<Entry> = states.into_iter().map(reading).collect();
        let ways = ways(&log);
        assert_eq!(ways.len(), count, "{log:?}");
        assert_eq!(broad(&log), too_many, "{log:?}");
        let total: f64 = ways.iter().map(|way| way.log_prior.exp()).sum();
        assert!((total - 1.0).abs() < 1e-12, "{total}");
        assert_eq!(
            ways[0].log_prior,
            ways.iter().map(|w| w.log_prior).fold(f64::MIN, f64::max)
        );
    }
}

/// The feed of a vehicle whose S3 is shorted, read low with everything plugged, and once more in another state: the share
/// of S3 in all shorts to ground.
fn of_s3(more: &[Reading]) -> f64 {
    let circuit = circuit(5.0);
    let fault = Hidden::new(Site::part("S3"), FaultKind::DrawsTooMuch, 20.0);
    let mut world = world(&circuit, fault);
    let mut readings = vec![volts_at(&mut world, "M1.feed", &without(&[]))];
    readings.extend_from_slice(more);
    let findings = answer(&circuit, &log(readings));
    let short = |kind| matches!(kind, FaultKind::DrawsTooMuch | FaultKind::ShortToGround);
    let of_it = chance(&findings, |site, kind| site.part == "S3" && short(kind));
    of_it / chance(&findings, |_, kind| short(kind))
}

#[test]
fn nothing_is_eliminated_on_what_nobody_noted() {
    let circuit = circuit(5.0);
    let fault = Hidden::new(Site::part("S3"), FaultKind::DrawsTooMuch, 20.0);
    let mut world = world(&circuit, fault);
    let still_low = |state: State| {
        let mut plugged = volts_at(&mut world.clone(), "M1.feed", &without(&[]));
        plugged.state = state;
        plugged
    };
    let nothing_more = of_s3(&[]);
    // Of a vehicle whose fault is in the trunk: low with X3 off.
    let trunk = Hidden::new(Site::part("W2"), FaultKind::ShortToGround, 20.0);
    let mut trunk = super::shared::world(&circuit, trunk);
    let cleared = of_s3(&[volts_at(&mut trunk, "M1.feed", &without(&["X3"]))]);
    let not_known = of_s3(&[still_low(unknown(&["X3"]))]);
    // Low although X3 is off clears S3; low while nobody knows does not.
    assert!(cleared < 0.02, "{cleared}");
    assert!(
        not_known > 0.5 * nothing_more,
        "{nothing_more} to {not_known}"
    );
    // Right, and only X3 off or a slip explains it: that is nearly as good as noted.
    let up = volts_at(&mut world, "M1.feed", &without(&["X3"]));
    let noted = of_s3(std::slice::from_ref(&up));
    let worked_out = of_s3(&[Reading {
        state: unknown(&["X3"]),
        ..up
    }]);
    assert!(
        noted > 0.9 * worked_out && worked_out > 0.7 * noted,
        "{noted} and {worked_out}"
    );
    assert!(
        worked_out > 2.0 * nothing_more,
        "{nothing_more} to {worked_out}"
    );
}

/// Marginal evidence: odds under the mixture lie between those of its two halves.
#[test]
fn a_mixture_lies_between_its_halves() {
    let circuit = circuit(5.0);
    let fault = Hidden::new(Site::part("W4"), FaultKind::ShortToGround, 8.0);
    let mut world = world(&circuit, fault);
    let second = volts_at(&mut world, "C1.1f", &without(&["X2"]));
    let base = volts_at(&mut world, "M1.feed", &without(&[]));
    let of = |state: State| {
        let again = Reading {
            state,
            ..second.clone()
        };
        let findings = answer(&circuit, &log([base.clone(), again]));
        chance(&findings, |site, _| site.part == "W4")
    };
    let (plugged, unplugged) = (of(without(&[])), of(without(&["X2"])));
    let mixed = of(unknown(&["X2"]));
    let (low, high) = (plugged.min(unplugged), plugged.max(unplugged));
    assert!(
        low - 1e-3 <= mixed && mixed <= high + 1e-3,
        "{low} {mixed} {high}"
    );
}

#[test]
fn a_module_is_neither_cleared_nor_accused_on_it() {
    let circuit = circuit(5.0);
    for (value, state, cleared) in [
        (5.0, without(&["C1"]), true),
        (5.0, unknown(&["C1"]), false),
        (0.0, unknown(&["C1"]), false),
    ] {
        let findings = answer(
            &circuit,
            &log([Reading {
                value: Value::Exactly(value),
                state,
                ..Reading::volts(point("M1.feed"), 0.0)
            }]),
        );
        let told = matches!(findings.modules[0], ModuleVerdict::Cleared { .. });
        assert_eq!(told, cleared);
        assert!(!matches!(
            findings.modules[0],
            ModuleVerdict::Accused { .. }
        ));
    }
}

#[test]
fn a_hundred_unknown_connectors_give_an_answer_and_a_named_problem() {
    let circuit = quick_feed(volts(5.0), 40, true, false);
    let all: Vec<String> = circuit.connectors.iter().map(|c| c.id.clone()).collect();
    let low = |state| Reading {
        state,
        ..Reading::volts(point("M1.feed"), 0.4)
    };
    let all: Vec<&str> = all.iter().map(String::as_str).collect();
    let known = answer(&circuit, &log([low(without(&[]))]));
    let findings = answer(&circuit, &log([low(without(&[])), low(unknown(&all))]));
    let told = findings.problems.iter().any(|problem| {
        problem.place == "log line 2" && problem.what.contains("broad allowance") && !problem.fatal
    });
    assert!(told, "{:?}", findings.problems);
    // It moves nothing by more than a little.
    for (a, b) in known.suspects.iter().zip(&findings.suspects).take(5) {
        assert!((a.probability - b.probability).abs() < 0.05, "{a:?} {b:?}");
    }
}

#[test]
fn it_is_said_how_the_readings_would_have_it() {
    let circuit = circuit(5.0);
    let fault = Hidden::new(Site::part("S3"), FaultKind::DrawsTooMuch, 20.0);
    let mut world = world(&circuit, fault);
    let low = volts_at(&mut world, "M1.feed", &without(&[]));
    let up = Reading {
        state: unknown(&["X3"]),
        ..volts_at(&mut world, "M1.feed", &without(&["X3"]))
    };
    let findings = answer(&circuit, &log([low, up]));
    let said = findings.problems.iter().find(|p| p.place == "log line 2");
    let said = said.expect("it is said");
    assert!(
        said.what.ends_with("fit best with X3 unplugged"),
        "{said:?}"
    );
    assert!(!said.fatal);
}
