//! The choice of tests on tables: published counts of the half split, bounds, known traps, and exhaustive search.

use std::collections::HashMap;

use pinchpoint::{
    advise::plan::{Belief, Plan, Sight, entropy, plan},
    practice::Dice,
};

/// Minutes to open a place: so many that every place is told apart first.
const OPENING: f64 = 100.0;

/// A yes-or-no test: its minutes, and the places where it says yes, as bits.
#[derive(Clone, Copy, Debug)]
struct Cut {
    minutes: f64,
    yes: u32,
}

struct Search {
    odds: Vec<f64>,
    cuts: Vec<Cut>,
}

impl Search {
    fn new(odds: &[f64], cuts: Vec<Cut>) -> Self {
        let total: f64 = odds.iter().sum();
        Self {
            odds: odds.iter().map(|o| o / total).collect(),
            cuts,
        }
    }

    /// A chain that can be cut between any two neighbours.
    fn chain(odds: &[f64], minutes: impl Fn(usize) -> f64) -> Self {
        let cuts = (1..odds.len())
            .map(|n| Cut {
                minutes: minutes(n),
                yes: (1 << n) - 1,
            })
            .collect();
        Self::new(odds, cuts)
    }

    fn mass(&self, left: u32) -> f64 {
        (0..self.odds.len())
            .filter(|i| left & (1 << i) != 0)
            .map(|i| self.odds[i])
            .sum()
    }

    fn plan(&self, left: u32) -> Plan {
        let places: Vec<usize> = (0..self.odds.len())
            .filter(|i| left & (1 << i) != 0)
            .collect();
        let total = self.mass(left);
        let belief = Belief {
            weight: places.iter().map(|&i| self.odds[i] / total).collect(),
            place: (0..places.len()).collect(),
            opening: vec![OPENING; places.len()],
        };
        let sights: Vec<Sight> = self
            .cuts
            .iter()
            .map(|cut| {
                let yes = places.iter().map(|i| f64::from((cut.yes >> i) & 1));
                let mut likely: Vec<f64> = yes.clone().map(|y| 1.0 - y).collect();
                likely.extend(yes);
                Sight {
                    state: 0,
                    minutes: cut.minutes,
                    likely,
                }
            })
            .collect();
        plan(&belief, &sights, &|_, _| 0.0, 0)
    }

    /// Mean minutes of tests until one place is left, times the mass of the places that are left.
    fn by_plan(&self, left: u32, known: &mut HashMap<u32, f64>) -> f64 {
        if left.count_ones() < 2 {
            return 0.0;
        }
        if let Some(cost) = known.get(&left) {
            return *cost;
        }
        let plan = self.plan(left);
        let best = plan
            .tests
            .iter()
            .find(|t| t.bits > 1e-9)
            .expect("some cut tells places apart");
        let cut = self.cuts[best.sight];
        let cost = cut.minutes * self.mass(left)
            + self.by_plan(left & cut.yes, known)
            + self.by_plan(left & !cut.yes, known);
        known.insert(left, cost);
        cost
    }

    /// The same for the best possible sequence, by dynamic programming over all subsets that can be left.
    fn optimum(&self, left: u32, known: &mut HashMap<u32, f64>) -> f64 {
        if left.count_ones() < 2 {
            return 0.0;
        }
        if let Some(cost) = known.get(&left) {
            return *cost;
        }
        let mut best = f64::INFINITY;
        for cut in &self.cuts {
            let (yes, no) = (left & cut.yes, left & !cut.yes);
            if yes != 0 && no != 0 {
                let cost = cut.minutes * self.mass(left)
                    + self.optimum(yes, known)
                    + self.optimum(no, known);
                best = best.min(cost);
            }
        }
        known.insert(left, best);
        best
    }

    fn all(&self) -> u32 {
        (1 << self.odds.len()) - 1
    }

    fn planned(&self) -> f64 {
        self.by_plan(self.all(), &mut HashMap::new())
    }

    fn best(&self) -> f64 {
        self.optimum(self.all(), &mut HashMap::new())
    }
}

fn close(found: f64, expected: f64, what: &str) {
    assert!(
        (found - expected).abs() < 1e-6,
        "{what}: {found}, expected {expected}"
    );
}

/// Optimal expected counts of binary tests on a uniform chain: derived (dynamic programming and Huffman agree); the rule
/// is that of the Army course IT0338, frame 10: check at or just before the midpoint of the trouble brackets.
#[test]
fn equal_odds_and_minutes_make_the_half_split() {
    let table = [
        (2, 1.0),
        (3, 1.666_666_7),
        (4, 2.0),
        (5, 2.4),
        (6, 2.666_666_7),
        (7, 2.857_142_9),
        (8, 3.0),
        (10, 3.4),
        (12, 3.666_666_7),
        (16, 4.0),
        (20, 4.4),
    ];
    for (n, expected) in table {
        let chain = Search::chain(&vec![1.0; n], |_| 1.0);
        close(chain.planned(), expected, &format!("{n} segments"));
    }
}

/// Weighted chains, order kept: derived by dynamic programming.
#[test]
fn unequal_odds_split_the_probability() {
    for (odds, expected) in [
        ([1.0, 2.0, 3.0, 4.0, 5.0], 2.2),
        ([8.0, 1.0, 1.0, 1.0, 1.0], 1.666_666_7),
    ] {
        let chain = Search::chain(&odds, |_| 1.0);
        close(chain.planned(), expected, &format!("{odds:?}"));
        close(chain.best(), expected, &format!("optimum of {odds:?}"));
    }
}

/// Four equal segments: 1 bit at the middle, 0.8112781 at a quarter (derived from the binary entropy).
#[test]
fn information_is_that_of_the_outcome() {
    let plan = Search::chain(&[1.0; 4], |_| 1.0).plan(0b1111);
    close(plan.bits, 2.0, "all");
    let bits = |sight| {
        plan.tests
            .iter()
            .find(|t| t.sight == sight)
            .expect("listed")
            .bits
    };
    close(bits(1), 1.0, "middle");
    close(bits(0), 0.811_278_1, "a quarter");
    close(bits(2), 0.811_278_1, "three quarters");
    assert_eq!(plan.tests[0].sight, 1);
}

/// Huffman lengths and entropies: Cover and Thomas, Elements of Information Theory, chapter 5 (from memory, re-derived);
/// H ≤ L < H + 1 is Shannon's bound.
#[test]
fn free_choice_of_tests_comes_near_huffman_and_never_below_the_entropy() {
    let third = 1.0 / 3.0;
    for (odds, huffman, bits) in [
        (vec![0.25, 0.25, 0.2, 0.15, 0.15], 2.3, 2.285_475),
        (vec![third, third, 0.25, 1.0 / 12.0], 2.0, 1.855_389),
        (vec![0.5, 0.25, 0.125, 0.125], 1.75, 1.75),
    ] {
        assert!((entropy(&odds, 1.0) - bits).abs() < 1e-5);
        let every = (1..(1u32 << odds.len()) - 1)
            .map(|yes| Cut { minutes: 1.0, yes })
            .collect();
        let search = Search::new(&odds, every);
        close(search.best(), huffman, "optimum");
        let found = search.planned();
        assert!(found >= bits - 1e-9 && found < bits + 1.0);
        assert!(found <= 1.05 * huffman, "{found} against {huffman}");
    }
}

/// A table on which the most informative first test is not the best one (synthetic; values derived by dynamic
/// programming): optimum 2.12 beginning with t2, most information in t1 and then 2.71. The plan falls for it; on chains and
/// trees, where every test parts one connected piece from the rest, it hardly ever does (below).
#[test]
fn the_known_trap_of_greed() {
    let odds = [0.70, 0.01, 0.02, 0.10, 0.17];
    let yes = [0b11000, 0b10010, 0b00100, 0b01100, 0b01010];
    let search = Search::new(
        &odds,
        yes.iter().map(|&yes| Cut { minutes: 1.0, yes }).collect(),
    );
    let plan = search.plan(0b11111);
    let bits = |sight| {
        plan.tests
            .iter()
            .find(|t| t.sight == sight)
            .expect("listed")
            .bits
    };
    for (sight, expected) in [
        (0, 0.841_465),
        (1, 0.680_077),
        (2, 0.141_441),
        (3, 0.529_361),
        (4, 0.499_916),
    ] {
        assert!(
            (bits(sight) - expected).abs() < 1e-5,
            "t{}: {}",
            sight + 1,
            bits(sight)
        );
    }
    close(search.best(), 2.12, "optimum");
    close(search.planned(), 2.71, "planned");
}

/// J. de Kleer and B. C. Williams, Artificial Intelligence 32 (1987): three multipliers, two adders. Candidates A1, M1,
/// {A2, M2}, {M2, M3} with independent faults of 0.01; gains re-derived, not the paper's own table.
#[test]
fn the_probe_of_the_polybox_is_x_then_y_then_z() {
    let belief = Belief {
        weight: vec![0.495, 0.495, 0.005, 0.005],
        place: vec![0, 1, 2, 3],
        opening: vec![OPENING; 4],
    };
    let probe = |usual: [f64; 4]| Sight {
        state: 0,
        minutes: 1.0,
        likely: usual
            .iter()
            .copied()
            .chain(usual.iter().map(|u| 1.0 - u))
            .collect(),
    };
    // Under A1 every input is right; under M1 X is off; under {A2, M2} and {M2, M3} Y is off, Z under the last only.
    let sights = [
        probe([1.0, 0.0, 1.0, 1.0]),
        probe([1.0, 1.0, 0.0, 0.0]),
        probe([1.0, 1.0, 1.0, 0.0]),
    ];
    let plan = plan(&belief, &sights, &|_, _| 0.0, 0);
    close(plan.bits, 1.080_793, "before");
    let order: Vec<usize> = plan.tests.iter().map(|t| t.sight).collect();
    assert_eq!(order, [0, 1, 2]);
    for (test, expected) in plan.tests.iter().zip([0.999_928, 0.080_793, 0.045_415]) {
        assert!(
            (test.bits - expected).abs() < 1e-5,
            "{} against {expected}",
            test.bits
        );
    }
}

/// Chains and trees of up to 12 suspects with unequal odds and minutes: mean cost within 5 % of exhaustive dynamic
/// programming (the project's own target).
#[test]
fn plans_are_within_a_twentieth_of_the_optimum() {
    let mut dice = Dice::new(41);
    for tree in [false, true] {
        let (mut ours, mut least, mut worst) = (0.0, 0.0, 1.0f64);
        for round in 0..60 {
            let n = 4 + round % 9;
            let odds: Vec<f64> = (0..n).map(|_| dice.between(0.2, 3.0)).collect();
            let minutes: Vec<f64> = (0..n).map(|_| dice.between(1.0, 15.0)).collect();
            let search = if tree {
                // Each place hangs on an earlier one; a cut parts a place with all behind it from the rest.
                let mut behind: Vec<u32> = (0..n).map(|i| 1 << i).collect();
                for i in (1..n).rev() {
                    let parent = dice.below(i);
                    behind[parent] |= behind[i];
                }
                let cuts = (1..n)
                    .map(|i| Cut {
                        minutes: minutes[i],
                        yes: behind[i],
                    })
                    .collect();
                Search::new(&odds, cuts)
            } else {
                Search::chain(&odds, |i| minutes[i])
            };
            let (found, best) = (search.planned(), search.best());
            assert!(found >= best - 1e-9);
            worst = worst.max(found / best);
            ours += found;
            least += best;
        }
        println!(
            "{}: {:.4} of the optimum on average, {worst:.3} at worst",
            if tree { "trees" } else { "chains" },
            ours / least
        );
        assert!(ours <= 1.05 * least, "{ours} against {least}");
    }
}
