//! A reading is no finer than the digits with which it was noted.

use pinchpoint::{infer::lower::Model, reading::Reading};

use super::shared::{circuit, log, point};

/// Standard deviation of the display of 0.31 V as the engine takes it, noted to a step.
fn sd(step: Option<f64>) -> f64 {
    let reading = Reading {
        step,
        ..Reading::volts(point("M1.feed"), 0.31)
    };
    let meter = pinchpoint::reading::Meter::default();
    Model::new(&circuit(5.0), &meter, &log([reading]), &[]).measured[0].sd
}

/// Rectangular rule for the band, a/√3, and for the rounding, d/√12 (JCGM 100:2008, 4.3.7 and F.2.2.1). The default
/// meter shows 0.31 V on its 0.6 V range in steps of 0.1 mV, to ±2 of them.
#[test]
fn the_coarser_of_display_and_digits_counts() {
    let display = (0.0002f64.powi(2) / 3.0 + 0.0001f64.powi(2) / 12.0).sqrt();
    let digits = (0.01f64.powi(2) / 3.0 + 0.01f64.powi(2) / 12.0).sqrt();
    for (step, expected) in [
        (None, display),
        (Some(0.01), digits),
        // Finer than the display: a display has no more than its own digits.
        (Some(0.000_01), display),
        // Nonsense from a file is not taken for a digit.
        (Some(0.0), display),
        (Some(-1.0), display),
        (Some(f64::NAN), display),
    ] {
        assert!((sd(step) / expected - 1.0).abs() < 1e-9, "{step:?}");
    }
}
