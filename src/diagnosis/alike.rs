//! Suspects that no reachable test can tell apart are one group.
//!
//! Two suspects are alike when, each with its best-fitting size, no point of the sketch reads differently by more than
//! a meter shows, be it now or with any one connector parted or plugged.

use super::{Group, Question, Suspect};
use crate::{
    infer::{candidate::Candidate, posterior::keep_off, search::Hypothesis, weigh::Weigher},
    reading::State,
};

/// Most suspects that are compared, and most connectors whose plugging is looked at.
const COMPARED: usize = 24;
const STATES: usize = 48;
/// Differences that a meter does not show: relative and absolute (V).
const RELATIVE: f64 = 0.004;
const ABSOLUTE: f64 = 0.0012;

/// The states in which suspects are compared: now, and with each connector the other way.
pub fn states(question: &Question<'_>) -> Vec<State> {
    let now = State {
        supply_off: false,
        ..question.now.clone()
    };
    let mut states = vec![now.clone()];
    for connector in question.circuit.connectors.iter().take(STATES) {
        states.push(now.toggled(&connector.id));
    }
    states
}

/// Groups the listed suspects; every suspect is in one group.
pub fn groups(
    weigher: &mut Weigher<'_>,
    list: &[Candidate],
    ranked: &[&Hypothesis],
    suspects: &[Suspect],
) -> Vec<Group> {
    let prints: Vec<Option<Vec<f64>>> = suspects
        .iter()
        .enumerate()
        .map(|(index, suspect)| {
            if index >= COMPARED {
                return None;
            }
            let hypothesis = ranked.iter().find(|h| {
                h.faults.len() == 1
                    && h.faults
                        .iter()
                        .all(|&f| list[f].site == suspect.site && list[f].kind == suspect.kind)
            })?;
            Some(print(weigher, hypothesis))
        })
        .collect();
    let mut groups: Vec<Group> = Vec::new();
    for (index, suspect) in suspects.iter().enumerate() {
        let home = groups.iter().position(|group| {
            let first = group.members[0];
            match (&prints[first], &prints[index]) {
                (Some(a), Some(b)) => alike(a, b),
                _ => false,
            }
        });
        match home {
            Some(home) => {
                groups[home].members.push(index);
                groups[home].probability += suspect.probability;
            }
            None => groups.push(Group {
                members: vec![index],
                probability: suspect.probability,
            }),
        }
    }
    for group in &mut groups {
        group.probability = keep_off(group.probability);
    }
    groups.sort_by(|a, b| b.probability.total_cmp(&a.probability));
    groups
}

fn alike(a: &[f64], b: &[f64]) -> bool {
    a.iter()
        .zip(b)
        .all(|(x, y)| (x - y).abs() <= ABSOLUTE + RELATIVE * x.abs().max(y.abs()))
}

/// Voltages of all nodes in all compared states.
fn print(weigher: &mut Weigher<'_>, hypothesis: &Hypothesis) -> Vec<f64> {
    let model = weigher.model();
    let bench = &mut weigher.predictor.bench;
    let fit = &hypothesis.robust.best;
    bench.low = fit.low;
    let mut print = Vec::new();
    for &stand in &model.ahead {
        let solved = bench.solve(stand, &fit.faults, &fit.deviations);
        print.extend((0..model.pattern.nodes).map(|node| {
            let volts = bench.voltage(&solved, node);
            if volts.abs() < 1e-3 { 0.0 } else { volts }
        }));
    }
    print
}
