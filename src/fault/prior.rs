//! Prior weights of faults: data with its provenance, in `assets/priors.ron`.

use std::sync::LazyLock;

use serde::Deserialize;

/// The table; see the comments in the file for what each weight is relative to.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
#[allow(missing_docs, reason = "the data file says what each weight is")]
pub struct Priors {
    pub short_per_wire: f64,
    pub short_per_metre: f64,
    pub short_per_pin: f64,
    pub short_per_splice: f64,
    pub short_in_load: f64,
    pub undrawn_member: f64,
    pub undrawn_member_marked: f64,
    pub short_to_rail_per_metre: f64,
    pub short_between_per_metre: f64,
    pub open_per_wire: f64,
    pub open_per_pin: f64,
    pub high_resistance_per_wire: f64,
    pub high_resistance_per_pin: f64,
    pub ground_open: f64,
    pub ground_bad: f64,
    pub fuse_open: f64,
    pub load_draws_nothing: f64,
    pub signal_stuck: f64,
    pub supply_dead: f64,
    pub supply_low: f64,
    pub limits_early: f64,
    pub healthy: f64,
    pub another_fault: f64,
    pub unexplained: f64,
    pub mistaken_reading: f64,
    pub short_ohm: (f64, f64),
    pub series_ohm: (f64, f64),
    pub stuck_ohm: (f64, f64),
    pub supply_low_log: (f64, f64),
    pub limits_early_log: (f64, f64),
}

/// The table of the program.
///
/// # Panics
/// Never in a released program: a test reads the embedded file.
pub static PRIORS: LazyLock<Priors> = LazyLock::new(|| {
    ron::from_str(include_str!("../../assets/priors.ron")).expect("the embedded table is valid")
});

#[cfg(test)]
mod tests {
    use super::PRIORS;

    #[test]
    fn weights_are_positive() {
        assert!(PRIORS.short_per_metre > 0.0 && PRIORS.mistaken_reading > 0.0);
        assert!(PRIORS.mistaken_reading < 0.5);
    }
}
