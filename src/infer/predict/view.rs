//! One reading in one solved state: its value, and how it leans on sources, elements and sizes.

use crate::{
    infer::{
        lower::{Measured, Model, Quantity},
        solve::{Effect, Fault, Regime, Solved},
    },
    network::port::PORTS,
};

pub(super) struct View<'a> {
    pub(super) model: &'a Model,
    pub(super) solved: &'a Solved,
    pub(super) active: &'a [Fault],
    pub(super) measured: &'a Measured,
    pub(super) response: &'a [f64],
    pub(super) own: f64,
    /// What each port's volts add to those of the meter, where a short on its wire draws beside it.
    pub(super) taps: Option<&'a [f64; PORTS]>,
}

impl View<'_> {
    /// Value before the meter's loading, and its change per volt of the port.
    pub(super) fn value(&self, port_volts: f64, siemens: &[f64]) -> (f64, f64) {
        match self.measured.what {
            Quantity::Volts(_) => (port_volts, 1.0),
            Quantity::Ohms(_, lead) => (self.own + lead, 1.0),
            Quantity::Through(flow) => {
                let mut g = siemens[flow.element];
                for (slot, &index) in self.solved.which().iter().enumerate() {
                    if matches!(self.active[index].effect, Effect::Series(e) | Effect::Cut(e) if e == flow.element)
                    {
                        g += self.solved.y[self.solved.sources + slot];
                    }
                }
                (flow.sign * g * port_volts, flow.sign * g)
            }
            Quantity::Output(source) if source >= self.solved.sources => (0.0, 0.0),
            Quantity::Output(source) => {
                let now = &self.solved.now[source];
                let u = self.solved.u[source];
                match self.solved.regime[source] {
                    Regime::Thevenin => ((now.volts - u) / now.ohms, -1.0 / now.ohms),
                    Regime::Limited => (now.limit_at(u), now.slope()),
                    Regime::Blocked | Regime::Off => (0.0, 0.0),
                }
            }
        }
    }

    pub(super) fn by_source(&self, source: usize, scale: f64) -> [f64; 4] {
        let drawn = &self.model.sources[source];
        let solved = self.solved;
        if source >= solved.sources {
            return [0.0; 4];
        }
        let (now, u) = (&solved.now[source], solved.u[source]);
        let current = match solved.regime[source] {
            Regime::Thevenin => {
                let factor = if drawn.volts.0 == 0.0 {
                    1.0
                } else {
                    now.volts / drawn.volts.0
                };
                [
                    drawn.volts.1 * factor.min(1.0) / now.ohms,
                    -(now.volts - u) / now.ohms * drawn.ohms.1,
                    0.0,
                    0.0,
                ]
            }
            Regime::Limited => {
                let ratio = if drawn.limit == drawn.short_circuit {
                    None
                } else {
                    Some((u / now.nominal).max(0.0))
                };
                match ratio {
                    None => [0.0, 0.0, now.limit * drawn.limit_spread, 0.0],
                    Some(ratio) => [
                        0.0,
                        0.0,
                        now.limit * ratio * drawn.limit_spread,
                        now.short_circuit * (1.0 - ratio) * drawn.limit_spread,
                    ],
                }
            }
            Regime::Blocked | Regime::Off => [0.0; 4],
        };
        let direct = match self.measured.what {
            Quantity::Output(s) if s == source => 1.0,
            _ => 0.0,
        };
        current.map(|change| change * (self.response[source] * scale + direct))
    }

    /// Change per logarithm of an element's conductance, from what lies across it in the state and for an ampere through the
    /// meter's port.
    pub(super) fn by_element(&self, siemens: f64, adjoint: f64, volts: f64) -> f64 {
        match self.measured.what {
            Quantity::Ohms(..) => -siemens * adjoint * adjoint,
            _ => -siemens * adjoint * volts,
        }
    }

    /// What a change of an element's own conductance g does at its ends: g itself, or g'²/g where a fault in series
    /// leaves g' of it, since dg'/dln g = g'²/g for 1/g' = 1/g + R; nothing where it is open.
    pub(super) fn effective(&self, row: usize, siemens: f64) -> f64 {
        if (self.active.iter()).any(|fault| fault.effect == Effect::Cut(row)) {
            return 0.0;
        }
        let faulted = self
            .active
            .iter()
            .any(|fault| fault.effect == Effect::Series(row));
        if !faulted {
            return siemens;
        }
        let left: f64 = (self.active.iter())
            .filter(|fault| fault.effect == Effect::Series(row))
            .fold(siemens, |g, fault| g / (1.0 + g * fault.log_size.exp()));
        left * left / siemens
    }

    /// Change of the port's volts (or ohms) per logarithm of the size of a fault, given by its place and size; `across` is
    /// what lies across the element in which a current is read.
    pub(super) fn by_size(&self, (slot, size): (usize, f64), siemens: &[f64], across: f64) -> f64 {
        let solved = self.solved;
        let fault = &self.active[slot];
        let through = |change: f64| {
            let Some(place) = solved.which().iter().position(|&w| w == slot) else {
                return 0.0;
            };
            let k = solved.sources + place;
            match self.measured.what {
                Quantity::Ohms(..) => -self.response[k] * self.response[k] * change,
                _ => -self.response[k] * solved.u[k] * change,
            }
        };
        match fault.effect {
            Effect::Shunt { inner, .. } => {
                let own = (solved.which().iter().position(|&w| w == slot))
                    .zip(self.taps)
                    .map_or(0.0, |(place, taps)| {
                        let k = solved.sources + place;
                        -taps[k] * solved.u[k] * size / (size + inner)
                    });
                through(-size / (size + inner).powi(2)) + own
            }
            Effect::Series(element) => {
                let before = siemens[element];
                let after = before / (1.0 + before * size);
                through(-size * after * after)
                    + if matches!(self.measured.what, Quantity::Through(flow) if flow.element == element)
                    {
                        -size * after * across
                    } else {
                        0.0
                    }
            }
            Effect::Weak(source) if solved.regime[source] == Regime::Thevenin => {
                let now = &solved.now[source];
                self.response[source] * now.volts / now.ohms
            }
            Effect::Early(source) if solved.regime[source] == Regime::Limited => {
                self.response[source] * solved.now[source].limit_at(solved.u[source])
            }
            Effect::Weak(_) | Effect::Early(_) | Effect::Cut(_) | Effect::Dead(_) => 0.0,
        }
    }
}
