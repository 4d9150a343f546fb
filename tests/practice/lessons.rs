//! The numbers in the worked examples come out.

use pinchpoint::{
    circuit::wire::COPPER_RESISTIVITY,
    practice::{Drill, split},
};

fn holds(drill: Drill, numbers: &[(&str, f64, f64)]) {
    for &(words, value, expected) in numbers {
        assert!(
            drill.example().contains(words),
            "{} lacks “{words}”",
            drill.key()
        );
        assert!(
            (value - expected).abs() <= 0.005 * expected,
            "{words}: {value}"
        );
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
    let eight = split::one_after_the_other(8);
    holds(
        Drill::SplitHalf,
        &[
            ("4.4 on average", eight.expected, 4.375),
            ("7 at worst", 7.0, eight.worst as f64),
        ],
    );
    let odds = split::best_on_chain(&[8.0, 1.0, 1.0, 1.0, 1.0]).expected;
    let equal = split::half_split(5).expected;
    holds(
        Drill::UnequalOdds,
        &[("1.67 tests", odds, 1.667), ("takes 2.4", equal, 2.4)],
    );
    holds(
        Drill::AccessMinutes,
        &[
            ("0.25 bits", 1.0 / 4.0, 0.25),
            ("0.04", 1.0 / 25.0, 0.04),
            ("0.125", 0.5 / 4.0, 0.125),
        ],
    );
    let per_metre = COPPER_RESISTIVITY / 0.35;
    holds(
        Drill::MillivoltTrail,
        &[
            ("49 mΩ", 1e3 * per_metre, 49.26),
            ("4.9 mV", 1e2 * per_metre, 4.926),
        ],
    );
    holds(
        Drill::LimitedSupply,
        &[
            ("1.36 V", 20.0 * (0.1 - 4.0 * 0.008), 1.36),
            ("1.52 V", 20.0 * (0.1 - 3.0 * 0.008), 1.52),
            ("2.00 V", 20.0 * 0.1, 2.0),
        ],
    );
    holds(
        Drill::TwoFaults,
        &[
            ("0.75 V", 0.1 * 10.0 * 30.0 / 40.0, 0.75),
            ("3.00 V", 0.1 * 30.0, 3.0),
            ("1.00 V", 0.1 * 10.0, 1.0),
        ],
    );
    holds(
        Drill::GhostVoltage,
        &[
            ("4.995 V", 5.0 * 10e6 / (10e6 + 10e3), 4.995),
            ("0.45 V", 5.0 / 11.0, 0.4545),
            ("4.40 V", 5.0 - 60.0 * 0.010, 4.40),
            ("3.56 V", 5.0 - 60.0 * 0.024, 3.56),
        ],
    );
    holds(Drill::WrongReading, &[("641 mV", 0.641, 0.641)]);
}
