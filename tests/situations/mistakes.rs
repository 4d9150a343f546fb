//! What beginners get wrong, and how each is caught. Common practice, no source; volts and ohms are calculated or the
//! simulated vehicle's.

use pinchpoint::{
    circuit::{Circuit, Point},
    diagnosis::{Gate, Mistake, ModuleVerdict},
    explain::module,
    fault::{FaultKind, Site},
    practice::Hidden,
    reading::{Entry, Kind, Reading, State},
};

use crate::vehicle::{Told, Vehicle, at, number, off, short, with_returns};

/// Four resistive sensors of 4 kΩ behind an inline connector.
pub fn feed() -> Circuit {
    crate::feed::circuit(5.0)
}

pub fn shorted_s3() -> Hidden {
    Hidden::new(Site::part("S3"), FaultKind::DrawsTooMuch, 20.0)
}

fn verdict(told: &Told) -> String {
    module::verdict(&told.findings.modules[0])
}

/// Plug state unrecorded: on, off or unknown is stored, and nothing is eliminated on unknown.
#[test]
fn nothing_is_eliminated_on_a_plug_of_which_nobody_knows() {
    let plugs = ["X1", "X2", "X3", "X4"];
    let mut chances = Vec::new();
    for known in [true, false] {
        let mut vehicle = Vehicle::new(feed(), &[short(Site::part("W2"), 20.0)]);
        let low = vehicle.volts("M1.feed", &[]);
        if known {
            vehicle.volts("M1.feed", &["X3"]);
        } else {
            let state = &mut vehicle.noted("M1.feed", low, &[]).state;
            state.unknown.insert("X3".to_owned());
        }
        let told = vehicle.told();
        chances.push(told.of("S3"));
        assert!(
            plugs
                .iter()
                .all(|plug| told.of(&plug.replace('X', "S")) < 0.5)
        );
    }
    assert!(
        chances[0] < 0.02 && chances[1] > 3.0 * chances[0].max(1e-3),
        "{chances:?}"
    );
}

/// Plugs mated again after each “no change”: two sensors shorted hide behind each other. They are not eliminated, and leaving
/// plugs off is what the next test builds on.
#[test]
fn no_change_one_by_one_does_not_clear_two_faults() {
    let two = ["S2", "S3"].map(|id| Hidden::new(Site::part(id), FaultKind::DrawsTooMuch, 0.5));
    let mut vehicle = Vehicle::new(feed(), &two);
    let down = vehicle.volts("M1.feed", &[]);
    for plug in ["X1", "X2", "X3", "X4"] {
        let still = vehicle.volts("M1.feed", &[plug]);
        assert!(still < 0.5 && down < 0.5, "{still} {down}");
    }
    let told = vehicle.told();
    let both = |told: &Told| -> f64 {
        (told.findings.combinations.iter())
            .filter(|c| c.faults.len() > 1)
            .map(|c| c.probability)
            .sum()
    };
    assert!(
        both(&told) > 1e-3,
        "two at once stays alive: {}",
        told.show()
    );
    // Now cumulative: both off, and the feed is back.
    let up = vehicle.volts("M1.feed", &["X1", "X2", "X3"]);
    assert!(up > 4.9, "{up}");
    let told = vehicle.told();
    assert!(both(&told) > 0.5, "{}", told.show());
    assert!(told.of("S2") + told.of("X2") > 0.5, "{}", told.show());
    assert!(told.of("S3") + told.of("X3") > 0.5, "{}", told.show());
}

/// Recovery delay ignored: the program asks whether the key was cycled and how long was waited, and keeps both readings.
#[test]
fn the_key_and_the_wait_are_asked_for() {
    let mut circuit = feed();
    circuit.supplies[0].latches = true;
    let mut vehicle = Vehicle::new(circuit, &[shorted_s3()]);
    vehicle.volts("M1.feed", &[]);
    let latched = vehicle.volts("M1.feed", &["X3"]);
    assert!(latched < 0.01, "it is latched off: {latched}");
    let told = vehicle.told();
    assert!(
        told.warns(&[
            "log line 2",
            "M1 can latch off",
            "the key was cycled",
            "how long was waited"
        ]),
        "{}",
        told.show()
    );
    let dead = told.chance(|_, kind| kind == FaultKind::SupplyDead);
    assert!(
        told.of("S3") > 0.02,
        "not cleared by a supply that was off: {}",
        told.show()
    );
    assert!(dead < 0.3, "nor is the supply accused: {}", told.show());
    let cycled = State {
        key_cycled: Some(true),
        ..off(&["X3"])
    };
    let up = number(vehicle.read(Kind::Volts, "M1.feed", "BN", cycled));
    assert!(up > 4.9, "{up}");
    let told = vehicle.told();
    assert_eq!(told.findings.readings.len(), 3, "both stay in the log");
    assert!(told.of("S3") + told.of("X3") > 0.5, "{}", told.show());
    // What was read while it was off is not called a slip.
    for line in &told.findings.readings[..2] {
        assert!(
            matches!(&line.mistake, Some(Mistake::LatchedOff { supply }) if supply == "M1"),
            "{}",
            told.show()
        );
    }
}

/// Unloaded 5 V accepted: a resistor is asked for, never a lamp.
#[test]
fn volts_at_an_open_plug_ask_for_a_load() {
    let mut vehicle = Vehicle::new(feed(), &[]);
    vehicle.volts("X1.1n", &["X1"]);
    vehicle.now = off(&["X1"]);
    let told = vehicle.told();
    let series = told.chance(|_, kind| matches!(kind, FaultKind::HighResistance | FaultKind::Open));
    assert!(series > 0.02, "{}", told.show());
    assert!(
        told.cautions
            .iter()
            .any(|c| c.starts_with("No lamp") && c.contains("resistor")),
        "{:?}",
        told.cautions
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
}

/// Black lead on the chassis only: with returns of their own, readings to the ground pin are among the tests.
#[test]
fn readings_to_the_ground_pin_are_asked_for() {
    let mut circuit = with_returns(2);
    circuit.loads[0].signal_fraction = Some(0.5);
    let back = (circuit.wires.iter())
        .find(|w| w.to == at("C1.2n"))
        .expect("a return")
        .id
        .clone();
    let fault = Hidden::new(Site::part(&back), FaultKind::HighResistance, 40.0);
    let mut vehicle = Vehicle::new(circuit, &[fault]);
    let chassis = vehicle.volts("X1.1n", &[]);
    let signal = vehicle.volts("S1.signal", &[]);
    assert!(chassis > 4.9 && signal > 2.7, "{chassis} {signal}");
    let told = vehicle.told();
    assert!(told.of(&back) > 0.02, "{}", told.show());
    let pin = told.proposes(|test| match &test.asked {
        pinchpoint::advise::Asked::Read {
            kind: Kind::Volts,
            red,
            black,
            ..
        } => {
            let on_return = |point: &Point| {
                let text = point.to_string();
                text.ends_with(".2n") || text.ends_with(".2f") || text.ends_with("return")
            };
            on_return(red) || on_return(black)
        }
        _ => false,
    });
    assert!(pin, "{}", told.show());
}

/// Downstream above upstream: back-feed, a bad ground, swapped points or a changed state, said before anything is solved.
#[test]
fn more_volts_downstream_than_upstream_are_named() {
    let mut vehicle = Vehicle::new(feed(), &[]);
    vehicle.noted("C1.1f", 4.61, &[]);
    vehicle.noted("X3.1n", 4.93, &[]);
    let told = vehicle.told();
    assert!(
        told.warns(&[
            "log line 2",
            "X3.1n reads 4.93 V",
            "4.61 V at C1.1f",
            "line 1",
            "swapped",
            "ground"
        ]),
        "{}",
        told.show()
    );
    // Nor is it said of a millivolt trail that falls as it should, nor across plug states.
    let mut vehicle = Vehicle::new(feed(), &[shorted_s3()]);
    for point in ["M1.feed", "C1.1n", "C1.1f", "X3.1n", "X3.1f"] {
        vehicle.volts(point, &[]);
    }
    vehicle.volts("C1.1n", &["X3"]);
    vehicle.volts("X1.1n", &["X3"]);
    assert!(
        !vehicle.told().warns(&["through which it is fed"]),
        "{}",
        vehicle.told().show()
    );
}

/// A new sensor is not good because it is new.
#[test]
fn a_replaced_part_stays_a_suspect() {
    let mut vehicle = Vehicle::new(feed(), &[shorted_s3()]);
    vehicle.volts("M1.feed", &[]);
    vehicle.volts("M1.feed", &["X3"]);
    vehicle.replaced("S3");
    vehicle.volts("M1.feed", &[]);
    let told = vehicle.told();
    let new = told.chance(|site, kind| site.part == "S3" && kind == FaultKind::DrawsTooMuch);
    assert!(new > 0.02, "{}", told.show());
    // Unplugged again, the feed is up again: sensor or plug, new or not.
    vehicle.volts("M1.feed", &["X3"]);
    let told = vehicle.told();
    assert!(told.of("S3") + told.of("X3") > 0.5, "{}", told.show());
}

/// “Bad module”: gated by membership, the harness off, the pin read alone after a key cycle, repeated, and its powers and
/// grounds loaded.
#[test]
fn a_module_is_accused_through_the_gate_only() {
    let mut circuit = feed();
    // The wire to C1 is short and goes off with the module's own connector: C1 sits at the module.
    circuit.wires.retain(|wire| wire.id != "W1");
    for wire in &mut circuit.wires {
        if wire.from == at("C1.1f") {
            wire.from = at("C1.1f");
        }
    }
    circuit.supplies[0].latches = true;
    let connector = circuit
        .connectors
        .iter()
        .position(|c| c.id == "C1")
        .expect("C1");
    circuit.connectors.remove(connector);
    for wire in &mut circuit.wires {
        if wire.from == at("C1.1f") {
            wire.from = at("M1.feed");
        }
    }
    // Without a connector at the module its pin is never alone.
    let mut vehicle = Vehicle::new(circuit, &[]);
    vehicle
        .noted("M1.feed", 0.0, &["X1", "X2", "X3", "X4"])
        .state
        .key_cycled = Some(true);
    let told = vehicle.told();
    assert!(
        matches!(told.findings.modules[0], ModuleVerdict::NotTested { .. }),
        "{}",
        told.show()
    );

    // With a pin that nothing drawn hangs on: harness off, key not noted, then cycled, then once more.
    let mut alone = feed();
    alone.supplies[0].latches = true;
    alone.supplies[0].feed_pins = 1;
    let first = alone
        .wires
        .iter()
        .position(|w| w.from == at("M1.feed"))
        .expect("W1");
    alone.wires.remove(first);
    let mut vehicle = Vehicle::new(alone.clone(), &[]);
    vehicle.noted("M1.feed", 0.0, &[]);
    assert!(matches!(
        vehicle.told().findings.modules[0],
        ModuleVerdict::NotTested { .. }
    ));
    vehicle.noted("M1.feed", 0.0, &[]).state.key_cycled = Some(true);
    let told = vehicle.told();
    let ModuleVerdict::Accused {
        before_replacing, ..
    } = &told.findings.modules[0]
    else {
        panic!("{}", told.show());
    };
    let all = [
        Gate::ReadAgain,
        Gate::ProveMeter,
        Gate::LoadPowersAndGrounds,
    ];
    assert_eq!(before_replacing, &all);
    let words = verdict(&told);
    for word in [
        "Before it is replaced",
        "once more",
        "on the battery",
        "powers and grounds",
    ] {
        assert!(words.contains(word), "{words}");
    }
    vehicle.noted("M1.feed", 0.0, &[]).state.key_cycled = Some(true);
    let told = vehicle.told();
    let ModuleVerdict::Accused {
        before_replacing, ..
    } = &told.findings.modules[0]
    else {
        panic!("{}", told.show());
    };
    assert!(!before_replacing.contains(&Gate::ReadAgain));

    // Members that nobody has drawn: not alone, and said so.
    alone.supplies[0].more_members = true;
    vehicle.circuit = alone;
    let told = vehicle.told();
    assert!(
        matches!(
            told.findings.modules[0],
            ModuleVerdict::NotTested { members: true, .. }
        ),
        "{}",
        told.show()
    );
    assert!(
        verdict(&told).contains("members that are not drawn"),
        "{}",
        verdict(&told)
    );
}

/// Bad input of the same kind: never a panic, a wrong answer or no end, but a named problem.
#[test]
fn impossible_readings_are_named_and_do_not_decide() {
    let mut vehicle = Vehicle::new(feed(), &[shorted_s3()]);
    vehicle.volts("M1.feed", &[]);
    vehicle.volts("M1.feed", &["X3"]);
    let before = vehicle.told();
    vehicle.noted("X1.1n", 48.0, &[]);
    let told = vehicle.told();
    assert!(
        told.warns(&["log line 3", "more than any source"]),
        "{}",
        told.show()
    );
    assert!(
        (told.of("S3") - before.of("S3")).abs() < 0.25,
        "{}{}",
        before.show(),
        told.show()
    );
    assert!(
        told.findings
            .suspects
            .iter()
            .all(|s| s.probability < 1.0 && s.probability > 0.0)
    );
}

/// A long log of the same reading is answered, and no more surely than one of them for what they share.
#[test]
fn a_very_long_log_is_answered() {
    let mut vehicle = Vehicle::new(feed(), &[shorted_s3()]);
    let down = vehicle.volts("M1.feed", &[]);
    let entry: Reading = match &vehicle.log[0] {
        Entry::Reading(reading) => reading.clone(),
        Entry::Repair(_) | Entry::Inspection(_) => unreachable!("a reading was logged"),
    };
    assert!(down < 3.0);
    for _ in 0..150 {
        vehicle.log.push(Entry::Reading(entry.clone()));
    }
    let told = vehicle.told();
    assert_eq!(told.findings.readings.len(), 151);
    assert!(told.findings.healthy < 0.01, "{}", told.show());
}

/// A line that names what is not drawn, or a connector both ways, says so: nothing is dropped in silence.
#[test]
fn what_a_line_names_and_the_sketch_lacks_is_said_not_to_count() {
    let mut vehicle = Vehicle::new(feed(), &[shorted_s3()]);
    vehicle.volts("M1.feed", &[]);
    vehicle.noted("M1.feed", 2.38, &["X9"]);
    let both = &mut vehicle.noted("M1.feed", 2.38, &["X1"]).state;
    both.unknown.insert("X1".to_owned());
    let told = vehicle.told();
    assert!(
        told.warns(&["log line 2", "X9 is not on the sketch", "not counted"]),
        "{}",
        told.show()
    );
    assert!(
        told.warns(&["log line 3", "X1 is noted as unplugged and as not known"]),
        "{}",
        told.show()
    );
}
