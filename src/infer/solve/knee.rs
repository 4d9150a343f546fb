//! Electronic loads that a fault takes below their knee: attached at ports of their own, since most faults starve the one load
//! that they stand before, and a factorisation for each would cost more than all the rest.

use super::{Bench, Solved, bench::NONE, couple::MOST_SOURCES};
use crate::{
    infer::lower::Quantity,
    network::{Port, port::PORTS},
};

/// Most loads that are taken below their knee at ports.
pub(super) const STARVED: usize = 2;
/// No load is.
pub(super) const NOBODY: [usize; STARVED] = [NONE; STARVED];

impl Bench<'_> {
    /// Whether every electronic load is on that side of its knee on which a solution has it; where not, on which it is now,
    /// into `self.below`. One that is open is on neither.
    pub(super) fn agrees(&mut self, solved: &Solved) -> bool {
        let model = self.model;
        let base = &self.bases[solved.base];
        let start = base.rest.len() - model.electronic.len();
        self.at_loads.clear();
        self.at_loads.extend_from_slice(&base.rest[start..]);
        for (column, weight) in base.source.iter().zip(solved.w).take(solved.sources) {
            for (volts, z) in self.at_loads.iter_mut().zip(&column[start..]) {
                *volts += weight * z;
            }
        }
        for k in solved.sources..solved.count {
            base.add_at_loads(solved, k, &mut self.at_loads);
        }
        let knees = model.electronic.iter().map(|load| load.knee);
        let now = (self.at_loads.iter().zip(knees)).map(|(volts, knee)| *volts < knee);
        if solved.starved == NOBODY && solved.gone == NONE {
            let agrees = now.clone().zip(&base.below).all(|(now, &then)| now == then);
            if !agrees {
                self.below.clear();
                self.below.extend(now);
            }
            return agrees;
        }
        self.below.clear();
        self.below.extend(now);
        if let Some(gone) = self.below.get_mut(solved.gone) {
            *gone = base.below[solved.gone];
        }
        let then = |place: usize| base.below[place] || solved.starved.contains(&place);
        (self.below.iter().enumerate()).all(|(place, &now)| now == then(place))
    }

    /// Whether there are ports left beside so many faults, and nothing speaks against using them: where insulation holds a
    /// load a new factorisation keeps the digits; a current or ohms lean on a load's own element.
    pub(super) fn may_starve(&self, stand: usize, faults: usize) -> bool {
        let plain = !self.low && !self.everywhere && self.cut.is_empty() && self.volts[stand];
        plain && self.model.sources.len().min(MOST_SOURCES) + faults + STARVED <= PORTS
    }

    /// The base, and the loads to be starved beyond it, that have every load on the side that `self.below` tells.
    pub(super) fn turned(
        &mut self,
        stand: usize,
        base: usize,
        faults: usize,
    ) -> (usize, [usize; STARVED]) {
        let mut starved = NOBODY;
        let mut count = 0;
        if self.may_starve(stand, faults) && self.known(stand).1.is_none() {
            for (place, (&now, &then)) in
                (self.below.iter().zip(&self.bases[base].below)).enumerate()
            {
                if now && !then && count < STARVED {
                    starved[count] = place;
                }
                // More than there is room for, or one that is not starved any more.
                count += if then && !now {
                    STARVED + 1
                } else {
                    usize::from(now != then)
                };
            }
            if count <= STARVED {
                return (base, starved);
            }
        }
        (self.base(stand), NOBODY)
    }

    /// Where to start from next time. Loads that are starved again and again are worth a factorisation, which costs about as
    /// much as their ports do so many times.
    pub(super) fn worth_a_base(&mut self, stand: usize, base: usize) -> (usize, [usize; STARVED]) {
        if self.starved == NOBODY {
            return (base, NOBODY);
        }
        let often = self.often.entry((base, self.starved)).or_default();
        *often += 1;
        if *often < self.model.pattern.nodes {
            return (base, self.starved);
        }
        self.below.clone_from(&self.bases[base].below);
        for place in self.starved.into_iter().take_while(|&place| place != NONE) {
            self.below[place] = true;
        }
        (self.base(stand), NOBODY)
    }

    /// Attaches the loads that are starved at the last ports of a solution.
    pub(super) fn starve(&mut self, whole: bool, solved: &mut Solved) {
        let model = self.model;
        solved.starved = self.starved;
        for place in self.starved.into_iter().take_while(|&place| place != NONE) {
            let load = &model.electronic[place];
            let element = &model.elements[load.element];
            let k = solved.count;
            solved.ports[k] = Port::between(element.a, element.b);
            solved.y[k] = element.siemens - self.bases[solved.base].siemens[load.element];
            solved.drawn[k] = load.draw;
            solved.own[k] = None;
            solved.parts[k] = if !whole && self.ready(solved.base) {
                [(NONE, 0.0); 2]
            } else {
                self.parts(solved.base, solved.ports[k])
            };
            solved.count += 1;
        }
    }
}

/// Whether a measurement reads volts, or what a supply gives.
pub(super) fn of_volts(what: &Quantity) -> bool {
    matches!(what, Quantity::Volts(_) | Quantity::Output(_))
}
