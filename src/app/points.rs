//! Finding a point by what a person types for it.

use crate::circuit::{Circuit, Point, Terminal};

/// The point that a text means: `C1.2n`, in either case; a part alone means its first feed-side point, a connector
/// its pin 1 near side, a sensor its feed end; `C1.2` and `c1 2` the near side of pin 2.
pub fn find(circuit: &Circuit, text: &str) -> Option<Point> {
    matches(circuit, text).into_iter().next()
}

/// All points that a text could mean, best first.
pub fn matches(circuit: &Circuit, text: &str) -> Vec<Point> {
    let wanted: String = text
        .trim()
        .chars()
        .map(|c| {
            if c.is_whitespace() {
                '.'
            } else {
                c.to_ascii_lowercase()
            }
        })
        .collect();
    if wanted.is_empty() {
        return Vec::new();
    }
    if circuit.part(text.trim()).is_none()
        && let Ok(negative) = Point::typed(text)
        && negative.is_battery_negative()
    {
        return vec![negative];
    }
    let loads = circuit.loads.iter();
    let plugged = loads.filter(|load| load.id.eq_ignore_ascii_case(&wanted));
    let mut found: Vec<(u8, Point)> = circuit
        .points()
        .into_iter()
        .filter_map(|point| {
            let name = point.to_string().to_ascii_lowercase();
            let part = point.part.to_ascii_lowercase();
            let rank = if name == wanted {
                0
            } else if part == wanted {
                1 + order(point.terminal)
            } else if name.strip_prefix(&wanted).is_some_and(|rest| rest == "n") {
                4
            } else if name.strip_prefix(&wanted).is_some_and(|rest| rest == "f") {
                5
            } else if name.starts_with(&wanted) {
                6
            } else {
                return None;
            };
            Some((rank, point))
        })
        .chain(plugged.map(|load| (1, load.feed.clone())))
        .collect();
    found.sort();
    let mut points: Vec<Point> = found.into_iter().map(|(_, point)| point).collect();
    points.dedup();
    points
}

/// Which of a part's points is meant first.
fn order(terminal: Terminal) -> u8 {
    match terminal {
        Terminal::Only | Terminal::Feed(1) | Terminal::Near(1) | Terminal::In => 0,
        Terminal::Far(1) | Terminal::Out => 1,
        _ => 2,
    }
}

/// The other ends of the wires that end at a point.
pub fn wire_ends(circuit: &Circuit, point: &Point) -> Vec<Point> {
    circuit
        .wires
        .iter()
        .filter_map(|wire| match point {
            end if *end == wire.from => Some(wire.to.clone()),
            end if *end == wire.to => Some(wire.from.clone()),
            _ => None,
        })
        .collect()
}

/// Whether a point names a current without a wire: what leaves a supply, what passes a pin.
pub fn has_whole_current(circuit: &Circuit, point: &Point) -> bool {
    match point.terminal {
        Terminal::Feed(_) => circuit.supplies.iter().any(|s| s.id == point.part),
        Terminal::Near(_) | Terminal::Far(_) => true,
        _ => false,
    }
}
