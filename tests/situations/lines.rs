//! Situations 16 and 17: data lines, as far as ohms and idle volts go. What a bus says is out of scope; that two lines
//! touch, or that one has a bad joint, is not. Reported cases whose ending is unproven; volts and ohms are calculated.

use pinchpoint::{
    circuit::{Circuit, LimitMode, Load, LoadModel, stock},
    fault::{FaultKind, Site},
    practice::Hidden,
    quantity::units::{metres, ohms, volts},
    reading::Kind,
};

use crate::vehicle::{Vehicle, at, clipped, number, off};

fn wire(circuit: &mut Circuit, id: &str, from: &str, to: &str, length: f64) {
    let mut wire = stock::wire(id, at(from), at(to));
    wire.length = Some(metres(length));
    circuit.wires.push(wire);
}

fn node(id: &str, feed: &str, back: &str, ohm: f64) -> Load {
    Load {
        model: LoadModel::Resistive {
            resistance: ohms(ohm),
        },
        ..stock::sensor(id, at(feed), at(back), volts(5.0))
    }
}

/// A pair of lines, idle at 2.6 and 2.4 V behind 30 Ω each, with two ends of 120 Ω (60 Ω together: 11898-2, as the
/// workshop checks it) at X2 and X3.
fn pair() -> Circuit {
    let mut circuit = Circuit::default();
    for (module, ground, idle) in [("M1", "G1", 2.6), ("M2", "G2", 2.4)] {
        let mut supply = stock::supply(module, volts(idle));
        supply.source = Some(ohms(30.0));
        supply.limit = LimitMode::None;
        circuit.supplies.push(supply);
        circuit
            .grounds
            .push(stock::ground(ground, at(&format!("{module}.return"))));
    }
    for plug in ["X1", "X2", "X3"] {
        circuit.connectors.push(stock::plug(plug, 2));
    }
    for splice in ["SP1", "SP2"] {
        circuit.splices.push(stock::splice(splice));
    }
    for (high, low, from, to, length) in [
        ("W1", "W2", ["M1.feed", "M2.feed"], ["X1.1n", "X1.2n"], 0.3),
        ("W3", "W4", ["X1.1f", "X1.2f"], ["SP1", "SP2"], 2.0),
        ("W5", "W6", ["SP1", "SP2"], ["X2.1n", "X2.2n"], 1.0),
        ("W7", "W8", ["SP1", "SP2"], ["X3.1n", "X3.2n"], 3.0),
    ] {
        wire(&mut circuit, high, from[0], to[0], length);
        wire(&mut circuit, low, from[1], to[1], length);
    }
    circuit.loads.push(node("S2", "X2.1f", "X2.2f", 120.0));
    circuit.loads.push(node("S3", "X3.1f", "X3.2f", 120.0));
    circuit
}

/// Situation 16: both lines at one voltage, about 0 Ω between them (normal 60); every module unplugged, still shorted:
/// the harness.
#[test]
fn situation_16_two_lines_that_touch_with_every_module_off_are_the_harness() {
    let healthy = Vehicle::new(pair(), &[]).read(Kind::Ohms, "X1.1f", "X1.2f", off(&["X1"]));
    assert!((number(healthy) - 60.2).abs() < 0.3, "{healthy:?}");
    let site = Site {
        with: Some("W8".to_owned()),
        ..Site::part("W7")
    };
    let mut vehicle = Vehicle::new(pair(), &[Hidden::new(site, FaultKind::ShortBetween, 0.4)]);
    let high = vehicle.volts("X1.1n", &[]);
    let low = vehicle.volts("X1.2n", &[]);
    assert!((high - low).abs() < 0.01, "{high} {low}");
    for unplugged in [&["X1"][..], &["X1", "X2"], &["X1", "X2", "X3"]] {
        let ohm = number(vehicle.read(Kind::Ohms, "X1.1f", "X1.2f", off(unplugged)));
        assert!(ohm < 1.0, "{ohm}");
    }
    let told = vehicle.told();
    let between = told.chance(|_, kind| kind == FaultKind::ShortBetween);
    assert!(between > 0.8, "{}", told.show());
    for module in ["S2", "S3", "M1", "M2"] {
        assert!(told.of(module) < 0.05, "{module}: {}", told.show());
    }
    // The lines from the modules to X1 were off too.
    let first = told.chance(|site, kind| kind == FaultKind::ShortBetween && site.part == "W1");
    assert!(first < 0.05, "{}", told.show());
}

/// Situation 17: a single line that is good until the module is plugged in; one person's hand (about 1 MΩ) drags it down. The
/// line feeds through a high resistance; the module is not the fault. 12 V × 909 kΩ ÷ (909 kΩ + 1.001 MΩ) = 5.7 V.
#[test]
fn situation_17_a_hand_that_drags_a_line_down_tells_a_bad_joint() {
    let mut circuit = Circuit::default();
    let mut supply = stock::supply("M1", volts(12.0));
    supply.source = Some(ohms(1000.0));
    supply.limit = LimitMode::None;
    circuit.supplies.push(supply);
    circuit.grounds.push(stock::ground("G1", at("M1.return")));
    circuit.splices.push(stock::splice("SP1"));
    circuit.connectors.push(stock::connector("C1", 1));
    circuit.connectors.push(stock::plug("X1", 1));
    circuit.connectors.push(stock::plug("X2", 1));
    wire(&mut circuit, "W1", "M1.feed", "SP1", 1.0);
    wire(&mut circuit, "W2", "SP1", "X1.1n", 1.0);
    wire(&mut circuit, "W3", "SP1", "C1.1n", 1.0);
    wire(&mut circuit, "W4", "C1.1f", "X2.1n", 3.0);
    circuit.loads.push(node("S1", "X1.1f", "BN", 30e3));
    circuit.loads.push(node("S2", "X2.1f", "BN", 30e3));
    let joint = Hidden::new(Site::pin("C1", 1), FaultKind::HighResistance, 1e6);
    let mut vehicle = Vehicle::new(circuit, &[joint]);
    let open_plug = vehicle.volts("X2.1n", &["X2"]);
    assert!(open_plug > 10.0, "{open_plug}");
    let plugged = vehicle.volts("X2.1n", &[]);
    assert!(plugged < 0.5, "{plugged}");
    let elsewhere = vehicle.volts("X1.1n", &[]);
    assert!(elsewhere > 11.0, "{elsewhere}");
    let mut touched = off(&["X2"]);
    touched.attached.push(clipped("X2.1n", 1e6));
    let hand = number(vehicle.read(Kind::Volts, "X2.1n", "BN", touched));
    assert!((hand - 5.6).abs() < 0.2, "{hand}");
    let told = vehicle.told();
    let series = told.chance(|site, kind| {
        matches!(kind, FaultKind::HighResistance | FaultKind::Open)
            && ["C1", "W3", "W4"].contains(&site.part.as_str())
    });
    assert!(series > 0.9, "{}", told.show());
    assert!(told.of("S2") + told.of("M1") < 0.02, "{}", told.show());
}
