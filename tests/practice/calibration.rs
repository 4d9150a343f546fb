//! A small version of `benches/calibration.rs`: bounds that luck keeps to and a regression does not.

use pinchpoint::practice::calibration::Table;

#[test]
fn sets_cover_about_as_often_as_they_say() {
    let table = Table::of(0..40);
    println!("{table:?}");
    assert!(table.jobs >= 38);
    // Three binomial standard errors of 40 jobs are 24 points at 50 %, 14 at 90 % and 10 at 95 %.
    for (index, least) in [(0, 0.26), (1, 0.60), (2, 0.74), (3, 0.82)] {
        assert!(table.coverage(index) >= least, "{table:?}");
    }
    assert!(
        table.ohms.1 as f64 >= 0.7 * table.ohms.0 as f64,
        "{table:?}"
    );
}
