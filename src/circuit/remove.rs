//! Removing a part, and closing the gap that it leaves.

use super::{Circuit, PartRef, Point, Terminal, edit::EditError};

/// Removes a part and returns every designation that is gone, the part's first.
///
/// - A wire goes alone.
/// - At a connector's pin, a splice or a fuse where exactly two wires meet and nothing else, the two become one wire: the
///   one that leads there keeps its designation, size and colour; the length is the sum where both are known.
/// - Where one wire meets one end of a sensor or ground point there (a plug), the wire is led to that end itself.
/// - All other wires at its points go with it, for they would dangle. Sensors and ground points always stay; one that sat
///   at a removed point then stands for itself, without a wire.
/// - Damage zones forget what is gone, and those that named nothing else go too.
///
/// # Errors
/// [`EditError::NoSuchPart`]; [`EditError::LastSupply`] for the only module.
pub fn remove(circuit: &mut Circuit, id: &str) -> Result<Vec<String>, EditError> {
    let own = |terminal| Point::new(id, terminal);
    // Points that become one when the part is taken out and its ends are joined.
    let (groups, closes) = match circuit.part(id) {
        None => return Err(EditError::NoSuchPart(id.chars().take(40).collect())),
        Some(PartRef::Supply(_)) if circuit.supplies.len() == 1 => {
            return Err(EditError::LastSupply(id.to_owned()));
        }
        Some(PartRef::Wire(_)) => (Vec::new(), false),
        Some(PartRef::Supply(supply)) => {
            let feeds = (1..=supply.feed_pins).map(|n| vec![own(Terminal::Feed(n))]);
            (feeds.chain([vec![own(Terminal::Return)]]).collect(), false)
        }
        Some(PartRef::Ground(_) | PartRef::Rail(_)) => (vec![vec![own(Terminal::Only)]], false),
        Some(PartRef::Load(_)) => {
            let ends = [Terminal::Feed(1), Terminal::Return, Terminal::Signal];
            (ends.map(|end| vec![own(end)]).into(), false)
        }
        Some(PartRef::Splice(_)) => (vec![vec![own(Terminal::Only)]], true),
        Some(PartRef::Fuse(_)) => (vec![vec![own(Terminal::In), own(Terminal::Out)]], true),
        Some(PartRef::Connector(connector)) => {
            let pins = (1..=u8::MAX).zip(&connector.pins);
            (
                pins.map(|(n, _)| vec![own(Terminal::Near(n)), own(Terminal::Far(n))])
                    .collect(),
                true,
            )
        }
    };
    circuit.supplies.retain(|part| part.id != id);
    circuit.wires.retain(|part| part.id != id);
    circuit.connectors.retain(|part| part.id != id);
    circuit.splices.retain(|part| part.id != id);
    circuit.grounds.retain(|part| part.id != id);
    circuit.fuses.retain(|part| part.id != id);
    circuit.loads.retain(|part| part.id != id);
    circuit.rails.retain(|part| part.id != id);
    let mut gone = vec![id.to_owned()];
    for group in groups {
        close_gap(circuit, &group, closes, &mut gone);
    }
    circuit.damage_zones.retain_mut(|zone| {
        let before = zone.parts.len();
        zone.parts.retain(|part| !gone.contains(part));
        !zone.parts.is_empty() || before == 0
    });
    Ok(gone)
}

/// Joins or removes the wires at the points of a part that is gone; frees the ends that sat there.
fn close_gap(circuit: &mut Circuit, group: &[Point], closes: bool, gone: &mut Vec<String>) {
    let inside = |point: &Point| group.contains(point);
    let touching: Vec<usize> = (0..circuit.wires.len())
        .filter(|at| inside(&circuit.wires[*at].from) || inside(&circuit.wires[*at].to))
        .collect();
    let freed = free_ends(circuit, group);
    let keeps = match (touching.as_slice(), freed.as_slice()) {
        ([a, b], []) if closes => join(circuit, group, *a, *b),
        ([wire], [end]) if closes => {
            let wire = *wire;
            lead_to(circuit, group, wire, end).then_some(wire)
        }
        _ => None,
    };
    for at in touching.into_iter().rev().filter(|at| Some(*at) != keeps) {
        gone.push(circuit.wires.remove(at).id);
    }
}

/// Gives sensor ends and straps that sat at the points a point of their own; returns the new points.
fn free_ends(circuit: &mut Circuit, group: &[Point]) -> Vec<Point> {
    let mut freed = Vec::new();
    let mut free = |point: &mut Point, id: &str, own: Terminal| {
        if group.contains(point) {
            *point = Point::new(id, own);
            freed.push(point.clone());
        }
    };
    for load in &mut circuit.loads {
        free(&mut load.feed, &load.id, Terminal::Feed(1));
        free(&mut load.ret, &load.id, Terminal::Return);
    }
    for ground in &mut circuit.grounds {
        free(&mut ground.at, &ground.id, Terminal::Only);
    }
    freed
}

/// Makes one wire of two that met; returns which of them stays, or `None` where it would lead back to its own start.
fn join(circuit: &mut Circuit, group: &[Point], a: usize, b: usize) -> Option<usize> {
    let inside = |point: &Point| group.contains(point);
    let wires = &circuit.wires;
    // The one that leads to the gap stays, so that metres along it keep their meaning.
    let (stays, goes) = if inside(&wires[a].to) || !inside(&wires[b].to) {
        (a, b)
    } else {
        (b, a)
    };
    let outer = |at: usize| {
        let wire = &wires[at];
        if inside(&wire.to) {
            wire.from.clone()
        } else {
            wire.to.clone()
        }
    };
    let (start, end) = (outer(stays), outer(goes));
    let length = wires[stays]
        .length
        .zip(wires[goes].length)
        .map(|(a, b)| a + b);
    if start == end || inside(&start) || inside(&end) {
        return None;
    }
    let wire = &mut circuit.wires[stays];
    wire.from = start;
    wire.to = end;
    wire.length = length;
    Some(stays)
}

/// Leads the end of a wire that met the gap to another point; false where both of its ends did.
fn lead_to(circuit: &mut Circuit, group: &[Point], wire: usize, end: &Point) -> bool {
    let wire = &mut circuit.wires[wire];
    match (group.contains(&wire.from), group.contains(&wire.to)) {
        (true, true) => return false,
        (true, false) => wire.from = end.clone(),
        (false, _) => wire.to = end.clone(),
    }
    true
}
