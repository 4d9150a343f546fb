//! One state of the circuit under given faults: supply regimes and electronic loads brought to agreement.

mod bench;
mod couple;
mod cutting;
mod knee;
mod source;

pub use bench::{Base, Bench};
pub use couple::Solved;
pub use source::{Regime, SourceNow};

use super::lower::{Model, Quantity};
use crate::network::Port;

/// What a fault does to the network.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Effect {
    /// A resistance across a port, behind `inner` ohms.
    Shunt {
        /// Where.
        port: Port,
        /// Resistance that stands in series for the place along a wire.
        inner: f64,
    },
    /// Resistance added in series with an element.
    Series(usize),
    /// An element that no longer conducts.
    Cut(usize),
    /// A source whose volts are multiplied.
    Weak(usize),
    /// A source that gives nothing.
    Dead(usize),
    /// A source whose limit is multiplied.
    Early(usize),
}

impl Effect {
    /// Fraction of the wire at which a shunt sits, if it sits on a wire.
    pub fn fraction(&self) -> Option<f64> {
        match self {
            Self::Shunt { port, .. } => match port.weights() {
                [_, (_, x), _] => Some(*x),
                _ => None,
            },
            _ => None,
        }
    }
}

/// An effect with the logarithm of its size: ohms of a shunt or series resistance, or the factor on the source.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fault {
    /// What it does.
    pub effect: Effect,
    /// Natural logarithm of its size; unused for cuts and dead sources.
    pub log_size: f64,
    /// It is there in readings taken after this many repairs or more …
    pub from: usize,
    /// … and after this many or fewer.
    pub until: usize,
}

impl Fault {
    /// Whether it is there in a reading taken after `repairs` repairs.
    pub fn present(&self, repairs: usize) -> bool {
        (self.from..=self.until).contains(&repairs)
    }

    /// By how much it multiplies the limit of a source.
    pub(super) fn limits(&self, source: usize) -> f64 {
        match self.effect {
            Effect::Early(s) if s == source => self.log_size.exp(),
            _ => 1.0,
        }
    }
}

/// Standardised deviations of a source's volts, ohms, limit and short-circuit current.
pub type Deviations = [f64; 4];
/// Which of a source's deviations is that of its limit.
pub const LIMIT: usize = 2;

/// The port whose transfer resistances a measurement needs.
pub fn meter_port(model: &Model, what: Quantity) -> Port {
    match what {
        Quantity::Volts(port) | Quantity::Ohms(port, _) => port,
        Quantity::Through(flow) => {
            let element = &model.elements[flow.element];
            Port::between(element.a, element.b)
        }
        Quantity::Output(source) => {
            Port::between(model.sources[source].feed, model.sources[source].ret)
        }
    }
}
