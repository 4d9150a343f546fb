//! Places that were looked at and where nothing was found: evidence against a fault there, as often as such a look sees
//! it.

use super::Model;
use crate::{
    circuit::Circuit,
    infer::{
        candidate::Candidate,
        posterior::{STRETCH_CELLS, WIRE_CELLS},
    },
    reading::Inspection,
};

/// A look, with the number of repairs made before it.
#[derive(Clone, Debug, PartialEq)]
pub struct Looked {
    /// The look.
    pub look: Inspection,
    /// Repairs before it.
    pub repairs: usize,
}

impl Model {
    /// Natural logarithms of how much less likely a fault is for what was looked at: one for each cell of a stretch of
    /// wire, else a single one; none where nobody looked.
    pub fn looked(&self, circuit: &Circuit, candidate: &Candidate) -> Vec<f64> {
        let (site, kind) = (&candidate.site, candidate.kind);
        let ratio = |cell: usize| {
            let end = |cell: usize| cell as f64 / WIRE_CELLS as f64;
            let shares = (self.looked.iter())
                .filter(|looked| candidate.fault(0.0).present(looked.repairs))
                .map(|looked| {
                    looked
                        .look
                        .share(circuit, site, kind, (end(cell), end(cell + 1)))
                });
            Inspection::ratio(circuit, site, kind, shares)
        };
        let ratios: Vec<f64> = match candidate.stretch {
            _ if self.looked.is_empty() => return Vec::new(),
            Some((_, stretch)) => {
                let first = stretch * STRETCH_CELLS;
                (first..first + STRETCH_CELLS).map(ratio).collect()
            }
            // It may be anywhere along its wire.
            None => vec![(0..WIRE_CELLS).map(ratio).sum::<f64>() / WIRE_CELLS as f64],
        };
        if ratios.iter().all(|ratio| *ratio == 1.0) {
            return Vec::new();
        }
        ratios.into_iter().map(f64::ln).collect()
    }
}
