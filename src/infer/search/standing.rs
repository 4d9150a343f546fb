//! Single faults that are not fitted: each stands on its cheap score, beside one of its cluster that is.
//!
//! Members of a cluster are scored with the readings linearised once, so that what one score lacks the other lacks too:
//! the difference of two scores says more than either. A member is therefore weighed as its fitted sibling, by that
//! difference (a control variate).

use super::{Hypothesis, Seeker, singles::Scored};

/// Cheap score below the best under which a single fault is left out altogether (judgement; `tests/cases.rs` holds the result).
const LEFT_OUT: f64 = 25.0;

/// What was scored, best first, be it fitted or not.
#[derive(Default)]
pub(super) struct Crowd {
    pub(super) scored: Vec<Scored>,
}

impl Seeker<'_, '_, '_> {
    /// Adds what was scored and not fitted to what was.
    pub(super) fn stand_in(&self, found: &mut Vec<Hypothesis>, crowd: &Crowd) {
        let scored = &crowd.scored;
        let Some(most) = scored.first().map(|one| one.score) else {
            return;
        };
        let mut place = vec![None; self.candidates.len()];
        for (at, one) in found.iter().enumerate() {
            place[one.faults[0]] = Some(at);
        }
        // The best that is fitted, of each cluster and of all.
        let clusters = scored.iter().map(|one| one.cluster + 1).max();
        let mut sibling = vec![None; clusters.unwrap_or(0)];
        let mut first = None;
        for one in scored {
            let known = place[one.index].map(|at| (at, one.score));
            first = first.or(known);
            let own = &mut sibling[one.cluster];
            *own = own.or(known);
        }
        for one in scored.iter().take_while(|one| one.score >= most - LEFT_OUT) {
            let Some((at, score)) = sibling[one.cluster].or(first) else {
                return;
            };
            if place[one.index].is_some() {
                continue;
            }
            place[one.index] = Some(at);
            let next = self.beside_sibling(&found[at], one, one.score - score);
            found.push(next);
        }
    }

    fn beside_sibling(&self, sibling: &Hypothesis, one: &Scored, change: f64) -> Hypothesis {
        let candidate = &self.candidates[one.index];
        let mut next = sibling.clone();
        let moved = one.fault.log_size - next.robust.best.faults[0].log_size;
        next.faults = vec![one.index];
        next.robust.best.faults = vec![one.fault];
        next.robust.best.deviations.clone_from(&one.deviations);
        for (at, _) in &mut next.sizes[0] {
            *at += moved;
        }
        if candidate.size.is_none() {
            next.sizes[0].clear();
        }
        let own = [one.index];
        let of_place = self.spread_along(&sibling.faults, &sibling.along);
        next.along = vec![one.along];
        next.log_weight += change + self.spread_along(&own, &next.along) - of_place;
        next
    }
}
