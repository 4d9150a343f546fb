//! Which test to do first, on tables: what each outcome would leave, in bits and in minutes.
//!
//! Before each test there is a choice between opening up, likeliest place for its minutes first, and one more test.
//! The minutes that remain after a test are taken to be the smaller of opening up at once and of going on at the best
//! rate of bits per minute that any test offers now, then opening the right place only. Where that rate decides, the
//! test with the most bits per minute comes first: the half split on a plain chain. Sources: R. A. Howard,
//! "Information value theory", IEEE Transactions on Systems Science and Cybernetics 2 (1966); the order of opening is
//! that of probability over cost, R. Bellman, Dynamic Programming (1957), chapter III (both from memory).

use super::desk::Desk;

/// Fewest minutes that a test is taken to need, so that a rate stays a number.
pub const LEAST_MINUTES: f64 = 0.25;

/// What is believed: weighted ways in which things may be, each at one place.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Belief {
    /// Probability of each way; sums to 1.
    pub weight: Vec<f64>,
    /// Place of each way.
    pub place: Vec<usize>,
    /// Minutes to open each place and see.
    pub opening: Vec<f64>,
}

/// One reading that could be taken: in which state, the minutes of the reading itself, and how likely each outcome is.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Sight {
    /// State in which it is taken.
    pub state: usize,
    /// Minutes once the state is there.
    pub minutes: f64,
    /// Probability of each outcome (rows) under each way (columns); columns sum to 1.
    pub likely: Vec<f64>,
}

/// One test, weighed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Weighed {
    /// Index of the sight.
    pub sight: usize,
    /// Minutes from the present state, reading included.
    pub minutes: f64,
    /// Expected information about the place, bits.
    pub bits: f64,
    /// Expected minutes until the place is open, this test included.
    pub total: f64,
}

/// What to do, weighed.
#[derive(Clone, Debug, PartialEq)]
pub struct Plan {
    /// Expected minutes of opening up now.
    pub opening: f64,
    /// Bits still open.
    pub bits: f64,
    /// Best first.
    pub tests: Vec<Weighed>,
}

/// Minutes to go from one state to another.
pub type Travel<'a> = dyn Fn(usize, usize) -> f64 + 'a;

/// Ranks the sights from the state `now`. Cost: sights × outcomes × ways.
///
/// What follows each outcome is not worked out: going on at the best rate stands for it. Following the best ten one test
/// further was tried and gained nothing, on tables or on vehicles (see `DEVELOPERS.md`).
pub fn plan(belief: &Belief, sights: &[Sight], travel: &Travel<'_>, now: usize) -> Plan {
    let ways = belief.weight.len().max(1);
    let masses = belief.masses(&belief.weight);
    let bits = entropy(&masses, 1.0);
    let opening = opening_minutes(&masses, &belief.opening, &order(&masses, &belief.opening));
    let minutes: Vec<f64> = sights
        .iter()
        .map(|s| (travel(now, s.state) + s.minutes).max(LEAST_MINUTES))
        .collect();
    let mut row_masses = vec![0.0; masses.len()];
    let mut told = vec![0.0; sights.len()];
    // Bits that each outcome of each sight leaves, one behind the other.
    let mut left: Vec<f64> = Vec::new();
    for (told, sight) in told.iter_mut().zip(sights) {
        let first = left.len();
        left.extend(sight.likely.chunks_exact(ways).map(|row| {
            let total = belief.seen(row, &mut row_masses);
            entropy(&row_masses, total)
        }));
        *told = (bits - left[first..].iter().sum::<f64>()).max(0.0);
    }
    let mut left = left.into_iter();
    let rates: Vec<f64> = told.iter().zip(&minutes).map(|(b, m)| b / m).collect();
    let rate = rates.iter().copied().fold(0.0, f64::max);
    let mut desk = Desk::new();
    let mut tests: Vec<Weighed> = sights
        .iter()
        .enumerate()
        .map(|(sight, one)| {
            let after: f64 = (one.likely.chunks_exact(ways).zip(&mut left))
                .map(|(row, bits)| {
                    belief.seen(row, &mut row_masses);
                    remaining(&mut desk, rate, &row_masses, &belief.opening, bits)
                })
                .sum();
            Weighed {
                sight,
                minutes: minutes[sight],
                bits: told[sight],
                total: minutes[sight] + after,
            }
        })
        .collect();
    tests.sort_by(|a, b| a.total.total_cmp(&b.total).then(a.sight.cmp(&b.sight)));
    Plan {
        opening,
        bits,
        tests,
    }
}

/// Minutes that remain when the masses are these and so many bits are open: opening up, or going on at a rate of bits per
/// minute.
fn remaining(desk: &mut Desk, rate: f64, masses: &[f64], minutes: &[f64], bits: f64) -> f64 {
    let open = desk.opening(masses, minutes);
    if rate <= 0.0 {
        return open;
    }
    let right: f64 = masses.iter().zip(minutes).map(|(m, c)| m * c).sum();
    if open <= right {
        return open;
    }
    open.min(right + bits / rate)
}

impl Belief {
    /// Probability of each place under given weights of the ways.
    pub fn masses(&self, weight: &[f64]) -> Vec<f64> {
        let mut masses = vec![0.0; self.opening.len()];
        for (&place, w) in self.place.iter().zip(weight) {
            masses[place] += w;
        }
        masses
    }

    /// Masses of the places with an outcome that is likely to `row`; gives their sum.
    fn seen(&self, row: &[f64], masses: &mut [f64]) -> f64 {
        masses.fill(0.0);
        let mut total = 0.0;
        for ((&place, w), l) in self.place.iter().zip(&self.weight).zip(row) {
            let mass = w * l;
            masses[place] += mass;
            total += mass;
        }
        total
    }
}

/// Entropy in bits of masses that sum to `total`, not divided by it.
pub fn entropy(masses: &[f64], total: f64) -> f64 {
    masses
        .iter()
        .filter(|m| **m > 0.0)
        .map(|m| -m * (m / total).log2())
        .sum()
}

/// Places in the order in which to open them: probability per minute, falling.
pub fn order(masses: &[f64], opening: &[f64]) -> Vec<usize> {
    let mut order: Vec<usize> = (0..masses.len()).filter(|&i| masses[i] > 0.0).collect();
    order.sort_by(|&a, &b| {
        (masses[b] * opening[a])
            .total_cmp(&(masses[a] * opening[b]))
            .then(a.cmp(&b))
    });
    order
}

/// Expected minutes of opening places in an order until the right one is open; masses need not sum to 1.
pub fn opening_minutes(masses: &[f64], opening: &[f64], order: &[usize]) -> f64 {
    let mut spent = 0.0;
    let mut expected = 0.0;
    for &place in order {
        spent += opening[place];
        expected += masses[place] * spent;
    }
    expected
}
