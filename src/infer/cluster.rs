//! Candidates that gross readings cannot tell apart: in every state on the same side of every parted connector.
//!
//! A whole cluster is weighed by one of its members first, loosely, so that what plugging has ruled out costs nothing.

use std::collections::BTreeMap;

use super::{
    candidate::Candidate,
    lower::{JOINED, Model, Role},
    solve::{Effect, meter_port},
    union::Union,
};

#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Key {
    /// Net pieces that a shunt joins, in every state, and its life.
    Shunt(Vec<Vec<usize>>, (usize, usize)),
    /// Chain of elements without a branch, whether it is cut, and its life.
    Series(usize, bool, (usize, usize)),
    /// By itself.
    Alone(usize),
}

/// Lists of candidates, each list alike, in a fixed order.
pub fn clusters(model: &Model, candidates: &[Candidate]) -> Vec<Vec<usize>> {
    let mut stands: Vec<usize> = model.measured.iter().map(|m| m.stand).collect();
    stands.sort_unstable();
    stands.dedup();
    let pieces: Vec<Vec<usize>> = stands.iter().map(|&stand| pieces(model, stand)).collect();
    let chains = chains(model);
    let mut found: BTreeMap<Key, Vec<usize>> = BTreeMap::new();
    for (index, candidate) in candidates.iter().enumerate() {
        let key = match candidate.effect {
            Effect::Shunt { port, .. } => {
                let joined = pieces
                    .iter()
                    .map(|piece| {
                        port.weights()
                            .iter()
                            .map(|&(node, _)| piece[node])
                            .collect::<Vec<_>>()
                    })
                    .map(|mut pieces| {
                        pieces.dedup();
                        pieces
                    })
                    .collect();
                Key::Shunt(joined, candidate.life)
            }
            Effect::Series(element) => Key::Series(chains[element], false, candidate.life),
            Effect::Cut(element) => Key::Series(chains[element], true, candidate.life),
            Effect::Weak(_) | Effect::Dead(_) | Effect::Early(_) => Key::Alone(index),
        };
        found.entry(key).or_default().push(index);
    }
    let mut all: Vec<Vec<usize>> = found.into_values().collect();
    all.sort();
    all
}

/// For each node, the piece of harness it belongs to in a state: joined by anything but loads and rails.
fn pieces(model: &Model, stand: usize) -> Vec<usize> {
    let mut union = Union::new(model.pattern.nodes + 1);
    for (element, &siemens) in model.elements.iter().zip(&model.stands[stand].siemens) {
        let joins = !matches!(element.role, Role::Load(_) | Role::Rail(_)) && siemens > JOINED;
        if joins {
            union.join(element.a, element.b);
        }
    }
    union.roots()
}

/// For each element, its chain: elements that follow one another with nothing else at the joint, no lead either, and that
/// are never parted: what reads before a break is not what reads behind it.
fn chains(model: &Model) -> Vec<usize> {
    let mut at: Vec<Vec<usize>> = vec![Vec::new(); model.pattern.nodes + 1];
    for (index, element) in model.elements.iter().enumerate() {
        at[element.a].push(index);
        at[element.b].push(index);
    }
    for source in &model.sources {
        // A source's pin is the end of a chain.
        at[source.feed].push(usize::MAX);
        at[source.ret].push(usize::MAX);
    }
    for measured in &model.measured {
        for &(node, _) in meter_port(model, measured.what).weights() {
            at[node].push(usize::MAX);
        }
    }
    for stand in &model.stands {
        for (element, &siemens) in model.elements.iter().zip(&stand.siemens) {
            if siemens < 1e-3 * element.siemens {
                at[element.a].push(usize::MAX);
                at[element.b].push(usize::MAX);
            }
        }
    }
    let mut union = Union::new(model.elements.len());
    for joint in at.iter().take(model.pattern.nodes) {
        if let [one, two] = joint[..]
            && one != usize::MAX
            && two != usize::MAX
        {
            union.join(one, two);
        }
    }
    union.roots()
}
