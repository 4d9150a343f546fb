//! Slips with the meter: its leads, its jacks, its units, a live circuit. Common practice, no source; volts and ohms are
//! calculated or the simulated vehicle's.

use pinchpoint::{
    circuit::{LoadModel, quick_feed},
    diagnosis::Mistake,
    explain::readings::mistake,
    fault::{FaultKind, Site},
    quantity::units::{ohms, volts},
    reading::{Entry, Kind, Lamp, Seen, Value},
};

use crate::{
    mistakes::{feed, shorted_s3},
    vehicle::{Vehicle, number, off, short},
};

fn ohms_line(vehicle: &mut Vehicle, red: &str, value: Value, unplugged: &[&str]) {
    let reading = vehicle.noted(red, 0.0, unplugged);
    reading.kind = Kind::Ohms;
    reading.value = value;
    reading.state.supply_off = true;
}

/// Ohms on a live circuit: negative or drifting is named, and so is a supply that was noted as on.
#[test]
fn ohms_on_a_live_circuit_are_named() {
    let mut vehicle = Vehicle::new(feed(), &[]);
    ohms_line(&mut vehicle, "C1.1f", Value::Exactly(-35.0), &["C1"]);
    ohms_line(&mut vehicle, "X1.1n", Value::Between(300.0, 900.0), &[]);
    ohms_line(&mut vehicle, "X2.1n", Value::Exactly(1000.0), &[]);
    if let Some(Entry::Reading(reading)) = vehicle.log.last_mut() {
        reading.state.supply_off = false;
    }
    let told = vehicle.told();
    assert!(told.warns(&["log line 1", "negative", "live", "battery disconnected"]));
    assert!(
        told.warns(&["log line 2", "drifted", "live", "battery off"]),
        "{}",
        told.show()
    );
    assert!(told.warns(&["log line 3", "supply on"]), "{}", told.show());
}

/// 1.3 kΩ called a short: healthy loads of 4, 4, 6 and 10 kΩ in parallel are 1 ÷ (0.25 + 0.25 + 0.1667 + 0.1) mS = 1304 Ω
/// (calculated).
#[test]
fn healthy_loads_in_parallel_are_no_short() {
    let mut circuit = quick_feed(volts(5.0), 4, true, false);
    for (load, kilo) in circuit.loads.iter_mut().zip([4.0, 4.0, 6.0, 10.0]) {
        load.model = LoadModel::Resistive {
            resistance: ohms(1e3 * kilo),
        };
    }
    let mut vehicle = Vehicle::new(circuit, &[]);
    let read = number(vehicle.read(Kind::Ohms, "C1.1f", "BN", off(&["C1"])));
    assert!((read - 1304.5).abs() < 1.5, "{read}");
    let told = vehicle.told();
    let should = told.findings.readings[0].healthy.mean;
    assert!((should - 1304.5).abs() < 1.0, "{should}");
    // What was read through is cleared of shorts; what was parted from it is not, and the sentence does not call it so.
    let shorted = told.chance(|site, kind| {
        let short = matches!(kind, FaultKind::ShortToGround | FaultKind::DrawsTooMuch);
        short && site.part != "W1" && site.part != "C1"
    });
    assert!(shorted < 0.02, "{}", told.show());
    vehicle.volts("M1.feed", &[]);
    let told = vehicle.told();
    let behind = told.chance(|_, kind| kind == FaultKind::DrawsTooMuch);
    assert!(behind < 0.01, "{}", told.show());
}

/// Lead resistance ignored: what the leads show when they touch is taken off.
#[test]
fn the_leads_are_taken_off_a_few_ohms() {
    let mut vehicle = Vehicle::new(feed(), &[short(Site::part("W2"), 0.3)]);
    let read = number(vehicle.read(Kind::Ohms, "C1.1f", "BN", off(&["C1"])));
    assert!((0.45..0.65).contains(&read), "{read}");
    let told = vehicle.told();
    let ohm = told.findings.suspects[0].resistance.expect("ohms");
    assert!(ohm.low < 0.3 && ohm.high < 0.5, "{ohm:?} {}", told.show());
}

/// OL read as 0, mV as V, kΩ as Ω: named, with what would fit.
#[test]
fn slips_of_unit_and_over_range_are_named_with_what_they_should_have_been() {
    // OL as 0: nothing joins the parted feed to ground.
    let mut vehicle = Vehicle::new(feed(), &[]);
    ohms_line(&mut vehicle, "M1.feed", Value::Exactly(0.0), &["C1"]);
    let told = vehicle.told();
    assert!(
        told.warns(&["log line 1", "less than the leads alone", "note OL"]),
        "{}",
        told.show()
    );

    let said = |change: &dyn Fn(&mut Vehicle)| {
        let mut vehicle = Vehicle::new(feed(), &[shorted_s3()]);
        vehicle.volts("M1.feed", &[]);
        vehicle.volts("X3.1n", &[]);
        vehicle.volts("M1.feed", &["X3"]);
        vehicle.volts("M1.feed", &["X1"]);
        vehicle.volts("X4.1n", &[]);
        vehicle.volts("X2.1n", &[]);
        change(&mut vehicle);
        let told = vehicle.told();
        let last = told.findings.readings.last().expect("a reading").clone();
        let Some(Entry::Reading(reading)) = vehicle.log.last() else {
            panic!("a reading was logged last");
        };
        let words = mistake(last.entry, reading, &last);
        let json = serde_json::to_string(&last).expect("plain data");
        (last, words.unwrap_or_else(|| told.show()), json)
    };
    // 2.4 V of feed noted as 2400 V is refused as no circuit gives it; 2.4 mV for 2.4 V is a slip.
    let (last, words, json) = said(&|vehicle| {
        let real = vehicle.volts("X1.1n", &[]);
        vehicle.log.pop();
        vehicle.noted("X1.1n", real / 1000.0, &[]);
    });
    assert!(
        matches!(last.mistake, Some(Mistake::UnitSlip { .. })),
        "{last:?} {words}"
    );
    assert!(
        words.contains("it should be about") && words.contains(" V"),
        "{words}"
    );
    assert!(
        json.contains("unit_slip") && json.contains("should_be"),
        "{json}"
    );
    // Another plug was off than was noted.
    let (last, words, json) = said(&|vehicle| {
        let real = vehicle.volts("M1.feed", &["X3"]);
        vehicle.log.pop();
        vehicle.noted("M1.feed", real, &["X4"]);
    });
    assert!(
        matches!(last.mistake, Some(Mistake::PlugState { .. })),
        "{last:?} {words}"
    );
    assert!(words.contains("X3 unplugged?"), "{words}");
    assert!(json.contains("plug_state") && json.contains("X3"), "{json}");
    // The probe did not touch.
    let (last, words, json) = said(&|vehicle| {
        vehicle.noted("M1.feed", 0.0, &["X3"]);
    });
    assert_eq!(last.mistake, Some(Mistake::NoContact), "{words}");
    assert!(
        words.contains("did the probe touch?") && json.contains("no_contact"),
        "{words} {json}"
    );
}

/// kΩ noted as Ω: 1.0 for the 1.0 kΩ of four healthy sensors.
#[test]
fn kilohms_noted_as_ohms_are_named() {
    let mut vehicle = Vehicle::new(feed(), &[]);
    vehicle.volts("M1.feed", &[]);
    vehicle.volts("X3.1n", &[]);
    vehicle.volts("X1.1n", &[]);
    ohms_line(&mut vehicle, "C1.1f", Value::Exactly(1.0), &["C1"]);
    let told = vehicle.told();
    let last = told.findings.readings.last().expect("a reading");
    let slip = matches!(last.mistake, Some(Mistake::UnitSlip { should_be }) if (should_be - 1000.0).abs() < 1.0);
    assert!(slip, "{}", told.show());
}

/// Red lead in the amps jack, where it shorts the feed: asked where the feed is dead with the meter on only.
#[test]
fn a_feed_that_is_dead_for_the_meter_only_asks_for_the_jack() {
    // The module answers, an LED is lit at the same pin, and the meter shows nothing there.
    for (kind, seen) in [
        (Kind::Scan, Seen::Answers),
        (Kind::Lamp(Lamp::Led), Seen::Lit),
    ] {
        let mut vehicle = Vehicle::new(feed(), &[]);
        let reading = vehicle.noted("X1.1n", 0.0, &[]);
        reading.kind = kind;
        reading.value = Value::Seen(seen);
        vehicle.noted("X1.1n", 0.02, &[]);
        let told = vehicle.told();
        assert!(
            told.warns(&[
                "log line 2",
                "works without it (line 1)",
                "amps jack",
                "volts jack"
            ]),
            "{}",
            told.show()
        );
    }
    // Right after a current was read, and the feed was up before.
    let mut vehicle = Vehicle::new(feed(), &[]);
    vehicle.volts("M1.feed", &[]);
    vehicle.read(Kind::Amperes, "M1.feed", "BN", off(&[]));
    vehicle.noted("M1.feed", 0.01, &[]);
    let told = vehicle.told();
    assert!(
        told.warns(&["log line 3", "right after a current", "amps jack"]),
        "{}",
        told.show()
    );
    // A feed that is really down asks for nothing of the kind.
    let mut vehicle = Vehicle::new(feed(), &[short(Site::part("W2"), 0.1)]);
    vehicle.volts("M1.feed", &[]);
    vehicle.read(Kind::Amperes, "M1.feed", "BN", off(&[]));
    vehicle.volts("X1.1n", &[]);
    assert!(!vehicle.told().warns(&["amps jack"]));
}
