//! Counting tests: what half-splitting a chain costs, against other ways and against the bounds of information.

/// Tests that finding one of several suspects takes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tests {
    /// On average, over the suspects' odds.
    pub expected: f64,
    /// At worst.
    pub worst: usize,
}

/// Where to look between a last good and a first bad place: at or just before the midpoint of the brackets.
///
/// Source: US Army subcourse IT0338, “Introduction to Logical Troubleshooting” (1996), frame 10 (read).
///
/// ```
/// use pinchpoint::practice::split::midpoint;
/// // Points A to I are 0 to 8; good at A, bad at I: check E first. Good at E: check G.
/// assert_eq!(midpoint(0, 8), Some(4));
/// assert_eq!(midpoint(4, 8), Some(6));
/// assert_eq!(midpoint(4, 5), None);
/// ```
pub fn midpoint(good: usize, bad: usize) -> Option<usize> {
    (bad > good + 1).then(|| good + (bad - good) / 2)
}

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
        worst: depth(n),
    }
}

/// Tests at worst when equal suspects are halved every time: log2 rounded up.
fn depth(n: usize) -> usize {
    n.next_power_of_two().trailing_zeros() as usize
}

/// Half-splitting `n` equal suspects.
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

/// Going along a chain of `n` equal suspects from one end.
pub fn one_after_the_other(n: usize) -> Tests {
    let n = n.max(1);
    let count = n as f64;
    Tests {
        expected: (count - 1.0) * (count + 2.0) / (2.0 * count),
        worst: n - 1,
    }
}

/// Bits of doubt in odds that need not sum to 1 (Shannon 1948).
pub fn bits(odds: &[f64]) -> f64 {
    let total: f64 = odds.iter().sum();
    odds.iter()
        .filter(|odd| **odd > 0.0)
        .map(|odd| odd / total)
        .map(|p| -p * p.log2())
        .sum()
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
