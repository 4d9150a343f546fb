//! What a reading would show, given those that are there. Source of the bounds: a Gaussian quantity with variance V
//! that has been read once with an error of variance D has the variance V·D/(V + D) left, which is below D.

mod support;

use std::collections::BTreeSet;

use pinchpoint::{
    advise::{price, sights::reachable},
    circuit::Point,
    fault::{FaultKind, Site},
    infer::{candidate::candidates, lower::Model, weigh::Weigher},
    practice::world::{Hidden, World},
    reading::{Entry, Kind, Meter, Reading, State, Value},
};
use support::circuits::tender;

#[test]
fn who_looks_again_at_the_same_place_sees_the_same() {
    let circuit = tender();
    let meter = Meter::default();
    let short = Hidden::new(Site::part("W5"), FaultKind::ShortToGround, 4.0).at(0.4);
    let mut world = World::draw(&circuit, &[short], &meter, 1).expect("a vehicle");
    let log = ["M1.feed", "C1.1n"].map(|point| {
        let red: Point = point.parse().expect("a point");
        let black = Point::battery_negative();
        let shown = world.measure(Kind::Volts, &red, &black, &State::default());
        let Ok(Value::Exactly(volts)) = shown else {
            panic!("{point} shows {shown:?}");
        };
        Entry::Reading(Reading::volts(red, volts))
    });
    let again = [log.as_slice(), &log].concat();
    let narrow = Model::new(&circuit, &meter, &log, &[]);
    let wide = Model::new(&circuit, &meter, &again, &[]);
    let mut seen = 0;
    for candidate in candidates(&circuit, &narrow) {
        let Some((mean, _)) = candidate.size else {
            continue;
        };
        let free = [candidate.size];
        let idle = vec![[0.0; 4]; narrow.sources.len()];
        let mut weigher = Weigher::new(&narrow);
        // A fit that stopped early must forecast as well as one that went on.
        weigher.brisk = true;
        let Some(fitted) = weigher.fit(&[candidate.fault(mean)], &free, &[0, 1], &idle) else {
            continue;
        };
        let ahead = Weigher::new(&wide).ahead(&fitted, &free, None);
        for (m, ahead) in ahead.iter().enumerate().skip(2) {
            let display = wide.measured[m].sd;
            assert!(
                ahead.sd <= 1.001 * display,
                "{:?}: sd {} where the display's is {display}",
                candidate.site,
                ahead.sd
            );
            if fitted.chi_squared < 4.0 {
                assert!(
                    (ahead.mean - wide.measured[m].value).abs() < 3.0 * display,
                    "{:?}: {} after {}",
                    candidate.site,
                    ahead.mean,
                    wide.measured[m].value
                );
                seen += 1;
            }
        }
    }
    assert!(seen > 10, "only {seen}");
}

#[test]
fn a_drop_is_read_across_a_wire_and_both_ends_are_paid_for() {
    let circuit = tender();
    let state = State::default();
    let reach = reachable(&circuit, &state, &[], &BTreeSet::new());
    let drops: Vec<_> = (reach.looks.iter())
        .filter(|look| look.state == 0 && look.kind == Kind::Volts)
        .filter(|look| !look.black.is_battery_negative())
        .collect();
    assert!(drops.len() > 10);
    for look in &drops {
        let each = [&look.red, &look.black]
            .map(|point| price::probe(&circuit, point, &state).expect("within reach"));
        assert!(
            (look.minutes - each.iter().sum::<f64>()).abs() < 1e-9,
            "{look:?}"
        );
        assert_ne!(look.red.part, look.black.part);
    }
}
