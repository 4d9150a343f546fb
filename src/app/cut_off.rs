//! What nothing joins to a supply's feed any more, because connectors are parted.

use std::collections::{BTreeMap, BTreeSet};

use crate::circuit::{Circuit, Point, Terminal};

/// Points that the feed would reach with everything plugged and does not reach with these connectors parted.
///
/// Joined means by wire, fuse or mated pin; a load joins nothing. Points that the feed never reaches (returns,
/// strays) are not listed. O(parts · log parts).
pub fn cut_off(circuit: &Circuit, unplugged: &BTreeSet<String>) -> BTreeSet<Point> {
    if unplugged.is_empty() {
        return BTreeSet::new();
    }
    let whole = reached(circuit, &BTreeSet::new());
    let now = reached(circuit, unplugged);
    whole.difference(&now).cloned().collect()
}

fn reached(circuit: &Circuit, unplugged: &BTreeSet<String>) -> BTreeSet<Point> {
    let mut joined: BTreeMap<Point, Vec<Point>> = BTreeMap::new();
    let mut join = |a: Point, b: Point| {
        joined.entry(a.clone()).or_default().push(b.clone());
        joined.entry(b).or_default().push(a);
    };
    for wire in &circuit.wires {
        join(wire.from.clone(), wire.to.clone());
    }
    for fuse in &circuit.fuses {
        join(
            Point::new(&fuse.id, Terminal::In),
            Point::new(&fuse.id, Terminal::Out),
        );
    }
    for connector in circuit
        .connectors
        .iter()
        .filter(|connector| !unplugged.contains(&connector.id))
    {
        for pin in (1..=u8::MAX).take(connector.pins.len()) {
            join(
                Point::new(&connector.id, Terminal::Near(pin)),
                Point::new(&connector.id, Terminal::Far(pin)),
            );
        }
    }
    let mut seen: BTreeSet<Point> = BTreeSet::new();
    let mut next: Vec<Point> = circuit
        .supplies
        .iter()
        .flat_map(|supply| {
            (1..=supply.feed_pins.max(1)).map(|pin| Point::new(&supply.id, Terminal::Feed(pin)))
        })
        .collect();
    while let Some(point) = next.pop() {
        // Battery negative is everybody's neighbour and would join all returns to the feed.
        if point.is_battery_negative() || seen.contains(&point) {
            continue;
        }
        next.extend(joined.get(&point).into_iter().flatten().cloned());
        seen.insert(point);
    }
    seen
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::notebook::parse_job;

    #[test]
    fn unplugging_an_inline_connector_cuts_off_what_lies_behind_it() {
        let text = include_str!("../../sample_circuits/01-ride-height.ron");
        let circuit = parse_job("sample", text.as_bytes()).unwrap().job.circuit;
        let none = cut_off(&circuit, &BTreeSet::new());
        assert!(none.is_empty());
        let parted = cut_off(&circuit, &BTreeSet::from(["C2".to_owned()]));
        let has = |name: &str| parted.contains(&name.parse::<Point>().unwrap());
        assert!(has("C2.1f") && has("SP2") && has("X3.1n") && has("X5.1f"));
        assert!(!has("C2.1n") && !has("SP1") && !has("X1.1f") && !has("M1.feed"));
    }
}
