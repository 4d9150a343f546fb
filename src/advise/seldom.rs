//! Readings beyond volts: ohms, currents, known loads, a look at the scan.

use super::{
    price,
    sights::{Finder, STATES, known_load},
};
use crate::{
    circuit::{Point, Terminal},
    reading::{Kind, State},
};

impl Finder<'_> {
    /// Ohms to battery negative with the supply off, now and behind each parted or partable connector, and the
    /// current out of each supply.
    pub(super) fn ohms_and_amperes(&mut self, present: &State) {
        let circuit = self.circuit;
        let off = |state: &State| State {
            supply_off: true,
            ..state.clone()
        };
        let mut states = vec![(present.clone(), None)];
        states.extend(
            (circuit.connectors.iter())
                .filter(|c| !self.barred.contains(&c.id))
                .take(STATES / 2)
                .map(|c| (present.toggled(&c.id), Some(c.id.as_str()))),
        );
        for (state, moved) in states {
            let dead = off(&state);
            let at = self.state(dead.clone());
            for supply in &circuit.supplies {
                let red = Point::new(&supply.id, Terminal::Feed(1));
                if self.points.contains(&red)
                    && let Some(minutes) = price::probe(circuit, &red, &dead)
                {
                    self.look(at, Kind::Ohms, &red, Point::battery_negative(), minutes);
                }
            }
            for red in self.points.clone() {
                let here = matches!(red.terminal, Terminal::Near(_) | Terminal::Far(_))
                    && (moved == Some(red.part.as_str())
                        || moved.is_none() && present.unplugged.contains(&red.part));
                if here && let Some(minutes) = price::probe(circuit, &red, &dead) {
                    self.look(at, Kind::Ohms, &red, Point::battery_negative(), minutes);
                }
            }
        }
        let at = self.state(present.clone());
        for supply in &circuit.supplies {
            let red = Point::new(&supply.id, Terminal::Feed(1));
            if self.points.contains(&red) {
                let black = Point::battery_negative();
                self.look(at, Kind::Amperes, &red, black, price::IN_SERIES);
            }
        }
    }

    /// A resistor of a few milliamperes from a sensor's feed or from an open plug to battery negative, read where it is
    /// clipped on. Never a lamp, and never battery voltage, on a reference.
    pub(super) fn clipped(&mut self, present: &State) {
        let open = |point: &&Point| {
            matches!(point.terminal, Terminal::Near(_)) && present.unplugged.contains(&point.part)
        };
        let mut places: Vec<Point> = self.circuit.loads.iter().map(|l| l.feed.clone()).collect();
        places.extend(self.points.iter().filter(open).cloned());
        for place in places {
            if !self.points.contains(&place) || self.found.states.len() >= 2 * STATES {
                continue;
            }
            let mut state = present.clone();
            state.attached.push(known_load(self.circuit, &place));
            if let Some(minutes) = price::probe(self.circuit, &place, &state) {
                let at = self.state(state);
                let black = Point::battery_negative();
                self.look(at, Kind::Volts, &place, black, minutes);
            }
        }
    }

    /// The current out of each supply and in every wire with an end that can be got at, by a clamp.
    pub(super) fn clamped(&mut self, present: &State) {
        let circuit = self.circuit;
        let at = self.state(present.clone());
        for supply in &circuit.supplies {
            let red = Point::new(&supply.id, Terminal::Feed(1));
            let minutes = price::clamp(circuit, &red).filter(|_| self.points.contains(&red));
            if let Some(minutes) = minutes {
                self.look(at, Kind::Clamp, &red, Point::battery_negative(), minutes);
            }
        }
        for wire in &circuit.wires {
            if self.barred.contains(&wire.id) {
                continue;
            }
            let ends = [(&wire.from, &wire.to), (&wire.to, &wire.from)];
            let nearest = (ends.into_iter())
                .filter(|(red, _)| self.points.contains(red))
                .filter_map(|(red, black)| Some((price::clamp(circuit, red)?, red, black)))
                .min_by(|a, b| a.0.total_cmp(&b.0));
            if let Some((minutes, red, black)) = nearest {
                self.look(at, Kind::Clamp, red, black.clone(), minutes);
            }
        }
    }

    /// Whether each module answers on the scan.
    pub(super) fn scanned(&mut self, present: &State) {
        let at = self.state(present.clone());
        for supply in &self.circuit.supplies {
            let red = Point::new(&supply.id, Terminal::Feed(1));
            let black = Point::new(&supply.id, Terminal::Return);
            if self.points.contains(&red) && self.points.contains(&black) {
                self.look(at, Kind::Scan, &red, black, price::SCAN);
            }
        }
    }
}
