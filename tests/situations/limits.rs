//! Situations 15, 18, 19, 20 and 25: supplies that limit, fold back or are low themselves. Calculated from the numbers
//! given, unless a test says otherwise; the sums stand beside the checks.

use pinchpoint::{
    circuit::{Circuit, ConductorSize, LimitMode, LoadModel, quick_feed},
    diagnosis::ModuleVerdict,
    fault::{FaultKind, Site},
    practice::Hidden,
    quantity::units::{metres, milliamperes, ohms, square_millimetres, volts},
    reading::Kind,
};

use crate::vehicle::{Told, Vehicle, number, off, short};

const EVERY: [&str; 4] = ["X1", "X2", "X3", "X4"];

fn constant(limit_ma: f64) -> LimitMode {
    LimitMode::Constant {
        limit: Some(milliamperes(limit_ma)),
    }
}

/// Four sensors on short stout wires behind a module of 5 V and 0.1 Ω, so that volts are those of the sum.
fn four(limit: LimitMode, model: LoadModel) -> Circuit {
    let mut circuit = quick_feed(volts(5.0), 4, true, false);
    for wire in &mut circuit.wires {
        wire.length = Some(metres(0.1));
        wire.size = ConductorSize::SquareMillimetres(square_millimetres(1.0));
    }
    for load in &mut circuit.loads {
        load.model = model;
        load.spread_percent = 3.0;
    }
    let supply = &mut circuit.supplies[0];
    supply.source = Some(ohms(0.1));
    supply.source_factor = 1.3;
    supply.tolerance_percent = 1.0;
    supply.limit = limit;
    supply.limit_factor = 1.05;
    circuit
}

fn draw(ma: f64, knee: f64) -> LoadModel {
    LoadModel::Electronic {
        draw: milliamperes(ma),
        knee: volts(knee),
    }
}

fn resistor(ohm: f64) -> LoadModel {
    LoadModel::Resistive {
        resistance: ohms(ohm),
    }
}

fn near(value: f64, expected: f64) {
    assert!((value - expected).abs() < 0.02, "{value} for {expected}");
}

fn supply(told: &Told) -> f64 {
    told.chance(|site, kind| site.part == "M1" && kind != FaultKind::UndrawnShort)
}

fn shorts(told: &Told) -> f64 {
    told.chance(|_, kind| {
        matches!(
            kind,
            FaultKind::ShortToGround | FaultKind::DrawsTooMuch | FaultKind::UndrawnShort
        )
    })
}

/// Situation 15, teaching text (common practice, no source): the supply is low; unplugging singly clears nothing; still low
/// with the module's connector off indicts the module, and not before.
#[test]
fn situation_15_low_with_the_module_alone_indicts_the_module() {
    let circuit = four(constant(120.0), draw(8.0, 1.0));
    let low = Hidden::new(Site::part("M1"), FaultKind::SupplyLow, 0.6);
    let mut vehicle = Vehicle::new(circuit, &[low]);
    near(vehicle.volts("M1.feed", &[]), 3.0);
    for plug in EVERY {
        vehicle.volts("M1.feed", &[plug]);
    }
    let told = vehicle.told();
    let ModuleVerdict::NotTested { unplug, .. } = &told.findings.modules[0] else {
        panic!("{}", told.show());
    };
    assert_eq!(unplug, &["C1"]);
    let named = format!("{} {}", told.line, told.detail);
    assert!(
        !named.contains("given by M1") || named.contains("not accused before"),
        "{named}"
    );
    assert!(
        told.next.line.starts_with("Unplug C1") && told.next.line.contains("M1 feed pin"),
        "{}",
        told.show()
    );
    near(vehicle.volts("M1.feed", &["C1"]), 3.0);
    let told = vehicle.told();
    assert!(supply(&told) > 0.9, "{}", told.show());
    // Nothing but the module explains it; and it is still not replaced without reading again and loading its powers.
    let ModuleVerdict::Accused {
        before_replacing, ..
    } = &told.findings.modules[0]
    else {
        panic!("{}", told.show());
    };
    assert!(!before_replacing.is_empty(), "{}", told.show());
}

/// Situation 18: a constant limit of 100 mA, 20 Ω, four sensors of 8 mA: (100 − 32) mA × 20 Ω = 1.36 V, 0.16 V more
/// for each healthy one unplugged, 2.00 V with all off. Small rises are no finds.
#[test]
fn situation_18_equal_small_rises_find_nobody() {
    let circuit = four(constant(100.0), draw(8.0, 1.0));
    let fault = short(Site::part("W2"), 20.0);
    let mut vehicle = Vehicle::new(circuit, &[fault]);
    near(vehicle.volts("M1.feed", &[]), 1.36);
    for (count, expected) in [(1, 1.52), (2, 1.68), (3, 1.84), (4, 2.00)] {
        near(vehicle.volts("M1.feed", &EVERY[..count]), expected);
    }
    let told = vehicle.told();
    let sensors = told.chance(|_, kind| kind == FaultKind::DrawsTooMuch);
    assert!(sensors < 0.02, "{}", told.show());
    assert!(shorts(&told) > 0.9, "{}", told.show());
    let ohm = told.findings.suspects[0]
        .resistance
        .expect("a short has ohms");
    assert!(
        ohm.low < 20.0 && 20.0 < ohm.high && ohm.high < 1.3 * ohm.low,
        "{ohm:?}"
    );
    assert!(
        told.steps.iter().filter(|s| s.contains("no find")).count() >= 3,
        "{:?}",
        told.steps
    );
}

/// Situation 19: foldback from 150 to 30 mA, 10 Ω: 30 mA × 10 Ω ÷ (1 − 10 Ω × 120 mA ÷ 5 V) = 0.39 V bare, and with
/// 20 mA of loads (30 − 20) mA × 10 Ω ÷ 0.76 = 0.13 V. With loads of 35 mA it stays down after the short is gone.
#[test]
fn situation_19_a_folding_supply_stays_down_after_its_short_is_gone() {
    let foldback = LimitMode::Foldback {
        limit: Some(milliamperes(150.0)),
        short_circuit: Some(milliamperes(30.0)),
    };
    let circuit = four(foldback, draw(5.0, 0.05));
    let mut vehicle = Vehicle::new(circuit, &[short(Site::part("W2"), 10.0)]);
    near(vehicle.volts("M1.feed", &[]), 0.13);
    near(vehicle.volts("M1.feed", &EVERY), 0.39);
    let told = vehicle.told();
    let sensors = told.chance(|_, kind| kind == FaultKind::DrawsTooMuch);
    assert!(shorts(&told) > 0.8 && sensors < 0.1, "{}", told.show());
    assert!(supply(&told) < 0.2, "{}", told.show());

    let circuit = four(foldback, draw(8.75, 0.05));
    let fault = Hidden::new(Site::part("W2"), FaultKind::ShortToGround, 10.0);
    let mut vehicle = Vehicle::new(circuit, &[fault]);
    let down = vehicle.volts("M1.feed", &[]);
    assert!(vehicle.world.repair(&Site::part("W2")));
    vehicle.log.push(pinchpoint::reading::Entry::Repair(
        pinchpoint::reading::Repair {
            part: "W2".to_owned(),
            replaced: false,
            note: String::new(),
        },
    ));
    let still = vehicle.volts("M1.feed", &[]);
    assert!(down < 0.05 && still < 0.05, "{down} {still}");
    let up = vehicle.volts("M1.feed", &EVERY);
    near(up, 5.0);
    let told = vehicle.told();
    // What holds it down is its own start, which the caution says; neither the module nor a sensor is accused for sure.
    assert!(
        told.cautions
            .iter()
            .any(|c| c.contains("hold it down after the fault is gone")),
        "{:?}",
        told.cautions
    );
    assert!(supply(&told) < 0.5, "{}", told.show());
    assert!(
        told.chance(|_, kind| kind == FaultKind::DrawsTooMuch) < 0.9,
        "{}",
        told.show()
    );
}

/// Situation 20: 10 Ω and 30 Ω under 100 mA: 0.75 V; the first off 3.00, only the second off 1.00, both off 5.00 V.
#[test]
fn situation_20_two_shorts_are_both_named() {
    let circuit = four(constant(100.0), resistor(100e3));
    let hidden = [("S2", 10.0), ("S3", 30.0)]
        .map(|(id, ohm)| Hidden::new(Site::part(id), FaultKind::DrawsTooMuch, ohm));
    let mut vehicle = Vehicle::new(circuit, &hidden);
    near(vehicle.volts("M1.feed", &[]), 0.75);
    near(vehicle.volts("M1.feed", &["X2"]), 3.00);
    near(vehicle.volts("M1.feed", &["X3"]), 1.00);
    near(vehicle.volts("M1.feed", &["X2", "X3"]), 5.00);
    let told = vehicle.told();
    assert!(told.line.starts_with("Two faults"), "{}", told.show());
    assert!(told.of("S2") + told.of("X2") > 0.8, "{}", told.show());
    assert!(told.of("S3") + told.of("X3") > 0.8, "{}", told.show());
}

/// Situation 25: a wet bridge of 400 Ω adds 12.5 mA: the feed stays at 5.00 V; ohms or current see it. Without loads the
/// current is 5 V ÷ 400 Ω.
#[test]
fn situation_25_volts_do_not_clear_a_wet_bridge_and_ohms_show_it() {
    let circuit = four(constant(100.0), draw(8.0, 2.0));
    let fault = short(Site::part("W2"), 400.0);
    let mut vehicle = Vehicle::new(circuit.clone(), std::slice::from_ref(&fault));
    near(vehicle.volts("M1.feed", &[]), 5.0);
    near(vehicle.volts("M1.feed", &["X1"]), 5.0);
    let told = vehicle.told();
    // Volts that are right do not rule a light leak out, and the headline says so.
    assert!(
        told.findings.healthy < 0.99 && shorts(&told) > 1e-3,
        "{}",
        told.show()
    );
    let ohm = number(vehicle.read(
        Kind::Ohms,
        "C1.1f",
        "BN",
        off(&["C1", "X1", "X2", "X3", "X4"]),
    ));
    assert!((ohm - 400.2).abs() < 1.0, "{ohm}");
    let told = vehicle.told();
    let bridge = told.findings.suspects[0].resistance.expect("ohms");
    assert!(shorts(&told) > 0.9, "{}", told.show());
    assert!(bridge.low < 400.0 && 400.0 < bridge.high, "{}", told.show());

    let mut vehicle = Vehicle::new(circuit, &[fault]);
    near(vehicle.volts("M1.feed", &EVERY), 5.0);
    let amps = number(vehicle.read(Kind::Amperes, "M1.feed", "BN", off(&EVERY)));
    assert!((amps - 0.0125).abs() < 1e-4, "{amps}");
    let told = vehicle.told();
    assert!(shorts(&told) > 0.9, "{}", told.show());
}
