//! Parts that no module feeds, in a sentence: the answer can say nothing of them.

use super::names;
use crate::circuit::{Circuit, check::unfed};

/// Parts that are named; the others are counted.
const NAMED: usize = 6;

/// A sketch that is in pieces.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Torn {
    /// Designations of the parts that no module feeds.
    pub parts: Vec<String>,
    /// What that means for the answer, a sentence.
    pub what: String,
    /// What to do.
    pub remedy: &'static str,
}

/// What no module feeds; none where the sketch hangs together.
pub fn torn(circuit: &Circuit) -> Option<Torn> {
    let parts: Vec<String> = unfed(circuit).into_iter().map(str::to_owned).collect();
    if parts.is_empty() {
        return None;
    }
    let mut named: Vec<String> = parts.iter().take(NAMED).cloned().collect();
    let (more, them) = match parts.len() {
        1 => (0, "it"),
        all => (all - named.len(), "them"),
    };
    if more > 0 {
        named.push(format!("{more} more"));
    }
    Some(Torn {
        what: format!(
            "No module feeds {}: the answer leaves {them} out.",
            names::list(&named, "and")
        ),
        remedy: "Draw the wire that leads there (choose the point where it begins, then W), or remove what is too much.",
        parts,
    })
}
