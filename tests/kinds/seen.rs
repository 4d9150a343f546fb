//! Lamps that are lit, dim or dark, and modules that answer or are silent. Thresholds are judgement, in
//! `assets/signs.ron`.

use pinchpoint::{
    circuit::Circuit,
    fault::{FaultKind, Site},
    infer::lower::{Model, Told},
    practice::{Hidden, World},
    reading::{Kind, Lamp, Meter, Reading, SIGNS, Seen, State, Value},
};

use super::shared::{answer, chance, circuit, log, point, world};

const LED: Kind = Kind::Lamp(Lamp::Led);

fn watched(world: &mut World, kind: Kind, red: &str, black: &str) -> Reading {
    let (red, black) = (point(red), point(black));
    let value = world.measure(kind, &red, &black, &State::default());
    Reading {
        kind,
        black,
        value: value.expect("something is seen"),
        ..Reading::volts(red, 0.0)
    }
}

fn seen(reading: &Reading) -> Seen {
    match reading.value {
        Value::Seen(seen) => seen,
        other => panic!("{other:?}"),
    }
}

/// Common practice, no source: lit before the break and dark behind it.
#[test]
fn an_led_walks_up_to_an_open() {
    let circuit = circuit(5.0);
    let fault = Hidden::new(Site::part("W4"), FaultKind::Open, 1.0);
    let mut world = world(&circuit, fault);
    let readings: Vec<Reading> = ["M1.feed", "X1.1n", "X2.1n", "X3.1n"]
        .iter()
        .map(|at| watched(&mut world, LED, at, "BN"))
        .collect();
    let glows: Vec<Seen> = readings.iter().map(seen).collect();
    assert_eq!(glows, [Seen::Lit, Seen::Lit, Seen::Dark, Seen::Lit]);
    let findings = answer(&circuit, &log(readings));
    let open = chance(&findings, |site, kind| {
        site.part == "W4" && kind == FaultKind::Open
    });
    assert!(open > 0.4, "{:?}", findings.suspects);
    let top = &findings.suspects[0];
    assert_eq!((top.site.part.as_str(), top.kind), ("W4", FaultKind::Open));
    assert!(findings.suspects.iter().all(|s| s.probability < 1.0));
}

/// A bulb on a 5 V reference pulls it down itself: what it shows there is no fault of the harness.
#[test]
fn a_bulb_is_a_load_while_it_is_watched() {
    let circuit = circuit(5.0);
    let mut world = World::exact(&circuit, &[], &Meter::default()).expect("a vehicle");
    let bulb = watched(&mut world, Kind::Lamp(Lamp::Filament), "M1.feed", "BN");
    assert_eq!(seen(&bulb), Seen::Dim);
    let findings = answer(&circuit, &log([bulb.clone()]));
    // 120 mA through 14 Ω.
    let there = findings.readings[0].healthy.mean;
    assert!((there - 1.68).abs() < 0.05, "{there}");
    // The LED is light enough, and the same dimness would be a fault.
    let led = Reading { kind: LED, ..bulb };
    let dimmer = answer(&circuit, &log([led]));
    assert!(dimmer.readings[0].healthy.mean > 4.5);
    assert!(dimmer.healthy < findings.healthy);
}

#[test]
fn a_silent_module_speaks_of_its_feed_and_not_for_certain() {
    let circuit = circuit(5.0);
    let fault = Hidden::new(Site::part("W5"), FaultKind::Open, 1.0);
    let mut world = world(&circuit, fault);
    let scan = |world: &mut World, n: usize| watched(world, Kind::Scan, &format!("X{n}.1f"), "BN");
    let readings: Vec<Reading> = (1..=4).map(|n| scan(&mut world, n)).collect();
    let heard: Vec<Seen> = readings.iter().map(seen).collect();
    assert_eq!(
        heard,
        [Seen::Answers, Seen::Answers, Seen::Silent, Seen::Answers]
    );
    let findings = answer(&circuit, &log(readings));
    let to_s3 = chance(&findings, |site, _| {
        ["W5", "X3", "S3"].contains(&site.part.as_str())
    });
    // What else silences a module leaves “nothing is wrong here” in the running.
    assert!(to_s3 > 0.2, "{:?}", findings.suspects);
    assert!(findings.healthy > 0.01, "{}", findings.healthy);
    let doubted = findings.readings[2].mistaken;
    assert!((0.01..0.9).contains(&doubted), "{doubted}");
}

/// Chances of all that can be seen add up to one, whatever the volts, for lamps and without the doubt.
#[test]
fn what_can_be_seen_adds_up() {
    let circuit: Circuit = circuit(12.0);
    for lamp in [Lamp::Filament, Lamp::Led] {
        let kind = Kind::Lamp(lamp);
        let of = |seen: Seen| Reading {
            kind,
            value: Value::Seen(seen),
            ..Reading::volts(point("M1.feed"), 0.0)
        };
        let readings = kind.seen().iter().map(|&seen| of(seen));
        let model = Model::new(&circuit, &Meter::default(), &log(readings), &[]);
        assert_eq!(model.measured.len(), 3, "{:?}", model.unusable);
        for volts in [0.0, 1.0, 1.6, 2.5, 4.0, 8.0, 12.0] {
            let total: f64 = model
                .measured
                .iter()
                .map(|m| m.log_chance(volts, 0.01).exp())
                .sum();
            assert!((total - 1.0).abs() < 0.02, "{lamp:?} at {volts} V: {total}");
        }
    }
}

#[test]
fn what_cannot_be_seen_there_is_not_used_and_named() {
    let circuit = circuit(5.0);
    let of = |kind, value| Reading {
        kind,
        value,
        ..Reading::volts(point("X1.1f"), 0.0)
    };
    for (kind, value, word) in [
        (LED, Value::Exactly(3.0), "lit or dim or dark"),
        (LED, Value::Seen(Seen::Silent), "silent"),
        (Kind::Scan, Value::Seen(Seen::Lit), "lit"),
        (
            Kind::Scan,
            Value::OverRange { above: None },
            "answers or silent",
        ),
        (Kind::Volts, Value::Seen(Seen::Lit), "a number"),
    ] {
        let model = Model::new(&circuit, &Meter::default(), &log([of(kind, value)]), &[]);
        let (_, why) = model.unusable.first().expect("it is named");
        assert!(why.contains(word), "{why}");
    }
    let silent = of(Kind::Scan, Value::Seen(Seen::Silent));
    let model = Model::new(&circuit, &Meter::default(), &log([silent]), &[]);
    let Told::Within {
        high: Some((at, sd)),
        doubt,
        ..
    } = model.measured[0].told
    else {
        panic!("{:?}", model.measured[0].told);
    };
    let scan = &SIGNS.scan;
    assert_eq!(
        (at, sd, doubt),
        (
            5.0 * scan.works_from.0,
            5.0 * scan.works_from.1,
            scan.silent_doubt
        )
    );
}
