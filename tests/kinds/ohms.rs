//! Ohms with the supply off: the leads' own, what an ohmmeter does not see through, and what is over its range.

use pinchpoint::{
    circuit::{Circuit, LoadModel, Point},
    diagnosis::Mistake,
    infer::{
        lower::Model,
        predict::{Prediction, Predictor},
    },
    practice::World,
    quantity::units::{milliamperes, ohms, volts},
    reading::{Kind, Meter, Reading, State, Value},
};

use super::shared::{answer, circuit, log, point};

fn read(red: &str, off: &[&str], value: Value) -> Reading {
    Reading {
        kind: Kind::Ohms,
        value,
        state: State {
            supply_off: true,
            unplugged: off.iter().map(|&id| id.to_owned()).collect(),
            ..State::default()
        },
        ..Reading::volts(point(red), 0.0)
    }
}

fn predicted(circuit: &Circuit, meter: &Meter, reading: &Reading) -> f64 {
    let model = Model::new(circuit, meter, &log([reading.clone()]), &[]);
    let mut out = Prediction::default();
    Predictor::new(&model).predict(&[], &[[0.0; 4]], false, &mut out);
    out.value[0]
}

/// Ohms in series add: four sensors of 4 kΩ in parallel are 1 kΩ, and the leads come on top.
#[test]
fn the_leads_count_as_the_meters() {
    let circuit = circuit(5.0);
    let reading = read("C1.1f", &["C1"], Value::Exactly(1000.0));
    let with = |lead: f64| {
        let meter = Meter {
            lead: ohms(lead),
            ..Meter::default()
        };
        predicted(&circuit, &meter, &reading)
    };
    assert!((with(0.0) - 1000.0).abs() < 1.0, "{}", with(0.0));
    assert!((with(0.5) - with(0.0) - 0.5).abs() < 1e-6);
}

/// Common practice, no source: an electronic load blocks at an ohmmeter's small volts.
#[test]
fn a_load_that_blocks_is_not_seen() {
    let mut circuit = circuit(5.0);
    for load in &mut circuit.loads {
        load.model = LoadModel::Electronic {
            draw: milliamperes(5.0),
            knee: volts(4.0),
        };
    }
    let over = read("C1.1f", &["C1"], Value::OverRange { above: None });
    let healthy = |circuit: &Circuit| answer(circuit, &log([over.clone()])).healthy;
    let through = healthy(&circuit);
    for load in &mut circuit.loads {
        load.blocks_ohmmeter = true;
    }
    let blocked = healthy(&circuit);
    assert!(through < 0.3 * blocked, "{through} against {blocked}");
    let mut world = World::exact(&circuit, &[], &Meter::default()).expect("a vehicle");
    let shown = world.measure(
        Kind::Ohms,
        &point("C1.1f"),
        &Point::battery_negative(),
        &over.state,
    );
    assert_eq!(shown, Ok(Value::OverRange { above: None }));
}

/// OL is a lower bound: it fits anything above the range and nothing well below it, and it can be a slip of the probe.
#[test]
fn over_range_is_a_bound_and_may_be_a_slip() {
    let circuit = circuit(5.0);
    let over = |above| read("C1.1f", &["C1"], Value::OverRange { above });
    let chance = |above, real: f64| {
        let model = Model::new(&circuit, &Meter::default(), &log([over(above)]), &[]);
        model.measured[0].log_chance(real, 0.0).exp()
    };
    assert!(chance(Some(6e3), 1e9) > 0.9 && chance(Some(6e3), 7e3) > 0.9);
    assert!(chance(Some(6e3), 1e3) < 0.05);
    assert!(chance(Some(6e3), 1e3) > 0.001, "nothing is impossible");
    // Three readings of about 1 kΩ, and one OL at the same place: the probe did not touch.
    let right = read("C1.1f", &["C1"], Value::Exactly(1000.5));
    let mut readings = vec![right.clone(), right];
    readings.push(read("X1.1n", &["C1"], Value::Exactly(1000.5)));
    readings.push(over(None));
    let findings = answer(&circuit, &log(readings));
    let last = &findings.readings[3];
    assert!(last.mistaken > 0.5, "{last:?}");
    assert_eq!(last.mistake, Some(Mistake::NoContact));
}
