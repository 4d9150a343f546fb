//! Situation 23: a leak from battery into a feed whose regulator cannot sink. Calculated; field cases were not found.

use pinchpoint::{
    circuit::{Circuit, LimitMode, LoadModel, quick_feed, stock},
    fault::{FaultKind, Site},
    practice::Hidden,
    quantity::units::{metres, ohms, volts},
};

use crate::vehicle::{Told, Vehicle};

/// Two resistive sensors on short wires; the supply takes nothing back.
fn feed(first: f64, second: f64) -> Circuit {
    let mut circuit = quick_feed(volts(5.0), 2, false, false);
    for (load, ohm) in circuit.loads.iter_mut().zip([first, second]) {
        load.model = LoadModel::Resistive {
            resistance: ohms(ohm),
        };
        load.spread_percent = 3.0;
    }
    for wire in &mut circuit.wires {
        wire.length = Some(metres(1.5));
    }
    let supply = &mut circuit.supplies[0];
    supply.source = Some(ohms(0.1));
    supply.limit = LimitMode::None;
    supply.sinks = false;
    circuit.rails.push(stock::rail("B1", volts(12.6)));
    circuit
}

fn leak(ohm: f64) -> Hidden {
    let site = Site {
        with: Some("B1".to_owned()),
        ..Site::part("W1")
    };
    Hidden::new(site, FaultKind::ShortToRail, ohm)
}

fn to_rail(told: &Told) -> f64 {
    told.chance(|_, kind| kind == FaultKind::ShortToRail)
}

/// 47 Ω and 164.5 Ω of loads (30 mA at 4.94 V): 12.6 V × 164.5 ÷ 211.5 = 9.80 V.
#[test]
fn situation_23_a_strong_leak_lifts_the_feed_at_once() {
    let mut vehicle = Vehicle::new(feed(329.0, 329.0), &[leak(47.0)]);
    let read = vehicle.volts("M1.feed", &[]);
    assert!((read - 9.8).abs() < 0.03, "{read}");
    let told = vehicle.told();
    assert!(to_rail(&told) > 0.8, "{}", told.show());
    assert!(told.line.contains("B1"), "{}", told.line);
}

/// 1 kΩ: 5.00 V with everything plugged (10 mA + 3 mA drawn), 7.9 V with 1677 Ω left, 12.6 V unplugged: 12.6 V × 1677 ÷
/// 2677 = 7.89 V. Unplugging reveals it, and right when plugged does not clear it.
#[test]
fn situation_23_unplugging_reveals_a_weak_leak() {
    let mut vehicle = Vehicle::new(feed(500.0, 1677.0), &[leak(1000.0)]);
    let plugged = vehicle.volts("M1.feed", &[]);
    assert!((plugged - 5.0).abs() < 0.01, "{plugged}");
    let told = vehicle.told();
    assert!(
        to_rail(&told) > 0.0,
        "right when plugged clears nothing: {}",
        told.show()
    );
    let one_off = vehicle.volts("M1.feed", &["X1"]);
    assert!((one_off - 7.89).abs() < 0.02, "{one_off}");
    let both_off = vehicle.volts("M1.feed", &["X1", "X2"]);
    assert!((both_off - 12.6).abs() < 0.02, "{both_off}");
    let told = vehicle.told();
    assert!(to_rail(&told) > 0.9, "{}", told.show());
    let ohm = told.findings.suspects[0].resistance.expect("ohms");
    assert!(ohm.low < 1000.0 && 1000.0 < ohm.high, "{ohm:?}");
    assert!(
        told.steps
            .iter()
            .any(|step| step.contains("higher voltage feeds in")),
        "{:?}",
        told.steps
    );
}

/// Where no other rail is drawn, nothing on the sketch explains more than the supply gives, and that is the answer.
#[test]
fn a_leak_from_a_rail_that_is_not_drawn_is_explained_by_nothing_on_the_sketch() {
    let drawn = feed(500.0, 1677.0);
    let mut vehicle = Vehicle::new(drawn.clone(), &[leak(1000.0)]);
    vehicle.volts("M1.feed", &["X1"]);
    vehicle.volts("M1.feed", &["X1", "X2"]);
    vehicle.circuit.rails.clear();
    let told = vehicle.told();
    assert!(
        told.line.starts_with("Nothing on this sketch explains"),
        "{}",
        told.show()
    );
    assert!(
        told.warns(&["log line 2", "more than any source", "draw the rail"]),
        "{}",
        told.show()
    );
}
