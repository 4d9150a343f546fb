//! Scratch space of a plan: what masses at places cost to open, and what a few more tests would leave of that.

use super::plan::{Belief, LEAST_MINUTES, STEPS, Sight, Travel, entropy};

/// Half octaves of probability per minute that are told apart, from 2^LOWEST upwards.
const BUCKETS: usize = 96;
const LOWEST: i64 = -40;
/// Outcomes less likely than this are not looked into.
const RARE: f64 = 0.01;
/// Share of an outcome under which a way is taken not to show it.
const FAINT: f64 = 0.01;
/// Share of the mass under which a way is not followed.
const SLIGHT: f64 = 1e-4;
/// Tests that are tried after an outcome: the best for their minutes, and as many in the state that is there.
const TRIED: usize = 14;

/// Which outcomes each way shows, with their shares: a row of a sight turned over, what is next to nothing left out.
struct Shows {
    start: Vec<usize>,
    shown: Vec<(usize, f64)>,
    rows: usize,
}

impl Shows {
    fn of(sight: &Sight, ways: usize) -> Self {
        let rows = sight.likely.len() / ways.max(1);
        let mut all = Self {
            start: Vec::with_capacity(ways + 1),
            shown: Vec::new(),
            rows,
        };
        all.start.push(0);
        for way in 0..ways {
            let first = all.shown.len();
            all.shown.extend(
                (0..rows)
                    .map(|row| (row, sight.likely[row * ways + way]))
                    .filter(|(_, share)| *share > FAINT),
            );
            let sum: f64 = all.shown[first..].iter().map(|s| s.1).sum();
            for (_, share) in &mut all.shown[first..] {
                *share /= sum;
            }
            all.start.push(all.shown.len());
        }
        all
    }

    fn of_way(&self, way: usize) -> &[(usize, f64)] {
        &self.shown[self.start[way]..self.start[way + 1]]
    }
}

/// Ways that are left, with their masses, and the places where they are.
#[derive(Clone, Debug, Default)]
struct Left {
    /// Way, index into `minutes`, mass.
    ways: Vec<(usize, usize, f64)>,
    /// Minutes to open each place that is left.
    minutes: Vec<f64>,
    total: f64,
}

/// Minutes of opening up by sorting into half octaves of probability per minute.
struct Tally {
    mass: [f64; BUCKETS],
    minutes: [f64; BUCKETS],
    own: [f64; BUCKETS],
}

impl Tally {
    fn new() -> Self {
        Self {
            mass: [0.0; BUCKETS],
            minutes: [0.0; BUCKETS],
            own: [0.0; BUCKETS],
        }
    }

    /// Expected minutes of opening places in the order of probability per minute until the right one is open, times the
    /// masses' sum. Places within half an octave of one another are taken in any order.
    fn opening(&mut self, masses: &[f64], minutes: &[f64]) -> f64 {
        let (mut first, mut last) = (BUCKETS, 0);
        self.mass.fill(0.0);
        self.minutes.fill(0.0);
        self.own.fill(0.0);
        for (&m, &c) in masses.iter().zip(minutes) {
            if m <= 0.0 {
                continue;
            }
            // The exponent and the first bit of the fraction.
            let bits = ((m / c).to_bits() >> 51) as i64 - 2 * (1023 + LOWEST);
            let at = bits.clamp(0, BUCKETS as i64 - 1) as usize;
            first = first.min(at);
            last = last.max(at);
            self.mass[at] += m;
            self.minutes[at] += c;
            self.own[at] += m * c;
        }
        let (mut spent, mut expected) = (0.0, 0.0);
        for at in (first..=last.min(BUCKETS - 1)).rev() {
            expected +=
                self.mass[at] * spent + 0.5 * (self.mass[at] * self.minutes[at] + self.own[at]);
            spent += self.minutes[at];
        }
        expected
    }
}

/// The tables with room to work on them.
pub(super) struct Desk<'b> {
    sights: &'b [Sight],
    travel: &'b Travel<'b>,
    shows: Vec<Shows>,
    /// Most bits per minute that any test offers now.
    pub rate: f64,
    /// Sights, the most bits per minute first.
    ranking: Vec<usize>,
    tally: Tally,
    /// Masses of the outcomes of one sight, outcome by place.
    grid: Vec<f64>,
    /// One list of what is left for each step ahead.
    left: Vec<Left>,
    place: Vec<usize>,
}

impl<'b> Desk<'b> {
    pub fn new(belief: &'b Belief, sights: &'b [Sight], travel: &'b Travel<'b>) -> Self {
        Self {
            sights,
            travel,
            shows: Vec::new(),
            rate: 0.0,
            ranking: Vec::new(),
            tally: Tally::new(),
            grid: Vec::new(),
            left: vec![Left::default(); STEPS + 1],
            place: vec![usize::MAX; belief.opening.len()],
        }
    }

    /// Minutes that remain when the masses are these: opening up, or going on at the present rate.
    pub fn remaining(&mut self, masses: &[f64], minutes: &[f64], total: f64) -> f64 {
        let open = self.tally.opening(masses, minutes);
        if self.rate <= 0.0 {
            return open;
        }
        let right: f64 = masses.iter().zip(minutes).map(|(m, c)| m * c).sum();
        if open <= right {
            return open;
        }
        open.min(right + entropy(masses, total) / self.rate)
    }

    /// Makes ready for looking further ahead: the sights in the order of their bits per minute.
    pub fn look_ahead(&mut self, ranking: Vec<usize>, ways: usize) {
        self.ranking = ranking;
        self.shows = self.sights.iter().map(|s| Shows::of(s, ways)).collect();
    }

    /// Expected minutes that remain after a sight when further tests follow each of its outcomes that is not rare.
    pub fn after(&mut self, first: usize, belief: &Belief, steps: usize) -> f64 {
        let ways = belief.weight.len().max(1);
        let sights = self.sights;
        let mut expected = 0.0;
        for row in sights[first].likely.chunks_exact(ways) {
            let mut left = std::mem::take(&mut self.left[steps]);
            let all = belief.weight.iter().zip(row).zip(&belief.place);
            self.gather(
                &mut left,
                all.enumerate().map(|(way, ((w, l), &at))| (way, at, w * l)),
                &belief.opening,
            );
            expected += self.follow(&left, sights[first].state, steps);
            self.left[steps] = left;
        }
        expected
    }

    /// Collects ways with their places, leaving out what weighs next to nothing.
    fn gather(
        &mut self,
        left: &mut Left,
        all: impl Iterator<Item = (usize, usize, f64)> + Clone,
        opening: &[f64],
    ) {
        left.ways.clear();
        left.minutes.clear();
        left.total = all.clone().map(|one| one.2).sum();
        let least = SLIGHT * left.total;
        for (way, place, mass) in all.filter(|one| one.2 > least) {
            if self.place[place] == usize::MAX {
                self.place[place] = left.minutes.len();
                left.minutes.push(opening[place]);
            }
            left.ways.push((way, self.place[place], mass));
        }
        self.place.fill(usize::MAX);
    }

    /// Spreads what is left over the outcomes of a sight, outcome by place.
    fn spread(&mut self, left: &Left, sight: usize) {
        let shows = &self.shows[sight];
        let places = left.minutes.len();
        self.grid.clear();
        self.grid.resize(shows.rows * places, 0.0);
        for &(way, place, mass) in &left.ways {
            for &(row, share) in shows.of_way(way) {
                self.grid[row * places + place] += mass * share;
            }
        }
    }

    /// Minutes that remain, times the mass, when the test that looks best comes next, and so on for some steps.
    fn follow(&mut self, left: &Left, state: usize, steps: usize) -> f64 {
        let places = left.minutes.len();
        let mut masses = vec![0.0; places];
        for &(_, place, mass) in &left.ways {
            masses[place] += mass;
        }
        if left.total <= RARE {
            return self.remaining(&masses, &left.minutes, left.total);
        }
        let open = self.tally.opening(&masses, &left.minutes);
        let mut best = (open, None);
        let (mut near, mut far) = (0, 0);
        for rank in 0..self.ranking.len() {
            let sight = self.ranking[rank];
            let here = self.sights[sight].state == state;
            let count = if here { &mut near } else { &mut far };
            if *count >= TRIED {
                continue;
            }
            *count += 1;
            let own = self.minutes(state, sight) * left.total;
            if own >= best.0 {
                continue;
            }
            let value = own + self.outcomes(left, sight, best.0 - own);
            if value < best.0 {
                best = (value, Some(sight));
            }
        }
        let (value, Some(sight)) = best else {
            return open;
        };
        if steps == 0 {
            return value;
        }
        let mut expected = self.minutes(state, sight) * left.total;
        let mut next = std::mem::take(&mut self.left[steps - 1]);
        for row in 0..self.shows[sight].rows {
            self.narrow(&mut next, left, sight, row);
            if next.total > 0.0 {
                expected += self.follow(&next, self.sights[sight].state, steps - 1);
            }
        }
        self.left[steps - 1] = next;
        open.min(expected)
    }

    fn minutes(&self, state: usize, sight: usize) -> f64 {
        let sight = &self.sights[sight];
        ((self.travel)(state, sight.state) + sight.minutes).max(LEAST_MINUTES)
    }

    /// Minutes that remain after a sight; gives up above `most`.
    fn outcomes(&mut self, left: &Left, sight: usize, most: f64) -> f64 {
        self.spread(left, sight);
        let places = left.minutes.len();
        let grid = std::mem::take(&mut self.grid);
        let mut sum = 0.0;
        for row in grid.chunks_exact(places.max(1)) {
            let total: f64 = row.iter().sum();
            if total > 0.0 {
                sum += self.remaining(row, &left.minutes, total);
            }
            if sum >= most {
                break;
            }
        }
        self.grid = grid;
        sum
    }

    /// What is left when a sight has shown an outcome.
    fn narrow(&self, next: &mut Left, left: &Left, sight: usize, row: usize) {
        let shows = &self.shows[sight];
        next.ways.clear();
        next.minutes.clone_from(&left.minutes);
        next.total = 0.0;
        for &(way, place, mass) in &left.ways {
            let shown = shows.of_way(way).iter().find(|s| s.0 == row);
            if let Some((_, share)) = shown {
                next.ways.push((way, place, mass * share));
                next.total += mass * share;
            }
        }
    }
}
