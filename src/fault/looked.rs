//! What a look that found nothing says of a fault: how much of its place was seen, and how often a look overlooks it.

use super::{FaultKind, Site};
use crate::{
    circuit::Circuit,
    reading::{Inspection, SIGNS, inspection::Overlooked},
};

impl Overlooked {
    /// Chance that a fault of a kind is not seen by who looks at its place.
    pub fn chance(&self, circuit: &Circuit, site: &Site, kind: FaultKind) -> f64 {
        let splice = || circuit.splices.iter().any(|one| one.id == site.part);
        let wire = || circuit.wires.iter().any(|one| one.id == site.part);
        match kind {
            FaultKind::UndrawnShort => self.undrawn,
            FaultKind::DrawsTooMuch | FaultKind::DrawsNothing | FaultKind::SignalStuck => self.load,
            FaultKind::SupplyDead | FaultKind::SupplyLow | FaultKind::LimitsEarly => self.supply,
            _ if site.pin.is_some() => self.pin,
            FaultKind::ShortToGround | FaultKind::ShortToRail | FaultKind::ShortBetween => {
                if splice() {
                    self.splice
                } else {
                    self.rubbed_wire
                }
            }
            FaultKind::Open | FaultKind::HighResistance => {
                if wire() {
                    self.broken_wire
                } else {
                    self.joint
                }
            }
        }
    }
}

impl Inspection {
    /// A look at a whole part or at a piece of a wire.
    pub fn of(site: &Site, kind: FaultKind, metres: Option<(f64, f64)>) -> Self {
        Self {
            part: site.part.clone(),
            pin: site.pin,
            metres,
            undrawn: kind == FaultKind::UndrawnShort,
            ..Self::default()
        }
    }

    /// Whether it was a look at a part, or at the bundle that the part runs in.
    fn covers(&self, circuit: &Circuit, part: &str) -> bool {
        let wire = || circuit.wire(part);
        self.part == part || wire().is_some_and(|w| !w.bundle.is_empty() && w.bundle == self.part)
    }

    /// Share of a piece of a part, from one fraction of it to another, that was looked at for a fault of a kind.
    ///
    /// ```
    /// use pinchpoint::{circuit::Circuit, fault::{FaultKind, Site}, reading::Inspection};
    /// let circuit = Circuit::default();
    /// let look = Inspection { part: "SP1".to_owned(), ..Inspection::default() };
    /// let seen = |part: &str, kind| look.share(&circuit, &Site::part(part), kind, (0.0, 1.0));
    /// assert_eq!(seen("SP1", FaultKind::ShortToGround), 1.0);
    /// assert_eq!(seen("SP2", FaultKind::ShortToGround), 0.0);
    /// // Who looks at a splice has not looked for what hangs there undrawn.
    /// assert_eq!(seen("SP1", FaultKind::UndrawnShort), 0.0);
    /// ```
    pub fn share(
        &self,
        circuit: &Circuit,
        site: &Site,
        kind: FaultKind,
        (from, to): (f64, f64),
    ) -> f64 {
        let touched = [&site.part].into_iter().chain(&site.with);
        let mut seen = touched.filter(|part| self.covers(circuit, part));
        let Some(part) = seen.next() else { return 0.0 };
        let other_pin = self.pin.is_some() && self.pin != site.pin;
        if self.undrawn != (kind == FaultKind::UndrawnShort) || other_pin {
            return 0.0;
        }
        let wire = circuit.wire(part);
        let (Some((low, high)), Some(wire)) = (self.metres, wire) else {
            return 1.0;
        };
        let length = wire.length_or_assumed().max(1e-6);
        let both = (high / length).min(to) - (low / length).max(from);
        (both / (to - from)).clamp(0.0, 1.0)
    }

    /// Chance to find nothing in several looks where a fault is, against where none is; of its place a share was seen in
    /// each of them.
    pub fn ratio(
        circuit: &Circuit,
        site: &Site,
        kind: FaultKind,
        shares: impl Iterator<Item = f64>,
    ) -> f64 {
        let table = &SIGNS.overlooked;
        let mut missed = table.chance(circuit, site, kind);
        let mut ratio = 1.0;
        for share in shares.filter(|share| *share > 0.0) {
            let found_another = match kind {
                FaultKind::UndrawnShort => share * table.another_member,
                _ => 0.0,
            };
            ratio *= (1.0 - share * (1.0 - missed)) / (1.0 - found_another);
            missed = missed.max(table.again);
        }
        ratio
    }
}
