//! The order of what was weighed, and the one of it that is shown.

use crate::infer::{
    candidate::Candidate,
    posterior::Posterior,
    search::{Hypothesis, Search},
};

/// The likeliest hypothesis that has the likeliest suspect in it; where that nothing is wrong is likelier, the likeliest
/// with no fault left.
pub(super) fn named<'s>(
    ranked: &[&'s Hypothesis],
    list: &[Candidate],
    post: &Posterior,
    repairs: usize,
) -> Option<&'s Hypothesis> {
    let top = (post.marginals.first()).filter(|top| top.probability > post.healthy);
    let mut now = ranked.iter().copied();
    let there = |hypothesis: &&Hypothesis| {
        let mut faults = (hypothesis.faults.iter())
            .map(|&f| &list[f])
            .filter(|candidate| candidate.fault(0.0).present(repairs));
        match top {
            Some(top) => faults.any(|c| c.site == top.site && c.kind == top.kind),
            None => faults.next().is_none(),
        }
    };
    now.find(there)
}

/// Hypotheses, likeliest first.
pub(super) fn rank<'s>(found: &'s Search, post: &Posterior) -> Vec<&'s Hypothesis> {
    let mut order: Vec<usize> = (0..found.hypotheses.len()).collect();
    order.sort_by(|&a, &b| post.hypothesis[b].total_cmp(&post.hypothesis[a]));
    order.into_iter().map(|i| &found.hypotheses[i]).collect()
}
