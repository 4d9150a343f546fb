//! Published and calculated counts of tests, and the other ways that half-splitting is measured against.

use pinchpoint::practice::split::{Tests, bits, half_split};

/// The best order of tests on a chain whose suspects have these odds, each test telling on which side of a place
/// between two of them the fault is. Odds need not sum to 1. Cost: cubic in their number.
pub fn best_on_chain(odds: &[f64]) -> Tests {
    let n = odds.len();
    if n < 2 {
        return Tests {
            expected: 0.0,
            worst: 0,
        };
    }
    let mut before = vec![0.0; n + 1];
    for (index, weight) in odds.iter().enumerate() {
        before[index + 1] = before[index] + weight;
    }
    // cost[a][b]: expected tests times odds for the suspects a..b.
    let mut cost = vec![vec![0.0_f64; n + 1]; n + 1];
    for length in 2..=n {
        for a in 0..=n - length {
            let b = a + length;
            let cheapest = (a + 1..b)
                .map(|m| cost[a][m] + cost[m][b])
                .fold(f64::INFINITY, f64::min);
            cost[a][b] = cheapest + before[b] - before[a];
        }
    }
    Tests {
        expected: cost[0][n] / before[n].max(f64::MIN_POSITIVE),
        worst: n.next_power_of_two().trailing_zeros() as usize,
    }
}

/// Going along a chain of `n` equal suspects from one end.
pub fn one_after_the_other(n: usize) -> Tests {
    let n = n.max(1);
    let count = n as f64;
    Tests {
        expected: (count - 1.0) * (count + 2.0) / (2.0 * count),
        worst: n - 1,
    }
}

/// Expected tests when any set of suspects could be tested for at once: the least that yes-or-no tests can do
/// (Huffman 1952).
pub fn least_possible(odds: &[f64]) -> f64 {
    let total: f64 = odds.iter().sum();
    let mut left: Vec<f64> = odds.iter().map(|odd| odd / total).collect();
    let mut cost = 0.0;
    while left.len() > 1 {
        left.sort_by(|a, b| b.total_cmp(a));
        // Two at least are left, so both pops find one.
        let joined = left.pop().unwrap_or(0.0) + left.pop().unwrap_or(0.0);
        cost += joined;
        left.push(joined);
    }
    cost
}

fn near(value: f64, expected: f64) {
    assert!(
        (value - expected).abs() < 1e-6,
        "{value} instead of {expected}"
    );
}

#[test]
fn halving_a_uniform_chain() {
    // Calculated from the definition, by dynamic programming and by Huffman's rule alike; the last column is
    // (N − 1)(N + 2) / (2 N).
    for (n, expected, worst, sequential) in [
        (2, 1.0, 1, 1.0),
        (3, 1.666_666_7, 2, 1.666_666_7),
        (4, 2.0, 2, 2.25),
        (5, 2.4, 3, 2.8),
        (6, 2.666_666_7, 3, 3.333_333_3),
        (7, 2.857_142_9, 3, 3.857_142_9),
        (8, 3.0, 3, 4.375),
        (10, 3.4, 4, 5.4),
        (12, 3.666_666_7, 4, 6.416_666_7),
        (16, 4.0, 4, 8.4375),
        (20, 4.4, 5, 10.45),
        (32, 5.0, 5, 16.468_75),
        (100, 6.72, 7, 50.49),
    ] {
        near(half_split(n).expected, expected);
        assert_eq!(half_split(n).worst, worst, "{n}");
        near(one_after_the_other(n).expected, sequential);
        let equal = vec![1.0; n];
        near(best_on_chain(&equal).expected, expected);
        near(least_possible(&equal), expected);
        assert!(bits(&equal) <= expected + 1e-9 && expected < bits(&equal) + 1.0);
    }
}

#[test]
fn weighted_chains() {
    // Calculated, the order of the chain being kept.
    near(best_on_chain(&[1.0, 2.0, 3.0, 4.0, 5.0]).expected, 2.2);
    near(
        best_on_chain(&[8.0, 1.0, 1.0, 1.0, 1.0]).expected,
        1.666_666_7,
    );
}

#[test]
fn bounds_of_information() {
    // Cover and Thomas, Elements of Information Theory, chapter 5 (memory), recalculated.
    near(least_possible(&[0.25, 0.25, 0.2, 0.15, 0.15]), 2.3);
    near(bits(&[0.25, 0.25, 0.2, 0.15, 0.15]), 2.285_475_3);
    near(
        least_possible(&[1.0 / 3.0, 1.0 / 3.0, 0.25, 1.0 / 12.0]),
        2.0,
    );
    near(bits(&[1.0 / 3.0, 1.0 / 3.0, 0.25, 1.0 / 12.0]), 1.855_388_5);
    near(least_possible(&[0.5, 0.25, 0.125, 0.125]), 1.75);
    near(bits(&[0.5, 0.25, 0.125, 0.125]), 1.75);
    // Four equal stretches: asked in the middle 1 bit is gained, at a quarter 0.8112781 (calculated).
    near(bits(&[1.0; 4]) - bits(&[1.0; 2]), 1.0);
    near(bits(&[1.0; 4]) - 0.75 * bits(&[1.0; 3]), 0.811_278_1);
}
