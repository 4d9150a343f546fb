//! Counting tests: what half-splitting a chain costs, and the bits of doubt that are left.

use crate::advise::plan::entropy;

/// Tests that finding one of several suspects takes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tests {
    /// On average, over the suspects' odds.
    pub expected: f64,
    /// At worst.
    pub worst: usize,
}

/// Tests at worst when equal suspects are halved every time: log2 rounded up.
fn depth(n: usize) -> usize {
    n.next_power_of_two().trailing_zeros() as usize
}

/// Half-splitting `n` equal suspects: at or just before the midpoint of the brackets.
///
/// Source: US Army subcourse IT0338, “Introduction to Logical Troubleshooting” (1996), frame 10 (read).
pub fn half_split(n: usize) -> Tests {
    // ⌈log2 n⌉ tests, one less for those that a shorter branch holds.
    let worst = depth(n.max(1));
    let full = 1_usize << worst;
    let shorter = full - n.max(1);
    Tests {
        expected: worst as f64 - shorter as f64 / n.max(1) as f64,
        worst,
    }
}

/// Bits of doubt in odds that need not sum to 1 (Shannon 1948).
pub fn bits(odds: &[f64]) -> f64 {
    let total: f64 = odds.iter().sum();
    if total > 0.0 {
        // One certain suspect leaves no bits, and no negative zero either.
        (entropy(odds, total) / total).max(0.0) + 0.0
    } else {
        0.0
    }
}
