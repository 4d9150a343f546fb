//! Two shorts on one wire: what every reading is then, and how it leans on either, against the ladder that they make.
//!
//! Source: series and parallel resistances, worked out here by hand (calculated); the program couples both places at
//! ports that share a part of the wire.

use pinchpoint::{
    circuit::{Circuit, LimitMode, Terminal, quick_feed},
    fault::FaultKind,
    infer::{
        candidate::candidates,
        lower::{Model, Role},
        predict::{Prediction, Predictor},
        solve::Fault,
    },
    quantity::units::{milliamperes, ohms, volts},
    reading::{Entry, Meter, Reading, State},
};

/// Places on the wire as fractions, and ohms.
type Shorts = [(f64, f64); 2];

/// Ohms of the strap through which the current comes back to the module.
const STRAP: f64 = 0.01;

/// The trunk of a feed with every sensor unplugged: read at the module and at the dead end.
fn log(circuit: &Circuit) -> Vec<Entry> {
    let off = State {
        unplugged: (circuit.connectors.iter())
            .filter(|c| c.id != "C1")
            .map(|c| c.id.clone())
            .collect(),
        ..State::default()
    };
    ["M1.feed", "SP1"]
        .map(|at| {
            Entry::Reading(Reading {
                state: off.clone(),
                ..Reading::volts(at.parse().expect("a point"), 1.0)
            })
        })
        .to_vec()
}

/// Volts at the module and at the dead end: source and strap or limit, ohms before the wire, the wire.
fn ladder(before: f64, wire: f64, shorts: Shorts) -> [f64; 2] {
    let [near, far] = if shorts[0].0 < shorts[1].0 {
        shorts
    } else {
        [shorts[1], shorts[0]]
    };
    let beyond = (far.0 - near.0) * wire + far.1;
    let both = near.1 * beyond / (near.1 + beyond);
    let (volts, source, limit) = (5.0, 1.5 + STRAP, 0.12);
    let amps = f64::min(volts / (source + before + near.0 * wire + both), limit);
    [
        amps * (before + near.0 * wire + both),
        amps * both * far.1 / beyond,
    ]
}

#[test]
fn two_shorts_on_one_wire_are_a_ladder() {
    let mut circuit = quick_feed(volts(5.0), 4, true, false);
    circuit.supplies[0].source = Some(ohms(1.5));
    circuit.supplies[0].limit = LimitMode::Constant {
        limit: Some(milliamperes(120.0)),
    };
    let model = Model::new(&circuit, &Meter::default(), &log(&circuit), &[]);
    let number = (circuit.wires.iter())
        .position(|w| w.to.part == "SP1" && w.to.terminal == Terminal::Only)
        .expect("a trunk");
    let ohm_of = |role: &dyn Fn(Role) -> bool| -> f64 {
        let own = model.elements.iter().filter(|e| role(e.role));
        own.map(|e| 1.0 / e.siemens).sum()
    };
    let wire = ohm_of(&|role| role == Role::Wire(number));
    let first = |w: &pinchpoint::circuit::Wire| w.from.part == "M1";
    let lead = circuit.wires.iter().position(first).expect("a lead");
    let inline = (circuit.connectors.iter().position(|c| c.id == "C1")).expect("C1");
    let before = ohm_of(&|role| role == Role::Wire(lead) || role == Role::Pin(inline, 0));
    let list = candidates(&circuit, &model);
    let on_it = |x: f64, ohm: f64| -> Fault {
        let candidate = (list.iter())
            .filter(|c| c.kind == FaultKind::ShortToGround)
            .filter(|c| c.stretch.is_some_and(|s| s.0 == number))
            .find(|c| c.ends().is_some_and(|(low, high)| low <= x && x <= high))
            .expect("a stretch");
        Fault {
            effect: candidate.at(&model, x),
            ..candidate.fault(ohm.ln())
        }
    };
    assert!((ohm_of(&|role| matches!(role, Role::Strap(_))) - STRAP).abs() < 1e-12);
    let idle = vec![[0.0; 4]; model.sources.len()];
    let mut predictor = Predictor::new(&model);
    let mut out = Prediction::default();
    // Below the limit of the supply and in it, far apart and close by, in either order, and one of them nearly nothing.
    let all: [Shorts; 5] = [
        [(0.1, 200.0), (0.9, 100.0)],
        [(0.2, 0.4), (0.8, 0.3)],
        [(0.8, 0.3), (0.2, 0.4)],
        [(0.5, 0.02), (0.52, 0.01)],
        [(0.05, 0.01), (0.95, 30.0)],
    ];
    for shorts in all {
        for lean in [true, false] {
            let faults = shorts.map(|(x, ohm)| on_it(x, ohm));
            predictor.predict(&faults, &idle, lean, &mut out);
            let wanted = ladder(before, wire, shorts);
            for (got, wanted) in out.value.iter().zip(wanted) {
                // What insulation and the meter draw is left out by hand.
                let off = (got / wanted - 1.0).abs();
                assert!(off < 1e-5, "{shorts:?}: {got} instead of {wanted}");
            }
            for fault in 0..2 {
                let moved = |by: f64| {
                    let mut other = shorts;
                    other[fault].1 *= by.exp();
                    ladder(before, wire, other)
                };
                let (up, down) = (moved(1e-4), moved(-1e-4));
                for reading in 0..2 {
                    let wanted = (up[reading] - down[reading]) / 2e-4;
                    let got = out.by_size[2 * fault + reading];
                    let scale = out.value[reading].abs();
                    assert!(
                        (got - wanted).abs() < 1e-5 * scale,
                        "{shorts:?} {fault} {reading}: {got} instead of {wanted}"
                    );
                }
            }
        }
    }
}
