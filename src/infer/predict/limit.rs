//! Which regime every supply is in when each reading is taken, wherever its limit may be.

use super::Predictor;
use crate::infer::solve::{Deviations, Fault, Regime};

/// The number of a pattern of no regimes.
pub(super) const NO_PATTERN: u64 = 0xcbf2_9ce4_8422_2325;

/// A pattern with one more regime (FNV-1a).
pub(super) fn with(pattern: u64, regime: Regime) -> u64 {
    (pattern ^ regime as u64).wrapping_mul(0x0100_0000_01b3)
}

/// What a supply with a constant limit gives in every state if nothing limits it.
///
/// Such a supply is at its limit exactly where it would give more without one: whatever hangs on it takes no less at more
/// volts, so that its current without a limit says in which regime it is, wherever the limit may be.
#[derive(Clone, Debug, Default)]
pub(super) struct Asked {
    /// Of which faults, volts and ohms, and whether opens were taken roughly.
    of: (Vec<Fault>, [f64; 2], bool),
    /// Regime without a limit, amperes, and the slack within which they are none too many; a state each.
    states: Vec<(Regime, f64, f64)>,
}

impl Predictor<'_> {
    /// The regimes as a number that tells such patterns apart, and for each supply that reaches its limit nowhere how near
    /// it comes: the largest logarithm of current over typical limit.
    pub(in crate::infer) fn regimes(
        &mut self,
        faults: &[Fault],
        deviations: &[Deviations],
    ) -> (u64, Vec<Option<f64>>) {
        let model = self.bench.model;
        self.bench.make_room();
        match model.sources[..] {
            [source] if source.limit == source.short_circuit => {
                let (pattern, near) = self.by_asking(faults, &deviations[0]);
                (pattern, vec![near])
            }
            _ => self.by_solving(faults, deviations),
        }
    }

    fn by_asking(&mut self, faults: &[Fault], deviations: &Deviations) -> (u64, Option<f64>) {
        let own = [deviations[0], deviations[1]];
        let (known, at, rough) = &self.asked.of;
        if self.asked.states.is_empty()
            || (*at, *rough) != (own, self.bench.rough)
            || known[..] != *faults
        {
            self.ask(faults, own);
        }
        let source = &self.bench.model.sources[0];
        let typical = -source.limit_spread * deviations[2];
        let mut near = Some(f64::NEG_INFINITY);
        let mut pattern = NO_PATTERN;
        for (batch, &(regime, amperes, slack)) in self.batches.iter().zip(&self.asked.states) {
            let present = faults.iter().filter(|f| f.present(batch.repairs));
            let limit = present.fold(source.limit * (-typical).exp(), |limit, fault| {
                limit * fault.limits(0)
            });
            let limited = regime == Regime::Thevenin && amperes > limit + slack;
            pattern = with(pattern, if limited { Regime::Limited } else { regime });
            if limited {
                near = None;
            } else if regime == Regime::Thevenin {
                near = near.map(|most| most.max((amperes / limit).max(1e-9).ln() - typical));
            }
        }
        (pattern, near)
    }

    /// Solves every state as if there were no limit.
    fn ask(&mut self, faults: &[Fault], own: [f64; 2]) {
        self.bench.unlimited = true;
        let deviations = [[own[0], own[1], 0.0, 0.0]];
        let mut active = Vec::with_capacity(faults.len());
        self.asked.states.clear();
        for batch in &self.batches {
            active.clear();
            active.extend(faults.iter().filter(|f| f.present(batch.repairs)));
            let solved = &mut self.solved;
            (self.bench).solve_into(batch.stand, &active, &deviations, false, solved);
            let now = &solved.now[0];
            let amperes = (now.volts - solved.u[0]) / now.ohms;
            let slack = 1e-9 * now.volts.abs() / now.ohms;
            self.asked.states.push((solved.regime[0], amperes, slack));
        }
        self.asked.of = (faults.to_vec(), own, self.bench.rough);
        self.bench.unlimited = false;
    }

    /// The same by solving every state with the limits where they are.
    fn by_solving(
        &mut self,
        faults: &[Fault],
        deviations: &[Deviations],
    ) -> (u64, Vec<Option<f64>>) {
        let model = self.bench.model;
        let mut pattern = NO_PATTERN;
        let mut near = vec![Some(f64::NEG_INFINITY); model.sources.len()];
        let mut active = Vec::with_capacity(faults.len());
        for batch in &self.batches {
            active.clear();
            active.extend(faults.iter().filter(|f| f.present(batch.repairs)));
            let solved = &mut self.solved;
            (self.bench).solve_into(batch.stand, &active, deviations, false, solved);
            for (i, near) in near.iter_mut().enumerate().take(solved.sources) {
                let (now, u) = (&solved.now[i], solved.u[i]);
                pattern = with(pattern, solved.regime[i]);
                match solved.regime[i] {
                    Regime::Limited => *near = None,
                    Regime::Thevenin => {
                        let typical = -model.sources[i].limit_spread * deviations[i][2];
                        let asked = ((now.volts - u) / now.ohms / now.limit_at(u)).max(1e-9);
                        *near = near.map(|most| most.max(asked.ln() - typical));
                    }
                    Regime::Blocked | Regime::Off => {}
                }
            }
        }
        (pattern, near)
    }
}
