//! Which readings prove a repair: those that show what a sound vehicle shows, and that the fault would have spoilt. That the
//! module's pin reads right proves nothing of an open behind it.

use super::{Exercise, Hidden, Session, World};
use crate::{
    advise::price,
    circuit::{Point, Terminal},
    reading::{Entry, Kind, State, Value},
};

/// Share by which parts stray from what is drawn (judgement).
const STRAY: f64 = 0.005;

/// Where to read, and what.
pub type Look = (Kind, Point);

/// The vehicle as it should be, and with one of its faults.
struct Pair {
    sound: World,
    faulty: World,
}

impl Pair {
    fn of(exercise: &Exercise, fault: &Hidden) -> Option<Self> {
        let world = |hidden: &[Hidden]| World::exact(&exercise.circuit, hidden, &exercise.meter);
        Some(Self {
            sound: world(&[]).ok()?,
            faulty: world(std::slice::from_ref(fault)).ok()?,
        })
    }

    /// Whether the fault shows in the difference of two displays.
    fn differ(&self, kind: Kind, sound: Value, faulty: Value) -> bool {
        let blur = match sound {
            Value::Exactly(value) => {
                2.0 * self.sound.meter().band_of(kind, value) + STRAY * value.abs()
            }
            _ => 0.0,
        };
        gap(sound, faulty) > blur
    }

    /// Whether an entry of the log proves that the fault is gone.
    fn is_proven_by(&mut self, entry: &Entry) -> bool {
        let Entry::Reading(reading) = entry else {
            return false;
        };
        if !reading.state.unplugged.is_empty() {
            return false;
        }
        let (kind, red, black) = (reading.kind, &reading.red, &reading.black);
        let sound = self.sound.measure(kind, red, black, &reading.state);
        let faulty = self.faulty.measure(kind, red, black, &reading.state);
        match (sound, faulty) {
            (Ok(sound), Ok(faulty)) => {
                self.differ(kind, sound, faulty)
                    && gap(reading.value, sound) < gap(reading.value, faulty)
            }
            _ => false,
        }
    }

    /// What can be read with everything plugged that would prove it.
    fn looks(&mut self, exercise: &Exercise) -> Vec<Look> {
        let (circuit, allowed, state) = (&exercise.circuit, exercise.allowed, State::default());
        let mut looks = Vec::new();
        if allowed.volts {
            // Nobody reaches into a plug that is home, even where the simulated meter would.
            let points: Vec<Point> = (circuit.points().into_iter())
                .filter(|point| price::probe(circuit, point, &state).is_some())
                .filter(|point| !circuit.is_inside_plug(point))
                .collect();
            let sound = self.sound.survey(&points, &state);
            let faulty = self.faulty.survey(&points, &state);
            for (point, shown) in points.into_iter().zip(sound.into_iter().zip(faulty)) {
                if let (Some(sound), Some(faulty)) = shown
                    && self.differ(Kind::Volts, sound, faulty)
                {
                    looks.push((Kind::Volts, point));
                }
            }
        }
        let black = Point::battery_negative();
        for supply in &circuit.supplies {
            let feed = Point::new(&supply.id, Terminal::Feed(1));
            for kind in [Kind::Amperes, Kind::Ohms] {
                let state = State {
                    supply_off: kind == Kind::Ohms,
                    ..state.clone()
                };
                let sound = self.sound.measure(kind, &feed, &black, &state);
                let faulty = self.faulty.measure(kind, &feed, &black, &state);
                if let (true, Ok(sound), Ok(faulty)) = (allowed.kind(kind), sound, faulty)
                    && self.differ(kind, sound, faulty)
                {
                    looks.push((kind, feed.clone()));
                }
            }
        }
        looks
    }
}

/// How far two displays lie apart; whatever is not told in numbers is the same or far apart.
fn gap(a: Value, b: Value) -> f64 {
    match (a, b) {
        (Value::Exactly(a), Value::Exactly(b)) => (a - b).abs(),
        (Value::OverRange { .. }, Value::OverRange { .. }) => 0.0,
        (a, b) if a == b => 0.0,
        _ => f64::INFINITY,
    }
}

/// Whether readings since the last repair prove that every fault of an exercise is gone. A fault that shows in nothing that
/// may be read with everything plugged asks for no proof.
pub fn is_proven(exercise: &Exercise, since: &[Entry]) -> bool {
    exercise.hidden.iter().all(|fault| {
        let Some(mut pair) = Pair::of(exercise, fault) else {
            return true;
        };
        since.iter().any(|entry| pair.is_proven_by(entry)) || pair.looks(exercise).is_empty()
    })
}

/// The quickest readings that prove all repairs as a session stands: one that proves them all, or one for each.
pub fn quickest(session: &Session) -> Vec<Look> {
    let exercise = session.exercise();
    let each: Vec<Vec<Look>> = (exercise.hidden.iter())
        .filter_map(|fault| Some(Pair::of(exercise, fault)?.looks(exercise)))
        .filter(|looks| !looks.is_empty())
        .collect();
    let minutes = |look: &Look| {
        let price = session.price_of(look.0, &look.1, &Point::battery_negative());
        price.unwrap_or(f64::INFINITY)
    };
    // The first of those that take equally long.
    let best = |looks: &mut dyn Iterator<Item = &Look>| -> Option<Look> {
        looks
            .min_by(|a, b| minutes(a).total_cmp(&minutes(b)))
            .cloned()
    };
    let Some((first, others)) = each.split_first() else {
        return Vec::new();
    };
    let common = |look: &&Look| others.iter().all(|looks| looks.contains(look));
    if let Some(one) = best(&mut first.iter().filter(common)) {
        return vec![one];
    }
    each.iter()
        .filter_map(|looks| best(&mut looks.iter()))
        .collect()
}
