//! Opens and bad joints: the volts that are lost where none should be.

use super::{
    Story, amperes,
    figures::{difference, quotient, three},
    of_ohms, volts,
};
use crate::{infer::solve::Effect, quantity::Unit};

/// Conductance of a joint below which it is parted anyway, S.
const PARTED: f64 = 1e-9;
/// Current below which a bad joint loses nothing that shows, A.
const NEXT_TO_NOTHING: f64 = 5e-6;
/// Share of the ohms from which the sound part is told apart.
const OWN_SHARE: f64 = 0.01;

impl Story<'_> {
    pub(super) fn tell_series(&mut self) {
        let Some(fault) = self.scene.own().copied() else {
            return;
        };
        let (row, added) = match fault.effect {
            Effect::Series(row) => (row, Some(fault.log_size.exp())),
            Effect::Cut(row) => (row, None),
            _ => return,
        };
        let element = self.scene.model().elements[row];
        let place = self.place();
        if self.scene.conductance(row) < PARTED {
            self.say(format!(
                "In this state {place} is parted anyway, so the fault does nothing."
            ));
            self.tell_healthy();
            return;
        }
        let (mut high, mut low) = (element.a, element.b);
        if self.with.node(high) < self.with.node(low) {
            std::mem::swap(&mut high, &mut low);
        }
        let (before, behind) = (self.with.node(high), self.with.node(low));
        let lost = before - behind;
        let sound = (self.without.node(high) - self.without.node(low)).abs();
        self.say(format!(
            "Sound, {place} would lose {}.",
            three(volts(sound))
        ));
        let (here, there) = (self.at_node(high), self.at_node(low));
        let ends = format!(
            "{here} is at {}, {there} at {}: ",
            three(volts(before)),
            three(volts(behind))
        );
        let across = difference(before, behind, Unit::Volts);
        let Some(added) = added else {
            self.sum(&ends, across, " stands across the break.");
            self.say("No current passes it.");
            return;
        };
        let own = 1.0 / self.scene.conductance(row);
        let current = lost / (own + added);
        if current < 1e-9 {
            self.say("Nothing flows through it in this state, so it loses nothing.");
            return;
        }
        if current < NEXT_TO_NOTHING {
            self.say(format!(
                "Only {} flows through it now, so its {} lose next to nothing: load the feed to see it.",
                three(amperes(current)),
                three(of_ohms(added))
            ));
            return;
        }
        self.sum(&ends, across, " is lost.");
        self.sum(
            &format!("{} flows through it: ", three(amperes(current))),
            quotient(volts(lost), amperes(current), Unit::Ohms),
            ".",
        );
        if own > OWN_SHARE * added {
            self.sum(
                &format!("{} of that is its own: ", three(of_ohms(own))),
                difference(own + added, own, Unit::Ohms),
                " is added.",
            );
        }
    }
}
