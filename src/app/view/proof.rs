//! The proof after a repair: which points must now read right, and which of them have been shown to.

use crate::{
    app::model::Model,
    circuit::{Point, Terminal},
    diagnosis::Predicted,
    explain::names,
    quantity::{Unit, format::si},
    reading::{Entry, Kind, Reading, State, Value},
};

/// 95 % of a normal distribution lie within so many standard deviations.
const BAND: f64 = 1.96;

/// One point of the proof.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ProofRow {
    /// The point, to battery negative.
    pub point: Point,
    /// What it should read with everything plugged; empty while that is not known.
    pub should_read: String,
    /// Line of the log with its last reading since the repair, everything plugged, and what it read.
    pub read: Option<(usize, String)>,
    /// Whether that reading is right; none while there is none, or nothing to compare it with.
    pub right: Option<bool>,
}

/// The proof list.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Proof {
    /// Part that was repaired last.
    pub part: String,
    /// Its line in the log.
    pub entry: usize,
    /// The points, the module's pin first.
    pub rows: Vec<ProofRow>,
}

impl Proof {
    /// Whether every point has been shown to read right.
    pub fn is_complete(&self) -> bool {
        self.rows.iter().all(|row| row.right == Some(true))
    }
}

/// The proof of the last repair; none where nothing was repaired. Listed are the feed pins, the ends of the feed that
/// run through the repaired part, and every point that was read before it. A reading proves something only with
/// everything plugged and the supply on, as the vehicle is driven.
pub fn proof(model: &Model) -> Option<Proof> {
    let job = &model.job;
    let repaired = |entry: &Entry| matches!(entry, Entry::Repair(_));
    let entry = job.log.iter().rposition(repaired)?;
    let Entry::Repair(repair) = &job.log[entry] else {
        return None;
    };
    let mut points: Vec<Point> = Vec::new();
    let mut list = |point: &Point| {
        if !points.contains(point) && model.harness.points.contains_key(point) {
            points.push(point.clone());
        }
    };
    for supply in &job.circuit.supplies {
        list(&Point::new(&supply.id, Terminal::Feed(1)));
    }
    let wire = job.circuit.wires.iter().find(|w| w.id == repair.part);
    for load in &job.circuit.loads {
        let way = model.harness.way_to(&load.feed);
        let through = way.iter().any(|p| p.part == repair.part)
            || wire.is_some_and(|w| way.contains(&w.from) && way.contains(&w.to));
        if through || load.id == repair.part {
            list(&load.feed);
        }
    }
    let volts = |entry: &Entry| match entry {
        Entry::Reading(r) if r.kind == Kind::Volts && r.black.is_battery_negative() => {
            Some(r.clone()).filter(|r| !r.set_aside)
        }
        _ => None,
    };
    for reading in job.log[..entry].iter().filter_map(volts) {
        list(&reading.red);
    }
    let rows = points.into_iter().map(|point| {
        let since = job.log.iter().enumerate().skip(entry + 1).rev();
        let last = since
            .filter_map(|(index, entry)| Some((index, volts(entry)?)))
            .find(|(_, reading)| reading.red == point && drives(&reading.state));
        row(model, point, last)
    });
    Some(Proof {
        part: repair.part.clone(),
        entry,
        rows: rows.collect(),
    })
}

/// Whether a state is the one in which the vehicle is driven.
fn drives(state: &State) -> bool {
    state.unplugged.is_empty()
        && state.unknown.is_empty()
        && state.attached.is_empty()
        && !state.supply_off
}

fn row(model: &Model, point: Point, last: Option<(usize, Reading)>) -> ProofRow {
    let findings = model.current_findings();
    let of_reading = last.as_ref().and_then(|(index, _)| {
        let found = findings?.readings.iter().find(|r| r.entry == *index)?;
        Some(found.healthy)
    });
    let of_point = || {
        let found = findings?.points.iter().find(|f| f.point == point)?;
        drives(&model.job.now).then_some(found.healthy)
    };
    let healthy = of_reading.or_else(of_point);
    let right = last.as_ref().and_then(|(_, reading)| {
        let healthy = healthy?;
        Some(match reading.value {
            Value::Exactly(volts) => fits(model, volts, healthy),
            Value::Between(low, high) => fits(model, low, healthy) && fits(model, high, healthy),
            Value::OverRange { .. } => false,
        })
    });
    ProofRow {
        should_read: healthy.map_or_else(String::new, |h| si(h.mean, Unit::Volts)),
        read: last.map(|(index, reading)| (index, names::shown(&reading))),
        right,
        point,
    }
}

/// Whether a value lies within the healthy band, widened by the meter's.
fn fits(model: &Model, volts: f64, healthy: Predicted) -> bool {
    (volts - healthy.mean).abs() <= BAND * healthy.sd.abs() + model.job.meter.band(volts)
}
