//! Published and calculated counts of tests.

use pinchpoint::practice::split::{
    best_on_chain, bits, half_split, least_possible, midpoint, one_after_the_other,
};

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

#[test]
fn brackets() {
    // US Army subcourse IT0338, frames 9 and 10 (read; the points A to I are inferred): check at or just before the
    // midpoint of the brackets. Normal at E: the first bracket moves to E and G comes next.
    let (a, e, g, i) = (0, 4, 6, 8);
    assert_eq!(midpoint(a, i), Some(e));
    assert_eq!(midpoint(e, i), Some(g));
    // Bad at E: the last bracket moves there.
    assert_eq!(midpoint(a, e), Some(2));
    // Frame 9: among A to G or H the midpoint is D, at it or just before it.
    assert_eq!(midpoint(0, 6), Some(3));
    assert_eq!(midpoint(0, 7), Some(3));
    assert_eq!(midpoint(3, 4), None);
    assert_eq!(midpoint(4, 3), None);
}
