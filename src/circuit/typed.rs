//! Finding a point by what a person types for it.

use super::{Circuit, Point, Terminal};

/// The point that a text means: `C1.2n`, in either case; a part alone means its first feed-side point, a connector
/// its pin 1 near side, a sensor its feed end; `C1.2` and `c1 2` the near side of pin 2. `S1.feed` and `S1.return` are the
/// ends of a sensor wherever they sit. What a name begins with means it where no other name begins so.
///
/// ```
/// use pinchpoint::{circuit::{quick_feed, typed::find}, quantity::units::volts};
/// let circuit = quick_feed(volts(5.0), 4, true, false);
/// assert_eq!(find(&circuit, "c1"), "C1.1n".parse().ok());
/// assert_eq!(find(&circuit, "s1.feed"), Some(circuit.loads[0].feed.clone()));
/// assert_eq!(find(&circuit, "C1.9"), None);
/// assert_eq!(find(&circuit, "m1.f"), "M1.feed".parse().ok());
/// assert_eq!(find(&circuit, "M"), None);
/// ```
pub fn find(circuit: &Circuit, text: &str) -> Option<Point> {
    match &ranked(circuit, text)[..] {
        [(BEGINS, _), _, ..] | [] => None,
        [(_, point), ..] => Some(point.clone()),
    }
}

/// All points that a text could mean, best first.
pub fn matches(circuit: &Circuit, text: &str) -> Vec<Point> {
    let found = ranked(circuit, text).into_iter();
    found.map(|(_, point)| point).collect()
}

/// Rank of a point of whose name only the beginning was typed: behind all others.
const BEGINS: u8 = 6;

fn ranked(circuit: &Circuit, text: &str) -> Vec<(u8, Point)> {
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
        return vec![(0, negative)];
    }
    // A sensor's ends have names of their own, and sit at the pins of its plug where it has one.
    let ends = circuit.loads.iter().flat_map(|load| {
        let id = load.id.to_ascii_lowercase();
        let feed = wanted == id || wanted == format!("{id}.feed");
        let back = wanted == format!("{id}.return") && !load.ret.is_battery_negative();
        let end = |meant: bool, end: &Point| meant.then(|| (1, end.clone()));
        end(feed, &load.feed)
            .into_iter()
            .chain(end(back, &load.ret))
    });
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
                BEGINS
            } else {
                return None;
            };
            Some((rank, point))
        })
        .chain(ends)
        .collect();
    found.sort();
    found.dedup_by(|(_, one), (_, other)| one == other);
    found
}

/// Which of a part's points is meant first.
fn order(terminal: Terminal) -> u8 {
    match terminal {
        Terminal::Only | Terminal::Feed(1) | Terminal::Near(1) | Terminal::In => 0,
        Terminal::Far(1) | Terminal::Out => 1,
        _ => 2,
    }
}

/// What can be typed for the points of a part, to name in an error: its own points, those whose name begins so, or a few of the
/// sketch where there are none.
///
/// ```
/// use pinchpoint::{circuit::{quick_feed, typed::instead}, quantity::units::volts};
/// let circuit = quick_feed(volts(5.0), 4, true, false);
/// assert_eq!(instead(&circuit, "c1.9n"), "C1 has C1.1n, C1.1f");
/// assert_eq!(instead(&circuit, "M"), "M1.feed, M1.return begin so");
/// assert_eq!(instead(&circuit, "Q7"), "this sketch has M1.feed, M1.return, C1.1n and others");
/// ```
pub fn instead(circuit: &Circuit, text: &str) -> String {
    let text = text.trim();
    let part = text.split(['.', ' ']).next().unwrap_or(text);
    let all = circuit.points();
    let mut own: Vec<Point> = (all.iter())
        .filter(|point| point.part.eq_ignore_ascii_case(part))
        .cloned()
        .collect();
    let load = (circuit.loads.iter()).find(|load| load.id.eq_ignore_ascii_case(part));
    if let Some(load) = load {
        let ends = [&load.feed, &load.ret].into_iter();
        own.extend(ends.filter(|end| !end.is_battery_negative()).cloned());
        own.dedup();
    }
    let id = load
        .map(|load| &load.id)
        .or(own.first().map(|point| &point.part));
    if let Some(id) = id {
        return format!("{id} has {}", listed(&own, LISTED));
    }
    match &matches(circuit, text)[..] {
        [] => format!("this sketch has {}", listed(&all, SOME)),
        begin => format!("{} begin so", listed(begin, LISTED)),
    }
}

/// Names of points, and that there are others where those are too many.
fn listed(points: &[Point], most: usize) -> String {
    let shown: Vec<String> = points.iter().take(most).map(Point::shown).collect();
    let others = if points.len() > most {
        " and others"
    } else {
        ""
    };
    format!("{}{others}", shown.join(", "))
}

/// Points of one part or beginning that an error names, and points of a sketch.
const LISTED: usize = 8;
const SOME: usize = 3;
