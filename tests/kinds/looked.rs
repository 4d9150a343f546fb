//! Places that were looked at and where nothing was found. The chances of overlooking a fault are judgement, in
//! `assets/signs.ron`; what follows from them is Bayes' rule.

use pinchpoint::{
    circuit::Circuit,
    diagnosis::{Findings, Question, diagnose},
    fault::{FaultKind, Site},
    practice::Hidden,
    reading::{Entry, Inspection, Meter, Repair, SIGNS, State},
};

use super::shared::{answer, chance, circuit, log, volts_at, world};

const PIN: [&str; 1] = ["M1.feed"];
const ALONG: [&str; 3] = ["M1.feed", "X1.1n", "X2.1n"];

/// Volts under a short on W4: the module's pin alone leaves many places, with those along the feed W4 is as good as sure.
fn readings(circuit: &Circuit, at: &[&str]) -> Vec<Entry> {
    let fault = Hidden::new(Site::part("W4"), FaultKind::ShortToGround, 4.0).at(0.5);
    let mut world = world(circuit, fault);
    let now = State::default();
    log(at.iter().map(|at| volts_at(&mut world, at, &now)))
}

fn with(circuit: &Circuit, at: &[&str], looks: &[Inspection]) -> Findings {
    let mut log = readings(circuit, at);
    log.extend(looks.iter().cloned().map(Entry::Inspection));
    answer(circuit, &log)
}

fn look(part: &str, metres: Option<(f64, f64)>) -> Inspection {
    Inspection {
        part: part.to_owned(),
        metres,
        ..Inspection::default()
    }
}

fn short_on(findings: &Findings, part: &str) -> f64 {
    chance(findings, |site, kind| {
        site.part == part && kind == FaultKind::ShortToGround
    })
}

/// P(there | nothing found) = P(there) m / (P(there) m + 1 - P(there)), m being the chance of overlooking it.
#[test]
fn a_look_in_vain_weighs_as_often_as_it_sees_the_fault() {
    let circuit = circuit(5.0);
    let before = short_on(&with(&circuit, &PIN, &[]), "W4");
    assert!((0.01..0.95).contains(&before), "{before}");
    let missed = SIGNS.overlooked.rubbed_wire;
    let odds = |p: f64| p / (1.0 - p);
    let once = with(&circuit, &PIN, &[look("W4", None)]);
    // Opens and bad joints of W4 are looked at as well, and hardly weigh beside the shorts.
    let ratio = odds(short_on(&once, "W4")) / odds(before);
    assert!((ratio / missed - 1.0).abs() < 0.1, "{ratio}");
    // A second look sees half of what the first has missed, and no probability is ever 0.
    let twice = with(&circuit, &PIN, &[look("W4", None), look("W4", None)]);
    let ratio = odds(short_on(&twice, "W4")) / odds(before);
    let again = missed * SIGNS.overlooked.again;
    assert!((ratio / again - 1.0).abs() < 0.1, "{ratio}");
    let all: Vec<Inspection> = (circuit.ids())
        .flat_map(|id| vec![look(id, None); 40])
        .collect();
    let nowhere = with(&circuit, &PIN, &all);
    assert!(nowhere.suspects.iter().all(|s| s.probability > 0.0));
    assert!(nowhere.unexplained < 1.0 && nowhere.healthy > 0.0);
}

#[test]
fn a_piece_of_wire_counts_for_that_piece() {
    let circuit = circuit(5.0);
    let length = circuit.wires[3].length_or_assumed();
    let density = |findings: &Findings| {
        let wire = findings.densities.iter().find(|d| d.wire == "W4");
        wire.expect("W4 is suspected").cells.clone()
    };
    let before = density(&with(&circuit, &ALONG, &[]));
    let half = look("W4", Some((0.0, 0.5 * length)));
    let findings = with(&circuit, &ALONG, std::slice::from_ref(&half));
    let after = density(&findings);
    let share = |cells: &[f64]| cells[..15].iter().sum::<f64>() / cells.iter().sum::<f64>();
    let odds = |p: f64| p / (1.0 - p);
    let ratio = odds(share(&after)) / odds(share(&before));
    let missed = SIGNS.overlooked.rubbed_wire;
    assert!((ratio / missed - 1.0).abs() < 0.05, "{ratio}");
    // The rest is opened first, and the advice names no place in the half that was seen before another one.
    let first = findings.next.opening.iter().find(|o| o.site.part == "W4");
    let (from, _) = first.and_then(|o| o.metres).expect("a piece of W4");
    assert!(from >= 0.5 * length - 0.05, "{from} of {length}");
    let again = findings.next.opening.iter().find(|o| o.again);
    assert!(again.is_some_and(|o| o.site.part == "W4"), "{again:?}");
}

/// What was found sound before a repair says nothing of a fault that came with the repair; what is gone is not sought.
#[test]
fn set_aside_elsewhere_or_for_another_thing_a_look_says_nothing() {
    let circuit = circuit(5.0);
    let before = short_on(&with(&circuit, &PIN, &[]), "W4");
    let aside = Inspection {
        set_aside: true,
        ..look("W4", None)
    };
    let undrawn = Inspection {
        undrawn: true,
        ..look("W4", None)
    };
    for one in [aside, undrawn] {
        let after = short_on(&with(&circuit, &PIN, &[one]), "W4");
        assert!((after / before - 1.0).abs() < 1e-9, "{before} {after}");
    }
    let other = short_on(&with(&circuit, &PIN, &[look("W5", None)]), "W4");
    assert!(other >= before, "{before} {other}");
}

/// Looked at, then replaced, and the fault is back: the new part was not looked at.
#[test]
fn a_look_before_a_repair_does_not_clear_the_new_part() {
    let circuit = circuit(5.0);
    let repair = || {
        Entry::Repair(Repair {
            part: "W4".to_owned(),
            replaced: true,
            note: String::new(),
        })
    };
    let run = |early: bool| {
        let mut log = readings(&circuit, &PIN);
        let seen = Entry::Inspection(look("W4", None));
        if early {
            log.extend([seen, repair()]);
        } else {
            log.extend([repair(), seen]);
        }
        log.extend(readings(&circuit, &PIN));
        short_on(&answer(&circuit, &log), "W4")
    };
    assert!(run(true) > run(false), "{} {}", run(true), run(false));
}

#[test]
fn a_look_that_cannot_be_is_named_with_its_remedy() {
    let circuit = circuit(5.0);
    let pin = Inspection {
        pin: Some(9),
        ..look("X1", None)
    };
    for (one, words) in [
        (look("W99", None), "not on the sketch"),
        (look("X1", Some((0.0, 1.0))), "no wire"),
        (look("W4", Some((0.5, 0.2))), "no piece of W4"),
        (look("W4", Some((0.0, 99.0))), "no piece of W4"),
        (look("W4", Some((f64::NAN, 1.0))), "no piece of W4"),
        (pin, "no pin 9"),
    ] {
        let log = [Entry::Inspection(one)];
        let meter = Meter::default();
        let now = State::default();
        let findings = diagnose(&Question {
            circuit: &circuit,
            meter: &meter,
            log: &log,
            now: &now,
            out_of_reach: &std::collections::BTreeSet::new(),
        });
        let told = findings.problems.iter().find(|p| p.what.contains(words));
        let told = told.unwrap_or_else(|| panic!("{words}: {:?}", findings.problems));
        assert!(!told.fatal && told.place == "log line 1" && !told.remedy.is_empty());
    }
}
