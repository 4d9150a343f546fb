//! What the findings hold of statements such as “the fault is beyond C2”.

use std::collections::BTreeSet;

use crate::{
    diagnosis::Findings,
    fault::{FaultKind, Site},
};

/// Probability from which a statement is made (judgement).
const LIKELY: f64 = 0.9;
/// Probability of several faults together from which they are counted by combination (judgement).
const SEVERAL: f64 = 0.05;

/// Probabilities of statements.
pub struct Belief<'a> {
    findings: &'a Findings,
    several: f64,
}

impl<'a> Belief<'a> {
    /// From findings.
    pub fn new(findings: &'a Findings) -> Self {
        let several = findings
            .combinations
            .iter()
            .filter(|combination| combination.faults.len() > 1)
            .map(|combination| combination.probability)
            .sum();
        Self { findings, several }
    }

    /// Probability that a fault for which the test holds is there.
    fn any(&self, test: impl Fn(&Site, FaultKind) -> bool) -> f64 {
        if self.several > SEVERAL {
            self.findings
                .combinations
                .iter()
                .filter(|combination| combination.faults.iter().any(|(s, k)| test(s, *k)))
                .map(|combination| combination.probability)
                .sum()
        } else {
            // One fault at a time: suspects exclude each other, and none is cut off the list.
            self.findings
                .suspects
                .iter()
                .filter(|suspect| test(&suspect.site, suspect.kind))
                .map(|suspect| suspect.probability)
                .sum()
        }
    }

    /// Whether it is likely that a fault is at one of the parts.
    pub fn at(&self, parts: &BTreeSet<String>) -> bool {
        self.any(|site, _| within(site, parts)) > LIKELY
    }

    /// Whether it is likely that no fault is at any of the parts.
    pub fn not_at(&self, parts: &BTreeSet<String>) -> bool {
        self.any(|site, _| within(site, parts)) < 1.0 - LIKELY
    }

    /// Whether it is likely that a fault is somewhere else than at the parts.
    pub fn elsewhere(&self, parts: &BTreeSet<String>) -> bool {
        self.any(|site, _| !within(site, parts)) > LIKELY
    }

    /// Whether it is likely that no fault is anywhere else than at the parts.
    pub fn nowhere_else(&self, parts: &BTreeSet<String>) -> bool {
        self.any(|site, _| !within(site, parts)) < 1.0 - LIKELY
    }

    /// Whether it is likely that a joint is open or bad.
    pub fn in_series(&self) -> bool {
        self.any(|_, kind| matches!(kind, FaultKind::Open | FaultKind::HighResistance)) > LIKELY
    }

    /// Whether it is likely that something else than the supply feeds in.
    pub fn fed_from_outside(&self) -> bool {
        self.any(|_, kind| matches!(kind, FaultKind::ShortToRail | FaultKind::ShortBetween))
            > LIKELY
    }

    /// Whether a second fault is likely.
    pub fn two(&self) -> bool {
        self.several > LIKELY
    }
}

fn within(site: &Site, parts: &BTreeSet<String>) -> bool {
    parts.contains(&site.part)
        || site
            .with
            .as_ref()
            .is_some_and(|other| parts.contains(other))
}
