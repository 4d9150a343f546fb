//! The harness layout: to scale, complete, free of overlaps, the same every time. Positions follow
//! from the metres that are drawn, by definition.

mod support;

use std::{collections::BTreeSet, time::Instant};

use pinchpoint::{
    circuit::{Circuit, Point},
    drawing::{
        Group, Harness, Scale,
        chance::{Spread, along},
        layout,
    },
    quantity::units::metres,
};
use proptest::prelude::*;
use support::circuits::{Twig, chain, grown, supply, tender, wire};

const ROOM: f64 = 0.6;

fn point(text: &str) -> Point {
    text.parse().expect("a point of the fixture")
}

fn x_of(harness: &Harness, text: &str) -> f64 {
    harness.place(&point(text)).expect("placed").x
}

fn lane_of(harness: &Harness, text: &str) -> i32 {
    harness.place(&point(text)).expect("placed").lane
}

/// Run along x, both ways.
fn drawn(corners: &[pinchpoint::drawing::Place]) -> f64 {
    corners.windows(2).map(|w| (w[1].x - w[0].x).abs()).sum()
}

fn check_complete(circuit: &Circuit, harness: &Harness) {
    let ids = |kinds: [Vec<&String>; 7]| -> Vec<String> {
        kinds.into_iter().flatten().cloned().collect()
    };
    let expected = ids([
        circuit.supplies.iter().map(|p| &p.id).collect(),
        circuit.connectors.iter().map(|p| &p.id).collect(),
        circuit.splices.iter().map(|p| &p.id).collect(),
        circuit.grounds.iter().map(|p| &p.id).collect(),
        circuit.fuses.iter().map(|p| &p.id).collect(),
        circuit.loads.iter().map(|p| &p.id).collect(),
        circuit.rails.iter().map(|p| &p.id).collect(),
    ]);
    let placed: Vec<String> = harness.parts.iter().map(|p| p.id.clone()).collect();
    assert_eq!(placed, expected, "every part exactly once");
    let wires: Vec<usize> = harness.runs.iter().map(|run| run.wire).collect();
    assert_eq!(
        wires,
        (0..circuit.wires.len()).collect::<Vec<_>>(),
        "every wire exactly once"
    );
    let lanes: BTreeSet<i32> = harness.lanes.iter().map(|lane| lane.lane).collect();
    assert_eq!(lanes.len(), harness.lanes.len(), "a lane is listed once");
    for part in &harness.parts {
        assert!(
            lanes.contains(&part.at.lane),
            "{} lies on a listed lane",
            part.id
        );
        assert!(part.at.x.is_finite() && part.at.x >= 0.0);
    }
}

#[test]
fn the_tender_is_drawn_as_one_trunk_with_a_branch_per_side() {
    let circuit = tender();
    let harness = layout(&circuit, ROOM);
    check_complete(&circuit, &harness);
    for trunk in ["M1.feed", "C1.1n", "SP1", "C2.1f", "SP2", "X3.1f"] {
        assert_eq!(lane_of(&harness, trunk), 0, "{trunk} is on the trunk");
    }
    assert_eq!(
        [lane_of(&harness, "X1.1n"), lane_of(&harness, "X2.1n")],
        [-1, 1]
    );
    assert_eq!(
        [lane_of(&harness, "X4.1n"), lane_of(&harness, "X5.1n")],
        [-1, 1]
    );
    let run = harness.run("W3").expect("drawn");
    assert_eq!(
        run.corners[0].x, run.corners[1].x,
        "bends right after its splice"
    );
    assert!(
        (x_of(&harness, "X3.1n") - 7.5).abs() < 1e-9,
        "1.4 + 0.9 + 2.2 + 0.6 + 2.4 m"
    );
}

#[test]
fn an_unknown_length_is_drawn_at_the_assumed_one_and_says_so() {
    let mut circuit = chain(3, 1.0);
    circuit.wires[1].length = None;
    let harness = layout(&circuit, ROOM);
    let flags: Vec<bool> = harness.runs.iter().map(|run| run.assumed).collect();
    assert_eq!(flags, [false, true, false]);
    assert!(
        (x_of(&harness, "S1.feed") - 3.5).abs() < 1e-9,
        "1.0 + 1.5 + 1.0 m"
    );
}

#[test]
fn a_second_path_is_a_hairpin_as_long_as_its_wire() {
    let mut circuit = chain(4, 1.0);
    circuit.wires.push(wire("W9", "SP1", "SP3", Some(5.0)));
    let harness = layout(&circuit, ROOM);
    check_complete(&circuit, &harness);
    let run = harness.run("W9").expect("drawn");
    assert_eq!(run.scale, Scale::Hairpin);
    assert!((drawn(&run.corners) - 5.0).abs() < 1e-9);
    let ends = (run.at(0.0), run.at(1.0));
    assert_eq!((ends.0.x, ends.1.x), (1.0, 3.0));
}

#[test]
fn returns_hang_below_on_the_metres_of_their_connectors() {
    let circuit = support::circuits::with_returns();
    let harness = layout(&circuit, ROOM);
    check_complete(&circuit, &harness);
    for pin in ["C1", "X1", "X2"] {
        let [feed, back] = [format!("{pin}.1n"), format!("{pin}.2n")];
        assert_eq!(
            x_of(&harness, &feed),
            x_of(&harness, &back),
            "{pin} is one housing"
        );
        assert!(lane_of(&harness, &back) > lane_of(&harness, &feed));
    }
    let lowest_feed = harness.lanes.iter().filter(|l| l.group == Group::Feed);
    let highest_return = harness.lanes.iter().filter(|l| l.group == Group::Return);
    assert!(lowest_feed.map(|l| l.lane).max() < highest_return.map(|l| l.lane).min());
}

#[test]
fn parts_without_a_supply_are_kept_as_strays() {
    let mut circuit = chain(2, 1.0);
    circuit.wires.push(wire("W8", "C8.1f", "SP8", Some(2.0)));
    circuit.wires.push(wire("W9", "X9.1n", "BN", None));
    circuit.splices.push(support::circuits::splice("SP8"));
    circuit
        .connectors
        .push(support::circuits::connector("C8", 1));
    circuit
        .connectors
        .push(support::circuits::connector("C0", 0));
    circuit.rails.push(support::circuits::rail("B1"));
    let harness = layout(&circuit, ROOM);
    check_complete(&circuit, &harness);
    for id in ["C8", "SP8", "C0", "B1"] {
        assert_eq!(harness.part(id).expect("kept").group, Group::Stray, "{id}");
    }
    assert_eq!(harness.run("W9").expect("kept").group, Group::Stray);
}

#[test]
fn several_supplies_stand_below_each_other() {
    let mut circuit = chain(2, 1.0);
    circuit.supplies.push(supply("M2", 12.0));
    circuit
        .wires
        .push(wire("W8", "M2.feed", "S8.feed", Some(2.0)));
    circuit
        .loads
        .push(support::circuits::load("S8", "S8.feed", "BN"));
    let harness = layout(&circuit, ROOM);
    check_complete(&circuit, &harness);
    assert!(lane_of(&harness, "M2.feed") > lane_of(&harness, "M1.feed"));
    assert_eq!(x_of(&harness, "S8.feed"), 2.0);
}

#[test]
fn the_probability_along_the_metres_is_that_of_all_suspects() {
    let text = include_str!("../sample_circuits/01-ride-height.ron");
    let job = pinchpoint::notebook::parse_job("sample", text.as_bytes())
        .expect("a sample")
        .job;
    let findings = pinchpoint::diagnosis::diagnose(&job.question());
    let harness = layout(&job.circuit, ROOM);
    let all: f64 = findings.suspects.iter().map(|s| s.probability).sum();
    for step in [0.05, 0.3, 1.0] {
        let named: Vec<&str> = (findings.named().iter())
            .map(|suspect| suspect.site.part.as_str())
            .collect();
        let chances = Spread::of(&findings);
        let bins = along(&harness, &findings, (&chances, &named), step);
        let sum: f64 = bins.iter().map(|bin| bin.all).sum();
        // Wires that are hardly suspected are left out.
        assert!((sum - all).abs() < 0.02, "{step}: {sum} of {all}");
        let peak = bins
            .iter()
            .max_by(|a, b| a.all.total_cmp(&b.all))
            .expect("bins");
        // The sample hides its short at 6.5 m, 1.4 m past SP2 (computed; see the tests of the samples).
        assert!((peak.from - 1.0..peak.to + 1.0).contains(&6.5), "{peak:?}");
        assert!(peak.top > 0.9 * peak.all);
    }
    let mut unread = findings;
    unread.fit.readings = 0;
    assert!(along(&harness, &unread, (&Spread::of(&unread), &[]), 0.3).is_empty());
}

#[test]
fn risers_pass_no_sensor_of_another_joint() {
    // A long branch from the first joint would lie where the second joint's branches rise.
    let mut circuit = chain(6, 1.0);
    let mut branch = |number: usize, joint: &str, length: f64| {
        let id = format!("X9{number}");
        circuit
            .connectors
            .push(support::circuits::connector(&id, 1));
        circuit.wires.push(wire(
            &format!("W9{number}"),
            joint,
            &format!("{id}.1n"),
            Some(length),
        ));
    };
    branch(0, "SP1", 1.2);
    branch(1, "SP1", 1.3);
    for number in 2..7 {
        branch(number, "SP2", 2.0);
    }
    let harness = layout(&circuit, ROOM);
    for run in &harness.runs {
        for pair in run.corners.windows(2).filter(|w| w[0].lane != w[1].lane) {
            let (low, high) = (
                pair[0].lane.min(pair[1].lane),
                pair[0].lane.max(pair[1].lane),
            );
            let crossed = harness.runs.iter().filter_map(|other| other.span());
            for (a, b) in crossed.filter(|(a, _)| a.lane > low && a.lane < high) {
                let (from, to) = (a.x.min(b.x), a.x.max(b.x) + ROOM);
                let inside = pair[0].x > from + 1e-9 && pair[0].x < to - 1e-9;
                assert!(!inside, "{} rises through lane {}", run.id, a.lane);
            }
        }
    }
}

#[test]
fn an_empty_sheet_is_empty() {
    assert_eq!(layout(&Circuit::default(), ROOM), Harness::default());
}

/// A frame has no room for a layout that grows with the square of the sketch: ten times the parts may take thirty times
/// as long, both measured in this run.
#[test]
fn the_layout_grows_about_as_the_sketch_does() {
    let grown = |twigs: usize| {
        let twigs: Vec<Twig> = (0..twigs)
            .map(|i| Twig {
                onto: i * 7 / 9,
                length_cm: 30 + (i as u32 * 37) % 250,
            })
            .collect();
        grown(&twigs)
    };
    let took = |circuit: &Circuit| {
        let run = |_| {
            let start = Instant::now();
            assert!(!layout(circuit, ROOM).parts.is_empty());
            start.elapsed()
        };
        (0..7).map(run).min().expect("seven runs").as_secs_f64()
    };
    let (small, large) = (grown(30), grown(300));
    let ratio = took(&large) / took(&small);
    assert!(ratio < 30.0, "{ratio:.1} times as long");
}

fn twigs() -> impl Strategy<Value = Vec<Twig>> {
    prop::collection::vec((0usize..40, 0u32..600), 1..40).prop_map(|list| {
        list.into_iter()
            .map(|(onto, length_cm)| Twig { onto, length_cm })
            .collect()
    })
}

proptest! {
    #[test]
    fn grown_harnesses_are_complete_to_scale_and_repeatable(twigs in twigs(), gaps in prop::collection::vec(any::<bool>(), 200)) {
        let mut circuit = grown(&twigs);
        for (wire, gap) in circuit.wires.iter_mut().zip(&gaps) {
            if *gap {
                wire.length = None;
            }
        }
        let harness = layout(&circuit, ROOM);
        check_complete(&circuit, &harness);
        prop_assert_eq!(&harness, &layout(&circuit, ROOM));
        for run in &harness.runs {
            prop_assert_eq!(run.scale, Scale::True);
            prop_assert!((drawn(&run.corners) - run.length).abs() < 1e-6);
            prop_assert!(run.corners.windows(2).all(|w| w[0].x <= w[1].x), "x grows away from the supply");
            for fraction in [0.0, 0.25, 0.5, 1.0] {
                let x = run.at(fraction).x;
                prop_assert!((x - run.corners[0].x - fraction * run.length).abs() < 1e-6);
            }
        }
        for lead in harness.leads.iter().filter(|lead| lead.group == Group::Feed) {
            let xs: Vec<f64> = lead.points.iter().filter_map(|p| harness.place(p)).map(|p| p.x).collect();
            prop_assert!(xs.windows(2).all(|w| w[0] <= w[1]));
        }
        for point in harness.points.keys().filter(|p| p.part.starts_with('X')) {
            let way = harness.way_to(point);
            prop_assert_eq!(way.first(), Some(&self::point("M1.feed")));
            prop_assert_eq!(way.last(), Some(point));
            let xs: Vec<f64> = way.iter().filter_map(|p| harness.place(p)).map(|p| p.x).collect();
            prop_assert!(xs.windows(2).all(|w| w[0] <= w[1]));
        }
    }

    #[test]
    fn wires_on_one_lane_do_not_lie_on_each_other(twigs in twigs()) {
        let circuit = grown(&twigs);
        let harness = layout(&circuit, ROOM);
        let mut spans: Vec<(i32, f64, f64)> = Vec::new();
        for run in &harness.runs {
            if let Some((a, b)) = run.span() && (b.x - a.x).abs() > 1e-9 {
                spans.push((a.lane, a.x.min(b.x), a.x.max(b.x)));
            }
        }
        for (i, a) in spans.iter().enumerate() {
            for b in &spans[i + 1..] {
                prop_assert!(a.0 != b.0 || a.2 <= b.1 + 1e-9 || b.2 <= a.1 + 1e-9, "{a:?} and {b:?}");
            }
        }
    }

    #[test]
    fn any_wiring_is_laid_out(ends in prop::collection::vec((0usize..14, 0usize..14, prop::option::of(-1.0f64..1e7)), 0..30)) {
        let names = ["M1.feed", "M1.return", "C1.1n", "C1.1f", "C1.2n", "C1.2f", "SP1", "SP2", "S1.feed", "S1.return", "G1", "BN", "F1.in", "Z1"];
        let mut circuit = support::circuits::one_of_each();
        for (i, (from, to, length)) in ends.iter().enumerate() {
            let mut wire = wire(&format!("W{i}"), names[*from], names[*to], None);
            wire.length = length.map(metres);
            circuit.wires.push(wire);
        }
        let harness = layout(&circuit, ROOM);
        check_complete(&circuit, &harness);
        prop_assert!(harness.runs.iter().all(|run| run.scale != Scale::Hairpin || (drawn(&run.corners) - run.length).abs() < 1e-3));
    }
}
