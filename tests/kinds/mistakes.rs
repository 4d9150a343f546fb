//! A reading that contradicts the others, and what most likely went wrong. Common practice, no source.

use pinchpoint::{
    diagnosis::Mistake,
    fault::{FaultKind, Site},
    practice::Hidden,
    reading::{Reading, Value},
};

use super::shared::{answer, circuit, log, volts_at, without, world};

/// Readings along a feed that S3 pulls down, one of them changed; what is said of that one.
fn said(change: impl FnOnce(&mut Reading)) -> Option<Mistake> {
    let circuit = circuit(5.0);
    let fault = Hidden::new(Site::part("S3"), FaultKind::DrawsTooMuch, 20.0);
    let mut world = world(&circuit, fault);
    let mut readings = Vec::new();
    for (at, off) in [
        ("M1.feed", &[][..]),
        ("X3.1n", &[]),
        ("X1.1n", &["X1"]),
        ("X1.1n", &["X3"]),
        ("M1.feed", &["X2"]),
        ("X4.1n", &[]),
    ] {
        readings.push(volts_at(&mut world, at, &without(off)));
    }
    // Once more with X3 off, at the module.
    let mut last = volts_at(&mut world, "M1.feed", &without(&["X3"]));
    change(&mut last);
    readings.push(last);
    let findings = answer(&circuit, &log(readings));
    let top = &findings.suspects[0];
    assert_eq!(top.site.part, "S3", "{:?}", findings.suspects);
    findings.readings[6].mistake.clone()
}

#[test]
fn what_went_wrong_is_named() {
    // As it is, nothing contradicts.
    assert_eq!(said(|_| {}), None);
    // 5.0 V noted as 5.0 mV.
    let slip = said(|reading| {
        let Value::Exactly(value) = &mut reading.value else {
            return;
        };
        *value /= 1000.0;
    });
    assert!(
        matches!(slip, Some(Mistake::UnitSlip { should_be }) if (4.9..5.1).contains(&should_be)),
        "{slip:?}"
    );
    // The probe in the air.
    let air = said(|reading| reading.value = Value::Exactly(0.0));
    assert_eq!(air, Some(Mistake::NoContact));
    // X3 was off, and nobody noted it: that state stands elsewhere in the log.
    let plugs = said(|reading| reading.state.unplugged.clear());
    assert_eq!(
        plugs,
        Some(Mistake::PlugState {
            connectors: vec!["X3".to_owned()]
        })
    );
}

/// One connector more than noted was off, a state that stands nowhere in the log.
#[test]
fn a_plug_state_that_stands_nowhere_in_the_log_is_found_too() {
    let circuit = circuit(5.0);
    let fault = Hidden::new(Site::part("S3"), FaultKind::DrawsTooMuch, 20.0);
    let mut world = world(&circuit, fault);
    let mut readings: Vec<Reading> = [
        ("M1.feed", &[][..]),
        ("X3.1n", &[]),
        ("X3.1f", &[]),
        ("X1.1n", &[]),
        ("M1.feed", &["X2"]),
        ("X4.1n", &["X4"]),
    ]
    .iter()
    .map(|(at, off)| volts_at(&mut world, at, &without(off)))
    .collect();
    let mut wrong = volts_at(&mut world, "X2.1n", &without(&["X1", "X3"]));
    wrong.state = without(&["X1"]);
    readings.push(wrong);
    let findings = answer(&circuit, &log(readings));
    assert_eq!(
        findings.readings[6].mistake,
        Some(Mistake::PlugState {
            connectors: vec!["X3".to_owned()]
        })
    );
}
