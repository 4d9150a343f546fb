//! Shorts: the divider, the supply's limit, or the current that a leak feeds into the loads.

use super::{
    SLIGHT, Story, amperes,
    figures::{difference, quotient, three},
    of_ohms, volts,
};
use crate::{fault::FaultKind, infer::solve::Regime, quantity::Unit};

/// Volts and amperes below which a fault does nothing.
const NO_VOLTS: f64 = 2e-3;
const NO_AMPERES: f64 = 2e-6;
/// Ohms from which the rest of the circuit is no divider: only constant currents and insulation.
const NO_DIVIDER: f64 = 1e5;
/// Amperes that only a meter and insulation take.
const METER_ALONE: f64 = 5e-6;

impl Story<'_> {
    pub(super) fn tell_shunt(&mut self) {
        let Some(shunt) = self.with.shunt else {
            return;
        };
        let place = self.place();
        if shunt.open_volts.abs() < NO_VOLTS && shunt.amperes.abs() < NO_AMPERES {
            self.say(format!(
                "In this state nothing reaches {place}, so the fault does nothing."
            ));
            self.tell_healthy();
            return;
        }
        // All of it runs the same way; which way is up does not matter for the sum.
        let sign = shunt.amperes.signum();
        let (open, current) = (sign * shunt.open_volts, sign * shunt.amperes);
        let across = sign * shunt.volts();
        let sources = 0..self.with.sources();
        let limited = sources
            .clone()
            .find(|&s| self.with.regime(s) == Regime::Limited);
        let blocked = sources
            .clone()
            .find(|&s| self.with.regime(s) == Regime::Blocked);
        let one = self.with.sources() == 1;
        match (limited, blocked) {
            (Some(source), _) => self.at_the_limit(source, one, current, across),
            (None, Some(source)) => self.fed_back(source, current),
            (None, None) if shunt.behind > NO_DIVIDER => {
                self.say(format!(
                    "Next to nothing but the fault carries current here: {}.",
                    three(amperes(current))
                ));
            }
            (None, None) => self.divider(&place, open, across),
        }
        let assumed = limited.and_then(|source| self.assumed_limit(source));
        let assumed = assumed.map_or_else(String::new, |limit| {
            format!("With an assumed limit of about {}: ", three(amperes(limit)))
        });
        self.sum(
            &assumed,
            quotient(volts(across), amperes(current), Unit::Ohms),
            &format!(" {}.", self.towards()),
        );
    }

    fn divider(&mut self, place: &str, open: f64, across: f64) {
        let Some(shunt) = self.with.shunt else {
            return;
        };
        let (stood, behind) = (three(volts(open)), three(of_ohms(shunt.behind)));
        let (seen, it) = match self.suspect.map(|suspect| suspect.kind) {
            Some(FaultKind::ShortToRail | FaultKind::ShortBetween) => {
                let between = self.towards();
                (
                    format!("Without the fault {stood} would stand {between}, behind {behind}."),
                    "With it",
                )
            }
            _ => (
                format!("Seen from {place} the feed is {stood} behind {behind}."),
                "There",
            ),
        };
        self.say(seen);
        if self.to_ground() {
            self.way_from_reading(shunt.far + shunt.volts());
        }
        let lost = open - across;
        self.sum(
            &format!("{it} {} is left: ", three(volts(across))),
            difference(open, across, Unit::Volts),
            &format!(" is lost over the {behind}."),
        );
        self.sum(
            "",
            quotient(volts(lost), of_ohms(shunt.behind), Unit::Amperes),
            &format!(" flows{}.", self.where_to()),
        );
    }

    fn at_the_limit(&mut self, source: usize, one: bool, current: f64, across: f64) {
        let name = self.supply(source);
        let output = self.with.output(source);
        let folds = self.scene.model().sources[source];
        let folds = folds.limit > folds.short_circuit;
        if folds {
            self.say(format!(
                "{name} folds back: at {} it lets {} out.",
                three(volts(self.with.pin(source))),
                three(amperes(output))
            ));
        } else if self.assumed_limit(source).is_some() {
            self.say(format!(
                "{name} is at its limit, which nobody knows: {} leaves it if that is what it limits at.",
                three(amperes(output))
            ));
        } else {
            self.say(format!(
                "{name} is at its limit: {} leaves it.",
                three(amperes(output))
            ));
        }
        let rest = output - current;
        if one && self.to_ground() && rest.abs() <= SLIGHT * output {
            self.say(format!("All but a trace of it flows{}.", self.where_to()));
        } else if one && self.to_ground() && rest > 0.0 {
            let taken = three(amperes(rest));
            self.sum(
                &format!("The rest of the circuit takes {taken}: "),
                difference(output, rest, Unit::Amperes),
                &format!(" flows{}.", self.where_to()),
            );
        } else {
            self.say(format!(
                "{} flows{}.",
                three(amperes(current)),
                self.where_to()
            ));
        }
        if self.to_ground()
            && let Some(shunt) = self.with.shunt
        {
            self.way_from_reading(shunt.far + shunt.volts());
        }
        self.say(format!(
            "So R is V ÷ I, with {} across the fault:",
            three(volts(across))
        ));
    }

    /// A supply that cannot take current back: what flows through the leak is what the loads take.
    fn fed_back(&mut self, source: usize, current: f64) {
        let Some(shunt) = self.with.shunt else {
            return;
        };
        let name = self.supply(source);
        self.say(format!(
            "{name} cannot take current back, so it gives nothing and the feed rises to {}.",
            three(volts(self.with.pin(source)))
        ));
        let near = shunt.far + shunt.volts();
        let (high, low) = (near.max(shunt.far), near.min(shunt.far));
        self.sum(
            "Across the fault: ",
            difference(high, low, Unit::Volts),
            ".",
        );
        let flows = three(amperes(current));
        if current < METER_ALONE {
            self.say(format!("Only the meter takes current now: {flows}."));
        } else {
            self.say(format!(
                "What the circuit takes comes through the fault: {flows}."
            ));
        }
    }

    /// Whether the other side of the fault is at ground, so that volts across it are volts there.
    fn to_ground(&self) -> bool {
        self.with.shunt.is_some_and(|shunt| {
            shunt.amperes > 0.0 && shunt.far.abs() < 5e-4 + 1e-3 * shunt.volts().abs()
        })
    }

    fn where_to(&self) -> &'static str {
        match self.suspect.map(|suspect| suspect.kind) {
            Some(FaultKind::DrawsTooMuch) => " into the sensor",
            Some(FaultKind::ShortToRail | FaultKind::ShortBetween | FaultKind::SignalStuck) => {
                " through the fault"
            }
            _ => " into the short",
        }
    }

    pub(super) fn towards(&self) -> String {
        let Some(suspect) = self.suspect else {
            return String::new();
        };
        let part = &suspect.site.part;
        match (suspect.kind, &suspect.site.with) {
            (FaultKind::ShortToRail | FaultKind::ShortBetween, Some(other)) => {
                format!("between {part} and {other}")
            }
            (FaultKind::DrawsTooMuch | FaultKind::SignalStuck, _) => format!("inside {part}"),
            _ => "to ground".to_owned(),
        }
    }
}
