//! Opens that need no factorisation of their own: what is around an element tells whether it may be opened as a port.

use super::Bench;
use crate::{
    infer::lower::{Element, PARTED},
    network::Port,
};

/// Share of an element's conductance that anything else must have around it, for it to be opened without a
/// factorisation: digits are lost by that factor. Less is insulation.
const HANGS: f64 = 1e-8;

/// Error of a transfer resistance beside its size, and what may be lost of what is around an element.
const ROUNDING: f64 = 1e-15;
const LOST: f64 = 1e-6;

/// Ohms of an open where it may be taken roughly: what is left of a digit behind insulation, and little enough current.
pub(super) const ROUGHLY_OPEN: f64 = 1e10;

impl Bench<'_> {
    /// Ohms across an element, it and all others conducting, with the digits by which they differ from its own.
    pub(super) fn around(&mut self, base: usize, element: usize) -> f64 {
        let model = self.model;
        if let Some(&ohms) = self.bases[base].around.get(element)
            && !ohms.is_nan()
        {
            return ohms;
        }
        let siemens = self.bases[base].siemens[element];
        let Element { a, b, .. } = model.elements[element];
        let near = self.near(base);
        let to = |one, two| near.between(&model.pattern, one, two);
        let known = to(a, a).zip(to(b, b)).zip(to(a, b));
        let known = known.and_then(|((one, two), both)| {
            let ohms = one + two - 2.0 * both;
            let rest = 1.0 - siemens * ohms;
            let off = ROUNDING * (one + two) * siemens;
            if off <= LOST * rest {
                Some(ohms)
            } else {
                // Nothing but insulation is around it: how much does not matter.
                (rest.abs() < HANGS && off < 0.1 * HANGS).then(|| (1.0 - rest.max(0.0)) / siemens)
            }
        });
        let own = &mut self.bases[base];
        let ohms = known.unwrap_or_else(|| {
            let column = own.factor.column(&Port::between(a, b));
            column[a] - column[b]
        });
        if own.around.is_empty() {
            own.around.resize(model.elements.len(), f64::NAN);
            self.kept += own.around.len();
        }
        own.around[element] = ohms;
        ohms
    }

    /// What conductance is left of an element that is opened as a port of a base; `None` where that would cost digits that
    /// are wanted.
    pub(super) fn left_of_cut(&mut self, base: usize, element: usize) -> Option<f64> {
        let model = self.model;
        let siemens = self.bases[base].siemens[element];
        if siemens <= PARTED {
            return Some(siemens);
        }
        if 1.0 - siemens * self.around(base, element) > HANGS {
            return Some(PARTED);
        }
        // What a meter behind it sees goes through it, or as much of it as through other insulation.
        let Element { a, b, .. } = model.elements[element];
        let behind = |column: &Vec<f64>| siemens * (column[a] - column[b]).abs() > LOST;
        let seen = self.everywhere || self.bases[base].meter.iter().any(behind);
        (!seen).then_some(1.0 / ROUGHLY_OPEN)
    }
}
