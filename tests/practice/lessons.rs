//! The numbers in the worked examples come out.

use pinchpoint::{
    circuit::wire::COPPER_RESISTIVITY,
    practice::{Drill, split::half_split},
};

use crate::counts::{best_on_chain, one_after_the_other};

/// Each of the words stands in the drill's example, and the number in them is the value, as it is rounded there.
fn holds(drill: Drill, numbers: &[(&str, f64)]) {
    for &(words, value) in numbers {
        let example = drill.example();
        assert!(example.contains(words), "{} lacks “{words}”", drill.key());
        let number = words
            .split(' ')
            .find(|word| word.starts_with(|c: char| c.is_ascii_digit()))
            .expect("a number");
        let told: f64 = number.parse().expect("a number");
        let decimals = number.split_once('.').map_or(0, |(_, after)| after.len());
        let rounded = 0.5 * 0.1_f64.powi(decimals as i32);
        assert!((value - told).abs() <= rounded + 1e-9, "{words}: {value}");
    }
}

#[test]
fn every_drill_has_a_lesson_and_an_example() {
    for drill in Drill::ALL {
        assert!(drill.lesson().len() > 100 && drill.example().len() > 100);
        assert_eq!(Drill::of(drill.key()), Some(drill));
    }
}

#[test]
fn numbers_of_the_examples() {
    // Circuits: Ohm's law (calculated). Counts: `counts.rs`.
    let eight = one_after_the_other(8);
    holds(
        Drill::SplitHalf,
        &[
            ("4.4 on average", eight.expected),
            ("7 at worst", eight.worst as f64),
        ],
    );
    let odds = best_on_chain(&[8.0, 1.0, 1.0, 1.0, 1.0]).expected;
    let equal = half_split(5).expected;
    holds(
        Drill::UnequalOdds,
        &[("1.67 tests", odds), ("takes 2.4", equal)],
    );
    holds(
        Drill::AccessMinutes,
        &[
            ("0.25 bits", 1.0 / 4.0),
            ("0.04", 1.0 / 25.0),
            ("0.125", 0.5 / 4.0),
        ],
    );
    let per_metre = COPPER_RESISTIVITY / 0.35;
    holds(
        Drill::MillivoltTrail,
        &[("49 mΩ", 1e3 * per_metre), ("4.9 mV", 1e2 * per_metre)],
    );
    holds(
        Drill::LimitedSupply,
        &[
            ("1.36 V", 20.0 * (0.1 - 4.0 * 0.008)),
            ("1.52 V", 20.0 * (0.1 - 3.0 * 0.008)),
            ("2.00 V", 20.0 * 0.1),
        ],
    );
    holds(
        Drill::TwoFaults,
        &[
            ("0.75 V", 0.1 * 10.0 * 30.0 / 40.0),
            ("3.00 V", 0.1 * 30.0),
            ("1.00 V", 0.1 * 10.0),
        ],
    );
    holds(
        Drill::GhostVoltage,
        &[
            ("4.995 V", 5.0 * 10e6 / (10e6 + 10e3)),
            ("0.45 V", 5.0 / 11.0),
            ("4.40 V", 5.0 - 60.0 * 0.010),
            ("3.56 V", 5.0 - 60.0 * 0.024),
        ],
    );
}
