//! A place that was looked at, and where nothing was found: what was looked at, and how often that overlooks a fault.

use serde::{Deserialize, Serialize};

use crate::{
    circuit::Circuit,
    fault::{FaultKind, Site},
};

use super::SIGNS;

/// A place that was looked at, and where nothing was found.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Inspection {
    /// Designation of the part that was looked at, or a bundle.
    pub part: String,
    /// Pin of a connector (from 1); all of them when left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub pin: Option<u8>,
    /// Metres of a wire from its `from` end; all of it when left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub metres: Option<(f64, f64)>,
    /// Whether members were looked for there that are not drawn, and not the part itself.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub undrawn: bool,
    /// Set aside by the user: kept, shown, not used.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub set_aside: bool,
    /// Anything worth keeping.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub note: String,
}

/// Chances that a fault is overlooked by who looks at its place.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Overlooked {
    /// A wire that rubbed through, unwrapped.
    pub rubbed_wire: f64,
    /// A wire that is parted or corroded inside its insulation.
    pub broken_wire: f64,
    /// A pin.
    pub pin: f64,
    /// A splice.
    pub splice: f64,
    /// A ground or a fuse.
    pub joint: f64,
    /// A sensor.
    pub load: f64,
    /// A module.
    pub supply: f64,
    /// A member that is not drawn.
    pub undrawn: f64,
    /// Chance that who looks for members that are not drawn finds a sound one.
    pub another_member: f64,
    /// Anything, by who has overlooked it before.
    pub again: f64,
}

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

    /// Whether its part or bundle is on the sketch.
    pub fn is_on(&self, circuit: &Circuit) -> bool {
        let bundles = circuit.wires.iter().map(|wire| wire.bundle.as_str());
        circuit
            .ids()
            .chain(bundles)
            .any(|id| !id.is_empty() && id == self.part)
    }

    /// What does not fit the sketch, and the remedy.
    pub fn trouble(&self, circuit: &Circuit) -> Option<(String, &'static str)> {
        let part = &self.part;
        if !self.is_on(circuit) {
            return Some((
                format!("“{part}”, which was looked at, is not on the sketch"),
                "correct the designation, or draw the part",
            ));
        }
        if let Some(pin) = self.pin {
            let connector = circuit.connectors.iter().find(|c| c.id == *part);
            let pins = connector.map_or(0, |connector| connector.pins.len());
            if !(1..=pins).contains(&usize::from(pin)) {
                return Some((
                    format!("{part} has no pin {pin}"),
                    "name a pin that is there, or the whole part",
                ));
            }
        }
        let (from, to) = self.metres?;
        let Some(wire) = circuit.wires.iter().find(|wire| wire.id == *part) else {
            return Some((
                format!("metres say nothing of {part}, which is no wire"),
                "leave them out, or name the wire",
            ));
        };
        let length = wire.length_or_assumed();
        (!(from >= 0.0 && from < to && to <= length + 0.005)).then(|| {
            (
                format!("{from} to {to} m is no piece of {part}, which is {length} m long"),
                "give where it begins and ends, in metres from the end nearer the module",
            )
        })
    }

    /// Whether it was a look at a part, or at the bundle that the part runs in.
    fn covers(&self, circuit: &Circuit, part: &str) -> bool {
        let wire = || circuit.wires.iter().find(|wire| wire.id == part);
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
        let wire = circuit.wires.iter().find(|wire| wire.id == *part);
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
