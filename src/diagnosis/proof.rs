//! The proof after a repair: what must now read right, in the states that showed the fault, and what has been shown to.

use serde::Serialize;

use super::Question;
use crate::{
    advise::price,
    circuit::{
        Circuit, Load, Point, Terminal,
        tree::{FeedTree, Side},
    },
    infer::{lower::Model, outlook::Outlook, weigh::Weigher},
    reading::{Entry, Kind, Meter, Reading, State, Value, meter::NOTHING_JOINS},
};

/// 95 % of a normal distribution lie within so many standard deviations.
const BAND: f64 = 1.96;

/// What a display may show with nothing wrong: the 95 % band of the circuit, widened by the meter's own.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Band {
    /// Expected value (V, Ω or A).
    pub mean: f64,
    /// Lowest that is right.
    pub low: f64,
    /// Highest that is right; none where the meter should show OL.
    pub high: Option<f64>,
}

impl Band {
    fn new(meter: &Meter, kind: Kind, outlook: Outlook) -> Self {
        let mean = outlook.mean;
        if kind == Kind::Ohms && mean > NOTHING_JOINS {
            return Self {
                mean,
                low: NOTHING_JOINS,
                high: None,
            };
        }
        let half = BAND * outlook.sd.abs() + meter.band_of(kind, mean);
        Self {
            mean,
            low: mean - half,
            high: Some(mean + half),
        }
    }

    /// Whether what a display showed is right.
    pub fn holds(&self, value: Value) -> bool {
        let most = self.high.unwrap_or(f64::INFINITY);
        let within = |value: f64| (self.low..=most).contains(&value);
        match value {
            Value::Exactly(value) => within(value),
            Value::Between(low, high) => within(low) && within(high),
            Value::OverRange { above } => most >= above.unwrap_or(NOTHING_JOINS),
            // Proof needs a number.
            Value::Seen(_) => false,
        }
    }
}

/// Why something has to be read again.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Why {
    /// It is where the supply gives its volts.
    Supply,
    /// It is as near as a probe comes to a load that hangs behind what was repaired.
    Behind,
    /// It read wrong before the repair, in this state.
    ReadWrong {
        /// Index in the log.
        entry: usize,
    },
}

/// One thing that must read right.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Check {
    /// Kind of quantity.
    pub kind: Kind,
    /// Where the red lead goes.
    pub red: Point,
    /// Where the black lead goes.
    pub black: Point,
    /// State in which it counts.
    pub state: State,
    /// Why it is on the list.
    pub why: Why,
    /// What it should read; none where that cannot be computed.
    pub should: Option<Band>,
    /// Line of the log (from 0) with its last reading since the repair in that state.
    pub read: Option<usize>,
    /// Whether that reading is right; none while there is none, or nothing to compare it with.
    pub right: Option<bool>,
}

/// What the readings since the repair have shown.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Verdict {
    /// Everything on the list reads right.
    Proved,
    /// Something reads right, nothing wrong, and something was not read yet.
    PartlyProved,
    /// Something reads wrong, or nothing was read yet.
    NotProved,
}

/// The proof of the last repair.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Proof {
    /// Part that was repaired last.
    pub part: String,
    /// Its line in the log (from 0).
    pub entry: usize,
    /// What has been shown.
    pub verdict: Verdict,
    /// What must read right: with plugs off what read wrong so, then with everything plugged the supplies, what is fed
    /// through repaired parts, and what read wrong; supplies last where they read right all along.
    pub checks: Vec<Check>,
    /// Whether anything was read since.
    pub read: bool,
    /// Readings since that are not what they must be and were not taken again right.
    pub wrong: Vec<Wrong>,
}

/// A reading since the repair that is not what it must be.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Wrong {
    /// Its line in the log (from 0).
    pub entry: usize,
    /// What it must read.
    pub must: Band,
    /// How many times it read wrong there, the same leads in the same state, since the repair.
    pub times: usize,
}

/// What a repair leaves open.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum SinceRepair<'a> {
    /// Nothing was read since.
    NotRead,
    /// Something reads wrong since, and no fault is accused of it.
    StillWrong(&'a Wrong),
    /// What was read since reads right; this is to be read yet.
    Unfinished(&'a Check),
    /// Everything on the list reads right.
    Proved,
}

impl Proof {
    /// What is open; `accused` says whether a fault explains the readings better than that none is left, and `settled`
    /// whether that fault is no longer one of several.
    pub fn since_repair(&self, accused: bool, settled: bool) -> Option<SinceRepair<'_>> {
        if !self.read {
            return Some(SinceRepair::NotRead);
        }
        if settled {
            return None;
        }
        if let Some(last) = self.wrong.last() {
            // One reading may be a mistake; a second one that is wrong accuses.
            let one = self.wrong.iter().map(|wrong| wrong.times).sum::<usize>() == 1;
            return (one || !accused).then_some(SinceRepair::StillWrong(last));
        }
        if accused {
            return None;
        }
        match self.first_unread() {
            _ if self.verdict == Verdict::Proved => Some(SinceRepair::Proved),
            Some(check) => Some(SinceRepair::Unfinished(check)),
            None => None,
        }
    }

    /// What is to be read first.
    pub fn first_unread(&self) -> Option<&Check> {
        self.checks.iter().find(|check| check.read.is_none())
    }
}

/// The proof of the last repair; none where nothing was repaired. The sketch must be sound: see
/// [`super::problems::problems`].
///
/// On the list are, with everything plugged and the supply on: each supply's feed pin, and where a probe reaches the
/// loads that hang behind a repaired part; and every reading that was wrong before the repair, in its own state. What hangs
/// behind and read right before was not spoilt: where something else read wrong it proves nothing and is left out.
pub fn proof(question: &Question<'_>) -> Option<Proof> {
    let is_repair = |entry: &Entry| matches!(entry, Entry::Repair(_));
    let entry = question.log.iter().rposition(is_repair)?;
    let Entry::Repair(repair) = &question.log[entry] else {
        return None;
    };
    let ends = ends(question);
    // The ends are probed behind the log, so that one lowering says what each line and each end should read.
    let mut log = question.log.to_vec();
    log.extend(
        ends.iter()
            .map(|(point, _)| Entry::Reading(Reading::volts(point.clone(), 0.0))),
    );
    let should = should_read(question, &log);
    let real = question.log.len();
    let mut checks: Vec<Check> = ends
        .into_iter()
        .enumerate()
        .map(|(index, (red, why))| Check {
            kind: Kind::Volts,
            red,
            black: Point::battery_negative(),
            state: State::default(),
            why,
            should: should[real + index],
            read: None,
            right: None,
        })
        .collect();
    for (index, line) in question.log[..entry].iter().enumerate() {
        let (Entry::Reading(reading), Some(band)) = (line, should[index]) else {
            continue;
        };
        if !band.holds(reading.value) && !checks.iter().any(|check| check.is_of(reading)) {
            checks.push(Check {
                kind: reading.kind,
                red: reading.red.clone(),
                black: reading.black.clone(),
                state: State {
                    key_cycled: None,
                    ..reading.state.clone()
                },
                why: Why::ReadWrong { entry: index },
                should: Some(band),
                read: None,
                right: None,
            });
        }
    }
    for check in &mut checks {
        let since = question.log.iter().enumerate().skip(entry + 1).rev();
        let last = since
            .filter_map(|(index, line)| Some((index, line.used()?)))
            .find(|(_, reading)| check.is_of(reading));
        check.read = last.map(|(index, _)| index);
        check.right = last.and_then(|(_, reading)| Some(check.should?.holds(reading.value)));
    }
    let before = &question.log[..entry];
    let found = checks.iter().any(|check| check.was_wrong(before, &should));
    if found {
        let spoilt = |check: &Check| {
            let lines = before.iter().filter_map(Entry::used);
            check.was_wrong(before, &should) || !lines.into_iter().any(|line| check.is_of(line))
        };
        checks.retain(|check| check.why != Why::Behind || spoilt(check));
    }
    // A plug that is off comes back in the end, and what proves a shared feed is everything plugged.
    // Of the rest what read wrong shows the most, and a supply's pin that never did, as before an open, the least.
    let least =
        |check: &Check| found && check.why == Why::Supply && !check.was_wrong(before, &should);
    checks.sort_by_key(|check| (check.state.is_usual(), least(check)));
    let since = |line: &Entry| line.used().is_some();
    Some(Proof {
        part: repair.part.clone(),
        entry,
        verdict: verdict(&checks),
        checks,
        read: question.log[entry + 1..].iter().any(since),
        wrong: wrong(question.log, entry, &should),
    })
}

impl Check {
    /// Whether the log has a wrong reading of it.
    fn was_wrong(&self, log: &[Entry], should: &[Option<Band>]) -> bool {
        log.iter().zip(should).any(|(line, band)| {
            let reading = line.used().filter(|reading| self.is_of(reading));
            matches!((reading, band), (Some(reading), Some(band)) if !band.holds(reading.value))
        })
    }

    /// Whether a reading was taken at these leads, of this kind, in this state; what was read on the far side of a pin that
    /// is plugged counts for its near side too.
    fn is_of(&self, reading: &Reading) -> bool {
        let plugged = !reading.state.unplugged.contains(&self.red.part);
        let red = self.red == reading.red
            || plugged && far_side(&self.red).as_ref() == Some(&reading.red);
        red && (self.kind, &self.black) == (reading.kind, &reading.black)
            && self.state.stands_alike(&reading.state)
    }
}

fn verdict(checks: &[Check]) -> Verdict {
    let all = |right: Option<bool>| checks.iter().all(|check| check.right == right);
    let any = |right: bool| checks.iter().any(|check| check.right == Some(right));
    if !checks.is_empty() && all(Some(true)) {
        Verdict::Proved
    } else if any(true) && !any(false) {
        Verdict::PartlyProved
    } else {
        Verdict::NotProved
    }
}

/// Readings since a repair that are not what they must be, each place and state by its last reading. What only a lamp or
/// the scan showed proves nothing either way.
fn wrong(log: &[Entry], repair: usize, should: &[Option<Band>]) -> Vec<Wrong> {
    let mut since: Vec<(&Reading, Wrong)> = Vec::new();
    for (entry, line) in log.iter().enumerate().skip(repair + 1) {
        let (Entry::Reading(reading), Some(must)) = (line, should[entry]) else {
            continue;
        };
        let known = reading.state.unknown.is_empty() && !matches!(reading.value, Value::Seen(_));
        if reading.set_aside || !known {
            continue;
        }
        let before = since.iter().position(|(other, _)| {
            (other.kind, &other.red, &other.black) == (reading.kind, &reading.red, &reading.black)
                && other.state.stands_alike(&reading.state)
        });
        let times = before.map_or(0, |at| since.remove(at).1.times);
        if !must.holds(reading.value) {
            let times = times + 1;
            since.push((reading, Wrong { entry, must, times }));
        }
    }
    since.into_iter().map(|(_, wrong)| wrong).collect()
}

/// What every line of a log should read with nothing wrong; none for repairs and for readings that cannot be used.
fn should_read(question: &Question<'_>, log: &[Entry]) -> Vec<Option<Band>> {
    let model = Model::new(question.circuit, question.meter, log, &[]);
    let mut weigher = Weigher::new(&model);
    let idle = vec![[0.0; 4]; model.sources.len()];
    let healthy = weigher.before(&[], &idle);
    let mut bands = vec![None; log.len()];
    for (measured, outlook) in model.measured.iter().zip(healthy) {
        if let Entry::Reading(reading) = &log[measured.entry]
            && outlook.mean.is_finite()
            && outlook.sd.is_finite()
        {
            bands[measured.entry] = Some(Band::new(question.meter, reading.kind, outlook));
        }
    }
    bands
}

/// The supplies' feed pins, and the ends of loads that hang behind parts that were repaired.
fn ends(question: &Question<'_>) -> Vec<(Point, Why)> {
    let circuit = question.circuit;
    let mut ends: Vec<(Point, Why)> = circuit
        .supplies
        .iter()
        .map(|supply| (Point::new(&supply.id, Terminal::Feed(1)), Why::Supply))
        .collect();
    let sides = [Side::Feed, Side::Return].map(|side| (side, FeedTree::walk(circuit, side)));
    for line in question.log {
        let Entry::Repair(repair) = line else {
            continue;
        };
        for (side, tree) in &sides {
            for point in behind(circuit, *side, tree, &repair.part) {
                if !ends.iter().any(|(end, _)| *end == point) {
                    ends.push((point, Why::Behind));
                }
            }
        }
    }
    ends
}

/// Where a probe gets to the loads that hang behind a part on one side of the circuit; to the load's own end, if it is one.
fn behind(circuit: &Circuit, side: Side, tree: &FeedTree, part: &str) -> Vec<Point> {
    let below = tree.downstream(part);
    let through = |at: usize| {
        let path = tree.path(at);
        path.iter()
            .any(|&place| tree.places[place].point.part == part)
    };
    let mut ends = Vec::new();
    for load in &circuit.loads {
        let end = match side {
            Side::Feed => &load.feed,
            Side::Return => &load.ret,
        };
        let hangs = load.id == part
            || below.contains(load.id.as_str())
            || tree.index_of(end).is_some_and(through);
        if hangs && !end.is_battery_negative() {
            ends.extend(reached(circuit, load, end, part));
        }
    }
    ends
}

/// Where a probe shows that a load's end is fed again with everything plugged: at the end itself, else at the wire of its
/// pin, unless that pin is what was repaired, which leaves the load's signal. None where there is none of these.
fn reached(circuit: &Circuit, load: &Load, end: &Point, part: &str) -> Option<Point> {
    let wire = match end.terminal {
        _ if !circuit.is_inside_plug(end) => Some(end.clone()),
        _ if end.part == part => None,
        Terminal::Far(pin) => Some(Point::new(&end.part, Terminal::Near(pin))),
        _ => None,
    };
    let signal = (load.signal_fraction.is_some()).then(|| Point::new(&load.id, Terminal::Signal));
    let within = |point: &Point| {
        circuit.has_point(point) && price::probe(circuit, point, &State::default()).is_some()
    };
    wire.filter(within).or(signal.filter(within))
}

/// The other side of a connector's pin, seen from its near side.
fn far_side(point: &Point) -> Option<Point> {
    match point.terminal {
        Terminal::Near(pin) => Some(Point::new(&point.part, Terminal::Far(pin))),
        _ => None,
    }
}
