//! Checks of a sketch: what keeps it from being computed, and what is probably not meant.

use std::collections::{BTreeMap, HashMap, HashSet};

use super::{
    Circuit, LimitMode, PartRef, Point,
    limits::check_numbers,
    link::Links,
    point::{BATTERY_NEGATIVE, DESIGNATION_LIMIT, is_designation},
};
use crate::quantity::{Unit, format::si, units::as_amperes};

/// Most pins that a connector may have.
pub const MAX_PINS: u8 = 200;
/// Most supplies that are weighed together, the first that are drawn.
pub const MOST_SUPPLIES: usize = 3;

/// One thing to mend or to know.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Complaint {
    /// Designation of the part that it points at.
    pub part: String,
    /// What is wrong.
    pub what: String,
    /// What to do.
    pub remedy: String,
    /// Whether nothing can be computed before it is mended.
    pub fatal: bool,
}

impl Complaint {
    pub(super) fn fatal(part: &str, what: impl Into<String>, remedy: impl Into<String>) -> Self {
        Self {
            part: shown(part),
            what: what.into(),
            remedy: remedy.into(),
            fatal: true,
        }
    }

    fn warning(part: &str, what: impl Into<String>, remedy: impl Into<String>) -> Self {
        Self {
            fatal: false,
            ..Self::fatal(part, what, remedy)
        }
    }
}

/// Checks a sketch; what is fatal comes first. An empty list means that it can be computed as it is meant.
///
/// Cost: linear in the parts, apart from sorting.
///
/// ```
/// use pinchpoint::circuit::{Circuit, check};
/// let complaints = check(&Circuit::default());
/// assert_eq!(complaints[0].what, "nothing feeds this circuit");
/// ```
pub fn check(circuit: &Circuit) -> Vec<Complaint> {
    let mut complaints = Vec::new();
    if circuit.supplies.is_empty() {
        complaints.push(Complaint::fatal(
            "circuit",
            "nothing feeds this circuit",
            "add the module whose reference output feeds it, e.g. M1 with 5 V",
        ));
    }
    for supply in circuit.supplies.iter().skip(MOST_SUPPLIES) {
        complaints.push(Complaint::warning(
            &supply.id,
            format!(
                "only the first {MOST_SUPPLIES} supplies are weighed; this one is taken to give nothing"
            ),
            "draw what it feeds in a job of its own, and here only what the fault can reach",
        ));
    }
    check_designations(circuit, &mut complaints);
    check_pins(circuit, &mut complaints);
    check_ends(circuit, &mut complaints);
    check_numbers(circuit, &mut complaints);
    check_zones(circuit, &mut complaints);
    check_loops(circuit, &mut complaints);
    check_limit(circuit, &mut complaints);
    if !circuit.supplies.is_empty() {
        check_reach(circuit, &mut complaints);
        check_idle(circuit, &mut complaints);
        check_returns(circuit, &mut complaints);
    }
    complaints.sort_by_key(|complaint| !complaint.fatal);
    complaints
}

fn check_designations(circuit: &Circuit, complaints: &mut Vec<Complaint>) {
    let mut classes: BTreeMap<&str, Vec<&str>> = BTreeMap::new();
    for part in circuit.parts() {
        classes.entry(part.id()).or_default().push(part.class());
    }
    for (id, classes) in classes {
        if id == BATTERY_NEGATIVE {
            complaints.push(Complaint::fatal(
                id,
                format!(
                    "the designation of a {} stands for the battery negative",
                    classes[0]
                ),
                "rename the part",
            ));
        } else if !is_designation(id) {
            complaints.push(Complaint::fatal(
                id,
                format!("“{}” cannot be the designation of a {}", shown(id), classes[0]),
                format!(
                    "use a letter, then letters, digits, - and _, at most {DESIGNATION_LIMIT} in all"
                ),
            ));
        }
        if classes.len() > 1 {
            complaints.push(Complaint::fatal(
                id,
                format!(
                    "{} parts have this designation ({})",
                    classes.len(),
                    classes.join(", ")
                ),
                "rename all but one of them",
            ));
        }
    }
}

fn check_pins(circuit: &Circuit, complaints: &mut Vec<Complaint>) {
    for connector in &circuit.connectors {
        match connector.pins.len() {
            0 => complaints.push(Complaint::fatal(
                &connector.id,
                "the connector has no pins",
                "give it at least one pin",
            )),
            count if count > MAX_PINS.into() => complaints.push(Complaint::fatal(
                &connector.id,
                format!("the connector has {count} pins"),
                format!("leave out pins that this circuit does not use; {MAX_PINS} is the most"),
            )),
            _ => {}
        }
    }
}

/// Every end of a wire, load or ground strap must sit at a declared point, and the two ends at two of them.
fn check_ends(circuit: &Circuit, complaints: &mut Vec<Complaint>) {
    let points: HashSet<Point> = circuit.points().into_iter().collect();
    let ids: HashSet<&str> = circuit.ids().collect();
    let mut end = |part: &str, which: &str, point: &Point| {
        if points.contains(point) {
            return;
        }
        let (what, remedy) = if ids.contains(point.part.as_str()) {
            (
                format!(
                    "{which} leads to {point}, but {} has no such point",
                    point.part
                ),
                format!("choose a point of {} from the drawing", point.part),
            )
        } else {
            (
                format!(
                    "{which} leads to {point}, but there is no part {}",
                    shown(&point.part)
                ),
                format!(
                    "add {}, or lead it to a part that is there",
                    shown(&point.part)
                ),
            )
        };
        complaints.push(Complaint::fatal(part, what, remedy));
    };
    for wire in &circuit.wires {
        end(&wire.id, "its near end", &wire.from);
        end(&wire.id, "its far end", &wire.to);
    }
    for load in &circuit.loads {
        end(&load.id, "its feed", &load.feed);
        end(&load.id, "its return", &load.ret);
    }
    for ground in &circuit.grounds {
        end(&ground.id, "its strap", &ground.at);
    }
    let same = (circuit
        .wires
        .iter()
        .map(|wire| (&wire.id, &wire.from, &wire.to)))
    .chain(
        circuit
            .loads
            .iter()
            .map(|load| (&load.id, &load.feed, &load.ret)),
    );
    for (id, one, other) in same {
        if one == other {
            complaints.push(Complaint::fatal(
                id,
                format!("both of its ends are at {one}"),
                "lead one end to another point",
            ));
        }
    }
    for ground in &circuit.grounds {
        if ground.at.is_battery_negative() {
            complaints.push(Complaint::fatal(
                &ground.id,
                "both of its ends are at the battery negative",
                "put the ground point where the circuit is grounded, e.g. at M1.return",
            ));
        }
    }
}

fn check_zones(circuit: &Circuit, complaints: &mut Vec<Complaint>) {
    let known: HashSet<&str> = circuit
        .ids()
        .chain(circuit.wires.iter().map(|wire| wire.bundle.as_str()))
        .collect();
    for zone in &circuit.damage_zones {
        for part in &zone.parts {
            if part.is_empty() || !known.contains(part.as_str()) {
                complaints.push(Complaint::warning(
                    part,
                    format!(
                        "a damage zone names “{}”, which is no part and no bundle",
                        shown(part)
                    ),
                    "correct the name, or take it out of the damage zone",
                ));
            }
        }
    }
}

/// Loops are legal, but rarely drawn on purpose.
fn check_loops(circuit: &Circuit, complaints: &mut Vec<Complaint>) {
    let mut nets = Nets::default();
    for supply in &circuit.supplies {
        // Several feed pins are one point inside the module.
        let first = Point::new(&supply.id, super::Terminal::Feed(1));
        for n in 2..=supply.feed_pins {
            nets.join(&first, &Point::new(&supply.id, super::Terminal::Feed(n)));
        }
    }
    // Pins and fuses first, so that it is a wire that closes the loop.
    let links = Links::of(circuit);
    let (wires, others) = links.all.split_at(circuit.wires.len());
    for link in others {
        nets.join(&link.a, &link.b);
    }
    for link in wires {
        if link.a != link.b && !nets.join(&link.a, &link.b) {
            complaints.push(Complaint::warning(
                link.part,
                format!(
                    "it closes a loop: {} and {} were joined already",
                    link.a, link.b
                ),
                "leave it if the vehicle has a loop here; if not, correct its ends",
            ));
        }
    }
}

/// Designations of the parts that no module feeds, in the order of the sketch: readings there tell nothing of the rest,
/// and the rest nothing of them. Battery negative joins nothing here: every ground leads to it. Empty without a module.
pub fn unfed(circuit: &Circuit) -> Vec<&str> {
    let Some(first) = circuit.supplies.first() else {
        return Vec::new();
    };
    // A sensor has to be reached by what feeds it; anything else may also hang on a return.
    let (mut feeds, mut nets) = (Nets::default(), Nets::default());
    let root = Point::new(&first.id, super::Terminal::Feed(1));
    for point in circuit.points() {
        let is_supply = circuit
            .supplies
            .iter()
            .any(|supply| supply.id == point.part);
        if is_supply {
            nets.join(&root, &point);
        }
        if is_supply && point.terminal != super::Terminal::Return {
            feeds.join(&root, &point);
        }
    }
    let links = Links::of(circuit);
    let ends = links.all.iter().map(|link| (&link.a, &link.b));
    for (a, b) in ends.filter(|(a, b)| !a.is_battery_negative() && !b.is_battery_negative()) {
        nets.join(a, b);
        feeds.join(a, b);
    }
    for load in &circuit.loads {
        if !load.feed.is_battery_negative() && !load.ret.is_battery_negative() {
            nets.join(&load.feed, &load.ret);
        }
        nets.join(&load.feed, &Point::new(&load.id, super::Terminal::Signal));
    }
    let mut touched: HashMap<String, bool> = HashMap::new();
    for point in circuit.points() {
        let reached = nets.same(&root, &point);
        *touched.entry(point.part).or_default() |= reached;
    }
    let mut reached = |part: &PartRef<'_>| match part {
        // What the feed could touch need not be joined to it.
        PartRef::Supply(_) | PartRef::Rail(_) => true,
        PartRef::Wire(wire) => nets.same(&root, &wire.from) || nets.same(&root, &wire.to),
        PartRef::Load(load) => feeds.same(&root, &load.feed),
        PartRef::Ground(ground) => nets.same(&root, &ground.at),
        PartRef::Connector(_) | PartRef::Splice(_) | PartRef::Fuse(_) => {
            touched.get(part.id()).copied().unwrap_or(false)
        }
    };
    let parts = circuit.parts();
    let torn = parts.filter(|part| !reached(part));
    torn.map(|part| part.id()).collect()
}

/// Warns of parts that no supply reaches, and of sensors an end of which hangs in the air.
fn check_reach(circuit: &Circuit, complaints: &mut Vec<Complaint>) {
    let unfed: HashSet<&str> = unfed(circuit).into_iter().collect();
    let links = Links::of(circuit);
    for part in circuit.parts() {
        if unfed.contains(part.id()) {
            complaints.push(Complaint::warning(
                part.id(),
                format!("no module feeds this {}", part.class()),
                "draw the wire that leads to it, or remove it",
            ));
        }
        if let PartRef::Load(load) = part {
            for (end, which) in [(&load.feed, "feed"), (&load.ret, "return")] {
                if end.part == load.id && links.at(end).is_empty() {
                    complaints.push(Complaint::warning(
                        &load.id,
                        format!("no wire leads to its {which}"),
                        "draw the wire that leads to it, or put its end at another point",
                    ));
                }
            }
        }
    }
}

/// Warns of a module beside others from which nothing leads away: it feeds nothing, and no fault could reach it. Not where it
/// feeds members that are not drawn.
fn check_idle(circuit: &Circuit, complaints: &mut Vec<Complaint>) {
    let links = Links::of(circuit);
    for supply in circuit
        .supplies
        .iter()
        .filter(|supply| circuit.supplies.len() > 1 && !supply.more_members)
    {
        let mut feeds =
            (1..=supply.feed_pins).map(|n| Point::new(&supply.id, super::Terminal::Feed(n)));
        let used = |feed: Point| {
            !links.at(&feed).is_empty() || circuit.loads.iter().any(|load| load.feed == feed)
        };
        if !feeds.any(used) {
            complaints.push(Complaint::warning(
                &supply.id,
                "nothing leads away from its feed, so that it feeds nothing",
                "draw the wire that it feeds, or remove it",
            ));
        }
    }
}

/// Warns of modules whose return is drawn and leads to no ground: their volts are volts to nothing then.
fn check_returns(circuit: &Circuit, complaints: &mut Vec<Complaint>) {
    let links = Links::of(circuit);
    let grounded = |point: &Point| {
        point.is_battery_negative() || circuit.grounds.iter().any(|ground| ground.at == *point)
    };
    for supply in circuit.supplies.iter().filter(|s| !circuit.is_bolted(s)) {
        let mut seen = vec![Point::new(&supply.id, super::Terminal::Return)];
        let mut next = 0;
        while let Some(point) = seen.get(next).filter(|point| !grounded(point)) {
            let point = point.clone();
            next += 1;
            for &link in links.at(&point) {
                let other = links.across(link, &point);
                if !seen.contains(other) {
                    seen.push(other.clone());
                }
            }
        }
        if next == seen.len() {
            let id = &supply.id;
            complaints.push(Complaint::warning(
                id,
                "its return leads to no ground, so that nothing it gives can be read against battery negative",
                format!("draw the ground that it leads to, or one at {id}.return, in the outline “{id}.return G1”"),
            ));
        }
    }
}

/// A module that its own sensors would hold at its limit: by such figures a sound feed is pulled down.
fn check_limit(circuit: &Circuit, complaints: &mut Vec<Complaint>) {
    // With several, which of them gives how much is a sum and no check.
    let [supply] = &circuit.supplies[..] else {
        return;
    };
    let (LimitMode::Constant { limit } | LimitMode::Foldback { limit, .. }) = &supply.limit else {
        return;
    };
    let all = circuit.sound_draw(supply.nominal);
    if let Some(limit) = limit
        .map(as_amperes)
        .filter(|limit| *limit > 0.0 && all > *limit)
    {
        let (all, limit) = (si(all, Unit::Amperes), si(limit, Unit::Amperes));
        complaints.push(Complaint::warning(
            &supply.id,
            format!("its sensors draw {all} when nothing is wrong, and its limit is {limit}"),
            "compare both with the data; by these figures a sound feed is pulled down",
        ));
    }
}

/// Which points are joined: a union–find forest over points.
#[derive(Default)]
struct Nets {
    index: HashMap<Point, usize>,
    parent: Vec<usize>,
}

impl Nets {
    fn root(&mut self, point: &Point) -> usize {
        let mut at = match self.index.get(point) {
            Some(at) => *at,
            None => {
                self.index.insert(point.clone(), self.parent.len());
                self.parent.push(self.parent.len());
                self.parent.len() - 1
            }
        };
        while self.parent[at] != at {
            self.parent[at] = self.parent[self.parent[at]];
            at = self.parent[at];
        }
        at
    }

    /// Joins two points; false when they were joined already.
    fn join(&mut self, a: &Point, b: &Point) -> bool {
        let (a, b) = (self.root(a), self.root(b));
        self.parent[b] = a;
        a != b
    }

    fn same(&mut self, a: &Point, b: &Point) -> bool {
        self.root(a) == self.root(b)
    }
}

/// The beginning of a text from a file, short enough for a message.
fn shown(text: &str) -> String {
    text.chars().take(40).collect()
}
