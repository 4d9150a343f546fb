//! A feed of which nothing but its parts is known reads right when nothing is wrong, however many sensors hang on it. That
//! a module is made for its own sensors: common practice, no source.

use std::collections::BTreeSet;

use pinchpoint::{
    circuit::quick_feed,
    diagnosis::{Question, diagnose},
    practice::world::World,
    quantity::units::{as_volts, volts},
    reading::{Meter, State, Value},
};

#[test]
fn more_sensors_do_not_take_a_sound_feed_to_its_limit() {
    for sensors in [1, 6, 12, 25, 40] {
        let circuit = quick_feed(volts(5.0), sensors, true, true);
        let (meter, now, reach) = (Meter::default(), State::default(), BTreeSet::new());
        let findings = diagnose(&Question {
            circuit: &circuit,
            meter: &meter,
            log: &[],
            now: &now,
            out_of_reach: &reach,
        });
        let pin = &findings.points[0];
        let least = pin.hinges.map_or(pin.healthy.mean, |(least, _)| least);
        assert!(
            least > 4.0 && pin.healthy.mean > 4.5,
            "{sensors} sensors: {:?}",
            findings.points[0]
        );
        let mut vehicle = World::exact(&circuit, &[], &meter).expect("nothing is hidden");
        let shown = vehicle.survey(std::slice::from_ref(&pin.point), &now);
        let Some(Some(Value::Exactly(shown))) = shown.first() else {
            panic!("{sensors} sensors: {shown:?}");
        };
        assert!(
            (shown - as_volts(volts(5.0))).abs() < 0.5,
            "{sensors} sensors: {shown}"
        );
    }
}
