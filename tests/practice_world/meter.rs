//! What the simulated meter shows: steps, over-range, errors within the specification, and the same for the same seed. Its
//! bands are calculated from the meter's data (percent of reading plus counts), by definition.

use pinchpoint::{
    circuit::Point,
    fault::{FaultKind, Site},
    practice::{Hidden, World},
    quantity::units::as_volts,
    reading::{Kind, Meter, State, Value},
};

use super::{circuits::tender, published::at};

fn volts(world: &mut World, point: &str) -> Value {
    let shown = world.measure(
        Kind::Volts,
        &at(point),
        &Point::battery_negative(),
        &State::default(),
    );
    shown.expect("drawn")
}

fn number(value: Value) -> f64 {
    match value {
        Value::Exactly(value) => value,
        other => panic!("{other:?} is no number"),
    }
}

#[test]
fn a_display_shows_whole_steps_and_goes_over_range() {
    let circuit = tender();
    let mut world = World::draw(&circuit, &[], &Meter::default(), 1).expect("nothing hidden");
    let shown = number(volts(&mut world, "M1.feed"));
    // 9 V stands on the range of 60 V with steps of 10 mV.
    assert!(
        (shown * 100.0 - (shown * 100.0).round()).abs() < 1e-9,
        "{shown}"
    );
    let small = Meter {
        ranges: Meter::default().ranges[..2].to_vec(),
        ..Meter::default()
    };
    let mut world = World::draw(&circuit, &[], &small, 1).expect("nothing hidden");
    assert_eq!(
        volts(&mut world, "M1.feed"),
        Value::OverRange { above: Some(6.0) }
    );
    // An open pin on ohms is over the range.
    let open = Hidden::new(Site::part("W1"), FaultKind::Open, 1.0);
    let mut world = World::exact(&circuit, &[open], &small).expect("a wire");
    let shown = world.measure(
        Kind::Ohms,
        &at("M1.feed"),
        &Point::battery_negative(),
        &State::default(),
    );
    assert_eq!(shown.expect("drawn"), Value::OverRange { above: None });
}

#[test]
fn readings_lie_within_the_bands_that_were_drawn_from() {
    // ± (2 % of the supply, 0.5 % of the reading, 2 counts and half a step); some of them must lie far out.
    let circuit = tender();
    let meter = Meter::default();
    let nominal = as_volts(circuit.supplies[0].nominal);
    let band = nominal * 0.02 + meter.band(nominal) + 0.01;
    let mut farthest = 0.0_f64;
    for seed in 0..200 {
        let mut world = World::draw(&circuit, &[], &meter, seed).expect("nothing hidden");
        let off = (number(volts(&mut world, "M1.feed")) - nominal).abs();
        assert!(off <= band + 0.1, "seed {seed}: {off}");
        farthest = farthest.max(off);
    }
    assert!(farthest > 0.5 * band, "{farthest} of {band}");
}

#[test]
fn calibration_is_shared_and_counts_are_not() {
    let circuit = tender();
    let mut world = World::draw(&circuit, &[], &Meter::default(), 5).expect("nothing hidden");
    let shown: Vec<f64> = (0..40)
        .map(|_| number(volts(&mut world, "M1.feed")))
        .collect();
    let least = shown.iter().copied().fold(f64::INFINITY, f64::min);
    let most = shown.iter().copied().fold(0.0, f64::max);
    // ± 2 counts of 10 mV around one and the same calibration.
    assert!(most > least && most - least <= 0.0501, "{least} to {most}");
}

#[test]
fn a_seed_is_a_vehicle() {
    // Golden: computed by this program; it holds seeds to the same vehicle from version to version.
    let circuit = tender();
    let short = Hidden::new(Site::part("W7"), FaultKind::ShortToGround, 4.7).at(0.3);
    let read = |seed| {
        let mut world = World::draw(
            &circuit,
            std::slice::from_ref(&short),
            &Meter::default(),
            seed,
        )
        .expect("a wire");
        ["M1.feed", "X3.1n", "X5.1n", "SP2"].map(|point| number(volts(&mut world, point)))
    };
    assert_eq!(read(7), read(7));
    assert_ne!(read(7), read(8));
    assert_eq!(read(7), [0.826, 0.787, 0.791, 0.791]);
}
