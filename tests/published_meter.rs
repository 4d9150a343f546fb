//! Meter accuracy and uncertainty against published values.

use pinchpoint::reading::{
    Meter, Range,
    meter::{rectangular_sd, resolution_sd},
};

fn meter(percent: f64, counts: f64, step: f64) -> Meter {
    Meter {
        percent,
        counts,
        ranges: vec![Range { top: 1000.0, step }],
        ..Meter::default()
    }
}

fn near(got: f64, expected: f64, tolerance: f64, what: &str) {
    assert!(
        (got - expected).abs() <= tolerance,
        "{what}: {got} is not {expected} ± {tolerance}"
    );
}

/// Worked accuracy statements: percent of reading plus counts of the step. Read in copies of notes by meter makers (D1, D3, D4)
/// and of two workshop notes (D2, D5); no product is meant.
#[test]
fn bands_are_those_of_the_makers_worked_examples() {
    for (id, value, percent, counts, step, half_width) in [
        ("D1: 98.8 to 101.2 V", 100.0, 1.0, 2.0, 0.1, 1.2),
        (
            "D2: printed rounded as 0.010",
            1.755,
            0.5,
            1.0,
            0.001,
            0.009_775,
        ),
        ("D3: 1.9964 to 2.0036 V", 2.0, 0.08, 2.0, 0.001, 0.0036),
        ("D4: 1.5 V", 120.0, 1.0, 3.0, 0.1, 1.5),
        ("D5: 0.013 V", 2.0, 0.5, 3.0, 0.001, 0.013),
    ] {
        let meter = meter(percent, counts, step);
        near(meter.band(value), half_width, 1e-12, id);
        near(meter.band(-value), half_width, 1e-12, id);
    }
}

/// The counts are those of the range on which the value is shown. Own arithmetic from the statement of the default meter,
/// ±(0.5 % + 2 counts) with 6000 counts.
#[test]
fn counts_belong_to_the_range_in_use() {
    let meter = Meter::default();
    for (value, band) in [
        (0.5, 0.0027),
        (0.6, 0.0032),
        (0.601, 0.005_005),
        (5.0, 0.027),
        (12.0, 0.08),
        (99.0, 0.515),
    ] {
        near(meter.band(value), band, 1e-12, "default meter");
    }
}

/// JCGM 100:2008, quoted from memory (high confidence).
#[test]
fn bands_become_standard_deviations_by_the_rectangular_rule() {
    // 4.3.7 example 1: the coefficient of copper 16.52e-6 ± 0.40e-6 per kelvin has u = 0.23e-6.
    near(rectangular_sd(0.40e-6), 0.23e-6, 0.005e-6, "G1");
    // F.2.2.1: a resolution d has u = 0.29 d.
    near(resolution_sd(1.0), 0.29, 0.005, "G3");
    // 4.3.7 example 2 and 5.1.5: 14e-6 of reading plus 2e-6 of range at 0.928571 V on 1 V has a = 15 µV, u = 8.7 µV.
    let band = meter(14e-4, 2.0, 1e-6).band(0.928_571);
    near(band, 15e-6, 0.5e-6, "G2 half-width");
    near(rectangular_sd(band), 8.7e-6, 0.05e-6, "G2");
}

/// Calculated from the two rules above for 5.000 V at 0.5 % + 2 counts of 1 mV (derived, not published).
#[test]
fn resolution_adds_in_quadrature() {
    let meter = meter(0.5, 2.0, 0.001);
    near(meter.band(5.0), 0.027, 1e-12, "G6 half-width");
    near(rectangular_sd(meter.band(5.0)), 0.015_588_5, 5e-8, "G6");
    near(meter.sd(5.0), 0.015_591_1, 5e-8, "G6 with resolution");
}
