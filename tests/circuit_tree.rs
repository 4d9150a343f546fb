//! The feed as a tree: distances, what hangs below a connector, loops, and the return side. Metres are
//! added up by hand.

use std::collections::BTreeSet;

use pinchpoint::{
    circuit::{
        Circuit, FeedTree, Point, quick_feed, stock,
        tree::{Side, cut_off, cut_off_points},
    },
    notebook::parse_job,
    quantity::units::{metres, volts},
};
use proptest::prelude::*;

fn point(text: &str) -> Point {
    text.parse().unwrap()
}

fn wire(circuit: &mut Circuit, from: &str, to: &str, length: f64) {
    let mut wire = stock::wire(circuit.fresh_id("W"), point(from), point(to));
    wire.length = Some(metres(length));
    circuit.wires.push(wire);
}

fn set(ids: &[&str]) -> BTreeSet<String> {
    ids.iter().map(|id| (*id).to_owned()).collect()
}

/// M1 — C1 — SP1 — { S1, C2 — S2 }, drawn partly against the direction of the feed.
fn branched() -> Circuit {
    let mut circuit = Circuit::default();
    circuit.supplies.push(stock::supply("M1", volts(5.0)));
    circuit.splices.push(stock::splice("SP1"));
    circuit.connectors.push(stock::connector("C1", 1));
    circuit.connectors.push(stock::connector("C2", 1));
    wire(&mut circuit, "M1.feed", "C1.1n", 1.0);
    wire(&mut circuit, "SP1", "C1.1f", 2.0);
    wire(&mut circuit, "SP1", "S1.feed", 0.5);
    wire(&mut circuit, "SP1", "C2.1n", 4.0);
    circuit.loads.push(stock::sensor(
        "S1",
        point("S1.feed"),
        point("BN"),
        volts(5.0),
    ));
    circuit
        .loads
        .push(stock::sensor("S2", point("C2.1f"), point("BN"), volts(5.0)));
    circuit
}

#[test]
fn distances_add_up_along_the_path() {
    let tree = FeedTree::walk(&branched(), Side::Feed);
    for (text, metres) in [
        ("M1.feed", 0.0),
        ("C1.1n", 1.0),
        ("C1.1f", 1.0),
        ("SP1", 3.0),
        ("S1.feed", 3.5),
        ("C2.1f", 7.0),
    ] {
        assert_eq!(
            tree.place(&point(text)).map(|place| place.metres),
            Some(metres),
            "{text}"
        );
    }
    let splice = tree.place(&point("SP1")).unwrap().via.as_ref().unwrap();
    assert!(splice.reversed && splice.part == "W2" && splice.pin.is_none());
    let path: Vec<String> = tree
        .path(tree.index_of(&point("C2.1f")).unwrap())
        .iter()
        .map(|at| tree.places[*at].point.to_string())
        .collect();
    assert_eq!(path, ["M1.feed", "C1.1n", "C1.1f", "SP1", "C2.1n", "C2.1f"]);
    assert!(tree.place(&point("M1.return")).is_none() && tree.place(&point("BN")).is_none());
    assert!(tree.closing.is_empty());
}

#[test]
fn what_hangs_below_a_connector_is_what_goes_dead_when_it_is_unplugged() {
    let circuit = branched();
    let tree = FeedTree::walk(&circuit, Side::Feed);
    let below: Vec<&str> = tree.downstream("C1").into_iter().collect();
    assert_eq!(below, ["C2", "S1", "S2", "SP1", "W2", "W3", "W4"]);
    assert_eq!(
        tree.downstream("C2").into_iter().collect::<Vec<_>>(),
        ["S2"]
    );
    assert_eq!(
        cut_off(&circuit, &set(&["C1"])),
        set(&["C2", "S1", "S2", "SP1", "W2", "W3", "W4"])
    );
    assert_eq!(
        cut_off(&circuit, &set(&["C1", "C2"])),
        set(&["S1", "S2", "SP1", "W2", "W3", "W4"])
    );
    assert!(cut_off(&circuit, &BTreeSet::new()).is_empty());
}

#[test]
fn around_a_loop_the_path_over_fewer_parts_wins_and_nothing_goes_dead() {
    let mut circuit = branched();
    wire(&mut circuit, "M1.feed", "SP1", 9.0);
    let tree = FeedTree::walk(&circuit, Side::Feed);
    assert_eq!(tree.place(&point("SP1")).unwrap().metres, 9.0);
    assert_eq!(tree.closing.len(), 1);
    assert!(tree.downstream("C1").is_empty());
    let dead = cut_off(&circuit, &set(&["C1"]));
    assert!(dead.is_empty(), "{dead:?}");
}

#[test]
fn the_return_side_is_walked_by_itself() {
    let circuit = quick_feed(volts(5.0), 3, true, true);
    let feed = FeedTree::walk(&circuit, Side::Feed);
    let back = FeedTree::walk(&circuit, Side::Return);
    assert_eq!(feed.hanging.len(), 3);
    assert_eq!(back.hanging.len(), 4, "three sensors and the ground point");
    assert!(back.place(&point("C1.2f")).is_some() && back.place(&point("C1.1f")).is_none());
    assert!(feed.place(&point("C1.2f")).is_none());
    assert_eq!(
        back.place(&point("X1.2n")).unwrap().metres,
        feed.place(&point("X1.1n")).unwrap().metres
    );
}

#[test]
fn a_return_to_a_ground_point_of_its_own_begins_there() {
    let mut circuit = branched();
    circuit.loads[0].ret = point("S1.return");
    circuit
        .grounds
        .push(stock::ground("G1", point("M1.return")));
    circuit.grounds.push(stock::ground("G2", point("G2")));
    wire(&mut circuit, "G2", "S1.return", 0.7);
    wire(&mut circuit, "M1.return", "BN", 0.3);
    let tree = FeedTree::walk(&circuit, Side::Return);
    assert_eq!(tree.place(&point("S1.return")).unwrap().metres, 0.7);
    assert!(tree.place(&point("BN")).is_some());
    let hanging: Vec<&str> = tree.hanging.iter().map(|end| end.part.as_str()).collect();
    assert_eq!(
        hanging,
        ["S1", "G1", "G2"],
        "S2 returns through the chassis"
    );
}

#[test]
fn separate_feed_pins_and_modules_are_beginnings_of_their_own() {
    let mut circuit = branched();
    circuit.supplies[0].feed_pins = 2;
    circuit.supplies.push(stock::supply("M2", volts(5.0)));
    circuit.splices.push(stock::splice("SP2"));
    wire(&mut circuit, "M1.feed2", "SP2", 1.5);
    wire(&mut circuit, "M2.feed", "SP2", 1.0);
    wire(&mut circuit, "SP2", "M1.return", 1.0);
    let tree = FeedTree::walk(&circuit, Side::Feed);
    assert_eq!(
        tree.places
            .iter()
            .filter(|place| place.via.is_none())
            .count(),
        3
    );
    assert!(
        tree.place(&point("M1.return")).is_none(),
        "the feed side does not enter the return side"
    );
    assert_eq!(tree.closing.len(), 1);
}

proptest! {
    #[test]
    fn a_quick_feed_is_reached_whole(n in 1..=40u8, inline: bool, separate: bool) {
        let circuit = quick_feed(volts(5.0), n, inline, separate);
        let feed = FeedTree::walk(&circuit, Side::Feed);
        let back = FeedTree::walk(&circuit, Side::Return);
        let reached: BTreeSet<&str> = feed.parts().union(&back.parts()).copied().collect();
        let all: BTreeSet<&str> = circuit.ids().collect();
        prop_assert_eq!(reached, all);
        for (index, place) in feed.places.iter().enumerate() {
            if let Some(via) = &place.via {
                prop_assert!(via.parent < index && feed.places[via.parent].metres <= place.metres);
            }
        }
        // Without loops, what hangs below a connector is what goes dead with it.
        for connector in &circuit.connectors {
            let below: BTreeSet<String> = feed.downstream(&connector.id).into_iter().map(str::to_owned).collect();
            prop_assert_eq!(below, cut_off(&circuit, &set(&[&connector.id])));
        }
    }
}

#[test]
fn the_points_behind_an_inline_connector_are_cut_off() {
    let text = include_str!("../sample_circuits/01-ride-height.ron");
    let circuit = parse_job("sample", text.as_bytes())
        .expect("a sample")
        .job
        .circuit;
    assert!(cut_off_points(&circuit, &BTreeSet::new()).is_empty());
    let parted = cut_off_points(&circuit, &set(&["C2"]));
    let has = |name: &str| parted.contains(&point(name));
    assert!(has("C2.1f") && has("SP2") && has("X3.1n") && has("X5.1f"));
    assert!(!has("C2.1n") && !has("SP1") && !has("X1.1f") && !has("M1.feed"));
}
