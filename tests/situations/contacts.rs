//! Situations 21, 22 and 24: joints and grounds that show under load only. Calculated; the sums stand beside the checks.

use pinchpoint::{
    advise::Move,
    circuit::{Circuit, LimitMode, LoadModel, quick_feed},
    fault::{FaultKind, Site},
    practice::Hidden,
    quantity::units::{metres, milliamperes, ohms, volts},
    reading::{Kind, Lamp},
};

use crate::vehicle::{Vehicle, clipped, number, off};

fn firm(mut circuit: Circuit) -> Circuit {
    for wire in &mut circuit.wires {
        wire.length = Some(metres(0.2));
    }
    let supply = &mut circuit.supplies[0];
    supply.source = Some(ohms(0.05));
    supply.tolerance_percent = 0.5;
    supply.limit = LimitMode::None;
    circuit
}

/// Situation 21: 60 Ω in an inline contact: 5.00 V − 10 mA × 60 Ω = 4.40 V beyond it, 3.56 V at 24 mA, 5.00 V unplugged.
#[test]
fn situation_21_an_inline_contact_loses_volts_with_the_current() {
    let mut circuit = firm(quick_feed(volts(5.0), 2, true, false));
    for (load, ma) in circuit.loads.iter_mut().zip([10.0, 14.0]) {
        load.model = LoadModel::Electronic {
            draw: milliamperes(ma),
            knee: volts(1.0),
        };
        load.spread_percent = 3.0;
    }
    let joint = Hidden::new(Site::pin("C1", 1), FaultKind::HighResistance, 60.0);
    let mut vehicle = Vehicle::new(circuit, &[joint]);
    for (unplugged, expected) in [(&["X1", "X2"][..], 5.0), (&["X2"], 4.40), (&[], 3.56)] {
        let read = vehicle.volts("C1.1f", unplugged);
        assert!((read - expected).abs() < 0.01, "{read} for {expected}");
    }
    let upstream = vehicle.volts("C1.1n", &[]);
    assert!((upstream - 5.0).abs() < 0.01, "{upstream}");
    let told = vehicle.told();
    let pin =
        told.chance(|site, kind| *site == Site::pin("C1", 1) && kind == FaultKind::HighResistance);
    assert!(pin > 0.9, "{}", told.show());
    let ohm = told.findings.suspects[0].resistance.expect("ohms");
    assert!(ohm.low < 60.0 && 60.0 < ohm.high, "{ohm:?}");
}

/// Situation 22: the last strand, 10 kΩ: 5 V × 10 MΩ ÷ 10.01 MΩ = 4.995 V at the open plug; with 1 kΩ on it 5 V × 1 ÷ 11 =
/// 0.45 V. The unloaded reading is not taken for proof: a known load is asked for, never a lamp.
#[test]
fn situation_22_a_ghost_voltage_is_loaded_with_a_resistor() {
    let circuit = firm(quick_feed(volts(5.0), 2, true, false));
    let branch = circuit
        .wires
        .iter()
        .find(|w| w.to.part == "X1")
        .expect("a branch");
    let strand = Hidden::new(Site::part(&branch.id), FaultKind::HighResistance, 10e3);
    let branch = branch.id.clone();
    let mut vehicle = Vehicle::new(circuit, &[strand]);
    let ghost = vehicle.volts("X1.1n", &["X1"]);
    assert!((ghost - 4.995).abs() < 0.002, "{ghost}");
    vehicle.now = off(&["X1"]);
    let told = vehicle.told();
    assert!(
        told.of(&branch) > 1e-3,
        "the branch is not cleared: {}",
        told.show()
    );
    let lamp = told.proposes(|test| {
        matches!(
            &test.asked,
            pinchpoint::advise::Asked::Read {
                kind: Kind::Lamp(_),
                ..
            }
        )
    });
    assert!(!lamp, "{}", told.show());
    let loads = told.proposes(|test| {
        test.moves
            .iter()
            .any(|step| matches!(step, Move::ClipOn(load) if load.from.part == "X1"))
            || test.moves.contains(&Move::Plug("X1".to_owned()))
    });
    assert!(loads, "{}", told.show());
    assert!(
        told.cautions
            .iter()
            .any(|c| c.contains("load it with a resistor")),
        "{:?}",
        told.cautions
    );
    let mut loaded = off(&["X1"]);
    loaded.attached.push(clipped("X1.1n", 1000.0));
    let read = number(vehicle.read(Kind::Volts, "X1.1n", "BN", loaded));
    assert!((read - 0.4545).abs() < 0.001, "{read}");
    // The same load before the branch, and the other branch: both hold their volts.
    let mut before = off(&["X1"]);
    before.attached.push(clipped("C1.1f", 1000.0));
    vehicle.read(Kind::Volts, "C1.1f", "BN", before);
    vehicle.volts("X2.1f", &["X1"]);
    let told = vehicle.told();
    let series = told.chance(|site, kind| site.part == branch && kind == FaultKind::HighResistance);
    assert!(
        series > 0.4 && told.findings.healthy < series,
        "{}",
        told.show()
    );
    assert_eq!(
        told.findings.suspects[0].site.part,
        branch,
        "{}",
        told.show()
    );
    // An LED of a few milliamperes is dark behind that strand, and a bulb would prove nothing on a reference.
    let led = vehicle.read(Kind::Lamp(Lamp::Led), "X1.1n", "BN", off(&["X1"]));
    assert_eq!(
        led,
        pinchpoint::reading::Value::Seen(pinchpoint::reading::Seen::Dark)
    );
}

/// Situation 24: 20 Ω in a ground that 40 mA share: 0.80 V of offset; the feed is 5.00 V to the chassis and 4.20 V to the
/// ground pin; a signal of a tenth of the feed reads 0.80 + 0.42 = 1.22 V.
#[test]
fn situation_24_the_black_lead_on_the_ground_pin_tells_a_bad_ground() {
    let mut circuit = firm(quick_feed(volts(5.0), 2, false, true));
    for load in &mut circuit.loads {
        load.model = LoadModel::Electronic {
            draw: milliamperes(20.0),
            knee: volts(1.0),
        };
        load.spread_percent = 3.0;
    }
    circuit.loads[0].signal_fraction = Some(0.1);
    // The module's own return stays where it is; both sensors share one wire back.
    let shared = circuit
        .wires
        .iter()
        .find(|w| w.from.part == "M1" && w.to.part == "SP2");
    let shared = shared.expect("a shared return").id.clone();
    let fault = Hidden::new(Site::part(&shared), FaultKind::HighResistance, 20.0);
    let mut vehicle = Vehicle::new(circuit, &[fault]);
    let chassis = vehicle.volts("X1.1n", &[]);
    assert!((chassis - 5.0).abs() < 0.02, "{chassis}");
    let signal = vehicle.volts("S1.signal", &[]);
    assert!((signal - 1.22).abs() < 0.02, "{signal}");
    let told = vehicle.told();
    // Right to the chassis does not clear the ground: the pin itself is asked for.
    let to_the_pin = told.proposes(|test| {
        matches!(&test.asked, pinchpoint::advise::Asked::Read { kind: Kind::Volts, red, black }
            if [red, black].iter().any(|p| p.part == "SP2" || p.to_string().contains(".2")
                || p.to_string().contains("return")))
    });
    assert!(to_the_pin, "{}", told.show());
    let pin = number(vehicle.read(Kind::Volts, "X1.1n", "X1.2n", off(&[])));
    assert!((pin - 4.20).abs() < 0.02, "{pin}");
    let told = vehicle.told();
    // 20 Ω for both or 40 Ω for one: that is not settled yet, and said so.
    assert!(
        told.of(&shared) < 0.9 && told.line.starts_with("Not sure yet"),
        "{}",
        told.show()
    );
    assert!(told.of("M1") < 0.05, "{}", told.show());
    let other = vehicle.volts("X2.2n", &[]);
    assert!((other - 0.80).abs() < 0.01, "{other}");
    let told = vehicle.told();
    assert!(told.of(&shared) > 0.9, "{}", told.show());
}
