//! Current in series and by clamp, anywhere: what is read depends on which side of a short the meter sits.

use pinchpoint::{
    circuit::{Circuit, LimitMode, Point},
    fault::{FaultKind, Site},
    infer::{
        candidate::candidates,
        lower::Model,
        predict::{Prediction, Predictor},
        solve::{Deviations, Fault},
    },
    practice::Hidden,
    quantity::units::as_ohms,
    reading::{Clamp, Entry, Kind, Meter, Reading, State},
};

use super::shared::{answer, chance, circuit, log, point, volts_at, without, world};

const OHMS: f64 = 3.0;
const AT: f64 = 0.3;

/// A reading of current at both ends of every wire, in both directions.
fn everywhere(circuit: &Circuit) -> Vec<Reading> {
    let mut readings = Vec::new();
    for wire in &circuit.wires {
        for (red, black) in [(&wire.from, &wire.to), (&wire.to, &wire.from)] {
            readings.push(Reading {
                kind: Kind::Amperes,
                black: black.clone(),
                ..Reading::volts(red.clone(), 0.1)
            });
        }
    }
    readings
}

/// What the engine predicts for a log with a short on a wire.
fn predicted(model: &Model, circuit: &Circuit, wire: &str, log_ohm: f64, lean: bool) -> Prediction {
    let list = candidates(circuit, model);
    let candidate = list
        .iter()
        .find(|c| c.site == Site::part(wire) && c.kind == FaultKind::ShortToGround)
        .expect("a short on the wire");
    let fault = Fault {
        effect: candidate.at(model, AT),
        ..candidate.fault(log_ohm)
    };
    let idle: Vec<Deviations> = vec![[0.0; 4]; model.sources.len()];
    let mut out = Prediction::default();
    Predictor::new(model).predict(&[fault], &idle, lean, &mut out);
    out
}

/// The simulated vehicle lays every state out and solves it whole, the short having a node of its own.
#[test]
fn the_current_at_each_end_of_each_wire_is_that_of_a_full_solution() {
    let circuit = circuit(5.0);
    let readings = everywhere(&circuit);
    let model = Model::new(&circuit, &Meter::default(), &log(readings.clone()), &[]);
    assert_eq!(model.unusable, []);
    for wire in ["W1", "W2", "W4"] {
        let fault = Hidden::new(Site::part(wire), FaultKind::ShortToGround, OHMS).at(AT);
        let mut world = world(&circuit, fault);
        let out = predicted(&model, &circuit, wire, OHMS.ln(), false);
        let mut ends = Vec::new();
        for (reading, &value) in readings.iter().zip(&out.value) {
            let real = world
                .value(
                    Kind::Amperes,
                    &reading.red,
                    &reading.black,
                    &State::default(),
                )
                .expect("a current");
            let scale = real.abs().max(1e-3);
            assert!(
                (value - real).abs() < 1e-5 * scale,
                "short on {wire}, at {} towards {}: {value} for {real}",
                reading.red,
                reading.black
            );
            if circuit
                .wires
                .iter()
                .any(|w| w.id == wire && w.from == reading.red && w.to == reading.black)
                || circuit
                    .wires
                    .iter()
                    .any(|w| w.id == wire && w.to == reading.red && w.from == reading.black)
            {
                ends.push(real);
            }
        }
        // Current law: what enters the shorted wire at both ends is what the short takes; elsewhere the two cancel.
        assert_eq!(ends.len(), 2);
        assert!(ends[0] + ends[1] > 0.05, "{wire}: {ends:?}");
    }
}

/// Sensitivities against differences of two predictions.
#[test]
fn currents_lean_on_the_short_and_on_the_wire_as_differences_say() {
    const H: f64 = 1e-5;
    let mut circuit = circuit(5.0);
    // Without a limit the current depends on every ohm of its way.
    circuit.supplies[0].limit = LimitMode::None;
    let entries = log(everywhere(&circuit));
    let model = Model::new(&circuit, &Meter::default(), &entries, &[]);
    let total = model.measured.len();
    let at = |log_ohm: f64| predicted(&model, &circuit, "W2", log_ohm, false).value;
    let exact = predicted(&model, &circuit, "W2", OHMS.ln(), true);
    let (above, below) = (at(OHMS.ln() + H), at(OHMS.ln() - H));
    for m in 0..total {
        let difference = (above[m] - below[m]) / (2.0 * H);
        assert!(
            (exact.by_size[m] - difference).abs() < 1e-6 + 1e-4 * difference.abs(),
            "size, reading {m}: {} for {difference}",
            exact.by_size[m]
        );
    }
    // The ohms of the shorted wire itself, its place in the net and its share in the reading together.
    let predictor = Predictor::new(&model);
    let wire = circuit.wires.iter().position(|w| w.id == "W2").expect("W2");
    let element = model
        .elements
        .iter()
        .position(|e| e.role == pinchpoint::infer::lower::Role::Wire(wire))
        .expect("its element");
    let Some(share) = predictor
        .shares(&exact)
        .into_iter()
        .find(|s| s.element == element)
    else {
        panic!("the wire's own spread is not seen in any reading");
    };
    let moved = |h: f64| {
        let mut other = model.clone();
        let factor = (h * other.elements[element].spread).exp();
        other.elements[element].siemens *= factor;
        for stand in &mut other.stands {
            stand.siemens[element] *= factor;
        }
        // The short stays where it is on the model as drawn.
        let list = candidates(&circuit, &model);
        let candidate = list
            .iter()
            .find(|c| c.site == Site::part("W2") && c.kind == FaultKind::ShortToGround)
            .expect("a short");
        let fault = Fault {
            effect: candidate.at(&model, AT),
            ..candidate.fault(OHMS.ln())
        };
        let mut out = Prediction::default();
        Predictor::new(&other).predict(&[fault], &[[0.0; 4]], false, &mut out);
        out.value
    };
    let (above, below) = (moved(1e-4), moved(-1e-4));
    for m in 0..total {
        let difference = (above[m] - below[m]) / 2e-4;
        let lean = exact.leans(m)[share.row] * share.share;
        assert!(
            (lean - difference).abs() < 1e-7 + 1e-3 * difference.abs(),
            "ohms of the wire, reading {m}: {lean} for {difference}"
        );
    }
}

/// A clamp's band by the rectangular rule (JCGM 100:2008, 4.3.7); 2 % and 10 mA are judgement.
#[test]
fn a_clamp_has_its_own_accuracy_and_its_own_gain() {
    let circuit = circuit(5.0);
    let clamp = |red: &str| Reading {
        kind: Kind::Clamp,
        ..Reading::volts(point(red), 0.1)
    };
    let series = Reading {
        kind: Kind::Amperes,
        ..Reading::volts(point("M1.feed"), 0.1)
    };
    let model = Model::new(
        &circuit,
        &Meter::default(),
        &log([clamp("M1.feed"), clamp("C1.1n"), series.clone()]),
        &[],
    );
    let of = |m: usize| (model.measured[m].sd, model.measured[m].gain);
    let (sd, gain) = of(0);
    assert!((sd - 0.01 / 3f64.sqrt()).abs() < 1e-12, "{sd}");
    assert!((gain.0 - 0.02 / 3f64.sqrt()).abs() < 1e-12, "{gain:?}");
    assert_eq!(of(1).1.1, gain.1, "one clamp, one gain");
    assert_ne!(of(2).1.1, gain.1, "the meter in series is another");
    assert!(of(2).0 < 0.05 * sd);
    let coarse = Meter {
        clamp: Clamp {
            percent: 2.0,
            zero_a: 0.05,
        },
        ..Meter::default()
    };
    let model = Model::new(&circuit, &coarse, &log([clamp("M1.feed")]), &[]);
    assert!(model.measured[0].sd > 4.9 * sd);
}

/// Common practice, no source: follow the current; where it ends, it leaves.
#[test]
fn two_currents_in_one_wire_that_differ_put_the_short_between_them() {
    let circuit = circuit(5.0);
    let ohm = as_ohms(circuit.wires[1].resistance());
    assert!(ohm > 0.0);
    let fault = Hidden::new(Site::part("W2"), FaultKind::ShortToGround, 60.0);
    let mut world = world(&circuit, fault);
    let mut readings = vec![volts_at(&mut world, "M1.feed", &without(&[]))];
    for (red, black) in [("C1.1f", "SP1"), ("SP1", "C1.1f")] {
        let (red, black) = (point(red), point(black));
        let value = world
            .measure(Kind::Amperes, &red, &black, &State::default())
            .expect("a current");
        readings.push(Reading {
            kind: Kind::Amperes,
            black,
            value,
            ..Reading::volts(red, 0.0)
        });
    }
    let on_wire = |readings: Vec<Reading>| {
        let findings = answer(&circuit, &log(readings));
        chance(&findings, |site, kind| {
            site.part == "W2" && kind == FaultKind::ShortToGround
        })
    };
    let volts_only = on_wire(readings[..1].to_vec());
    let both = on_wire(readings);
    assert!(volts_only < 0.4 && both > 0.9, "{volts_only} then {both}");
}

/// What cannot be read is named, and where no second point makes sense the old meaning stays: what leaves the supply.
#[test]
fn the_wire_must_be_named_where_several_meet() {
    let circuit = circuit(5.0);
    let reading = |red: &str, black: Point| {
        Entry::Reading(Reading {
            kind: Kind::Amperes,
            black,
            ..Reading::volts(point(red), 0.1)
        })
    };
    let said = |entry: Entry| {
        let model = Model::new(&circuit, &Meter::default(), &[entry], &[]);
        model.unusable.first().map(|(_, why)| why.clone())
    };
    let ground = Point::battery_negative;
    assert!(said(reading("SP1", ground())).is_some_and(|why| why.contains("both ends")));
    assert_eq!(said(reading("SP1", point("X1.1n"))), None);
    assert_eq!(said(reading("M1.feed", ground())), None);
    assert_eq!(said(reading("M1.feed", point("X1.1n"))), None);
    assert_eq!(said(reading("C1.1n", ground())), None);
}
