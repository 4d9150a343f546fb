//! A supply that latches off: what reads nothing after an overload says little until the key was cycled. Common practice, no
//! source.

use pinchpoint::{
    circuit::Circuit,
    fault::FaultKind,
    reading::{Reading, State},
};

use super::shared::{answer, chance, circuit, log, point};

fn latching() -> Circuit {
    let mut circuit = circuit(5.0);
    circuit.supplies[0].latches = true;
    circuit
}

/// Overloaded with everything plugged, then nothing at all with the harness off, twice; the chance that the supply is dead.
fn dead(circuit: &Circuit, key: Option<bool>) -> f64 {
    let read = |off: &[&str], volts: f64, key: Option<bool>| Reading {
        state: State {
            unplugged: off.iter().map(|&id| id.to_owned()).collect(),
            key_cycled: key,
            ..State::default()
        },
        ..Reading::volts(point("M1.feed"), volts)
    };
    let readings = [
        read(&[], 0.36, None),
        read(&["C1"], 0.0, key),
        read(&["C1", "X1"], 0.0, key),
    ];
    let findings = answer(circuit, &log(readings));
    chance(&findings, |_, kind| kind == FaultKind::SupplyDead)
}

#[test]
fn nothing_without_a_cycled_key_does_not_accuse_the_supply() {
    let circuit = latching();
    let (noted, cycled) = (dead(&circuit, Some(false)), dead(&circuit, Some(true)));
    assert!(noted < 0.5 * cycled, "{noted} against {cycled}");
    let silent = dead(&circuit, None);
    assert!(
        noted <= silent + 1e-3 && silent <= cycled + 1e-3,
        "{noted} {silent} {cycled}"
    );
}

/// Where nothing latches the key makes no difference.
#[test]
fn the_key_matters_only_where_a_supply_latches() {
    let circuit = circuit(5.0);
    let chances = [None, Some(true), Some(false)].map(|key| dead(&circuit, key));
    assert!((chances[0] - chances[1]).abs() < 1e-9, "{chances:?}");
    assert!((chances[0] - chances[2]).abs() < 1e-9, "{chances:?}");
}
