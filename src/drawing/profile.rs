//! The voltage along the feed, on the metres of the drawing: healthy band, top suspect, and what was read.

use std::collections::HashMap;

use super::{Group, Harness, Lead};
use crate::{
    circuit::{Circuit, LoadModel, Point, link::Links},
    diagnosis::{Findings, PointFinding, Position, Predicted, Question, SETTLED},
    fault::FaultKind,
    quantity::units::{as_amperes, as_ohms, as_volts},
    reading::{Entry, Kind, Reading, Value},
};

/// 95 % of a normal distribution lie within so many standard deviations.
const BAND: f64 = 1.96;

/// Volts expected at a metre.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Level {
    /// Metres from the module.
    pub x: f64,
    /// Expected volts.
    pub volts: f64,
    /// Lower end of the 95 % band.
    pub low: f64,
    /// Upper end of the 95 % band.
    pub high: f64,
}

impl Level {
    fn new(x: f64, value: Predicted) -> Self {
        let half = BAND * value.sd.abs();
        Self {
            x,
            volts: value.mean,
            low: value.mean - half,
            high: value.mean + half,
        }
    }
}

/// The volts along one lead of the feed.
#[derive(Clone, Debug, PartialEq)]
pub struct Line {
    /// Lane of the drawing on which it ends.
    pub lane: i32,
    /// Whether it is a trunk rather than a branch.
    pub trunk: bool,
    /// The point at its end.
    pub end: Point,
    /// With nothing wrong.
    pub healthy: Vec<Level>,
    /// Under the top suspect; empty while there is none. Where a short lies on a wire, it has a corner there.
    pub suspected: Vec<Level>,
}

/// When a reading was taken, seen from now.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Taken {
    /// In the present state.
    Now,
    /// In another state of the plugs, the supply or clipped-on loads.
    OtherState,
    /// Before the last repair.
    BeforeRepair,
}

/// A reading of volts to battery negative.
#[derive(Clone, Debug, PartialEq)]
pub struct Marker {
    /// Index in the log.
    pub entry: usize,
    /// Metres from the module, and lane.
    pub at: super::Place,
    /// What was read, and the meter's band around it.
    pub level: Level,
    /// When.
    pub taken: Taken,
    /// Kept but not used.
    pub set_aside: bool,
}

/// The voltage plot's data.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Profile {
    /// Trunks first, then branches.
    pub lines: Vec<Line>,
    /// Readings in the order of the log.
    pub markers: Vec<Marker>,
    /// Where the fall of the voltage ends, if a short on a wire is settled and something falls to it in this state.
    pub fall_ends: Option<Level>,
}

impl Profile {
    /// Lowest and highest volts of the suspected lines and the readings of now; of the healthy lines if there are none.
    pub fn range(&self) -> Option<(f64, f64)> {
        let suspected = self.lines.iter().flat_map(|line| &line.suspected);
        let used = |m: &&Marker| m.taken == Taken::Now && !m.set_aside;
        let read = self.markers.iter().filter(used);
        let near = span(suspected.chain(read.map(|marker| &marker.level)));
        near.or_else(|| span(self.lines.iter().flat_map(|line| &line.healthy)))
    }
}

fn span<'a>(levels: impl Iterator<Item = &'a Level>) -> Option<(f64, f64)> {
    levels.fold(None, |range, level| {
        let (low, high) = range.unwrap_or((level.low, level.high));
        Some((low.min(level.low), high.max(level.high)))
    })
}

/// Puts findings and readings on the metres of a drawing. Without findings there are markers only.
pub fn profile(job: &Question<'_>, harness: &Harness, findings: Option<&Findings>) -> Profile {
    let mut result = Profile {
        markers: markers(job, harness),
        ..Profile::default()
    };
    let Some(findings) = findings else {
        return result;
    };
    let at: HashMap<&Point, &PointFinding> =
        findings.points.iter().map(|f| (&f.point, f)).collect();
    let kink = kink(job, findings, &at);
    let feeds = harness.leads.iter().filter(|l| l.group == Group::Feed);
    for lead in feeds {
        if let Some(line) = line(harness, lead, &at, kink.as_ref()) {
            result.lines.push(line);
        }
    }
    result.lines.sort_by_key(|line| !line.trunk);
    let settled = (findings.accused()).is_some_and(|top| top.probability >= SETTLED);
    let shown = kink.filter(|kink| settled && kink.falls);
    result.fall_ends = shown.and_then(|kink| {
        let run = harness.run(&kink.wire)?;
        Some(Level::new(run.at(kink.fraction).x, kink.value))
    });
    result
}

fn line(
    harness: &Harness,
    lead: &Lead,
    at: &HashMap<&Point, &PointFinding>,
    kink: Option<&Kink>,
) -> Option<Line> {
    let end = lead.points.last()?.clone();
    let mut line = Line {
        lane: harness.place(&end)?.lane,
        trunk: !lead.branches_off,
        end,
        healthy: Vec::new(),
        suspected: Vec::new(),
    };
    let mut before: Option<&Point> = None;
    for point in &lead.points {
        let (Some(found), Some(place)) = (at.get(point), harness.place(point)) else {
            continue;
        };
        let healthy = Level::new(place.x, found.healthy);
        let (low, high) = found.hinges.unwrap_or((healthy.low, healthy.high));
        line.healthy.push(Level {
            low,
            high,
            ..healthy
        });
        if let Some(suspected) = found.suspected {
            if let (Some(before), Some(kink)) = (before, kink)
                && kink.lies_between(before, point)
                && let Some(run) = harness.run(&kink.wire)
            {
                let corner = Level::new(run.at(kink.fraction).x, kink.value);
                line.suspected.push(corner);
            }
            line.suspected.push(Level::new(place.x, suspected));
        }
        before = Some(point);
    }
    (line.healthy.len() > 1).then_some(line)
}

/// The corner that a short on a wire puts into the fall of the voltage.
struct Kink {
    wire: String,
    ends: (Point, Point),
    /// Fraction of the wire from its `from` end.
    fraction: f64,
    value: Predicted,
    /// Whether the short shows in this state, beyond what a sound circuit may read.
    falls: bool,
}

impl Kink {
    fn lies_between(&self, a: &Point, b: &Point) -> bool {
        (&self.ends.0, &self.ends.1) == (a, b) || (&self.ends.1, &self.ends.0) == (a, b)
    }
}

fn kink(
    job: &Question<'_>,
    findings: &Findings,
    at: &HashMap<&Point, &PointFinding>,
) -> Option<Kink> {
    let top = findings.suspects.first()?;
    let short = matches!(
        top.kind,
        FaultKind::ShortToGround | FaultKind::ShortToRail | FaultKind::ShortBetween
    );
    let Position {
        from,
        metres,
        length,
        ..
    } = top.position.as_ref().filter(|_| short)?;
    let wire = job.circuit.wire(&top.site.part)?;
    if *length <= 0.0 {
        return None;
    }
    let along = (metres.median / length).clamp(0.0, 1.0);
    let fraction = if *from == wire.from {
        along
    } else {
        1.0 - along
    };
    let volts = |point: &Point| at.get(point)?.suspected.map(|s| (s.mean, s.sd));
    let (a, b) = (volts(&wire.from)?, volts(&wire.to)?);
    let falls = [&wire.from, &wire.to].into_iter().all(|end| {
        let found = at.get(end);
        found.is_some_and(|found| {
            let off = found.suspected.map(|s| (s.mean - found.healthy.mean).abs());
            off.is_some_and(|off| off > BAND * found.healthy.sd.abs())
        })
    });
    // From the short on, only what the parts beyond it draw flows, so the wire's last piece falls by that alone.
    let beyond = current_beyond(job, &wire.id, &wire.to, at)?;
    let rest = as_ohms(wire.resistance()) * (1.0 - fraction);
    let mean = (b.0 + beyond * rest).clamp(a.0.min(b.0), a.0.max(b.0));
    Some(Kink {
        wire: wire.id.clone(),
        ends: (wire.from.clone(), wire.to.clone()),
        fraction,
        value: Predicted {
            mean,
            sd: a.1 + (b.1 - a.1) * fraction,
        },
        falls,
    })
}

/// Amperes that flow on from the end of a wire under the top suspect: through the links that follow, by the volts at
/// their ends, and into loads that sit there.
fn current_beyond(
    job: &Question<'_>,
    wire: &str,
    end: &Point,
    at: &HashMap<&Point, &PointFinding>,
) -> Option<f64> {
    let circuit = job.circuit;
    let volts = |point: &Point| at.get(point)?.suspected.map(|s| s.mean);
    let here = volts(end)?;
    let links = Links::of(circuit);
    let mut sum = 0.0;
    for &index in links.at(end) {
        let link = &links.all[index];
        if link.part == wire || job.now.unplugged.contains(link.part) {
            continue;
        }
        if let (Some(there), Some(ohm)) = (
            volts(links.across(index, end)),
            link_ohms(circuit, link.part, link.pin),
        ) && ohm > 0.0
        {
            sum += (here - there) / ohm;
        }
    }
    for load in circuit.loads.iter().filter(|load| load.feed == *end) {
        sum += match load.model {
            LoadModel::Resistive { resistance } => here / as_ohms(resistance),
            LoadModel::Electronic { draw, knee } => {
                as_amperes(draw) * (here / as_volts(knee)).clamp(0.0, 1.0)
            }
        };
    }
    sum.is_finite().then_some(sum)
}

fn link_ohms(circuit: &Circuit, part: &str, pin: Option<u8>) -> Option<f64> {
    let wire = circuit.wire(part);
    let fuse = || circuit.fuses.iter().find(|f| f.id == part);
    let contact = || {
        let connector = circuit.connector(part)?;
        let pin = connector.pins.get(usize::from(pin?).checked_sub(1)?)?;
        Some(pin.contact)
    };
    wire.map(|wire| wire.resistance())
        .or_else(contact)
        .or_else(|| fuse().map(|fuse| fuse.resistance))
        .map(as_ohms)
}

fn markers(job: &Question<'_>, harness: &Harness) -> Vec<Marker> {
    let last_repair = job
        .log
        .iter()
        .rposition(|entry| matches!(entry, Entry::Repair(_)));
    let entries = job.log.iter().enumerate();
    entries
        .filter_map(|(entry, line)| {
            let Entry::Reading(reading) = line else {
                return None;
            };
            if reading.kind != Kind::Volts || !reading.black.is_battery_negative() {
                return None;
            }
            let at = harness.place(&reading.red)?;
            let taken = if last_repair.is_some_and(|repair| entry < repair) {
                Taken::BeforeRepair
            } else if reading.state.stands_alike(job.now) {
                Taken::Now
            } else {
                Taken::OtherState
            };
            Some(Marker {
                entry,
                at,
                level: level(job, reading, at.x)?,
                taken,
                set_aside: reading.set_aside,
            })
        })
        .collect()
}

fn level(job: &Question<'_>, reading: &Reading, x: f64) -> Option<Level> {
    let (low, volts, high) = match reading.value {
        Value::Exactly(volts) => (volts, volts, volts),
        Value::Between(low, high) => (low, (low + high) / 2.0, high),
        // It says only that the volts are beyond the meter or a threshold, which is no place on the plot.
        Value::OverRange { .. } | Value::Seen(_) => return None,
    };
    Some(Level {
        x,
        volts,
        low: low - job.meter.band(low),
        high: high + job.meter.band(high),
    })
}
