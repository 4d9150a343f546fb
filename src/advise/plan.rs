//! Which test to do first, on tables: what each outcome would leave, in bits and in minutes.
//!
//! Before each test there is a choice between opening up, likeliest place for its minutes first, and one more test.
//! The minutes that remain after a test are taken to be the smaller of opening up at once and of going on at the best
//! rate of bits per minute that any test offers now, then opening the right place only. Where that rate decides, the
//! test with the most bits per minute comes first: the half split on a plain chain. Sources: R. A. Howard,
//! "Information value theory", IEEE Transactions on Systems Science and Cybernetics 2 (1966); the order of opening is
//! that of probability over cost, R. Bellman, Dynamic Programming (1957), chapter III (both from memory).

/// Fewest minutes that a test is taken to need, so that a rate stays a number.
pub const LEAST_MINUTES: f64 = 0.25;
/// Tests that are looked at one step further, and the second tests that are tried after each of their outcomes.
const FIRST: usize = 10;
const SECOND: usize = 16;
/// Outcomes less likely than this are not looked into.
const RARE: f64 = 0.01;

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

/// Ranks the sights from the state `now`. With `further`, the best few are followed by one more test each.
/// Cost: sights × outcomes × ways.
pub fn plan(
    belief: &Belief,
    sights: &[Sight],
    travel: &Travel<'_>,
    now: usize,
    further: bool,
) -> Plan {
    let mut desk = Desk::new(belief);
    let masses = belief.masses(&belief.weight);
    let bits = entropy(&masses, 1.0);
    let opening = opening_minutes(&masses, &belief.opening, &order(&masses, &belief.opening));
    let minutes: Vec<f64> = sights
        .iter()
        .map(|s| (travel(now, s.state) + s.minutes).max(LEAST_MINUTES))
        .collect();
    let told: Vec<f64> = sights.iter().map(|s| bits - desk.left(s)).collect();
    let rate = told
        .iter()
        .zip(&minutes)
        .map(|(bits, minutes)| bits / minutes)
        .fold(0.0, f64::max);
    desk.rate = rate;
    let mut tests: Vec<Weighed> = sights
        .iter()
        .enumerate()
        .map(|(sight, one)| Weighed {
            sight,
            minutes: minutes[sight],
            bits: told[sight].max(0.0),
            total: minutes[sight] + desk.remaining(one, &belief.weight),
        })
        .collect();
    sort(&mut tests);
    if further && tests.len() > 1 {
        let mut seconds: Vec<usize> = (0..sights.len()).collect();
        seconds.sort_by(|&a, &b| {
            (told[b] / minutes[b])
                .total_cmp(&(told[a] / minutes[a]))
                .then(a.cmp(&b))
        });
        for test in tests.iter_mut().take(FIRST) {
            let from = sights[test.sight].state;
            let tries: Vec<usize> = seconds
                .iter()
                .copied()
                .take(SECOND)
                .chain(
                    seconds
                        .iter()
                        .copied()
                        .skip(SECOND)
                        .filter(|&s| sights[s].state == from)
                        .take(SECOND),
                )
                .filter(|&s| s != test.sight)
                .collect();
            test.total = test.minutes + desk.after(&sights[test.sight], sights, &tries, travel);
        }
        sort(&mut tests);
    }
    Plan {
        opening,
        bits,
        tests,
    }
}

fn sort(tests: &mut [Weighed]) {
    tests.sort_by(|a, b| a.total.total_cmp(&b.total).then(a.sight.cmp(&b.sight)));
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

/// Scratch space of a plan.
struct Desk<'b> {
    belief: &'b Belief,
    masses: Vec<f64>,
    rate: f64,
}

impl<'b> Desk<'b> {
    fn new(belief: &'b Belief) -> Self {
        Self {
            belief,
            masses: vec![0.0; belief.opening.len()],
            rate: 0.0,
        }
    }

    /// Masses of the places when an outcome has come, not normalised; gives their sum.
    fn posterior(&mut self, row: &[f64], weight: &[f64]) -> f64 {
        self.masses.fill(0.0);
        let mut total = 0.0;
        for ((&place, w), l) in self.belief.place.iter().zip(weight).zip(row) {
            let mass = w * l;
            self.masses[place] += mass;
            total += mass;
        }
        total
    }

    /// Expected bits that a sight leaves.
    fn left(&mut self, sight: &Sight) -> f64 {
        let ways = self.belief.weight.len();
        let belief = self.belief;
        sight
            .likely
            .chunks_exact(ways.max(1))
            .map(|row| {
                let total = self.posterior(row, &belief.weight);
                entropy(&self.masses, total)
            })
            .sum()
    }

    /// Expected minutes that remain when the masses are these: opening up, or going on at the present rate.
    fn value(&self, total: f64) -> f64 {
        let opening = &self.belief.opening;
        let open = opening_minutes(&self.masses, opening, &order(&self.masses, opening));
        open.min(self.going_on(total))
    }

    fn going_on(&self, total: f64) -> f64 {
        if self.rate <= 0.0 {
            return f64::INFINITY;
        }
        let right: f64 = (self.masses.iter().zip(&self.belief.opening))
            .map(|(m, c)| m * c)
            .sum();
        right + entropy(&self.masses, total) / self.rate
    }

    /// Expected minutes that remain after a sight.
    fn remaining(&mut self, sight: &Sight, weight: &[f64]) -> f64 {
        let ways = weight.len();
        sight
            .likely
            .chunks_exact(ways.max(1))
            .map(|row| {
                let total = self.posterior(row, weight);
                self.value(total)
            })
            .sum()
    }

    /// The same when the best second test follows each outcome that is not rare.
    fn after(
        &mut self,
        first: &Sight,
        sights: &[Sight],
        tries: &[usize],
        travel: &Travel<'_>,
    ) -> f64 {
        let belief = self.belief;
        let ways = belief.weight.len();
        let mut expected = 0.0;
        let mut weight = vec![0.0; ways];
        for row in first.likely.chunks_exact(ways.max(1)) {
            let total = self.posterior(row, &belief.weight);
            let opening = &belief.opening;
            let mut best = opening_minutes(&self.masses, opening, &order(&self.masses, opening));
            if total > RARE {
                for ((w, prior), l) in weight.iter_mut().zip(&belief.weight).zip(row) {
                    *w = prior * l;
                }
                for &index in tries {
                    let sight = &sights[index];
                    let minutes =
                        (travel(first.state, sight.state) + sight.minutes).max(LEAST_MINUTES);
                    if total * minutes < best {
                        best = best.min(total * minutes + self.remaining(sight, &weight));
                    }
                }
            } else {
                best = best.min(self.going_on(total));
            }
            expected += best;
        }
        expected
    }
}
