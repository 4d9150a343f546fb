//! Faults that are hidden in a circuit, and whether a circuit can have them.

use serde::{Deserialize, Serialize};

use crate::{
    circuit::{Circuit, Load, PartRef},
    fault::{FaultKind, Site},
};

/// Ohms that a fault may have.
const OHMS: std::ops::RangeInclusive<f64> = 1e-4..=1e8;

/// One fault that is really there.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Hidden {
    /// The thing that has it.
    pub site: Site,
    /// What is wrong with it.
    pub kind: FaultKind,
    /// Ohms of a short, ohms added in series, or what is left of a supply's volts or limit as a fraction; of no
    /// effect for opens.
    #[serde(default = "one")]
    pub size: f64,
    /// Where along the wire, as a fraction of its length from its `from` end; at a pin, below a half for its near side; of a
    /// stuck signal, below a half for one held towards the return.
    #[serde(default = "half")]
    pub at: f64,
}

fn one() -> f64 {
    1.0
}

fn half() -> f64 {
    0.5
}

/// Why a circuit cannot have a fault.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum HiddenError {
    /// The part is not drawn.
    #[error("{0} is not on the sketch; name a part that is drawn")]
    NoSuchPart(String),
    /// The connector has no such pin.
    #[error("{0} is not on the sketch; name a pin that the connector has")]
    NoSuchPin(Site),
    /// This kind of fault does not go with this class of part.
    #[error(
        "a {class} such as {site} cannot have the fault “{kind:?}”; choose another kind or another part"
    )]
    DoesNotGo {
        /// The thing.
        site: Site,
        /// Its class.
        class: &'static str,
        /// The kind of fault.
        kind: FaultKind,
    },
    /// A number is out of range.
    #[error("the fault at {site}: {what} is {value}; give a number from {low} to {high}")]
    Number {
        /// The thing.
        site: Site,
        /// Which number.
        what: &'static str,
        /// What it is.
        value: f64,
        /// The least it can be.
        low: f64,
        /// The most it can be.
        high: f64,
    },
}

impl Hidden {
    /// A fault in the middle of its thing.
    pub fn new(site: Site, kind: FaultKind, size: f64) -> Self {
        Self {
            site,
            kind,
            size,
            at: half(),
        }
    }

    /// The same at another fraction along the wire.
    pub fn at(self, at: f64) -> Self {
        Self { at, ..self }
    }

    /// Whether it adds a resistance in series.
    pub fn is_series(&self) -> bool {
        matches!(self.kind, FaultKind::Open | FaultKind::HighResistance)
    }

    /// Whether a circuit can have it.
    ///
    /// # Errors
    /// The part or pin that is not drawn, the kind that does not go with it, the number that is out of range.
    pub fn check(&self, circuit: &Circuit) -> Result<(), HiddenError> {
        use FaultKind::{
            DrawsNothing, DrawsTooMuch, HighResistance, LimitsEarly, Open, ShortBetween,
            ShortToGround, ShortToRail, SignalStuck, SupplyDead, SupplyLow, UndrawnShort,
        };
        let site = &self.site;
        let absent = |id: &str| HiddenError::NoSuchPart(id.to_owned());
        let part = circuit.part(&site.part).ok_or_else(|| absent(&site.part))?;
        let other = match &site.with {
            Some(id) => Some(circuit.part(id).ok_or_else(|| absent(id))?),
            None => None,
        };
        let goes = match (part, self.kind) {
            (PartRef::Wire(_), ShortToGround | Open | HighResistance) => other.is_none(),
            (PartRef::Wire(_), ShortToRail) => matches!(other, Some(PartRef::Rail(_))),
            (PartRef::Wire(own), ShortBetween) => {
                matches!(other, Some(PartRef::Wire(other)) if other.id != own.id)
            }
            (PartRef::Connector(connector), ShortToGround | Open | HighResistance) => {
                let pins = 1..=connector.pins.len();
                if !(site.pin).is_some_and(|pin| pins.contains(&usize::from(pin))) {
                    return Err(HiddenError::NoSuchPin(site.clone()));
                }
                true
            }
            (PartRef::Splice(_), ShortToGround | UndrawnShort)
            | (PartRef::Ground(_) | PartRef::Fuse(_), Open | HighResistance)
            | (PartRef::Load(_), DrawsTooMuch | DrawsNothing)
            | (
                PartRef::Load(Load {
                    signal_fraction: Some(_),
                    ..
                }),
                SignalStuck,
            )
            | (PartRef::Supply(_), SupplyDead | SupplyLow | LimitsEarly | UndrawnShort) => true,
            _ => false,
        };
        if !goes {
            return Err(HiddenError::DoesNotGo {
                site: site.clone(),
                class: part.class(),
                kind: self.kind,
            });
        }
        let within = |what, value: f64, low: f64, high: f64| {
            if (low..=high).contains(&value) {
                Ok(())
            } else {
                Err(HiddenError::Number {
                    site: site.clone(),
                    what,
                    value,
                    low,
                    high,
                })
            }
        };
        match self.kind {
            SupplyLow | LimitsEarly => within("the fraction that is left", self.size, 0.01, 1.0)?,
            Open | DrawsNothing | SupplyDead => {}
            _ => within("its ohms", self.size, *OHMS.start(), *OHMS.end())?,
        }
        within("the place along it", self.at, 0.0, 1.0)
    }
}
