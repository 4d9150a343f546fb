//! Current in a wire of which a short draws a part between its ends: it is not the same at both.
//!
//! A wire of conductance g from a to b, with i leaving it at fraction x, carries g (v_a − v_b) + (1 − x) i at its end a
//! and g (v_a − v_b) − x i at its end b: both ends held, the current i comes from each end in inverse proportion to the
//! resistance up to there (superposition).

use crate::{
    infer::{
        lower::{Element, Flow, Measured, Model, Quantity},
        solve::{Effect, Fault, Solved},
    },
    network::{Port, port::PORTS},
};

/// By how much the volts of each port count in the volts across the wire in which a measurement reads current; `None`
/// where no short sits on that wire.
pub(super) fn taps(
    model: &Model,
    measured: &Measured,
    active: &[Fault],
    solved: &Solved,
    siemens: &[f64],
) -> Option<[f64; PORTS]> {
    let Quantity::Through(flow) = measured.what else {
        return None;
    };
    let mut taps = [0.0; PORTS];
    let mut any = false;
    for (place, &index) in solved.which().iter().enumerate() {
        let Effect::Shunt { port, inner } = active[index].effect else {
            continue;
        };
        if let Some(share) = share(&port, inner, &model.elements[flow.element], flow) {
            let k = solved.sources + place;
            taps[k] = share * solved.y[k] / siemens[flow.element];
            any = true;
        }
    }
    any.then_some(taps)
}

/// Part of a short's current that the meter's end of a wire carries, with its sign in the direction from a to b; `None`
/// where the short is not on the wire.
fn share(port: &Port, inner: f64, element: &Element, flow: Flow) -> Option<f64> {
    let at = |node: usize| {
        let found = port.weights().iter().find(|(other, _)| *other == node);
        found.map(|&(_, weight)| weight)
    };
    let (a, b) = (at(element.a)?, at(element.b)?);
    // Both ends on one side of the short, and ohms of the wire before it: it sits between them.
    let on_it = a * b > 0.0 && inner > 0.0 && ((a + b).abs() - 1.0).abs() < 1e-9;
    on_it.then_some(if flow.at_a { a } else { -b })
}
